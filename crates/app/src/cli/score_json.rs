//! The JSON document of `overhand score`.

use super::score::Verdict;
use practice::{BarScore, ExtraNote, NoteScore};
use serde::Serialize;

/// The whole score. Times at the chart's tempo, in milliseconds.
#[derive(Serialize)]
pub struct ScoreJson {
    expected: usize,
    played: usize,
    matched: usize,
    missed: usize,
    extra: usize,
    precision: f64,
    recall: f64,
    f1: f64,
    window_ms: Option<f64>,
    offset_ms: f64,
    speed: f64,
    mean_ms: Option<f64>,
    median_ms: Option<f64>,
    spread_ms: Option<f64>,
    bars: Vec<BarJson>,
    notes: Vec<NoteJson>,
    extras: Vec<ExtraJson>,
    /// The right keys, all of them off by so much.
    steady_shift_ms: Option<f64>,
    /// Octaves by which the keys would have to be moved to be right.
    octave_offer: Option<i8>,
    /// Bar by bar what is to be said of the pedal; only if it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pedal: Option<Vec<PedalJson>>,
}

#[derive(Serialize)]
struct PedalJson {
    bar: usize,
    text: String,
}

#[derive(Serialize)]
struct BarJson {
    bar: usize,
    section: String,
    expected: usize,
    matched: usize,
    extra: usize,
    mean_ms: Option<f64>,
    clean: bool,
}

#[derive(Serialize)]
struct NoteJson {
    bar: usize,
    hand: &'static str,
    start: f64,
    midi: u8,
    expected_ms: f64,
    played_ms: Option<f64>,
    error_ms: Option<f64>,
    window_ms: f64,
    in_time: bool,
}

#[derive(Serialize)]
struct ExtraJson {
    bar: usize,
    midi: u8,
    played_ms: f64,
}

impl ScoreJson {
    /// The document of a verdict.
    pub fn new(verdict: &Verdict) -> ScoreJson {
        let score = &verdict.score;
        let words = |bar: &BarScore| {
            let text = verdict.pedal.as_ref()?.words(bar.bar)?;
            Some(PedalJson { bar: bar.bar, text })
        };
        ScoreJson {
            expected: score.expected,
            played: score.played,
            matched: score.matched,
            missed: score.missed,
            extra: score.extra,
            precision: score.precision,
            recall: score.recall,
            f1: score.f1,
            window_ms: score.window.map(|window| window.ms()),
            offset_ms: score.offset.ms(),
            speed: score.speed.percent(),
            mean_ms: score.mean_ms,
            median_ms: score.median_ms,
            spread_ms: score.spread_ms,
            bars: score.bars.iter().map(bar_json).collect(),
            notes: score.notes.iter().map(note_json).collect(),
            extras: score.extras.iter().map(extra_json).collect(),
            steady_shift_ms: score.steady_shift.map(|shift| shift.by.ms()),
            octave_offer: verdict.octave_offer.map(|semitones| semitones / 12),
            pedal: verdict.pedal.as_ref().map(|_| score.bars.iter().filter_map(words).collect()),
        }
    }
}

fn bar_json(bar: &BarScore) -> BarJson {
    BarJson {
        bar: bar.bar,
        section: bar.section.clone(),
        expected: bar.expected,
        matched: bar.matched,
        extra: bar.extra,
        mean_ms: bar.mean_ms,
        clean: bar.clean,
    }
}

fn note_json(note: &NoteScore) -> NoteJson {
    NoteJson {
        bar: note.bar,
        hand: note.hand.name(),
        start: note.start.to_f64(),
        midi: note.key.number(),
        expected_ms: note.expected_at.ms(),
        played_ms: note.played_at.map(|at| at.ms()),
        error_ms: note.error.map(|error| error.ms()),
        window_ms: note.window.ms(),
        in_time: note.in_time,
    }
}

fn extra_json(extra: &ExtraNote) -> ExtraJson {
    ExtraJson { bar: extra.bar, midi: extra.key.number(), played_ms: extra.played_at.ms() }
}
