//! Modes, pentatonic scales, blues and broken chords against the reference.

use crate::reference::{names, number, rows, text, written};
use serde_json::Value;
use theory::{Arpeggio, Hand, Key, Mode, Scale, ScaleKind};

fn reference(list: &str) -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../../../tests/reference/modes.json")).unwrap();
    all[list].as_array().unwrap().clone()
}

#[test]
fn scales_are_spelled_as_in_the_reference() {
    let rows = reference("scales");
    assert_eq!(rows.len(), 15 * 8);
    let mut sharp_fourths = 0;
    for row in rows {
        let scale: Scale = text(&row, "scale").parse().unwrap();
        assert_eq!(i64::from(scale.signature()), number(&row, "signature"), "{row}");
        assert_eq!(scale.to_string(), text(&row, "scale"));
        let mut notes = names(&row, "notes");
        // A choice of this program: no double flat in blues, but a sharp fourth.
        for note in &mut notes {
            let plain = match note.as_str() {
                "Ebb" => "D",
                "Bbb" => "A",
                _ => continue,
            };
            *note = plain.into();
            sharp_fourths += 1;
        }
        assert_eq!(written(scale.notes()), notes, "{row}");
    }
    assert_eq!(sharp_fourths, 2, "Eb and Ab blues");
}

#[test]
fn a_mode_has_the_notes_of_its_major_scale() {
    for (kind, degree) in [
        (ScaleKind::Dorian, 1),
        (ScaleKind::Phrygian, 2),
        (ScaleKind::Lydian, 3),
        (ScaleKind::Mixolydian, 4),
        (ScaleKind::NaturalMinor, 5),
        (ScaleKind::Locrian, 6),
    ] {
        for major in Key::all().filter(|key| key.mode() == Mode::Major) {
            let mut notes = major.scale().to_vec();
            notes.rotate_left(degree);
            let mode = Scale::on(notes[0], kind).unwrap();
            assert_eq!(mode.notes(), notes, "{mode}");
            assert_eq!(mode.signature(), major.signature());
        }
    }
}

#[test]
fn chords_are_broken_into_the_notes_of_the_reference() {
    let rows = reference("chords");
    assert_eq!(rows.len(), 21 * 9);
    for row in rows {
        let arpeggio: Arpeggio = text(&row, "chord").parse().unwrap();
        assert_eq!(written(arpeggio.notes()), names(&row, "notes"), "{row}");
        assert_eq!(arpeggio.to_string(), text(&row, "chord"));
        assert_eq!(arpeggio.name().parse(), Ok(arpeggio), "the short form reads back");
        for inversion in 0..arpeggio.kind().size() as u8 {
            let inverted = arpeggio.inverted(inversion).unwrap();
            let mut turned = names(&row, "notes");
            turned.rotate_left(usize::from(inversion));
            assert_eq!(written(inverted.notes()), turned, "{inverted}");
            let pitches = inverted.pitches_up(3, 2);
            assert_eq!(pitches.len(), 2 * turned.len() + 1);
            assert!(pitches.windows(2).all(|pair| pair[0].semitones() < pair[1].semitones()));
            assert_eq!(pitches[2 * turned.len()].semitones() - pitches[0].semitones(), 24);
        }
        assert_eq!(arpeggio.inverted(arpeggio.kind().size() as u8), None);
    }
}

/// The fingers of triads from the root, from memory of teachers' manuals, beside Hanon, The Virtuoso Pianist, no. 41.
#[test]
fn arpeggios_have_the_fingers_of_the_tables() {
    for (chord, right, left) in [
        ("C major", "1231235", "5421421"),
        ("G major", "1231235", "5421421"),
        ("D major", "1231235", "5321321"),
        ("A major", "1231235", "5321321"),
        ("E major", "1231235", "5321321"),
        ("B major", "1231235", "5321321"),
        ("F# major", "1231235", "5321321"),
        ("Db major", "2124124", "2142142"),
        ("Ab major", "2124124", "2142142"),
        ("Eb major", "2124124", "2142142"),
        ("Bb major", "2124124", "3213213"),
        ("F major", "1231235", "5421421"),
        ("A minor", "1231235", "5421421"),
        ("B minor", "1231235", "5421421"),
        ("F# minor", "2124124", "2142142"),
        ("C# minor", "2124124", "2142142"),
        ("G# minor", "2124124", "2142142"),
        ("Eb minor", "1231235", "5421421"),
        ("Bb minor", "2312312", "3213213"),
        ("C minor", "1231235", "5421421"),
        ("G7", "123412345", "543214321"),
        ("Bdim7", "123412345", "543214321"),
    ] {
        let arpeggio: Arpeggio = chord.parse().unwrap();
        for (hand, expected) in [(Hand::Right, right), (Hand::Left, left)] {
            let fingers = arpeggio.fingers(hand, 2).unwrap();
            let found: String = fingers.up.iter().map(|f| f.to_string()).collect();
            assert_eq!(found, expected, "{chord} {}", hand.name());
            assert!(fingers.source.is_published(), "{chord}");
        }
    }
}

