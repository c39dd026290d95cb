//! Pedal marks, read off the chart by hand.

use crate::print::{part_of, song_text};
use voicing::PedalKind;

/// `v` down, `^v` change, `^` up, each with its time in quarters.
fn marks(head: &str, bars: &str) -> String {
    let sign = |kind| match kind {
        PedalKind::Down => "v",
        PedalKind::Change => "^v",
        PedalKind::Up => "^",
    };
    let marks = part_of(&song_text("C major", head, bars)).pedal_marks();
    marks.iter().map(|m| format!("{}{}", sign(m.kind), m.at.to_f64())).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_new_chord_changes_the_pedal_and_a_harmony_that_stays_does_not() {
    let pedal = r#""pedal": true,"#;
    assert_eq!(marks(pedal, "1 | 4"), "v0 ^v4 ^8");
    assert_eq!(marks(pedal, "1 | 1 | 5.. 1.. "), "v0 ^v8 ^v10 ^12", "the second bar goes on");
    assert_eq!(marks(pedal, "1 | ~ | 4"), "v0 ^v8 ^12", "a tie goes on");
}

#[test]
fn rests_lift_the_foot_and_pushes_move_it() {
    let pedal = r#""pedal": true,"#;
    assert_eq!(marks(pedal, "1.. N.. | 1"), "v0 ^2 v4 ^8");
    assert_eq!(marks(pedal, "1 | ^4"), "v0 ^v3.5 ^8");
}

#[test]
fn songs_without_pedal_have_no_marks() {
    assert_eq!(marks("", "1 | 4 | 5"), "");
}
