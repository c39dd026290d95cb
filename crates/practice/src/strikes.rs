//! Strikes: what one hand plays at one time, judged as a chord.

use crate::errors::Errors;
use crate::extras::Extra;
use crate::{ChartTime, Expected, ExtraKind, NoteScore, Speed};
use song::Quarters;
use theory::Hand;

/// Notes further apart than this, as played, were not together, unless the part rolls them; in milliseconds. In real
/// playing the notes of a chord spread by about 30 ms (Goebl 2001).
pub const TOGETHER_MS: f64 = 45.0;

/// How one strike of one hand went.
#[derive(Clone, Debug, PartialEq)]
pub struct StrikeScore {
    /// The bar.
    pub bar: usize,
    /// The hand.
    pub hand: Hand,
    /// Where it is written to sound.
    pub start: Quarters,
    /// When.
    pub at: ChartTime,
    /// Its notes, as places in [`crate::Score::notes`].
    pub notes: Vec<usize>,
    /// What was played.
    pub verdict: StrikeVerdict,
    /// Played minus expected, in milliseconds: the median of its notes; `None` if it was not played.
    pub error_ms: Option<f64>,
    /// Whether that lies within the narrower window.
    pub in_time: bool,
    /// Whether its notes came together, or need not.
    pub together: bool,
}

/// What was played for a strike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StrikeVerdict {
    /// All its notes.
    Right,
    /// All its notes, all of them so many semitones higher or, negative, lower: a multiple of 12.
    OtherOctave(i8),
    /// All its notes, some of them in another octave.
    OtherInversion,
    /// Some of its notes.
    Part,
    /// None of its notes, but something else at its time.
    Wrong,
    /// Nothing.
    Missed,
}

impl StrikeVerdict {
    /// Whether the chord was played, in whatever position.
    pub fn is_chord(self) -> bool {
        matches!(self, StrikeVerdict::Right | StrikeVerdict::OtherOctave(_) | StrikeVerdict::OtherInversion)
    }
    /// For a musician.
    pub fn text(self) -> String {
        match self {
            StrikeVerdict::Right => "the right keys".into(),
            StrikeVerdict::OtherOctave(by) => {
                let (octaves, way) = (by.unsigned_abs() / 12, if by > 0 { "higher" } else { "lower" });
                match octaves {
                    1 => format!("the right chord, an octave {way}"),
                    n => format!("the right chord, {n} octaves {way}"),
                }
            }
            StrikeVerdict::OtherInversion => "the right chord in another inversion".into(),
            StrikeVerdict::Part => "some of the keys".into(),
            StrikeVerdict::Wrong => "another chord".into(),
            StrikeVerdict::Missed => "not played".into(),
        }
    }
}

/// Judges every strike, by time. Extras that stand for a missed note of a chord, an octave or more away, are marked so.
pub(crate) fn judge_strikes(
    notes: &[NoteScore],
    expected: &Expected,
    extras: &mut [Extra],
    speed: Speed,
) -> Vec<StrikeScore> {
    let mut strikes = Vec::with_capacity(notes.len() / 2);
    let mut first = 0;
    for at_once in notes.chunk_by(|a, b| a.expected_at == b.expected_at) {
        for hand in Hand::BOTH {
            let of_hand = |&n: &usize| notes[n].hand == hand;
            let strike: Vec<usize> = (first..first + at_once.len()).filter(of_hand).collect();
            if !strike.is_empty() {
                strikes.push(judge(strike, notes, expected, extras, speed));
            }
        }
        first += at_once.len();
    }
    strikes
}

fn judge(
    strike: Vec<usize>,
    notes: &[NoteScore],
    expected: &Expected,
    extras: &mut [Extra],
    speed: Speed,
) -> StrikeScore {
    let first = &notes[strike[0]];
    let missed: Vec<usize> = strike.iter().copied().filter(|&n| notes[n].error.is_none()).collect();
    let mut errors: Vec<ChartTime> = strike.iter().filter_map(|&n| notes[n].error).collect();
    let near = if missed.is_empty() { 0..0 } else { near(first, extras) };
    let stand_ins = stand_ins(&missed, notes, &extras[near.clone()]);
    let verdict = verdict(strike.len(), &missed, stand_ins.as_deref(), &extras[near.clone()], notes);
    if let Some(stand_ins) = &stand_ins {
        for &e in stand_ins {
            let extra = &mut extras[near.start + e];
            extra.note.kind = ExtraKind::OtherOctave;
            errors.push(extra.note.played_at - first.expected_at);
        }
    }
    let errors = Errors::of(errors.into_iter());
    let error_ms = errors.median();
    StrikeScore {
        bar: first.bar,
        hand: first.hand,
        start: first.start,
        at: first.expected_at,
        verdict,
        error_ms,
        in_time: error_ms.is_some_and(|e| e.abs() <= first.narrow.ms()),
        together: strike.iter().any(|&n| expected.notes[n].rolled)
            || speed.stretch_ms(errors.width().ms()) <= TOGETHER_MS,
        notes: strike,
    }
}

/// The extras within the counted window of a strike.
fn near(strike: &NoteScore, extras: &[Extra]) -> std::ops::Range<usize> {
    let (from, to) = (strike.expected_at - strike.window, strike.expected_at + strike.window);
    let start = extras.partition_point(|e| e.note.played_at < from);
    start..start + extras[start..].partition_point(|e| e.note.played_at <= to)
}

/// For every missed note an extra of its name, the nearest on the keyboard; `None` unless there is one for each.
fn stand_ins(missed: &[usize], notes: &[NoteScore], extras: &[Extra]) -> Option<Vec<usize>> {
    let mut taken: Vec<usize> = Vec::new();
    for &note in missed {
        let key = notes[note].key.number();
        let fits = |&e: &usize| {
            let other = extras[e].note.key.number();
            extras[e].note.kind == ExtraKind::Wrong
                && other != key
                && other % 12 == key % 12
                && !taken.contains(&e)
        };
        let nearest =
            (0..extras.len()).filter(fits).min_by_key(|&e| extras[e].note.key.number().abs_diff(key))?;
        taken.push(nearest);
    }
    Some(taken)
}

fn verdict(
    notes_in_strike: usize,
    missed: &[usize],
    stand_ins: Option<&[usize]>,
    extras: &[Extra],
    notes: &[NoteScore],
) -> StrikeVerdict {
    if missed.is_empty() {
        return StrikeVerdict::Right;
    }
    let all_missed = missed.len() == notes_in_strike;
    let Some(stand_ins) = stand_ins else {
        let something = extras.iter().any(|e| e.note.kind == ExtraKind::Wrong);
        return match (all_missed, something) {
            (false, _) => StrikeVerdict::Part,
            (true, true) => StrikeVerdict::Wrong,
            (true, false) => StrikeVerdict::Missed,
        };
    };
    let moved = |(&note, &extra): (&usize, &usize)| {
        extras[extra].note.key.number() as i8 - notes[note].key.number() as i8
    };
    let mut shifts = missed.iter().zip(stand_ins).map(moved);
    let first = shifts.next().unwrap_or(0);
    if all_missed && shifts.all(|s| s == first) {
        StrikeVerdict::OtherOctave(first)
    } else {
        StrikeVerdict::OtherInversion
    }
}