/// Common practice: fingers lie as the keys do, no thumb on a black key where there is a white one, and each octave is
/// fingered as the one before.
#[test]
fn every_arpeggio_is_playable_in_every_key() {
    for row in reference("chords") {
        let chord: Arpeggio = text(&row, "chord").parse().unwrap();
        for arpeggio in (0..4).filter_map(|n| chord.inverted(n)) {
            let black: Vec<bool> =
                arpeggio.pitches_up(2, 4).iter().map(|p| p.key().unwrap().is_black()).collect();
            for hand in Hand::BOTH {
                let fingers = arpeggio.fingers(hand, 4).unwrap();
                let up: Vec<u8> = fingers.up.iter().map(|f| f.number()).collect();
                assert_eq!(up.len(), black.len());
                let all_black = black.iter().all(|b| *b);
                let thumb_on_black = up.iter().zip(&black).any(|(f, b)| *f == 1 && *b);
                assert!(all_black || !thumb_on_black, "{arpeggio} {} {up:?}", hand.name());
                assert!(up.windows(2).all(|pair| pair[0] != pair[1]), "{arpeggio} {up:?}");
                let size = arpeggio.kind().size();
                assert_eq!(up[1..size], up[size + 1..2 * size], "{arpeggio}");
                // One thumb an octave: four times it goes under or over each way, or three where a run begins on it.
                for count in [fingers.crossings_up.len(), fingers.crossings_down.len()] {
                    assert!((3..=4).contains(&count), "{arpeggio} {} {up:?}", hand.name());
                }
            }
        }
    }
}

#[test]
fn what_is_not_published_says_so() {
    let source = |scale: &str| scale.parse::<Scale>().unwrap().fingers(Hand::Right, 1).unwrap().source;
    assert!(source("D major").text().contains("Hanon"));
    assert!(source("D melodic minor").is_published());
    for by_rule in ["D dorian", "C blues", "Gb major pentatonic"] {
        assert!(!source(by_rule).is_published(), "{by_rule}");
    }
    let inverted = "D major".parse::<Arpeggio>().unwrap().inverted(1).unwrap();
    assert!(!inverted.fingers(Hand::Left, 1).unwrap().source.is_published());
}

#[test]
fn arpeggios_are_read_in_words_and_in_the_form_of_the_trade() {
    for (text, name) in [
        ("d minor", "Dm"),
        ("D", "D"),
        ("Bb", "Bb"),
        ("bb major", "Bb"),
        ("b minor", "Bm"),
        ("F#m7b5", "F#m7b5"),
        ("Cø", "Cm7b5"),
        ("C M7", "Cmaj7"),
        ("A♭ Diminished Seventh", "Abdim7"),
    ] {
        assert_eq!(text.parse::<Arpeggio>().map(|a| a.name()), Ok(name.to_owned()), "{text}");
    }
    for wrong in ["", "H major", "C##", "C9", "C majr", "é"] {
        assert!(wrong.parse::<Arpeggio>().is_err(), "{wrong}");
    }
}

#[test]
fn seventh_chords_of_a_key_are_those_of_the_reference() {
    let mut checked = 0;
    for row in rows(include_str!("../../../tests/reference/chords.json")) {
        if text(&row, "src") == "diatonic_seventh" {
            let scale: Scale = format!("{} {}", text(&row, "key"), text(&row, "mode")).parse().unwrap();
            let chord = scale.seventh_chords().swap_remove(number(&row, "degree") as usize - 1);
            assert_eq!(written(chord.names()), names(&row, "names"), "{row}");
            checked += 1;
        }
    }
    assert!(checked >= 7, "{checked}");
    let named = |scale: &str| -> String {
        let scale: Scale = scale.parse().unwrap();
        scale.seventh_chords().iter().map(|chord| chord.name()).collect::<Vec<_>>().join(" ")
    };
    // Theory textbooks.
    assert_eq!(named("A harmonic minor"), "Am(maj7) Bm7b5 Cmaj7#5 Dm7 E7 Fmaj7 G#dim7");
    assert_eq!(named("G mixolydian"), "G7 Am7 Bm7b5 Cmaj7 Dm7 Em7 Fmaj7");
}
