//! The command line, called as a player calls it.

use crate::program::{call, overhand, reference, top};
use serde_json::Value;
use std::io::Read;
use std::process::Stdio;

const BALLAD: &str = "demo-songs/lanterns-at-the-lock.json";

fn demo_songs() -> Vec<String> {
    let songs = std::fs::read_dir(top().join("demo-songs")).unwrap().map(|entry| entry.unwrap().path());
    let songs = songs.filter(|path| path.extension().is_some_and(|ending| ending == "json"));
    songs.map(|path| path.display().to_string()).collect()
}

fn numbers(value: &Value) -> Vec<i64> {
    value.as_array().unwrap().iter().map(|number| number.as_i64().unwrap()).collect()
}

fn names(value: &Value) -> Vec<&str> {
    value.as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect()
}

#[test]
fn demo_songs_have_no_mistakes() {
    let songs = demo_songs();
    assert_eq!(songs.len(), 5);
    let call = call(&[&["check"], &songs.iter().map(String::as_str).collect::<Vec<_>>()[..]].concat());
    assert_eq!(call.code, Some(0), "{}", call.out);
}

#[test]
fn a_mistake_is_told_with_its_place_on_standard_output() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("song.json");
    // Three beats of dots in a bar of four: the example of the song format.
    let song = std::fs::read_to_string(top().join(BALLAD)).unwrap().replace("4... 5.", "4.. 5.");
    std::fs::write(&path, &song).unwrap();
    let line = song.lines().position(|line| line.contains("4.. 5.")).unwrap() + 1;
    let path = path.display().to_string();
    let said = call(&["check", &path]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains(&format!("{path}:{line}:")), "{}", said.out);
    assert!(said.out.contains("4 beats"), "{}", said.out);
    let json: Value = serde_json::from_str(&call(&["check", "--json", &path]).out).unwrap();
    assert_eq!(json["files"][0]["ok"], false);
    assert_eq!(json["files"][0]["mistakes"][0]["line"], line);
    let part = call(&["part", &path]);
    assert_eq!((part.code, part.out.as_str()), (Some(1), ""), "mistakes of the other calls are messages");
    assert!(part.err.contains("4 beats"), "{}", part.err);
}

#[test]
fn a_midi_file_is_no_song_and_is_not_called_a_broken_one() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("take.mid");
    std::fs::write(&path, b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x04\0\xff\x2f\0").unwrap();
    let said = call(&["check", &path.display().to_string()]);
    assert_eq!((said.code, said.out.as_str()), (Some(1), ""));
    assert!(said.err.contains("this is a MIDI file") && said.err.contains("overhand import"), "{}", said.err);
}

#[test]
fn a_call_that_means_nothing_ends_with_2_and_a_file_that_is_not_there_with_1() {
    for wrong in
        [&["part"][..], &["scale", "H major"], &["part", BALLAD, "--reach", "99"], &["chords", "D sideways"]]
    {
        let said = call(wrong);
        assert_eq!(said.code, Some(2), "{wrong:?}: {}", said.err);
        assert!(said.out.is_empty() && !said.err.is_empty());
    }
    assert_eq!(call(&["part", BALLAD, "--key", "B minor"]).code, Some(2), "a song stays in its mode");
    assert_eq!(call(&["part", "nowhere.json"]).code, Some(1));
    assert_eq!(call(&["score", BALLAD, BALLAD]).code, Some(1), "a song is no take");
}

#[test]
fn without_a_display_the_window_says_so() {
    let said = call(&[]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("no display"), "{}", said.err);
}

