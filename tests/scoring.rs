//! `overhand score` against reference data: mir_eval's onset-only transcription matching, checked with two maximum
//! matchings (see tests/reference/README.md).

use crate::program::{call, reference};
use practice::{ChartTime, Hands, LoopBars, PlayedNote, Speed, Take};
use serde_json::Value;
use theory::MidiKey;

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

/// A part of the reference, played at four fifths of its tempo: only the tempo of the file is another (the tempo event of
/// Standard MIDI Files 1.0: FF 51 03 and the microseconds of a quarter).
#[test]
fn the_speed_of_a_take_is_found() {
    let part = reference("midi").join("s01_ref.mid");
    let mut bytes = std::fs::read(&part).unwrap();
    let tempo = bytes.windows(3).position(|bytes| bytes == [0xff, 0x51, 0x03]).unwrap() + 3;
    assert_eq!(bytes[tempo..tempo + 3], 600_000u32.to_be_bytes()[1..], "the reference says 100 a minute");
    bytes[tempo..tempo + 3].copy_from_slice(&750_000u32.to_be_bytes()[1..]);
    let folder = tempfile::tempdir().unwrap();
    let take = folder.path().join("slow.mid").display().to_string();
    std::fs::write(&take, bytes).unwrap();
    let part = part.display().to_string();
    let score = call(&["score", &part, &take, "--speed", "auto", "--json"]).json();
    assert_eq!(score["speed"], 80.0);
    assert_eq!((&score["matched"], &score["extra"]), (&score["expected"], &0.into()));
    let unaware = call(&["score", &part, &take, "--json"]).json();
    assert_eq!(unaware["speed"], 100.0);
    assert!(unaware["matched"].as_u64() < score["matched"].as_u64());
}

/// A take recorded here says how it was played: nothing has to be told again.
#[test]
fn a_recorded_take_brings_its_speed_hands_and_bars() {
    let song = "demo-songs/lanterns-at-the-lock.json";
    let part = call(&["part", song, "--json"]).json();
    let (bars, speed) = (LoopBars::new(4, 7), Speed::new(60.0).unwrap());
    let wanted = |event: &&Value| {
        event["hand"] == "right" && bars.contains(usize::try_from(event["bar"].as_u64().unwrap()).unwrap())
    };
    let notes: Vec<PlayedNote> = part["events"].as_array().unwrap().iter().filter(wanted).map(note).collect();
    let take = Take::new(notes.clone(), speed, Hands::Right, Some(bars));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("take.mid").display().to_string();
    std::fs::write(&path, exchange::write_take(&take)).unwrap();
    let score = call(&["score", song, &path, "--json"]).json();
    assert_eq!(score["speed"], 60.0);
    assert_eq!((&score["expected"], &score["matched"]), (&notes.len().into(), &notes.len().into()));
    assert!(score["bars"].as_array().unwrap().iter().all(|bar| bar["clean"] == true), "{score}");
    let both = call(&["score", song, &path, "--hand", "both", "--json"]).json();
    assert!(both["missed"].as_u64() > Some(0), "the left hand was not played");
}

/// The right hand an octave too high in one bar is the right chord elsewhere, and is told apart from wrong keys.
#[test]
fn a_right_chord_in_another_octave_is_said() {
    let song = "demo-songs/lanterns-at-the-lock.json";
    let part = call(&["part", song, "--json"]).json();
    let octave_up = |event: &Value| event["hand"] == "right" && event["bar"] == 1;
    let played = |event: &Value| {
        let exact = note(event);
        let up = if octave_up(event) { 12 } else { 0 };
        PlayedNote { key: MidiKey::new(exact.key.number() + up).unwrap(), ..exact }
    };
    let notes: Vec<PlayedNote> = part["events"].as_array().unwrap().iter().map(played).collect();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("take.mid").display().to_string();
    let take = Take::new(notes, Speed::FULL, Hands::Both, None);
    std::fs::write(&path, exchange::write_take(&take)).unwrap();
    let said = call(&["score", song, &path]).done();
    // Bar 2 of the ballad is one chord, which the right hand strikes on each of its four beats.
    assert!(said.contains("Chords: 4 chords right, in another octave or inversion."), "{said}");
}

/// The notes of a song's part, as far as they are wanted.
fn part_notes(options: &[&str], wanted: impl Fn(&Value) -> bool) -> Vec<PlayedNote> {
    let part = call(&[&["part", BALLAD, "--json"], options].concat()).json();
    part["events"].as_array().unwrap().iter().filter(|e| wanted(e)).map(note).collect()
}

/// A take as a file of a temporary folder. From elsewhere it lacks the text by which a take of ours is known.
fn file_of(folder: &tempfile::TempDir, take: &Take, from_elsewhere: bool) -> String {
    let mut bytes = exchange::write_take(take);
    if from_elsewhere {
        let mark = bytes.windows(8).position(|bytes| bytes == b"overhand").unwrap();
        bytes[mark..mark + 8].copy_from_slice(b"anywhere");
    }
    let path = folder.path().join("take.mid").display().to_string();
    std::fs::write(&path, bytes).unwrap();
    path
}

const BALLAD: &str = "demo-songs/lanterns-at-the-lock.json";

fn bars(score: &Value) -> (i64, i64) {
    let bars = score["bars"].as_array().unwrap();
    (bars[0]["bar"].as_i64().unwrap(), bars[bars.len() - 1]["bar"].as_i64().unwrap())
}

