//! Every bound of the song file in one place. Ranges are inclusive.

use std::ops::RangeInclusive;

/// The only version of the file there is.
pub const FORMAT: u32 = 1;
/// The largest file, in bytes: 4 MB.
pub const FILE_BYTES: usize = 4_000_000;
/// How deep lists and objects may lie in one another.
pub const DEPTH: usize = 32;
/// How many bars a song may have as played.
pub const BARS_PLAYED: u64 = 20_000;
/// Passes of a section at one place of the order.
pub const PASSES: RangeInclusive<u32> = 1..=99;
/// How full the hands play.
pub const LEVEL: RangeInclusive<u8> = 1..=5;
/// Keys that the right hand holds.
pub const NOTES: RangeInclusive<u8> = 1..=4;
/// Bars that are counted in before a song.
pub const COUNT_IN: RangeInclusive<u8> = 0..=4;
/// Goals of a song.
pub const GOALS: usize = 100;
/// Speed of a goal, in percent of the chart's tempo.
pub const GOAL_SPEED: RangeInclusive<u8> = 30..=130;
/// Tempo in beats a minute.
pub const TEMPO: RangeInclusive<f64> = 20.0..=300.0;
/// Semitones of a relative key, up or down.
pub const KEY_SHIFT: i32 = 11;
/// Exceptions that reach one section, inherited ones among them. Keeps the work of unfolding a song in bounds.
pub const EXCEPTIONS: usize = 500;
/// How many sections `like` may lead through.
pub const LIKE_CHAIN: usize = 8;
/// Chords that one bar may have: the beats of the longest.
pub const ITEMS_IN_BAR: usize = 32;
/// Signs that one beat of a figure may be split into.
pub const SIGNS_IN_BEAT: usize = 64;
/// Beats that a figure may have: the longest bar.
pub const FIGURE_BEATS: usize = 32;
/// Members that written tones may have: the fingers of a hand.
pub const TONES: usize = 5;
/// Mistakes that are told at once; what lies beyond is counted.
pub const DIAGNOSTICS: usize = 1_000;

/// The longest plain chart that is read, in bytes: what is longer is no song.
pub const PASTED_BYTES: usize = 32_000;

/// The fields that each object of the file may have.
pub mod fields {
    /// Fields of a song.
    pub const SONG: &[&str] = &[
        "format", "id", "title", "note", "key", "tempo", "meter", "count", "count_in", "feel", "level",
        "bass", "pedal", "right", "left", "sections", "order", "goals",
    ];
    /// Fields of a section.
    pub const SECTION: &[&str] = &[
        "name", "bars", "like", "passes", "except", "note", "cue", "key", "tempo", "meter", "count", "feel",
        "level", "bass", "pedal", "right", "left",
    ];
    /// Fields of an exception.
    pub const EXCEPTION: &[&str] =
        &["pass", "bar", "beat", "bars", "replaces", "right", "left", "note", "cue"];
    /// Fields of a goal.
    pub const GOAL: &[&str] = &["section", "bar", "speed", "day", "note"];
    /// Fields of the right hand.
    pub const RIGHT: &[&str] = &["notes", "tones", "shapes", "near", "figure", "restart"];
    /// Fields of the left hand.
    pub const LEFT: &[&str] = &["shape", "tones", "shapes", "near", "figure", "restart"];
}
