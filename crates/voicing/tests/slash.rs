//! Chords over every degree, against `tests/reference/slash.json` (music21): what each hand holds, and the rule for the
//! left hand's second note worked out again on pitch classes.

use crate::print::{part_of, song_text};
use serde_json::Value;
use std::collections::BTreeSet;

fn classes(value: &Value) -> BTreeSet<u8> {
    value.as_array().unwrap().iter().map(|v| v.as_u64().unwrap() as u8).collect()
}

#[test]
fn the_right_hand_holds_the_chord_and_the_left_the_degree_under_the_slash() {
    let rows: Vec<Value> = serde_json::from_str(include_str!("../../../tests/reference/slash.json")).unwrap();
    assert_eq!(rows.len(), 147);
    for row in &rows {
        let key = row["key"].as_str().unwrap();
        let chart = format!("{}/{}", row["upper_degree"], row["lower_degree"]);
        let part = part_of(&song_text(&format!("{key} major"), "", &chart));
        let chord = &part.bars[0].chords[0];
        let right: BTreeSet<u8> = chord.right.notes.iter().map(|n| n.key.number() % 12).collect();
        assert_eq!(right, classes(&row["rh_pcs"]), "{key} {chart}");
        let names: BTreeSet<String> = chord.right.notes.iter().map(|n| n.pitch.name.to_string()).collect();
        let expected: BTreeSet<String> =
            row["rh_names"].as_array().unwrap().iter().map(|n| n.as_str().unwrap().to_string()).collect();
        assert_eq!(names, expected, "{key} {chart}");
        let left = &chord.left.notes;
        assert_eq!(left[0].pitch.name.to_string(), row["lh_bass"].as_str().unwrap(), "{key} {chart}");
        assert_eq!(left.len(), 2);
        let second = left[1].key.number() - left[0].key.number();
        assert_eq!(second, expected_second(key, &chart, row), "{key} {chart}");
    }
}

/// The rule of the song format, on pitch classes: the perfect fifth if the chord has it; else, if the lower note is in
/// the chord, its root above it; else the perfect fifth if it is in the key and no semitone from a chord note; else the
/// octave.
fn expected_second(key: &str, chart: &str, row: &Value) -> u8 {
    let chord = classes(&row["rh_pcs"]);
    let bass = row["lh_bass_pc"].as_u64().unwrap() as u8;
    let root = row["rh_pcs"][0].as_u64().unwrap() as u8;
    let fifth = (bass + 7) % 12;
    let tonic = tonic_class(key);
    let in_key = [0, 2, 4, 5, 7, 9, 11].map(|step| (tonic + step) % 12).contains(&fifth);
    let rubs = chord.iter().any(|c| matches!((12 + c - fifth) % 12, 1 | 11));
    assert_eq!(row["bass_in_rh"].as_bool().unwrap(), chord.contains(&bass), "{chart}");
    if chord.contains(&fifth) {
        7
    } else if chord.contains(&bass) && root != bass {
        (12 + root - bass) % 12
    } else if !chord.contains(&bass) && in_key && !rubs {
        7
    } else {
        12
    }
}

fn tonic_class(key: &str) -> u8 {
    key.parse::<theory::NoteName>().unwrap().pitch_class()
}
