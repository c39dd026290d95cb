//! How late sound and screen are, from taps to a click and to a light.
//!
//! What a row of taps measures is a sum, and its parts cannot all be told apart:
//!
//! - taps to a click = delay of the sound + delay of the keys - the player's own lead over a click
//! - taps to a light = delay of the screen + delay of the keys - the player's own lead over a light
//!
//! Players tap some tens of milliseconds before a click, trained ones less (Aschersleben 2002). To take the first row for
//! the latency would hide that lead in it, and would then call the same lead "on the beat". The difference of the two rows
//! frees the result of the delay of the keys, and of as much of the lead as goes with both; it tells how much later the
//! sound is than the light. That is all that is suggested, beside what the rows were. How far the lead over a click
//! differs from that over a light is the player's and stays unknown: no figure here says otherwise.
//!
//! Nothing is applied by this module.

use crate::Stamp;
use crate::mapping::{MAD_TO_DEVIATION, median};

/// So many beats at the beginning are for getting into the beat and are not counted.
pub const LEAD_IN_BEATS: usize = 4;
/// Fewer taps than this say too little.
pub const FEWEST_TAPS: usize = 12;
/// Taps that scatter by more say too little, in milliseconds; beginners tap within some 50 (common practice, no source).
const MOST_SCATTER_MS: f64 = 60.0;
/// A tap further from its beat than this share of the gap between beats belongs to none.
const REACH: f64 = 0.4;
/// A tap further from the median than so many deviations is a slip.
const SLIP_DEVIATIONS: f64 = 3.5;
/// Never are taps nearer than this to the median slips, in milliseconds.
const NO_SLIP_MS: f64 = 15.0;
/// From the deviation of single taps to that of their median (normal errors; a textbook constant, from memory).
const MEDIAN_ERROR: f64 = 1.2533;
/// Nineteen times in twenty (normal errors).
const NINETEEN_OF_TWENTY: f64 = 1.96;

/// What one row of taps says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TapRow {
    /// Taps against their beats, the median in milliseconds; negative is early.
    pub median_ms: f64,
    /// Nineteen times in twenty the true value lies no further from it.
    pub uncertainty_ms: f64,
    /// How far single taps scatter: a standard deviation, slips left out.
    pub scatter_ms: f64,
    /// Taps that were counted.
    pub counted: usize,
    /// Taps that were left out as slips: doubled, between beats, or far from all others.
    pub slips: usize,
    /// Beats that nobody tapped to.
    pub missed: usize,
}

/// Why a row says too little, and what to do.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TapTrouble {
    /// Too few.
    #[error(
        "only {0} taps could be counted: tap once to every beat, at least {FEWEST_TAPS} times after the first {LEAD_IN_BEATS}"
    )]
    TooFew(usize),
    /// Too scattered.
    #[error(
        "the taps scatter by {0:.0} ms, too much to tell a delay from: try a slower beat, or tap with one finger on one key"
    )]
    TooScattered(f64),
    /// The beats themselves are no row.
    #[error("there was no steady beat to tap to: start the calibration again")]
    NoBeat,
}

