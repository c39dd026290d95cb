//! Fingers of close chords struck at once.

use crate::{Chord, Finger, Hand};

impl Chord {
    /// The fingers of the chord in close position, from its lowest note up; inversion 0 is the root position.
    ///
    /// Triads have the same fingers in every key (teachers' handbooks); four notes, two and five are common practice, no
    /// source.
    ///
    /// ```
    /// use theory::{Chord, Hand};
    /// let chord = Chord::in_key("1".parse().unwrap(), "Db major".parse().unwrap());
    /// let first: Vec<u8> = chord.close_fingers(Hand::Right, 1).iter().map(|f| f.number()).collect();
    /// assert_eq!(first, [1, 2, 5]);
    /// ```
    pub fn close_fingers(&self, hand: Hand, inversion: usize) -> Vec<Finger> {
        let numbers: &[u8] = match (self.tones.len(), hand, inversion) {
            (1, ..) => &[1],
            (2, Hand::Right, _) => &[1, 5],
            (2, Hand::Left, _) => &[5, 1],
            (3, Hand::Right, 1) => &[1, 2, 5],
            (3, Hand::Right, _) => &[1, 3, 5],
            (3, Hand::Left, 2) => &[5, 2, 1],
            (3, Hand::Left, _) => &[5, 3, 1],
            (4, Hand::Right, _) => &[1, 2, 3, 5],
            (4, Hand::Left, _) => &[5, 3, 2, 1],
            (_, Hand::Right, _) => &[1, 2, 3, 4, 5],
            (_, Hand::Left, _) => &[5, 4, 3, 2, 1],
        };
        numbers.iter().map(|n| Finger::new(*n).expect("the table holds 1 to 5 only")).collect()
    }
}
