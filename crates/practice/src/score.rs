//! The score of a take.

use crate::{ChartTime, Expected, PlayedNote, Speed};
use song::Quarters;
use theory::{Hand, MidiKey};

/// How far apart two times may be and still be a pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Window {
    /// By the beat and the gaps between strikes, strike by strike.
    #[default]
    ByStrike,
    /// The same everywhere.
    Fixed(ChartTime),
}

/// The constant shift between the take's clock and the song's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offset {
    /// Known.
    Fixed(ChartTime),
    /// Found: the shift under which most notes match.
    Auto,
}

impl Default for Offset {
    fn default() -> Self {
        Offset::Fixed(ChartTime::ZERO)
    }
}

/// How to score.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct ScoreOptions {
    /// What counts as a pair.
    pub window: Window,
    /// The shift of the take.
    pub offset: Offset,
    /// How fast the take was played. Its notes are in chart time already; windows by strike are about what a player can
    /// feel, so they are reckoned at the speed played.
    pub speed: Speed,
}

/// A score: how many of how many, and how well in time. All times at the chart's tempo; [`Score::as_played_ms`] tells
/// them as the player felt them.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Notes expected.
    pub expected: usize,
    /// Notes played.
    pub played: usize,
    /// Pairs found.
    pub matched: usize,
    /// Expected and not played.
    pub missed: usize,
    /// Played and not expected.
    pub extra: usize,
    /// Matched of played; 0 if nothing was played.
    pub precision: f64,
    /// Matched of expected; 0 if nothing was expected.
    pub recall: f64,
    /// Their harmonic mean; 0 if both are.
    pub f1: f64,
    /// The window, if it was the same everywhere.
    pub window: Option<ChartTime>,
    /// The shift that was taken off the take's times.
    pub offset: ChartTime,
    /// How fast it was played.
    pub speed: Speed,
    /// Mean error in milliseconds; `None` without a pair, as the next two.
    pub mean_ms: Option<f64>,
    /// Median error: steady lead (negative) or lag.
    pub median_ms: Option<f64>,
    /// Population standard deviation of the errors: unsteadiness.
    pub spread_ms: Option<f64>,
    /// Bar by bar.
    pub bars: Vec<BarScore>,
    /// Note by note, as [`Expected::notes`].
    pub notes: Vec<NoteScore>,
    /// What was played and not expected, by time.
    pub extras: Vec<ExtraNote>,
}

/// The score of a bar.
#[derive(Clone, Debug, PartialEq)]
pub struct BarScore {
    /// The bar.
    pub bar: usize,
    /// The name of its section.
    pub section: String,
    /// Notes expected.
    pub expected: usize,
    /// Notes matched.
    pub matched: usize,
    /// Notes played in its time and not expected.
    pub extra: usize,
    /// Mean error in milliseconds.
    pub mean_ms: Option<f64>,
    /// No miss, no wrong pitch, every strike inside its counted window and at most one in eight outside the narrower one.
    pub clean: bool,
    /// As clean, but a chord in another inversion or octave counts as played.
    pub clean_in_time: bool,
}

/// How an expected note went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoteScore {
    /// The bar.
    pub bar: usize,
    /// The hand.
    pub hand: Hand,
    /// Where it is written to sound.
    pub start: Quarters,
    /// Its key.
    pub key: MidiKey,
    /// Index of its event in the part.
    pub event: usize,
    /// When it was expected.
    pub expected_at: ChartTime,
    /// When it was played, the offset taken off; `None` if it was missed.
    pub played_at: Option<ChartTime>,
    /// Played minus expected.
    pub error: Option<ChartTime>,
    /// Inside of this it is counted.
    pub window: ChartTime,
    /// Inside of this it is in time.
    pub narrow: ChartTime,
    /// Whether it was played, and in time.
    pub in_time: bool,
}

/// A note that was played and not expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ExtraNote {
    /// The bar by its time.
    pub bar: usize,
    /// Its key.
    pub key: MidiKey,
    /// When, the offset taken off.
    pub played_at: ChartTime,
    /// What it is.
    pub kind: ExtraKind,
}

/// What an extra note is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ExtraKind {
    /// A wrong key, or a right one at a wrong time.
    Wrong,
    /// Touched in passing: short or soft, next to a right key.
    Brush,
    /// The right note in another octave, within a chord that is right in another inversion or octave.
    OtherOctave,
}

impl Score {
    /// A stretch of chart time in milliseconds as the player felt it.
    pub fn as_played_ms(&self, time: ChartTime) -> f64 {
        self.speed.stretch_ms(time.ms())
    }
}

/// Scores a take against what is expected.
pub fn score(expected: &Expected, played: &[PlayedNote], options: &ScoreOptions) -> Score {
    let _ = (expected, played, options);
    Score {
        expected: expected.notes.len(),
        played: played.len(),
        matched: 0,
        missed: 0,
        extra: 0,
        precision: 0.0,
        recall: 0.0,
        f1: 0.0,
        window: None,
        offset: ChartTime::ZERO,
        speed: options.speed,
        mean_ms: None,
        median_ms: None,
        spread_ms: None,
        bars: Vec::new(),
        notes: Vec::new(),
        extras: Vec::new(),
    }
}