/// Measures one row: taps, in any order, against the beats that they were tapped to, in order of time.
///
/// # Errors
/// Where the taps are too few or too scattered to say anything.
///
/// ```
/// use practice::{Stamp, latency::measure_taps};
/// let beats: Vec<Stamp> = (0..20).map(|n| Stamp::from_ms(600.0 * n as f64)).collect();
/// let taps: Vec<Stamp> = beats.iter().map(|b| b.plus_ms(24.0)).collect();
/// assert_eq!(measure_taps(&beats, &taps).expect("twenty steady taps").median_ms, 24.0);
/// assert!(measure_taps(&beats, &taps[..9]).is_err());
/// ```
pub fn measure_taps(beats: &[Stamp], taps: &[Stamp]) -> Result<TapRow, TapTrouble> {
    let gaps = beats.windows(2).map(|w| w[1].ms_since(w[0])).collect();
    let gap = median(gaps).filter(|g| *g > 0.0).ok_or(TapTrouble::NoBeat)?;
    let counted = beats.get(LEAD_IN_BEATS..).unwrap_or_default();
    let first = counted.first().ok_or(TapTrouble::TooFew(0))?.plus_ms(-gap / 2.0);
    let last = counted.last().map_or(first, |b| b.plus_ms(gap / 2.0));
    let mut taps: Vec<Stamp> = taps.iter().copied().filter(|t| (first..last).contains(t)).collect();
    taps.sort_unstable();
    let errors = nearest(counted, &taps, REACH * gap);
    let missed = counted.len() - errors.len();
    if errors.len() < FEWEST_TAPS {
        return Err(TapTrouble::TooFew(errors.len()));
    }
    let (middle, scatter) = middle(&errors);
    let limit = (SLIP_DEVIATIONS * scatter).max(NO_SLIP_MS);
    let kept: Vec<f64> = errors.into_iter().filter(|e| (e - middle).abs() <= limit).collect();
    let (median_ms, scatter_ms) = self::middle(&kept);
    match kept.len() {
        n if n < FEWEST_TAPS => Err(TapTrouble::TooFew(n)),
        _ if scatter_ms > MOST_SCATTER_MS => Err(TapTrouble::TooScattered(scatter_ms)),
        n => Ok(TapRow {
            median_ms,
            uncertainty_ms: NINETEEN_OF_TWENTY * MEDIAN_ERROR * scatter_ms / (n as f64).sqrt(),
            scatter_ms,
            counted: n,
            slips: taps.len() - n,
            missed,
        }),
    }
}

/// Both rows, and what follows from them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibration {
    /// Taps to the click.
    pub click: TapRow,
    /// Taps to the light.
    pub light: TapRow,
}

impl Calibration {
    /// How much later the sound is than the light, in milliseconds. What the device reports of itself was already taken
    /// into account when the clicks were placed, so that this is what it does not report.
    pub fn sound_after_light_ms(&self) -> f64 {
        self.click.median_ms - self.light.median_ms
    }

    /// Nineteen times in twenty the true difference lies no further from it.
    pub fn uncertainty_ms(&self) -> f64 {
        self.click.uncertainty_ms.hypot(self.light.uncertainty_ms)
    }

    /// What may be set as the delay of the sound, if the player agrees; `None` where the measured difference cannot be
    /// told from none. Never the taps to the click as they are: the player's own lead is in those.
    pub fn suggested_ms(&self) -> Option<f64> {
        let difference = self.sound_after_light_ms();
        (difference.abs() > self.uncertainty_ms()).then_some(difference)
    }

    /// For a musician.
    pub fn text(&self) -> String {
        let row = |r: &TapRow| {
            let way = if r.median_ms < 0.0 { "before" } else { "after" };
            format!("{:.0} ms {way} (give or take {:.0})", r.median_ms.abs(), r.uncertainty_ms)
        };
        let way = if self.sound_after_light_ms() < 0.0 { "earlier" } else { "later" };
        let difference = match self.suggested_ms() {
            Some(ms) => format!(
                "The sound seems {:.0} ms {way} than the light, give or take {:.0}.",
                ms.abs(),
                self.uncertainty_ms()
            ),
            None => format!(
                "No delay of the sound against the light could be told, down to {:.0} ms.",
                self.uncertainty_ms()
            ),
        };
        format!(
            "You tapped {} the click and {} the light. {difference} Most players tap somewhat before a click; that is \
             yours and is not taken off.",
            row(&self.click),
            row(&self.light)
        )
    }
}

/// The error of the tap nearest to each beat, in milliseconds; beats without one are left out.
fn nearest(beats: &[Stamp], taps: &[Stamp], reach_ms: f64) -> Vec<f64> {
    let error = |beat: &Stamp| {
        let errors = taps.iter().map(|t| t.ms_since(*beat)).filter(|e| e.abs() <= reach_ms);
        errors.min_by(|a, b| a.abs().total_cmp(&b.abs()))
    };
    beats.iter().filter_map(error).collect()
}

fn middle(errors: &[f64]) -> (f64, f64) {
    let middle = median(errors.to_vec()).unwrap_or(0.0);
    let scatter = median(errors.iter().map(|e| (e - middle).abs()).collect()).unwrap_or(0.0);
    (middle, scatter * MAD_TO_DEVIATION)
}
