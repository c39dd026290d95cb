//! The demo songs are read without a mistake.

pub const SONGS: [&str; 5] = [
    include_str!("../../../demo-songs/frost-on-the-sluice.json"),
    include_str!("../../../demo-songs/heron-waltz.json"),
    include_str!("../../../demo-songs/lanterns-at-the-lock.json"),
    include_str!("../../../demo-songs/saturday-quay.json"),
    include_str!("../../../demo-songs/the-long-pound.json"),
];

/// A demo song as it was before its first save.
pub fn unsaved(which: usize) -> String {
    let lines = SONGS[which].split_inclusive('\n');
    lines.filter(|line| !line.starts_with("  \"id\":")).collect()
}

#[test]
fn demo_songs_have_no_mistakes() {
    for text in SONGS {
        let mistakes: Vec<String> =
            song::read(text).diagnostics.iter().filter(|d| d.is_error()).map(|d| d.to_string()).collect();
        assert!(mistakes.is_empty(), "{mistakes:?}");
    }
}

/// Common practice: bars of every demo song follow one another without a gap, and slots fill their bar.
#[test]
fn bars_and_slots_fill_the_time() {
    for text in SONGS {
        let played = song::read(text).sound().unwrap().play();
        let mut at = song::Quarters::ZERO;
        for bar in &played.bars {
            assert_eq!(bar.start, at);
            let mut within = song::Quarters::ZERO;
            for slot in &bar.slots {
                assert_eq!(slot.start, within);
                within += slot.length;
            }
            assert_eq!(within, bar.meter.length());
            at += within;
        }
    }
}