#[test]
fn a_reader_that_has_seen_enough_is_no_failure() {
    let mut child = overhand()
        .args(["part", BALLAD, "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0; 1];
    child.stdout.take().unwrap().read_exact(&mut first).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(!String::from_utf8_lossy(&output.stderr).contains("panic"));
}

/// The fields are those of the command-line contract; the numbers are checked by hand against the chart: a bar of three
/// quarters at 72 lasts 2500 ms.
#[test]
fn the_part_of_the_ballad_begins_as_its_chart_says() {
    let part = call(&["part", BALLAD, "--json"]).json();
    assert_eq!(
        (&part["title"], &part["key"], &part["reach"]),
        (&"Lanterns at the Lock".into(), &"D major".into(), &12.into())
    );
    assert_eq!(part["keys"], "A0-C8");
    let (first, second) = (&part["bars"][0], &part["bars"][1]);
    assert_eq!(
        (&first["section"], &first["meter"], &first["pass"]),
        (&"Intro".into(), &"3/4".into(), &1.into())
    );
    assert_eq!(
        (first["tempo"].as_f64(), first["beat"].as_f64(), first["length"].as_f64()),
        (Some(72.0), Some(1.0), Some(3.0))
    );
    assert_eq!((second["bar"].as_i64(), second["start"].as_f64()), (Some(1), Some(3.0)));
    assert!((second["start_ms"].as_f64().unwrap() - 2500.0).abs() < 1e-6);
    let chords = first["chords"].as_array().unwrap();
    let symbols: Vec<_> =
        chords.iter().map(|c| (c["symbol"].as_str().unwrap(), c["name"].as_str().unwrap())).collect();
    assert_eq!(symbols, [("1", "D"), ("5", "A")]);
    assert_eq!(
        names(&chords[0]["left"]["notes"]),
        ["D3", "A3"],
        "root and fifth, lowest note between E2 and G3"
    );
    assert_eq!(chords[0]["right"]["notes"].as_array().unwrap().len(), 2);
    assert!(!chords[0]["why"].as_array().unwrap().is_empty());
}

/// `symbol` is the chord as written: a player who writes `-`, `°` or `+` reads it back.
#[test]
fn chords_keep_the_spelling_that_the_chart_gives_them() {
    let symbols = |song: &str| -> Vec<String> {
        let part = call(&["part", song, "--json"]).json();
        let chords =
            part["bars"].as_array().unwrap().iter().flat_map(|bar| bar["chords"].as_array().unwrap());
        chords.map(|chord| chord["symbol"].as_str().unwrap().to_owned()).collect()
    };
    let minor = symbols("demo-songs/frost-on-the-sluice.json");
    for written in ["4-(6)", "2°", "5+", "1m(9)", "5aug(7)", "N"] {
        assert!(minor.iter().any(|symbol| symbol == written), "{written} in {minor:?}");
    }
}

#[test]
fn events_come_in_order_and_hands_can_be_taken_apart() {
    for song in demo_songs() {
        let part = call(&["part", &song, "--json"]).json();
        let events = part["events"].as_array().unwrap();
        let order = |e: &Value| (e["start"].as_f64().unwrap(), e["midi"].as_i64().unwrap());
        assert!(events.windows(2).all(|pair| order(&pair[0]) <= order(&pair[1])), "{song}");
        let mut apart = 0;
        for hand in ["left", "right"] {
            let one = call(&["part", &song, "--json", "--hand", hand]).json();
            let one = one["events"].as_array().unwrap();
            assert!(one.iter().all(|event| event["hand"] == hand), "{song}");
            apart += one.len();
        }
        assert_eq!(apart, events.len(), "{song}");
    }
}

#[test]
fn a_song_in_another_key_moves_every_key_alike() {
    let keys = |part: &Value| -> Vec<i64> {
        part["events"].as_array().unwrap().iter().map(|e| e["midi"].as_i64().unwrap()).collect()
    };
    let written = call(&["part", BALLAD, "--json"]).json();
    let higher = call(&["part", BALLAD, "--json", "--key", "Eb major"]).json();
    assert_eq!(higher["bars"][0]["chords"][0]["name"], "Eb");
    let moved: Vec<i64> = keys(&written).into_iter().map(|key| key + 1).collect();
    assert_eq!(keys(&higher), moved);
}

#[test]
fn a_small_reach_and_a_short_keyboard_are_kept_to() {
    let part = call(&["part", BALLAD, "--json", "--reach", "9", "--keys", "C3-C6"]).json();
    for bar in part["bars"].as_array().unwrap() {
        for chord in bar["chords"].as_array().unwrap() {
            let right = numbers(&chord["right"]["midi"]);
            assert!(right.iter().all(|key| (48..=84).contains(key)), "{chord}");
            assert!(
                right.last().unwrap_or(&0) - right.first().unwrap_or(&0) <= 9
                    || chord["right"]["rolled"] == true
            );
        }
    }
}

#[test]
fn the_text_of_a_part_names_notes_fingers_and_repeats() {
    let text = call(&["part", BALLAD]).done();
    assert!(text.starts_with("Lanterns at the Lock\nD major, 72 beats a minute in 4/4"), "{text}");
    assert!(text.contains("D3 A3"));
    assert!(text.contains(": as bars "), "what comes back is named, not printed again");
    assert!(text.lines().all(|line| line.chars().count() <= 100));
}

/// What the player and the band bring: the waltz in the test songs writes only its chart and its level.
#[test]
fn level_reach_keyboard_and_bass_player_are_options() {
    let waltz = "crates/voicing/tests/songs/mill-wheel.json";
    let first = |options: &[&str]| {
        let part = call(&[&["part", waltz, "--json"], options].concat()).json();
        part["bars"][0]["chords"][0].clone()
    };
    let keys = |chord: &Value, hand: &str| numbers(&chord[hand]["midi"]);
    assert_eq!(keys(&first(&["--level", "1"]), "left").len(), 1);
    assert_eq!(keys(&first(&["--level", "5"]), "right").len(), 4);
    let left = keys(&first(&["--left-reach", "9"]), "left");
    assert!(left.last().unwrap() - left[0] <= 9, "{left:?}");
    let beside_bass = keys(&first(&["--bass", "--left-floor", "C3", "--keys", "61"]), "left");
    assert!(beside_bass.iter().all(|key| *key >= 48 && key % 12 != 7), "the bass has G: {beside_bass:?}");
    assert_eq!(call(&["part", waltz, "--level", "6"]).code, Some(2));
    assert_eq!(call(&["part", waltz, "--keys", "60"]).code, Some(2));
}

#[test]
fn how_else_a_chord_could_be_held_is_told_with_its_cost_and_why_it_lost() {
    let others = call(&["part", BALLAD, "--alternatives", "2", "--json"]).json();
    let right = others["right"].as_array().unwrap();
    assert!(right.len() >= 3, "{others}");
    let costs: Vec<i64> = right.iter().map(|other| other["costs_more"].as_i64().unwrap()).collect();
    assert!(costs.is_sorted() && costs[0] > 0, "{costs:?}");
    assert!(right.iter().all(|other| other["pin"]["near"].is_string() && other["why"] != ""));
    // The right hand's fingers rise from the thumb, one for each note.
    let fingers = right.iter().map(|other| (numbers(&other["fingers"]), numbers(&other["midi"])));
    assert!(fingers.into_iter().all(|(fingers, midi)| fingers.len() == midi.len() && fingers.is_sorted()));
    let text = call(&["part", BALLAD, "--alternatives", "1.2", "--hand", "right"]).done();
    assert!(text.contains("instead of") && !text.contains("left"), "{text}");
    assert_eq!(call(&["part", BALLAD, "--alternatives", "999"]).code, Some(2));
}

/// The example of the command-line contract; all scales are held against handbooks in the theory crate.
#[test]
fn scales_are_fingered_as_handbooks_have_them() {
    let scale = call(&["scale", "D", "major", "--json"]).json();
    assert_eq!(names(&scale["notes"]), ["D", "E", "F#", "G", "A", "B", "C#"]);
    assert_eq!(scale["accidentals"], 2);
    assert_eq!(numbers(&scale["right"]["up"]), [1, 2, 3, 1, 2, 3, 4, 5]);
    let crossing = &scale["right"]["crossings_up"][0];
    assert_eq!((&crossing["from"], &crossing["to"]), (&2.into(), &3.into()));
    assert_eq!((&crossing["kind"], &crossing["finger"]), (&"thumb under".into(), &3.into()));
    assert_eq!(numbers(&scale["left"]["up"]), [5, 4, 3, 2, 1, 3, 2, 1]);
    let crossing = &scale["left"]["crossings_up"][0];
    assert_eq!((&crossing["from"], &crossing["to"]), (&4.into(), &5.into()));
    assert_eq!((&crossing["kind"], &crossing["finger"]), (&"finger over".into(), &3.into()));
    assert_eq!(
        call(&["scale", "Bb minor", "--octaves", "3", "--json"]).json()["right"]["up"]
            .as_array()
            .unwrap()
            .len(),
        22
    );
    let melodic = call(&["scale", "D melodic minor", "--json"]).json();
    assert_eq!(names(&melodic["notes_down"]), ["D", "C", "Bb", "A", "G", "F", "E"]);
}

#[test]
fn scales_are_those_of_the_reference() {
    let rows: Value = serde_json::from_slice(&std::fs::read(reference("scales.json")).unwrap()).unwrap();
    for row in rows.as_array().unwrap() {
        let key = format!("{} {}", row["key"].as_str().unwrap(), row["mode"].as_str().unwrap());
        let scale = call(&["scale", &key, "--json"]).json();
        assert_eq!(scale["key"], key);
        assert_eq!(scale["notes"], row["scale"], "{key}");
        assert_eq!(scale["accidentals"], row["key_signature"], "{key}");
    }
    assert!(!rows.as_array().unwrap().is_empty());
}

/// Spelled as in the reference; other names and small letters are read too.
#[test]
fn modes_pentatonic_scales_and_blues_are_those_of_the_reference() {
    let all: Value = serde_json::from_slice(&std::fs::read(reference("modes.json")).unwrap()).unwrap();
    let rows = all["scales"].as_array().unwrap();
    for row in rows.iter().filter(|row| row["signature"].as_i64().unwrap().abs() == 2) {
        let name = row["scale"].as_str().unwrap();
        let scale = call(&["scale", name, "--json"]).json();
        assert_eq!((&scale["key"], &scale["notes"]), (&row["scale"], &row["notes"]), "{name}");
        assert_eq!(scale["accidentals"], row["signature"], "{name}");
        assert_eq!(scale["right"]["published"], false, "{name}");
    }
    for (written, read) in [("d minor", "D minor"), ("bb Major", "Bb major"), ("c aeolian", "C minor")] {
        assert_eq!(call(&["scale", written, "--json"]).json()["key"], read);
    }
    assert_eq!(call(&["chords", "d minor", "--json"]).json()["key"], "D minor");
    let harmonic = call(&["chords", "A harmonic minor", "--json"]).json();
    let named: Vec<&str> =
        harmonic["chords"].as_array().unwrap().iter().map(|chord| chord["name"].as_str().unwrap()).collect();
    // The triads of the harmonic minor scale: any theory textbook.
    assert_eq!(named, ["Am", "Bdim", "Caug", "Dm", "E", "F", "G#dim"]);
}

/// Hanon, The Virtuoso Pianist, no. 41, from memory; the notes from the reference.
#[test]
fn arpeggios_are_fingered_as_handbooks_have_them() {
    let arpeggio = call(&["arpeggio", "D", "major", "--octaves", "2", "--json"]).json();
    assert_eq!((&arpeggio["chord"], &arpeggio["name"]), (&"D major".into(), &"D".into()));
    assert_eq!(names(&arpeggio["notes"]), ["D", "F#", "A"]);
    assert_eq!(numbers(&arpeggio["right"]["up"]), [1, 2, 3, 1, 2, 3, 5]);
    assert_eq!(numbers(&arpeggio["left"]["up"]), [5, 3, 2, 1, 3, 2, 1]);
    let crossing = &arpeggio["right"]["crossings_up"][0];
    assert_eq!((&crossing["from"], &crossing["kind"]), (&2.into(), &"thumb under".into()));
    let inverted = call(&["arpeggio", "Eb7", "--inversion", "3", "--hand", "left", "--json"]).json();
    assert_eq!(names(&inverted["notes"]), ["Db", "Eb", "G", "Bb"]);
    assert!(inverted.get("right").is_none() && inverted["left"]["published"] == false);
    let text = call(&["arpeggio", "c#m"]).done();
    assert!(text.starts_with("C# minor\n\n  notes  C#  E  G#  C#\n  right  2   1  2   4\n"), "{text}");
    assert!(text.contains("Fingers: Hanon, The Virtuoso Pianist, no. 41"), "{text}");
    for wrong in [&["arpeggio", "H"][..], &["arpeggio", "D major", "--inversion", "3"], &["arpeggio", "D13"]]
    {
        assert_eq!(call(wrong).code, Some(2), "{wrong:?}");
    }
}

#[test]
fn contrary_motion_sends_the_hands_apart() {
    let text = call(&["scale", "C major", "--contrary"]).done();
    let rows: Vec<&str> = text.lines().skip(2).take(4).map(str::trim_end).collect();
    // Both thumbs on C, then 2 3 1 2 3 4 5 outwards in either hand (Hanon, no. 39).
    assert!(rows[0].starts_with("  right  C  D  E  F  G  A  B  C  B"), "{text}");
    assert!(rows[1].trim_start().starts_with("1  2  3  1  2  3  4  5  4"), "{text}");
    assert!(rows[2].starts_with("  left   C  B  A  G  F  E  D  C  D"), "{text}");
    assert!(rows[3].trim_start().starts_with("1  2  3  1  2  3  4  5  4"), "{text}");
    let json = call(&["scale", "A melodic minor", "--contrary", "--json"]).json();
    let left: Vec<&str> =
        json["contrary"]["left"].as_array().unwrap().iter().map(|n| n["note"].as_str().unwrap()).collect();
    // Down as natural minor, up again with the raised sixth and seventh.
    assert_eq!(left.join(" "), "A G F E D C B A B C D E F# G# A");
}

/// A song's chords in the order in which it first uses them, and their inversions with handbook fingers.
#[test]
fn the_chords_of_a_song_in_its_order() {
    let song = call(&["chords", "--song", BALLAD, "--inversions", "--json"]).json();
    assert_eq!((&song["song"], &song["key"]), (&"Lanterns at the Lock".into(), &"D major".into()));
    let chords = song["chords"].as_array().unwrap();
    let part = call(&["part", BALLAD, "--json"]).json();
    let first = &part["bars"][0]["chords"][0];
    assert_eq!(chords[0]["name"], first["name"]);
    let mut symbols: Vec<&str> = chords.iter().map(|chord| chord["name"].as_str().unwrap()).collect();
    let count = symbols.len();
    symbols.sort_unstable();
    symbols.dedup();
    assert_eq!(symbols.len(), count, "each chord comes once");
    // Teachers' handbooks: first inversion, right 1-2-5, left 5-3-1.
    let inversion = &chords[0]["inversions"][1];
    assert_eq!((numbers(&inversion["right"]), numbers(&inversion["left"])), (vec![1, 2, 5], vec![5, 3, 1]));
    let sevenths = call(&["chords", "C major", "--sevenths", "--json"]).json();
    let named: Vec<&str> =
        sevenths["chords"].as_array().unwrap().iter().map(|chord| chord["name"].as_str().unwrap()).collect();
    // Any theory textbook.
    assert_eq!(named, ["Cmaj7", "Dm7", "Em7", "Fmaj7", "G7", "Am7", "Bm7b5"]);
}

/// The example of the command-line contract, and the triads of a major key (any theory textbook).
#[test]
fn the_chords_of_a_key() {
    let chords = call(&["chords", "D major", "--json"]).json();
    assert_eq!(chords["key"], "D major");
    let chords = chords["chords"].as_array().unwrap();
    let named: Vec<&str> = chords.iter().map(|chord| chord["name"].as_str().unwrap()).collect();
    assert_eq!(named, ["D", "Em", "F#m", "G", "A", "Bm", "C#dim"]);
    assert_eq!(chords[0]["quality"], "major");
    assert_eq!(names(&chords[6]["notes"]), ["C#", "E", "G"]);
}

#[test]
fn devices_are_listed_whatever_there_is() {
    let found = call(&["devices", "--json"]).json();
    assert!(["midi_inputs", "sound_outputs", "banks"].iter().all(|list| found[list].is_array()), "{found}");
    let said = call(&["devices"]);
    assert_eq!((said.code, said.err.as_str()), (Some(0), ""), "no library's chatter");
}
