//! Chords: members, spelling, inversions.

use crate::reference::{key, names, number, numbers, rows, text, written};
use theory::{Chord, Degree, Key, Member, NumberChord, Pitch, Quality};

fn chord(written: &str, in_key: &str) -> Chord {
    Chord::in_key(written.parse().unwrap(), key(in_key))
}

/// The chart's sign for a reference row's quality.
fn sign(quality: &str) -> &'static str {
    match quality {
        "maj" => "M",
        "min" => "m",
        "dim" => "dim",
        "aug" => "aug",
        "sus2" => "sus2",
        "sus4" => "sus4",
        "add9" => "M(add9)",
        "6" => "M(6)",
        "7" => "M(7)",
        "maj7" => "M(maj7)",
        "m7" => "m(7)",
        "m7b5" => "dim(7)",
        "dim7" => "dim(dim7)",
        other => panic!("no sign for {other}"),
    }
}

#[test]
fn chords_are_spelled_as_in_the_reference() {
    for row in rows(include_str!("../../../tests/reference/chords.json")) {
        let in_key = format!("{} {}", text(&row, "key"), text(&row, "mode"));
        let degree = Degree::new(number(&row, "degree") as u8, number(&row, "alter") as i8).unwrap();
        let chord = chord(&format!("{degree}{}", sign(text(&row, "quality"))), &in_key);
        assert_eq!(chord.root().to_string(), text(&row, "root"), "{row}");
        assert_eq!(written(chord.names()), names(&row, "names"), "{row}");
        let sounding: Vec<i64> = chord.names().map(|n| i64::from(n.pitch_class())).collect();
        assert_eq!(sounding, numbers(&row["pcs"]), "{row}");
    }
}

#[test]
fn a_bare_number_is_the_triad_of_the_key_and_a_bare_flat_is_major() {
    let mut checked = 0;
    for row in rows(include_str!("../../../tests/reference/chords.json")) {
        let diatonic = text(&row, "src") == "diatonic_triad";
        if diatonic || (text(&row, "src") == "altered_root" && number(&row, "alter") < 0) {
            let in_key = format!("{} {}", text(&row, "key"), text(&row, "mode"));
            let sign = if diatonic { "" } else { "b" };
            let chord = chord(&format!("{sign}{}", number(&row, "degree")), &in_key);
            assert_eq!(written(chord.names()), names(&row, "names"), "{row}");
            checked += 1;
        }
    }
    assert_eq!(checked, 9 * 7 + 18);
}

#[test]
fn the_left_hand_takes_the_degree_under_the_slash() {
    for row in rows(include_str!("../../../tests/reference/slash.json")) {
        let (upper, lower) = (number(&row, "upper_degree"), number(&row, "lower_degree"));
        let chord = chord(&format!("{upper}/{lower}"), &format!("{} major", text(&row, "key")));
        assert_eq!(written(chord.names()), names(&row, "rh_names"), "{row}");
        assert_eq!(chord.bass.to_string(), text(&row, "lh_bass"), "{row}");
        assert_eq!(i64::from(chord.bass.pitch_class()), number(&row, "lh_bass_pc"), "{row}");
        let in_chord = row["bass_in_rh"].as_bool().unwrap();
        assert_eq!(chord.has_pitch_class(chord.bass.pitch_class()), in_chord, "{row}");
        let named = chord.name();
        assert_eq!(named.contains('/'), upper != lower, "{named}");
    }
}

#[test]
fn inversions_lie_where_the_reference_has_them() {
    let middle_c: Pitch = "C4".parse().unwrap();
    for row in rows(include_str!("../../../tests/reference/inversions.json")) {
        let chord = chord(&number(&row, "degree").to_string(), &format!("{} major", text(&row, "key")));
        let inversion = number(&row, "inversion") as usize;
        let pitches = chord.close_position(inversion, middle_c).unwrap();
        let keys: Vec<i64> = pitches.iter().map(|p| i64::from(p.semitones())).collect();
        let ties = row["tie_midi"].as_array().unwrap().iter().map(numbers);
        assert!(ties.chain([numbers(&row["midi"])]).any(|right| right == keys), "{keys:?} {row}");
        assert_eq!(written(pitches.iter().map(|p| p.name)), names(&row, "names"), "{row}");
        if keys == numbers(&row["midi"]) {
            let notes: Vec<String> = pitches.iter().map(|p| p.to_string()).collect();
            assert_eq!(notes, names(&row, "octave_names"));
        }
    }
}

#[test]
fn a_triad_has_two_inversions_and_a_seventh_chord_three() {
    let near: Pitch = "G4".parse().unwrap();
    for key in Key::all() {
        for (written, positions) in [("1", 3), ("5M(7)", 4)] {
            let chord = Chord::in_key(written.parse().unwrap(), key);
            let inversions = chord.inversions(near);
            assert_eq!(inversions.len(), positions);
            for (tone, pitches) in chord.tones.iter().zip(&inversions) {
                assert_eq!(pitches[0].name, tone.name);
                assert_eq!(pitches.len(), positions);
                let top = pitches[positions - 1].semitones();
                assert!(top - pitches[0].semitones() < 12, "{key} {written}");
            }
            assert_eq!(chord.close_position(positions, near), None);
        }
    }
}

