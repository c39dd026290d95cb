//! Keys: signatures, spelling, transposition.

use crate::reference::{key, names, number, rows, text, written};
use proptest::prelude::*;
use std::collections::HashSet;
use theory::{Degree, Key, Letter, Mode, NoteName, Scale, ScaleKind};

/// The fifteen signatures of each mode, from seven flats to seven sharps (the circle of fifths, handbook table, from
/// memory).
const MAJOR: &str = "Cb Gb Db Ab Eb Bb F C G D A E B F# C#";
const MINOR: &str = "Ab Eb Bb F C G D A E B F# C# G# D# A#";

/// The order in which sharps are added to a signature; flats come in the reverse order (handbook, from memory).
const SHARPS: &str = "FCGDAEB";

#[test]
fn scales_and_signatures_are_those_of_the_reference() {
    for row in rows(include_str!("../../../tests/reference/scales.json")) {
        let key = key(&format!("{} {}", text(&row, "key"), text(&row, "mode")));
        assert_eq!(written(key.scale()), names(&row, "scale"), "{key}");
        assert_eq!(i64::from(key.signature()), number(&row, "key_signature"), "{key}");
        let sounding: Vec<i64> = key.scale().iter().map(|n| i64::from(n.pitch_class())).collect();
        assert_eq!(sounding, crate::reference::numbers(&row["scale_pcs"]), "{key}");
    }
}

#[test]
fn there_are_fifteen_major_and_fifteen_minor_keys() {
    let of = |mode: Mode| -> Vec<String> {
        Key::all().filter(|k| k.mode() == mode).map(|k| k.tonic().to_string()).collect()
    };
    assert_eq!(of(Mode::Major).join(" "), MAJOR);
    assert_eq!(of(Mode::Minor).join(" "), MINOR);
}

#[test]
fn the_signature_gives_every_scale_its_accidentals() {
    for key in Key::all() {
        let count = usize::from(key.signature().unsigned_abs());
        let altered: HashSet<char> = if key.signature() < 0 {
            SHARPS.chars().rev().take(count).collect()
        } else {
            SHARPS.chars().take(count).collect()
        };
        for name in key.scale() {
            let letter = format!("{:?}", name.letter).chars().next().unwrap();
            let expected = if altered.contains(&letter) { key.signature().signum() } else { 0 };
            assert_eq!(name.alter, expected, "{name} in {key}");
        }
    }
}

#[test]
fn every_scale_uses_a_letter_once() {
    for scale in Scale::all() {
        for notes in [scale.notes(), scale.notes_down()] {
            let letters: HashSet<Letter> = notes.iter().map(|n| n.letter).collect();
            // Blues has two notes on one letter: the flat and the perfect fifth, or the fourth and the sharp one.
            let blues = usize::from(scale.kind() == ScaleKind::Blues);
            assert_eq!(letters.len() + blues, scale.kind().formula().len(), "{scale}");
            assert_eq!(notes.len(), letters.len() + blues);
        }
    }
    assert_eq!(Scale::all().count(), 15 * 12);
}

/// Semitones from note to note of each kind (handbook tables, from memory).
#[test]
fn scales_have_the_steps_of_their_kind() {
    for scale in Scale::all() {
        let steps: &[i32] = match scale.kind() {
            ScaleKind::Major => &[2, 2, 1, 2, 2, 2, 1],
            ScaleKind::NaturalMinor => &[2, 1, 2, 2, 1, 2, 2],
            ScaleKind::HarmonicMinor => &[2, 1, 2, 2, 1, 3, 1],
            ScaleKind::MelodicMinor => &[2, 1, 2, 2, 2, 2, 1],
            ScaleKind::Dorian => &[2, 1, 2, 2, 2, 1, 2],
            ScaleKind::Phrygian => &[1, 2, 2, 2, 1, 2, 2],
            ScaleKind::Lydian => &[2, 2, 2, 1, 2, 2, 1],
            ScaleKind::Mixolydian => &[2, 2, 1, 2, 2, 1, 2],
            ScaleKind::Locrian => &[1, 2, 2, 1, 2, 2, 2],
            ScaleKind::MajorPentatonic => &[2, 2, 3, 2, 3],
            ScaleKind::MinorPentatonic => &[3, 2, 2, 3, 2],
            ScaleKind::Blues => &[3, 2, 1, 1, 3, 2],
        };
        let size = steps.len();
        let up = scale.pitches_up(3, 2);
        assert_eq!(up.len(), 2 * size + 1);
        for (i, pair) in up.windows(2).enumerate() {
            assert_eq!(pair[1].semitones() - pair[0].semitones(), steps[i % size], "{scale} at {i}");
        }
        let down = scale.pitches_down(3, 2);
        assert_eq!((down[0], down[2 * size]), (up[2 * size], up[0]), "{scale}");
        assert!(down.windows(2).all(|pair| pair[0].semitones() > pair[1].semitones()), "{scale}");
        let names_down = down.iter().map(|p| p.name).take(size);
        assert_eq!(written(names_down), written(scale.notes_down()));
    }
}

