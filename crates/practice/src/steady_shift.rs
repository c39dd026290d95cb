//! The right keys, steadily beside the beat by more than counts. The score is what it is; this says why.

use crate::lanes::Lanes;
use crate::offset::best_shift_around;
use crate::{ChartTime, Expected};

/// How far the right keys of a take lie beside their times, all of them alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyShift {
    /// Played minus expected: negative is early.
    pub by: ChartTime,
    /// The same in beats of the bar in the middle of the take.
    pub beats: f64,
    /// How many notes would match if it were taken off.
    pub matched: usize,
}

/// It is looked for up to so many beats on either side.
const REACH_BEATS: f64 = 2.0;
/// Fewer expected notes than this say too little.
const FEWEST: usize = 8;

/// Looked for where fewer than half of the notes match as they lie; found where three in four match under one shift.
pub(crate) fn steady_shift(
    expected: &Expected,
    lanes: &Lanes,
    offset: ChartTime,
    matched: usize,
) -> Option<SteadyShift> {
    let all = expected.notes.len();
    if all < FEWEST || 2 * matched >= all {
        return None;
    }
    let middle = expected.position_of(expected.notes[all / 2].bar)?;
    let beat_ms = expected.bars[middle].beat_ms;
    let reach = ChartTime::from_ms(REACH_BEATS * beat_ms).micros();
    let least = (3 * all).div_ceil(4);
    let (shift, matched) = best_shift_around(lanes, offset.micros(), reach, least);
    let by = ChartTime::from_micros(shift) - offset;
    (matched >= least).then(|| SteadyShift { by, beats: by.ms() / beat_ms, matched })
}