#[test]
fn no_octave_of_a_close_position_is_nearer() {
    let mean = |pitches: &[Pitch]| {
        f64::from(pitches.iter().map(|p| p.semitones()).sum::<i32>()) / pitches.len() as f64
    };
    for near in ["E1", "C3", "G4", "B6"].map(|text| text.parse::<Pitch>().unwrap()) {
        for pitches in key("Eb major").chords().iter().flat_map(|chord| chord.inversions(near)) {
            // An octave is 12 semitones: a mean within 6 of the centre cannot be bettered by moving octaves.
            assert!((mean(&pitches) - f64::from(near.semitones())).abs() <= 6.0, "{pitches:?} near {near}");
        }
    }
}

/// Semitones above the root of every extension on its usual triad (handbook tables, from memory).
#[test]
fn extensions_add_their_members() {
    for (written, tones) in [
        ("1(6)", "1:0 3:4 5:7 6:9"),
        ("5(7)", "1:0 3:4 5:7 7:10"),
        ("2(7)", "1:0 3:3 5:7 7:10"),
        ("7(7)", "1:0 3:3 5:6 7:10"),
        ("1(maj7)", "1:0 3:4 5:7 7:11"),
        ("7(dim7)", "1:0 3:3 5:6 7:9"),
        ("1(dim7)", "1:0 3:3 5:6 7:9"),
        ("5(9)", "1:0 3:4 5:7 7:10 9:14"),
        ("1(maj9)", "1:0 3:4 5:7 7:11 9:14"),
        ("1(add9)", "1:0 3:4 5:7 9:14"),
        ("1(add4)", "1:0 3:4 4:5 5:7"),
        ("5(11)", "1:0 3:4 5:7 7:10 9:14 11:17"),
        ("5(13)", "1:0 3:4 5:7 7:10 9:14 13:21"),
        ("5(7b9)", "1:0 3:4 5:7 7:10 9:13"),
        ("5(7#9)", "1:0 3:4 5:7 7:10 9:15"),
        ("5sus4(7)", "1:0 4:5 5:7 7:10"),
        ("5sus4(11)", "1:0 4:5 5:7 7:10 9:14"),
        ("1sus2(9)", "1:0 2:2 5:7 7:10"),
        ("1no3", "1:0 5:7"),
        ("2(7#9)", "1:0 3:3 5:7 7:10"),
    ] {
        let found: Vec<String> =
            chord(written, "G major").tones.iter().map(|t| format!("{}:{}", t.member, t.semitones)).collect();
        assert_eq!(found.join(" "), tones, "{written}");
    }
}

#[test]
fn spelling_takes_as_many_accidentals_as_it_needs() {
    for (written_chord, in_key, expected) in [
        ("b7dim(dim7)", "Cb major", "Bbb Dbb Fbb Abbb"),
        ("#4M", "C# major", "F## A## C##"),
        ("#4aug", "C# major", "F## A## C###"),
        ("#4dim(dim7)", "Ab major", "D F Ab Cb"),
        ("5M(7)", "E minor", "B D# F# A"),
        ("5M(7)", "G# minor", "D# F## A# C#"),
        ("5", "E minor", "B D F#"),
    ] {
        assert_eq!(written(chord(written_chord, in_key).names()).join(" "), expected);
    }
    let dominant = chord("5M/#7", "E minor");
    assert_eq!((dominant.name().as_str(), dominant.bass.to_string().as_str()), ("B/D#", "D#"));
}

/// Common practice: the letters of a chord's members are as many steps apart as their numbers say.
#[test]
fn every_member_stands_on_the_letter_of_its_number() {
    for key in Key::all() {
        for (degree, quality) in Degree::all().iter().flat_map(|d| Quality::ALL.map(|q| (*d, q))) {
            for extension in theory::Extension::ALL {
                let written = NumberChord {
                    quality: Some(quality),
                    extension: Some(extension),
                    ..NumberChord::from(degree)
                };
                let chord = Chord::in_key(written, key);
                for tone in &chord.tones {
                    let steps = i32::from(tone.member.number()) - 1;
                    let letter = theory::Letter::at(chord.root().letter.index() + steps);
                    assert_eq!(tone.name.letter, letter, "{written} in {key}");
                    let sounding = (chord.root().pitch_class() + tone.semitones) % 12;
                    assert_eq!(tone.name.pitch_class(), sounding, "{written} in {key}");
                }
                let mut pitch_classes: Vec<u8> = chord.names().map(|n| n.pitch_class()).collect();
                pitch_classes.sort_unstable();
                pitch_classes.dedup();
                assert_eq!(pitch_classes.len(), chord.tones.len(), "{written} in {key}");
            }
        }
    }
}

#[test]
fn the_scale_under_a_chord_has_its_altered_notes() {
    let under_dominant = written(chord("5M", "E minor").scale());
    assert_eq!(under_dominant.join(" "), "E F# G A B C D#");
    for key in Key::all() {
        for chord in key.chords() {
            assert_eq!(chord.scale(), key.scale());
        }
    }
}

#[test]
fn a_suspended_chord_has_no_third() {
    let suspended = chord("5sus4", "D major");
    assert_eq!(suspended.member(Member::THIRD), None);
    assert_eq!(suspended.member(Member::FOURTH).unwrap().name.to_string(), "D");
}
