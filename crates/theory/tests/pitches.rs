//! Pitches, keys of the keyboard, intervals.

use proptest::prelude::*;
use theory::{Interval, Letter, MidiKey, NoteName, Pitch};

fn pitch(text: &str) -> Pitch {
    text.parse().unwrap()
}

/// Middle C is key 60 and A4 is key 69 (MIDI 1.0, with middle C as C4); the octave number belongs to the letter.
#[test]
fn pitches_have_their_midi_keys() {
    for (text, key) in [
        ("C4", 60),
        ("A4", 69),
        ("B#3", 60),
        ("Cb4", 59),
        ("A0", 21),
        ("C8", 108),
        ("C-1", 0),
        ("G9", 127),
        ("F##2", 43),
        ("Bbb3", 57),
    ] {
        assert_eq!(pitch(text).key().map(MidiKey::number), Some(key), "{text}");
    }
    assert_eq!((pitch("G#9").key(), pitch("Cb-1").key()), (None, None));
}

#[test]
fn black_keys_are_those_with_sharps_for_names() {
    for number in 0..=127 {
        let key = MidiKey::new(number).unwrap();
        assert_eq!(key.pitch().key(), Some(key));
        assert_eq!(key.is_black(), key.pitch().name.alter == 1);
    }
    // 36 of the 88 keys are black (handbook, from memory).
    let piano = MidiKey::A0.number()..=MidiKey::C8.number();
    assert_eq!(piano.filter(|&n| MidiKey::new(n).unwrap().is_black()).count(), 36);
    assert_eq!(MidiKey::new(128), None);
}

/// Handbook table, from memory.
#[test]
fn intervals_have_their_names() {
    for (low, high, name) in [
        ("C4", "C4", "perfect unison"),
        ("E4", "F4", "minor second"),
        ("C4", "D#4", "augmented second"),
        ("C4", "Eb4", "minor third"),
        ("F4", "B4", "augmented fourth"),
        ("B3", "F4", "diminished fifth"),
        ("D3", "A3", "perfect fifth"),
        ("E3", "C4", "minor sixth"),
        ("C#4", "Bb4", "diminished seventh"),
        ("G3", "F4", "minor seventh"),
        ("C3", "C4", "perfect octave"),
        ("C3", "E4", "major tenth"),
        ("C3", "C5", "perfect fifteenth"),
        ("C3", "E5", "major third"),
        ("Cb4", "F#4", "doubly augmented fourth"),
    ] {
        let up = pitch(high).above(pitch(low));
        assert_eq!((up.name().as_str(), (-up).name().as_str()), (name, name), "{low} {high}");
    }
}

fn any_pitch() -> impl Strategy<Value = Pitch> {
    (0i32..7, -3i8..=3, 0i8..8)
        .prop_map(|(letter, alter, octave)| Pitch::new(NoteName::new(Letter::at(letter), alter), octave))
}

proptest! {
    #[test]
    fn the_interval_between_two_pitches_leads_from_one_to_the_other(a in any_pitch(), b in any_pitch()) {
        prop_assert_eq!(a.up(b.above(a)), b);
        prop_assert_eq!(b.up(-b.above(a)), a);
        prop_assert_eq!(a.name.up(b.above(a)), b.name);
    }

    #[test]
    fn up_counts_semitones(a in any_pitch(), steps in -20i32..20, semitones in -30i32..30) {
        let moved = a.up(Interval::new(steps, semitones));
        prop_assert_eq!(moved.semitones(), a.semitones() + semitones);
        prop_assert_eq!(moved.above(a), Interval::new(steps, semitones));
    }

    #[test]
    fn a_pitch_is_spelled_on_its_own_key(a in any_pitch()) {
        if let Some(key) = a.key() {
            prop_assert_eq!(Pitch::spelled(a.name, key), Some(a));
            for (letter, alter) in Letter::ALL.into_iter().flat_map(|l| (-3..=3).map(move |alter| (l, alter))) {
                let name = NoteName::new(letter, alter);
                let fits = name.pitch_class() == key.number() % 12;
                prop_assert_eq!(Pitch::spelled(name, key).is_some(), fits);
            }
        }
        prop_assert_eq!(a.to_string().parse(), Ok(a));
    }

    #[test]
    fn the_next_pitch_of_a_name_lies_within_an_octave_above(a in any_pitch(), b in any_pitch()) {
        let next = a.next_above(b.name);
        prop_assert_eq!(next.name, b.name);
        prop_assert!((1..=12).contains(&(next.semitones() - a.semitones())));
    }
}
