//! Chords on the keys in close position, one after another in all inversions.

use crate::{Chord, NoteName, Pitch};

impl Chord {
    /// The chord in close position with the member of that place lowest: 0 is the root position, 1 the first inversion
    /// (a triad has two, a seventh chord three); `None` beyond the chord's members. The whole lies as near to `near`
    /// as it can: the mean of its keys is compared, and of two equally near the lower is taken.
    ///
    /// ```
    /// use theory::{Chord, Pitch};
    /// let chord = Chord::in_key("4".parse().unwrap(), "C major".parse().unwrap());
    /// let middle_c: Pitch = "C4".parse().unwrap();
    /// let notes: Vec<String> =
    ///     chord.close_position(1, middle_c).unwrap().iter().map(|p| p.to_string()).collect();
    /// assert_eq!(notes.join(" "), "A3 C4 F4");
    /// ```
    pub fn close_position(&self, inversion: usize, near: Pitch) -> Option<Vec<Pitch>> {
        let lowest = self.tones.get(inversion)?.name;
        let stacked = |octave| self.stacked_on(Pitch::new(lowest, octave));
        let distance = |pitches: &Vec<Pitch>| {
            let sum: i32 = pitches.iter().map(|p| p.semitones()).sum();
            (sum - near.semitones() * pitches.len() as i32).abs()
        };
        (-1..=9).map(stacked).min_by_key(distance)
    }

    /// The chord in close position in all its inversions, root position first.
    pub fn inversions(&self, near: Pitch) -> Vec<Vec<Pitch>> {
        (0..self.tones.len()).filter_map(|inversion| self.close_position(inversion, near)).collect()
    }

    /// A lowest note and the other members above it, within the octave.
    fn stacked_on(&self, lowest: Pitch) -> Vec<Pitch> {
        let others = self.names().filter(|&name: &NoteName| name != lowest.name);
        let mut pitches: Vec<Pitch> = others.map(|name| lowest.next_above(name)).collect();
        pitches.push(lowest);
        pitches.sort_by_key(|p| p.semitones());
        pitches
    }
}
