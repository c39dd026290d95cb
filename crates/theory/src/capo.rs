//! What a guitarist reads who sings along: a capo, and the open shapes behind it.

use crate::{Chord, Key, Mode};

/// A capo at a fret, and the key whose shapes the guitarist then plays.
///
/// The strings sound as many semitones higher as the fret says, so that the shapes' key lies that far below the key that
/// is heard.
///
/// ```
/// use theory::{Capo, Chord};
/// let key = "Eb major".parse().unwrap();
/// let capo = Capo::ways(key)[0];
/// assert_eq!((capo.fret(), capo.shapes().to_string()), (1, "D major".into()));
/// let chord = Chord::in_key("4".parse().unwrap(), key);
/// assert_eq!((chord.name(), capo.shape(&chord).name()), ("Ab".into(), "G".into()));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Capo {
    fret: u8,
    shapes: Key,
}

impl Capo {
    /// The highest fret that a capo is put at here: above it the strings are short and the frets narrow.
    pub const LAST_FRET: u8 = 7;

    /// The ways to play a key on open shapes, the lowest fret first; fret 0 is no capo. Open are the shapes of C, G, D, A
    /// and E major and of A, E and D minor (common practice, no source). There is always one.
    pub fn ways(key: Key) -> Vec<Capo> {
        let at = |fret: u8| Capo { fret, shapes: key.transposed(-i32::from(fret)) };
        (0..=Capo::LAST_FRET).map(at).filter(|capo| is_open(capo.shapes)).collect()
    }

    /// The fret, 0 to 7; 0 is no capo.
    pub const fn fret(self) -> u8 {
        self.fret
    }

    /// The key whose shapes are played.
    pub const fn shapes(self) -> Key {
        self.shapes
    }

    /// The shape for a chord, of whatever key: the chord so many semitones lower.
    pub fn shape(self, chord: &Chord) -> Chord {
        Chord::in_key(chord.written, chord.key.transposed(-i32::from(self.fret)))
    }

    /// `capo 3, shapes of C major`; without one, `no capo, shapes of G major`.
    pub fn text(self) -> String {
        let capo = if self.fret == 0 { "no capo".to_owned() } else { format!("capo {}", self.fret) };
        format!("{capo}, shapes of {}", self.shapes.pretty())
    }
}

fn is_open(key: Key) -> bool {
    let tonic = key.tonic().to_string();
    match key.mode() {
        Mode::Major => ["C", "G", "D", "A", "E"].contains(&tonic.as_str()),
        Mode::Minor => ["A", "E", "D"].contains(&tonic.as_str()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ways(key: &str) -> Vec<String> {
        let all = Capo::ways(key.parse().unwrap());
        all.into_iter().map(|capo| format!("{} {}", capo.fret, capo.shapes.tonic())).collect()
    }

    /// As every guitarist's capo chart has it (common practice, no source): counted out on the chromatic scale by hand.
    #[test]
    fn keys_with_flats_are_played_on_open_shapes_behind_a_capo() {
        assert_eq!(ways("G major"), ["0 G", "3 E", "5 D", "7 C"]);
        assert_eq!(ways("F major"), ["1 E", "3 D", "5 C"]);
        assert_eq!(ways("Bb major"), ["1 A", "3 G", "6 E"]);
        assert_eq!(ways("Eb major"), ["1 D", "3 C", "6 A"]);
        assert_eq!(ways("B major"), ["2 A", "4 G", "7 E"]);
        assert_eq!(ways("C minor"), ["3 A"]);
        assert_eq!(ways("F# minor"), ["2 E", "4 D"]);
    }

    #[test]
    fn every_key_can_be_played_on_open_shapes_that_sound_in_it() {
        for key in Key::all() {
            let ways = Capo::ways(key);
            assert!(!ways.is_empty(), "{key}");
            for capo in ways {
                let sounds = (capo.shapes.tonic().pitch_class() + capo.fret) % 12;
                assert_eq!(sounds, key.tonic().pitch_class(), "{key}: {}", capo.text());
                assert_eq!(capo.shapes.mode(), key.mode());
            }
        }
    }

    #[test]
    fn a_chord_keeps_its_number_and_what_stands_under_it() {
        let key: Key = "Bb major".parse().unwrap();
        let capo = Capo::ways(key)[1];
        let shape = |number: &str| capo.shape(&Chord::in_key(number.parse().unwrap(), key)).name();
        assert_eq!([shape("1"), shape("5/7"), shape("2(7)"), shape("b7")], ["G", "D/F#", "Am7", "F"]);
        // A section two semitones higher is played higher behind the same capo.
        let lifted = Chord::in_key("1".parse().unwrap(), "C major".parse().unwrap());
        assert_eq!(capo.shape(&lifted).name(), "A");
        assert_eq!(capo.text(), "capo 3, shapes of G major");
    }
}
