//! Fingers of scales.

use crate::reference::{number, numbers, text};
use serde_json::Value;
use theory::{CrossingKind, Finger, Hand, Scale};

fn reference() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../../../tests/reference/fingerings.json")).unwrap();
    all["scales"].as_array().unwrap().clone()
}

fn numbered(fingers: &[Finger]) -> Vec<i64> {
    fingers.iter().map(|f| i64::from(f.number())).collect()
}

#[test]
fn every_row_of_the_reference_or_an_alternative_is_given() {
    let rows = reference();
    assert_eq!(rows.len(), 36);
    for row in rows {
        let mode = text(&row, "mode").replace('_', " ");
        let scale: Scale = format!("{} {mode}", text(&row, "key")).parse().unwrap();
        let hand = if text(&row, "hand") == "R" { Hand::Right } else { Hand::Left };
        let octaves = number(&row, "octaves") as u8;
        let up = numbered(&scale.fingers(hand, octaves).unwrap().up);
        let mut right = row["alternatives"].as_array().unwrap().iter().map(numbers);
        assert!(up == numbers(&row["fingering"]) || right.any(|other| other == up), "{up:?} {row}");
        let names: Vec<String> = scale.pitches_up(4, octaves).iter().map(|p| p.name.to_string()).collect();
        assert_eq!(names, crate::reference::names(&row, "notes"));
    }
}

/// Right and left going up one octave (scale tables in Hanon, The Virtuoso Pianist, public domain; from memory).
#[test]
fn scales_beyond_the_reference_have_the_fingers_of_the_tables() {
    for (scale, right, left) in [
        ("B major", "12312345", "43214321"),
        ("Eb major", "31234123", "32143213"),
        ("Ab major", "34123123", "32143213"),
        ("Db major", "23123412", "32143213"),
        ("F# major", "23412312", "43213214"),
        ("Gb major", "23412312", "43213214"),
        ("D harmonic minor", "12312345", "54321321"),
        ("B harmonic minor", "12312345", "43214321"),
        ("F# harmonic minor", "34123123", "43213214"),
        ("F harmonic minor", "12341234", "54321321"),
        ("Eb harmonic minor", "31234123", "21432132"),
        ("Bb harmonic minor", "41231234", "21321432"),
    ] {
        let scale: Scale = scale.parse().unwrap();
        for (hand, expected) in [(Hand::Right, right), (Hand::Left, left)] {
            let up = scale.fingers(hand, 1).unwrap().up;
            let found: String = up.iter().map(|f| f.to_string()).collect();
            assert_eq!(found, expected, "{scale} {}", hand.name());
        }
    }
}

/// Each scale, hand, number of octaves and direction: its keys, from the lowest, with their fingers.
fn for_every_run(check: impl Fn(&str, Hand, &[(bool, u8)])) {
    for (scale, octaves) in Scale::all().flat_map(|scale| (1..=4).map(move |n| (scale, n))) {
        for hand in Hand::BOTH {
            let fingers = scale.fingers(hand, octaves).unwrap();
            let mut down = (scale.pitches_down(1, octaves), fingers.down);
            down.0.reverse();
            down.1.reverse();
            for (pitches, fingers) in [(scale.pitches_up(1, octaves), fingers.up), down] {
                assert_eq!(pitches.len(), fingers.len());
                let black = pitches.iter().map(|p| p.key().unwrap().is_black());
                let run: Vec<(bool, u8)> = black.zip(fingers.iter().map(|f| f.number())).collect();
                check(&format!("{scale} {} {octaves}", hand.name()), hand, &run);
            }
        }
    }
}

/// Common practice: no thumb on a black key, the fourth finger once in an octave, the fifth only at the ends.
#[test]
fn scales_follow_the_rules_of_thumb() {
    for_every_run(|what, _, run| {
        // Pentatonic scales and blues on black keys may lack two white ones far enough apart for two thumbs.
        let size = if what.contains("pentatonic") { 5 } else { 6 };
        let seven = !(what.contains("pentatonic") || what.contains("blues"));
        let whites: Vec<usize> = (0..size).filter(|i| !run[*i].0).collect();
        let apart = |low: usize, high: usize| high - low >= 2 && size - (high - low) >= 2;
        let two_white = whites.iter().any(|low| whites.iter().any(|high| high > low && apart(*low, *high)));
        let thumb_on_black = run.iter().any(|&(black, finger)| black && finger == 1);
        assert!(!thumb_on_black || (!seven && !two_white), "{what}");
        for octave in run[1..run.len() - 1].windows(7).filter(|_| seven) {
            assert_eq!(octave.iter().filter(|(_, finger)| *finger == 4).count(), 1, "{what}");
        }
        assert!(run[1..run.len() - 1].iter().all(|&(_, finger)| finger != 5), "{what}");
    });
}