#[test]
fn a_relative_minor_has_the_signature_of_its_major() {
    for major in Key::all().filter(|k| k.mode() == Mode::Major) {
        let minor = Key::new(major.scale()[5], Mode::Minor).unwrap();
        assert_eq!(minor.signature(), major.signature());
    }
}

#[test]
fn the_raised_seventh_of_a_minor_key_is_a_semitone_below_its_tonic() {
    for key in Key::all().filter(|k| k.mode() == Mode::Minor) {
        let leading = key.degree(Degree::new(7, 1).unwrap());
        assert_eq!((leading.pitch_class() + 1) % 12, key.tonic().pitch_class(), "{key}");
    }
}

#[test]
fn a_transposed_key_has_the_fewest_accidentals() {
    for (from, semitones, to) in [
        ("D major", -4, "Bb major"),
        ("A major", 1, "Bb major"),
        ("C major", 1, "Db major"),
        ("E minor", -1, "D# minor"), // the same tie in minor
        ("E minor", 1, "F minor"),
        ("G major", -1, "F# major"), // six sharps and six flats tie: from sharps to sharps
        ("F major", 1, "Gb major"),  // from flats to flats
        ("C minor", 3, "Eb minor"),
        ("B minor", 4, "D# minor"),
        ("Cb major", 12, "Cb major"),
        ("C# major", 1, "D major"),
    ] {
        assert_eq!(key(from).transposed(semitones), key(to), "{from} {semitones:+}");
    }
}

#[test]
fn the_way_between_keys_is_at_most_a_tritone() {
    assert_eq!(key("D major").semitones_to(key("Bb major")), -4);
    assert_eq!(key("C major").semitones_to(key("F# major")), 6);
    for (from, to) in Key::all().flat_map(|a| Key::all().map(move |b| (a, b))) {
        let way = from.semitones_to(to);
        assert!((-5..=6).contains(&way));
        assert_eq!(from.transposed(way).tonic().pitch_class(), to.tonic().pitch_class());
    }
}

#[test]
fn a_key_reads_back_as_it_is_written() {
    for key in Key::all() {
        assert_eq!(key.to_string().parse(), Ok(key));
        assert_eq!(key.pretty().parse(), Ok(key));
        assert!(!key.pretty().contains('#') && !key.tonic().pretty().contains('b'));
    }
    for scale in Scale::all() {
        assert_eq!(scale.to_string().parse(), Ok(scale));
        assert_eq!(scale.pretty().parse(), Ok(scale));
    }
}

fn any_key() -> impl Strategy<Value = Key> {
    proptest::sample::select(Key::all().collect::<Vec<_>>())
}

proptest! {
    #[test]
    fn transposing_up_and_down_is_the_identity(key in any_key(), semitones in -40i32..40) {
        let back = key.transposed(semitones).transposed(-semitones);
        prop_assert_eq!(back.mode(), key.mode());
        prop_assert_eq!(back.tonic().pitch_class(), key.tonic().pitch_class());
        // Keys of up to five accidentals have no other spelling with as few.
        if key.signature().abs() <= 5 {
            prop_assert_eq!(back, key);
        }
    }

    #[test]
    fn a_transposed_key_never_has_more_accidentals_than_its_twin(key in any_key(), semitones in 1i32..12) {
        let moved = key.transposed(semitones);
        for twin in Key::all().filter(|k| k.mode() == moved.mode()) {
            if twin.tonic().pitch_class() == moved.tonic().pitch_class() {
                prop_assert!(moved.signature().abs() <= twin.signature().abs());
            }
        }
    }

    #[test]
    fn a_key_exists_exactly_up_to_seven_accidentals(letter in 0i32..7, alter in -4i8..=4, minor: bool) {
        let tonic = NoteName::new(Letter::at(letter), alter);
        let mode = if minor { Mode::Minor } else { Mode::Major };
        let listed = Key::all().any(|k| k.tonic() == tonic && k.mode() == mode);
        prop_assert_eq!(Key::new(tonic, mode).is_some(), listed);
    }
}
