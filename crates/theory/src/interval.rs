//! Intervals: diatonic steps and semitones.

/// A directed interval. A major third is `Interval::new(2, 4)`, a minor third `Interval::new(2, 3)`; negative goes down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Interval {
    /// Letters from one note to the other: 0 for a unison, 7 for an octave.
    pub steps: i32,
    /// Semitones from one note to the other.
    pub semitones: i32,
}

impl Interval {
    /// An interval of diatonic steps and semitones.
    pub const fn new(steps: i32, semitones: i32) -> Self {
        Self { steps, semitones }
    }
    /// One octave up.
    pub const OCTAVE: Interval = Interval::new(7, 12);

    /// Its name, the same upwards and downwards; above two octaves the octaves are taken off.
    ///
    /// ```
    /// use theory::Interval;
    /// assert_eq!(Interval::new(2, 4).name(), "major third");
    /// assert_eq!(Interval::new(9, 15).name(), "minor tenth");
    /// assert_eq!(Interval::new(-3, -6).name(), "augmented fourth");
    /// ```
    pub fn name(self) -> String {
        let up = if self.steps < 0 || (self.steps == 0 && self.semitones < 0) { -self } else { self };
        let octaves = up.steps / 7;
        let size = up.semitones - 12 * octaves - [0, 2, 4, 5, 7, 9, 11][(up.steps % 7) as usize];
        let number = if up.steps > 14 { up.steps % 7 } else { up.steps };
        let quality = match (matches!(up.steps % 7, 0 | 3 | 4), size) {
            (true, 0) => "perfect",
            (false, 0) => "major",
            (false, -1) => "minor",
            (_, 1) => "augmented",
            (true, -1) | (false, -2) => "diminished",
            (true, -2) | (false, -3) => "doubly diminished",
            (_, 2) => "doubly augmented",
            (_, more) if more > 0 => "more than doubly augmented",
            _ => "more than doubly diminished",
        };
        format!("{quality} {}", NUMBERS[number as usize])
    }
}

impl std::ops::Neg for Interval {
    type Output = Interval;
    fn neg(self) -> Interval {
        Interval::new(self.steps.saturating_neg(), self.semitones.saturating_neg())
    }
}

/// What an interval of so many steps is called.
const NUMBERS: [&str; 15] = [
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
];
