//! `overhand score` against reference data: mir_eval's onset-only transcription matching, checked with two maximum
//! matchings (see tests/reference/README.md).

use crate::program::{call, reference};
use serde_json::Value;

#[test]
fn every_count_of_the_reference_is_met() {
    let rows: Value = serde_json::from_slice(&std::fs::read(reference("scoring.json")).unwrap()).unwrap();
    let mut checked = 0;
    for row in rows.as_array().unwrap() {
        for (window, key) in [("50", "0.05"), ("100", "0.1")] {
            check(row, window, &row["results"][key]);
            checked += 1;
        }
    }
    assert_eq!(checked, 2 * rows.as_array().unwrap().len());
    assert!(checked >= 40, "the reference has twenty parts and more");
}

fn check(row: &Value, window: &str, wanted: &Value) {
    let id = row["id"].as_str().unwrap();
    let file = |which: &str| reference("midi").join(format!("{id}_{which}.mid")).display().to_string();
    let (part, take) = (file("ref"), file("perf"));
    let options = ["--window-ms", window, "--offset-ms", "0", "--json"];
    let score = call(&[&["score", part.as_str(), take.as_str()], &options[..]].concat()).json();
    let where_ = format!("{id} at {window} ms");
    assert_eq!(score["expected"], row["n_ref"], "{where_}");
    assert_eq!(score["played"], row["n_perf"], "{where_}");
    assert_eq!(score["matched"], wanted["matched"], "{where_}");
    let count = |value: &Value| value.as_i64().unwrap();
    assert_eq!(count(&score["missed"]), count(&row["n_ref"]) - count(&wanted["matched"]), "{where_}");
    assert_eq!(count(&score["extra"]), count(&row["n_perf"]) - count(&wanted["matched"]), "{where_}");
    for ratio in ["precision", "recall", "f1"] {
        near(&score[ratio], &wanted[ratio], 1e-6, &format!("{where_}, {ratio}"));
    }
    if wanted["unique_matching"] == true && count(&wanted["matched"]) > 0 {
        // The reference counts seconds, this program milliseconds, both rounded.
        for (ours, theirs) in
            [("mean_ms", "mean_err_s"), ("median_ms", "median_err_s"), ("spread_ms", "std_err_s_pop")]
        {
            let theirs = Value::from(wanted[theirs].as_f64().unwrap() * 1000.0);
            near(&score[ours], &theirs, 0.002, &format!("{where_}, {ours}"));
        }
    }
    for (hand, theirs) in [("right", "matched_R_alone"), ("left", "matched_L_alone")] {
        let alone = [&["score", part.as_str(), take.as_str(), "--hand", hand], &options[..]].concat();
        assert_eq!(call(&alone).json()["matched"], wanted[theirs], "{where_}, {hand} hand alone");
    }
}

fn near(ours: &Value, theirs: &Value, within: f64, what: &str) {
    let (ours, theirs) = (ours.as_f64().unwrap(), theirs.as_f64().unwrap());
    assert!((ours - theirs).abs() <= within, "{what}: {ours} and not {theirs}");
}
