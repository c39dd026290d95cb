//! Whatever the text, reading it ends in a value or in a mistake.

use proptest::prelude::*;
use theory::{Chord, Degree, Key, Member, NoteName, NumberChord, Pitch, Scale};

/// Texts close to what is meant, and texts that are not.
fn any_text() -> impl Strategy<Value = String> {
    let near = proptest::sample::select(vec![
        "b", "#", "♭", "♯", "1", "4", "7", "9", "0", "M", "m", "-", "dim", "°", "sus4", "(", ")", "/",
        "maj7", "7b9", " ", "major", "minor", "harmonic", "melodic", "A", "B", "C", "-1", "10", "~", ".",
    ]);
    prop_oneof![
        proptest::collection::vec(near, 0..8).prop_map(|parts| parts.concat()),
        proptest::collection::vec(any::<char>(), 0..12).prop_map(|chars| chars.into_iter().collect()),
        (0usize..400).prop_map(|n| "b".repeat(n) + "3"),
        (0usize..400).prop_map(|n| "C".to_string() + &"#".repeat(n) + "4"),
    ]
}

proptest! {
    #[test]
    fn reading_never_panics(text in any_text()) {
        let _ = (text.parse::<Scale>(), text.parse::<Member>(), text.parse::<NoteName>(), text.parse::<Degree>());
        if let Ok(pitch) = text.parse::<Pitch>() {
            prop_assert_eq!(pitch.to_string().parse(), Ok(pitch));
            let _ = pitch.key();
        }
        if let Ok(key) = text.parse::<Key>() {
            prop_assert_eq!(key.to_string().parse(), Ok(key));
        }
        match text.parse::<NumberChord>() {
            Ok(chord) => {
                prop_assert_eq!(chord.to_string().parse(), Ok(chord));
                for key in Key::all() {
                    let _ = (Chord::in_key(chord, key).name(), chord.warnings(key));
                }
            }
            Err(error) => {
                prop_assert!(error.length >= 1);
                prop_assert!(error.at <= text.chars().count());
                prop_assert!(error.message.contains("write") || error.message.contains(':'), "{}", error.message);
            }
        }
    }
}
