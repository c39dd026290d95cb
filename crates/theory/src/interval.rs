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
}

impl std::ops::Neg for Interval {
    type Output = Interval;
    fn neg(self) -> Interval {
        Interval::new(-self.steps, -self.semitones)
    }
}
