//! The performances of `tests/reference/scoring.json` (mir_eval, scipy, networkx), read from the MIDI files beside it.

use exchange::{MidiFile, read_midi};
use practice::*;
use serde_json::Value;
use theory::Hand;

fn directory() -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference")
}

#[allow(clippy::disallowed_methods)] // The tests of readers read files; the readers themselves take bytes.
fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(directory().join(name)).expect("the reference data is in the tree")
}

fn rows() -> Vec<Value> {
    serde_json::from_slice(&bytes("scoring.json")).expect("JSON")
}

fn midi(row: &Value, which: usize) -> MidiFile {
    read_midi(&bytes(row["midi"][which].as_str().expect("a name"))).expect("a MIDI file")
}

#[test]
fn scores_through_files_are_those_of_the_reference() {
    let rows = rows();
    assert_eq!(rows.len(), 20);
    for row in &rows {
        let (expected, played) = (midi(row, 0).expected(), midi(row, 1).played(Speed::FULL));
        assert_eq!(expected.notes.len() as u64, row["n_ref"].as_u64().unwrap());
        assert_eq!(played.len() as u64, row["n_perf"].as_u64().unwrap());
        for (window, result) in row["results"].as_object().unwrap() {
            let name = format!("{} at {window} s", row["id"]);
            let options = ScoreOptions {
                window: Window::Fixed(ChartTime::from_ms(window.parse::<f64>().unwrap() * 1000.0)),
                ..ScoreOptions::default()
            };
            let matched = |hands| score(&expected.for_hands(hands), &played, &options).matched as u64;
            assert_eq!(matched(Hands::Both), result["matched"].as_u64().unwrap(), "{name}");
            assert_eq!(matched(Hands::Right), result["matched_R_alone"].as_u64().unwrap(), "{name}, right");
            assert_eq!(matched(Hands::Left), result["matched_L_alone"].as_u64().unwrap(), "{name}, left");
        }
    }
}

/// Onset in microseconds, key, hand.
type Row = (i64, u8, Option<Hand>);

#[test]
fn onsets_are_those_of_the_reference_to_the_microsecond() {
    for row in rows() {
        let mut theirs: Vec<Row> = row["ref"].as_array().unwrap().iter().map(reference_note).collect();
        let mut ours: Vec<Row> =
            midi(&row, 0).notes().iter().map(|n| (n.at.micros(), n.key.number(), n.hand)).collect();
        theirs.sort();
        ours.sort();
        assert_eq!(ours.len(), theirs.len());
        for (ours, theirs) in ours.iter().zip(&theirs) {
            assert_eq!((ours.1, ours.2), (theirs.1, theirs.2), "{}", row["id"]);
            assert!((ours.0 - theirs.0).abs() <= 1, "{}: {ours:?} for {theirs:?}", row["id"]);
        }
    }
}

fn reference_note(n: &Value) -> Row {
    let hand = if n[4] == "R" { Hand::Right } else { Hand::Left };
    let onset = n[0].as_f64().expect("seconds");
    ((onset * 1e6).round() as i64, n[1].as_u64().expect("a key") as u8, Some(hand))
}

#[test]
fn the_files_say_no_take_of_ours() {
    assert!(rows().iter().all(|row| midi(row, 1).take().is_none()));
}
