//! How ready bars and changes are, as JSON.

use practice::learn::{Chance, ChangeReady, Ready};
use serde::Serialize;
use theory::Hand;

/// A chance with its bounds: in eight cases of ten it lies between them.
#[derive(Serialize)]
pub struct ChanceJson {
    mean: f64,
    low: f64,
    high: f64,
}

/// How likely something is clean at the tempo.
#[derive(Serialize)]
pub struct ReadyJson {
    today: ChanceJson,
    #[serde(skip_serializing_if = "Option::is_none")]
    on_the_day: Option<ChanceJson>,
    /// Each hand alone today, where it was heard alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    right: Option<ChanceJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left: Option<ChanceJson>,
}

/// A change from chord to chord. Bars and chords count from 0, as `hard` does.
#[derive(Serialize)]
pub struct ChangeJson {
    bar: usize,
    chord: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    right_moves: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_moves: Option<String>,
    /// How often it was heard with both hands; 0 where the chance is a guess from the others.
    heard: u32,
    #[serde(flatten)]
    ready: ReadyJson,
}

impl ChanceJson {
    /// Rounded to four places.
    pub fn of(chance: Chance) -> ChanceJson {
        let rounded = |p: f64| (p * 1e4).round() / 1e4;
        ChanceJson { mean: rounded(chance.mean), low: rounded(chance.low), high: rounded(chance.high) }
    }
}

impl ReadyJson {
    /// With each hand alone, right and left.
    pub fn of(ready: Ready, [right, left]: [Option<Chance>; 2]) -> ReadyJson {
        ReadyJson {
            today: ChanceJson::of(ready.today),
            on_the_day: ready.on_the_day.map(ChanceJson::of),
            right: right.map(ChanceJson::of),
            left: left.map(ChanceJson::of),
        }
    }
}

impl ChangeJson {
    /// A change as it is known.
    pub fn of(known: &ChangeReady) -> ChangeJson {
        let moves = |hand: Hand| known.change.of(hand).map(|moves| moves.text(hand));
        ChangeJson {
            bar: known.change.bar,
            chord: known.change.slot,
            right_moves: moves(Hand::Right),
            left_moves: moves(Hand::Left),
            heard: known.heard,
            ready: ReadyJson::of(known.ready, known.alone),
        }
    }
}
