//! Against `tests/reference/scoring.json`: made with mir_eval's transcription matching, checked with maximum matching of
//! scipy and networkx on whole microseconds.

use practice::*;
use serde_json::Value;
use song::Quarters;
use theory::{Hand, MidiKey};

const ROWS: &str = include_str!("../../../tests/reference/scoring.json");

fn micros(seconds: &Value) -> ChartTime {
    ChartTime::from_micros((seconds.as_f64().expect("seconds") * 1e6).round() as i64)
}

fn number(value: &Value) -> u8 {
    value.as_u64().and_then(|n| u8::try_from(n).ok()).expect("a small number")
}

fn expected(row: &Value) -> Expected {
    let note = |(event, n): (usize, &Value)| ExpectedNote {
        hand: if n[4] == "R" { Hand::Right } else { Hand::Left },
        bar: 0,
        start: Quarters::ZERO,
        at: micros(&n[0]),
        key: MidiKey::new(number(&n[1])).expect("a key"),
        rolled: false,
        event,
    };
    let notes = row["ref"].as_array().expect("rows").iter().enumerate().map(note).collect();
    Expected::new(notes, Vec::new(), 0)
}

fn played(row: &Value) -> Vec<PlayedNote> {
    let note = |n: &Value| PlayedNote {
        at: micros(&n[0]),
        length: Some(micros(&n[3])),
        key: MidiKey::new(number(&n[1])).expect("a key"),
        velocity: number(&n[2]),
    };
    row["perf"].as_array().expect("rows").iter().map(note).collect()
}

/// A figure of ours in milliseconds against theirs in seconds with nine digits.
fn same(ours: Option<f64>, theirs: &Value, what: &str) {
    if let Some(theirs) = theirs.as_f64() {
        let ours = ours.unwrap_or_else(|| panic!("{what} is missing")) / 1000.0;
        assert!((ours - theirs).abs() < 2e-9, "{what}: {ours} for {theirs}");
    }
}

fn check(row: &Value, window: &str, result: &Value) {
    let name = format!("{} at {window} s", row["id"]);
    let options = ScoreOptions {
        window: Window::Fixed(ChartTime::from_ms(window.parse::<f64>().unwrap() * 1000.0)),
        ..ScoreOptions::default()
    };
    let (expected, played) = (expected(row), played(row));
    let ours = score(&expected, &played, &options);
    assert_eq!(ours.matched as u64, result["matched"].as_u64().unwrap(), "{name}");
    for (ours, theirs) in [(ours.precision, "precision"), (ours.recall, "recall"), (ours.f1, "f1")] {
        assert!((ours - result[theirs].as_f64().unwrap()).abs() < 1e-6, "{name}: {theirs}");
    }
    for (hands, theirs) in [(Hands::Right, "matched_R_alone"), (Hands::Left, "matched_L_alone")] {
        let alone = score(&expected.for_hands(hands), &played, &options).matched;
        assert_eq!(alone as u64, result[theirs].as_u64().unwrap(), "{name}: {theirs}");
    }
    let total: f64 = ours.notes.iter().filter_map(|n| n.error).map(|e| e.abs().ms()).sum();
    same(Some(total), &result["sum_abs_err_min"], &format!("{name}: least total error"));
    same(ours.mean_ms, &result["mean_err_s"], &format!("{name}: mean"));
    same(ours.median_ms, &result["median_err_s"], &format!("{name}: median"));
    same(ours.spread_ms, &result["std_err_s_pop"], &format!("{name}: spread"));
}

#[test]
fn every_row_of_the_reference_is_scored_alike() {
    let rows: Vec<Value> = serde_json::from_str(ROWS).expect("JSON");
    assert_eq!(rows.len(), 20);
    for row in &rows {
        let results = row["results"].as_object().expect("results");
        assert_eq!(results.len(), 2, "at 50 and at 100 ms");
        results.iter().for_each(|(window, result)| check(row, window, result));
    }
}