#[test]
fn a_take_from_elsewhere_that_starts_late_and_stops_early_is_scored_over_what_it_covers() {
    let notes = part_notes(&[], |e| (6..=15).contains(&e["bar"].as_i64().unwrap()));
    let folder = tempfile::tempdir().unwrap();
    let take = Take::new(notes.clone(), Speed::FULL, Hands::Both, None);
    let path = file_of(&folder, &take, true);
    let score = call(&["score", BALLAD, &path, "--json"]).json();
    assert_eq!((&score["matched"], &score["missed"]), (&notes.len().into(), &0.into()));
    assert_eq!(bars(&score), (6, 15));
    assert!(call(&["score", BALLAD, &path]).done().contains("The take covers bars 7 to 16.\n"));
    let whole = call(&["score", BALLAD, &path, "--whole", "--json"]).json();
    assert_eq!((bars(&whole).0, &whole["matched"]), (0, &notes.len().into()));
    assert!(whole["missed"].as_u64() > Some(0));
    // One that we recorded says itself what it was to be: here all of the song.
    let ours = file_of(&folder, &take, false);
    assert!(call(&["score", BALLAD, &ours, "--json"]).json()["missed"].as_u64() > Some(0));
}

#[test]
fn an_octave_is_offered_for_a_take_from_elsewhere() {
    let mut notes = part_notes(&[], |e| e["bar"].as_i64().unwrap() < 12);
    notes.iter_mut().for_each(|n| n.key = MidiKey::new(n.key.number() + 12).unwrap());
    let folder = tempfile::tempdir().unwrap();
    let path = file_of(&folder, &Take::new(notes.clone(), Speed::FULL, Hands::Both, None), true);
    let said = call(&["score", BALLAD, &path]).done();
    assert!(said.contains("The take lies an octave too high: --octaves -1 scores it"), "{said}");
    assert_eq!(call(&["score", BALLAD, &path, "--json"]).json()["octave_offer"], -1);
    let right = call(&["score", BALLAD, &path, "--octaves", "-1", "--json"]).json();
    assert_eq!((&right["matched"], &right["octave_offer"]), (&notes.len().into(), &Value::Null));
}

/// At 72 a beat lasts 833.3 ms.
#[test]
fn right_keys_half_a_beat_late_are_told_as_such() {
    let mut notes = part_notes(&[], |_| true);
    notes.iter_mut().for_each(|n| n.at = n.at + ChartTime::from_ms(2500.0 / 6.0));
    let folder = tempfile::tempdir().unwrap();
    let path = file_of(&folder, &Take::new(notes, Speed::FULL, Hands::Both, None), false);
    let said = call(&["score", BALLAD, &path]).done();
    assert!(said.contains("Time: the right keys, steadily half a beat late.\n"), "{said}");
    let shift = call(&["score", BALLAD, &path, "--json"]).json()["steady_shift_ms"].as_f64().unwrap();
    assert!((shift - 2500.0 / 6.0).abs() < 0.05, "{shift}");
}

#[test]
fn a_take_of_ours_is_scored_in_the_key_it_was_played_in() {
    let notes = part_notes(&["--key", "Eb major"], |e| e["bar"].as_i64().unwrap() < 8);
    let key = Some("Eb major".parse().unwrap());
    let take = Take { key, ..Take::new(notes.clone(), Speed::FULL, Hands::Both, Some(LoopBars::new(0, 7))) };
    let folder = tempfile::tempdir().unwrap();
    let path = file_of(&folder, &take, false);
    let score = call(&["score", BALLAD, &path, "--json"]).json();
    assert_eq!((&score["matched"], &score["missed"]), (&notes.len().into(), &0.into()));
    let asked = call(&["score", BALLAD, &path, "--key", "D major", "--json"]).json();
    assert!(asked["missed"].as_u64() > Some(0), "a key that is asked for is kept to");
}

/// The ballad asks for pedal; a foot that goes down once and stays down blurs every change.
#[test]
fn the_pedal_is_told_bar_by_bar_when_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let song = std::fs::read_to_string(crate::program::top().join(BALLAD)).unwrap();
    let song = song.replacen('{', "{ \"pedal\": true,", 1);
    let with_pedal = folder.path().join("song.json").display().to_string();
    std::fs::write(&with_pedal, song).unwrap();
    let notes = part_notes(&[], |e| e["bar"].as_i64().unwrap() < 4);
    let foot = |ms: f64, value| practice::ControlChange { at: ChartTime::from_ms(ms), controller: 64, value };
    let take = Take::new(notes, Speed::FULL, Hands::Both, Some(LoopBars::new(0, 3)));
    let path = file_of(&folder, &take.with_controls(vec![foot(300.0, 127)]), false);
    let said = call(&["score", &with_pedal, &path, "--pedal"]).done();
    assert!(said.contains("\nPedal\n"), "{said}");
    assert!(said.contains("pedal blurred: held through the change"), "{said}");
    let json = call(&["score", &with_pedal, &path, "--pedal", "--json"]).json();
    assert_eq!(json["pedal"][0]["text"], "pedal blurred: held through the change");
    assert!(call(&["score", &with_pedal, &path, "--json"]).json().get("pedal").is_none());
    let unasked = call(&["score", BALLAD, &path, "--pedal"]).done();
    assert!(unasked.contains("Pedal: the song asks for none."), "{unasked}");
    assert_eq!(call(&["score", &path, &path, "--pedal"]).code, Some(2), "notes alone have no chords");
}

fn note(event: &Value) -> PlayedNote {
    PlayedNote {
        at: ChartTime::from_ms(event["start_ms"].as_f64().unwrap()),
        length: Some(ChartTime::from_ms(300.0)),
        key: MidiKey::new(event["midi"].as_u64().unwrap() as u8).unwrap(),
        velocity: 80,
    }
}
