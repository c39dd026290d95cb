//! The score of a take.

use crate::errors::Errors;
use crate::extras::{Extra, extras, mark_brushes};
use crate::lanes::Lanes;
use crate::offset::best_shift;
use crate::steady_shift::steady_shift;
use crate::strikes::judge_strikes;
use crate::windows::{Windows, windows};
use crate::{BarSpan, ChartTime, Expected, ExpectedNote, PlayedNote, Speed, SteadyShift, StrikeScore};
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
    /// Where little matched: the right keys were there, all of them off by so much.
    pub steady_shift: Option<SteadyShift>,
    /// Bar by bar.
    pub bars: Vec<BarScore>,
    /// Note by note, as [`Expected::notes`].
    pub notes: Vec<NoteScore>,
    /// Strike by strike: what one hand plays at one time, by time.
    pub strikes: Vec<StrikeScore>,
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
///
/// Pairs are of one key, within the window, each note used once: as many as possible, then with the least total error,
/// then the earliest. Whole microseconds are compared; a difference of exactly the window counts.
///
/// ```
/// use practice::*;
/// use theory::{Hand, MidiKey};
/// let key = MidiKey::MIDDLE_C;
/// let bar = BarSpan { bar: 0, section: "Verse".into(), start: ChartTime::ZERO, end: ChartTime::from_ms(2000.0), beat_ms: 500.0, changes: vec![] };
/// let note = ExpectedNote {
///     hand: Hand::Right, bar: 0, start: song::Quarters::ZERO, at: ChartTime::ZERO, key, rolled: false, event: 0,
/// };
/// let expected = Expected::new(vec![note], vec![bar], 1);
/// let late = PlayedNote { at: ChartTime::from_ms(12.0), length: None, key, velocity: 80 };
/// let score = score(&expected, &[late], &ScoreOptions::default());
/// assert_eq!((score.matched, score.mean_ms, score.bars[0].clean), (1, Some(12.0), true));
/// ```
pub fn score(expected: &Expected, played: &[PlayedNote], options: &ScoreOptions) -> Score {
    let windows = windows(expected, options.window, options.speed);
    let Pairs { offset, mates, steady_shift } = pairs(expected, played, options, &windows);
    let notes = note_scores(expected, played, windows, &mates, offset);
    let mut extras = extras(expected, played, mates, offset);
    let strikes = judge_strikes(&notes, expected, &mut extras, options.speed);
    mark_brushes(&mut extras, &notes, played, options.speed);
    let bars = bar_scores(expected, &notes, &strikes, &extras);
    let errors = Errors::of(notes.iter().filter_map(|n| n.error));
    let matched = notes.iter().filter(|n| n.error.is_some()).count();
    let (precision, recall) = (ratio(matched, played.len()), ratio(matched, notes.len()));
    Score {
        expected: notes.len(),
        played: played.len(),
        matched,
        missed: notes.len() - matched,
        extra: played.len() - matched,
        precision,
        recall,
        f1: if matched == 0 { 0.0 } else { 2.0 * precision * recall / (precision + recall) },
        window: match options.window {
            Window::Fixed(window) => Some(window),
            Window::ByStrike => None,
        },
        offset,
        speed: options.speed,
        mean_ms: errors.mean(),
        median_ms: errors.median(),
        spread_ms: errors.spread(),
        steady_shift,
        bars,
        notes,
        strikes,
        extras: extras.into_iter().map(|e| e.note).collect(),
    }
}

fn ratio(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}

/// What is found by looking at each key by itself.
struct Pairs {
    /// The shift of the take.
    offset: ChartTime,
    /// For every expected note the played one it goes with.
    mates: Vec<Option<usize>>,
    steady_shift: Option<SteadyShift>,
}

/// The lanes are let go of before the verdict is written out: both at once would be far more memory.
fn pairs(expected: &Expected, played: &[PlayedNote], options: &ScoreOptions, windows: &[Windows]) -> Pairs {
    let lanes = Lanes::new(expected, windows, played);
    let offset = match options.offset {
        Offset::Fixed(offset) => offset,
        Offset::Auto => ChartTime::from_micros(best_shift(&lanes)),
    };
    let mates = lanes.pair(offset.micros());
    let steady_shift = match options.offset {
        Offset::Fixed(_) => steady_shift(expected, &lanes, offset, mates.iter().flatten().count()),
        Offset::Auto => None,
    };
    Pairs { offset, mates, steady_shift }
}

fn note_scores(
    expected: &Expected,
    played: &[PlayedNote],
    windows: Vec<Windows>,
    mates: &[Option<usize>],
    offset: ChartTime,
) -> Vec<NoteScore> {
    let score = |((note, windows), mate): ((&ExpectedNote, Windows), &Option<usize>)| {
        let played_at = mate.map(|m| played[m].at - offset);
        let error = played_at.map(|at| at - note.at);
        NoteScore {
            bar: note.bar,
            hand: note.hand,
            start: note.start,
            key: note.key,
            event: note.event,
            expected_at: note.at,
            played_at,
            error,
            window: windows.counted,
            narrow: windows.narrow,
            in_time: error.is_some_and(|e| e.abs() <= windows.narrow),
        }
    };
    expected.notes.iter().zip(windows).zip(mates).map(score).collect()
}

fn bar_scores(
    expected: &Expected,
    notes: &[NoteScore],
    strikes: &[StrikeScore],
    extras: &[Extra],
) -> Vec<BarScore> {
    let mut tallies = vec![Tally::default(); expected.bars.len()];
    let place = |bar: usize| expected.position_of(bar);
    for note in notes {
        let Some(tally) = place(note.bar).map(|b| &mut tallies[b]) else { continue };
        tally.expected += 1;
        if let Some(error) = note.error {
            tally.matched += 1;
            tally.errors += i128::from(error.micros());
        }
    }
    for strike in strikes {
        let Some(tally) = place(strike.bar).map(|b| &mut tallies[b]) else { continue };
        tally.strikes += 1;
        tally.loose += usize::from(!(strike.in_time && strike.together));
        tally.absent += usize::from(!strike.verdict.is_chord());
    }
    for extra in extras {
        let Some(tally) = place(extra.note.bar).map(|b| &mut tallies[b]) else { continue };
        tally.extra += 1;
        tally.wrong += usize::from(extra.note.kind == ExtraKind::Wrong);
        tally.elsewhere += usize::from(extra.note.kind == ExtraKind::OtherOctave);
    }
    expected.bars.iter().zip(&tallies).map(|(span, tally)| tally.score(span)).collect()
}

#[derive(Clone, Copy, Default)]
struct Tally {
    expected: usize,
    extra: usize,
    matched: usize,
    /// The sum of all errors, in microseconds.
    errors: i128,
    strikes: usize,
    /// Strikes outside the narrower window, or whose notes did not come together.
    loose: usize,
    /// Strikes whose chord was not played, in no inversion.
    absent: usize,
    wrong: usize,
    elsewhere: usize,
}

impl Tally {
    fn score(&self, span: &BarSpan) -> BarScore {
        let clean_in_time = self.absent == 0 && self.wrong == 0 && 8 * self.loose <= self.strikes;
        BarScore {
            bar: span.bar,
            section: span.section.clone(),
            expected: self.expected,
            matched: self.matched,
            extra: self.extra,
            mean_ms: (self.matched > 0).then(|| self.errors as f64 / self.matched as f64 / 1000.0),
            clean: clean_in_time && self.matched == self.expected && self.elsewhere == 0,
            clean_in_time,
        }
    }
}