/// Within a position neighbouring fingers take neighbouring notes; every other step goes over the thumb.
#[test]
fn the_hand_moves_only_at_the_thumb() {
    for_every_run(|what, hand, run| {
        for (step, pair) in run.windows(2).enumerate() {
            let (low, high) = (i16::from(pair[0].1), i16::from(pair[1].1));
            let rise = if hand == Hand::Right { high - low } else { low - high };
            let crossing_thumb = if hand == Hand::Right { high } else { low };
            // The ends may leave a finger out, as in the turn of F# melodic minor.
            let at_an_end = step == 0 || step == run.len() - 2;
            let in_position = rise == 1 || (at_an_end && rise == 2);
            assert!(in_position || (rise < 0 && crossing_thumb == 1), "{what} {run:?}");
        }
    });
}

#[test]
fn crossings_are_where_the_hand_moves() {
    let scale: Scale = "D major".parse().unwrap();
    let told = |crossings: &[theory::Crossing]| -> Vec<String> {
        crossings.iter().map(|c| format!("{}>{} {} {}", c.from, c.to, c.kind.name(), c.finger)).collect()
    };
    let right = scale.fingers(Hand::Right, 2).unwrap();
    assert_eq!(told(&right.crossings_up), ["2>3 thumb under 3", "6>7 thumb under 4", "9>10 thumb under 3"]);
    assert_eq!(told(&right.crossings_down), ["10>9 finger over 3", "7>6 finger over 4", "3>2 finger over 3"]);
    let left = scale.fingers(Hand::Left, 1).unwrap();
    assert_eq!(told(&left.crossings_up), ["4>5 finger over 3"]);
    assert_eq!(told(&left.crossings_down), ["5>4 thumb under 3"]);
}

/// The thumb is at one end of every crossing, going under towards it and over away from it.
#[test]
fn every_crossing_has_the_thumb_at_one_end() {
    for (scale, hand) in Scale::all().flat_map(|s| Hand::BOTH.map(|h| (s, h))) {
        let fingers = scale.fingers(hand, 4).unwrap();
        let top = fingers.up.len() - 1;
        let down_at = |index: usize| fingers.down[top - index];
        let up = fingers.crossings_up.iter().map(|c| (c, fingers.up[c.from], fingers.up[c.to]));
        let down = fingers.crossings_down.iter().map(|c| (c, down_at(c.from), down_at(c.to)));
        let mut count = 0;
        for (crossing, before, after) in up.chain(down) {
            match crossing.kind {
                CrossingKind::ThumbUnder => assert_eq!((before, after), (crossing.finger, Finger::THUMB)),
                CrossingKind::FingerOver => assert_eq!((before, after), (Finger::THUMB, crossing.finger)),
            }
            assert_ne!(crossing.finger, Finger::THUMB);
            count += 1;
        }
        // Two positions an octave make 7 to 8 changes in four octaves, each way.
        assert!((14..=16).contains(&count), "{scale} {} {count}", hand.name());
    }
}

#[test]
fn the_way_down_is_the_way_up_reversed_but_in_melodic_minor() {
    for (scale, hand) in Scale::all().flat_map(|s| Hand::BOTH.map(|h| (s, h))) {
        let fingers = scale.fingers(hand, 2).unwrap();
        assert_eq!(fingers.up.last(), fingers.down.first(), "{scale}: the turn is one note");
        if scale.kind() != theory::ScaleKind::MelodicMinor {
            assert!(fingers.up.iter().eq(fingers.down.iter().rev()), "{scale}");
        }
    }
    let sharp: Scale = "F# melodic minor".parse().unwrap();
    let right = sharp.fingers(Hand::Right, 1).unwrap();
    // Common practice, from memory.
    assert_eq!(numbered(&right.up), [2, 3, 1, 2, 3, 4, 1, 3]);
    assert_eq!(numbered(&right.down), [3, 2, 1, 3, 2, 1, 4, 3]);
}

#[test]
fn scales_are_fingered_through_one_to_four_octaves() {
    let scale: Scale = "C major".parse().unwrap();
    assert!(scale.fingers(Hand::Right, 0).is_none() && scale.fingers(Hand::Right, 5).is_none());
    assert_eq!(scale.fingers(Hand::Left, 4).unwrap().up.len(), 29);
}
