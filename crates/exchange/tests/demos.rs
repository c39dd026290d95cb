//! The five demo songs.

/// A short name for messages, and the song.
pub const DEMOS: [(&str, &str); 5] = [
    ("frost", include_str!("../../../demo-songs/frost-on-the-sluice.json")),
    ("waltz", include_str!("../../../demo-songs/heron-waltz.json")),
    ("lanterns", include_str!("../../../demo-songs/lanterns-at-the-lock.json")),
    ("quay", include_str!("../../../demo-songs/saturday-quay.json")),
    ("pound", include_str!("../../../demo-songs/the-long-pound.json")),
];
