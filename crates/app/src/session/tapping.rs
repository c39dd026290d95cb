//! A row of taps to a click or to a light: when its beats come, and what was tapped. Without clock or thread.

use practice::latency::{LEAD_IN_BEATS, TapRow, TapTrouble, measure_taps};
use practice::{Accent, Cue, CueKind, Stamp};
use ui::TapTo;

/// Beats to tap to, after those of the lead-in: more than are needed, so that some may be missed.
const COUNTED: usize = 20;
/// Between two beats: an easy pace (common practice, no source).
const GAP_MS: f64 = 700.0;
/// Before the first.
const LEAD_MS: f64 = 900.0;
/// So long the light is on.
const LIT_MS: f64 = 110.0;

/// A row under way.
#[derive(Clone, Debug)]
pub struct Tapping {
    to: TapTo,
    beats: Vec<Stamp>,
    taps: Vec<Stamp>,
}

impl Tapping {
    /// A row that begins soon after `now`.
    pub fn start(to: TapTo, now: Stamp) -> Tapping {
        let beat = |n: usize| now.plus_ms(LEAD_MS + GAP_MS * n as f64);
        Tapping { to, beats: (0..LEAD_IN_BEATS + COUNTED).map(beat).collect(), taps: Vec::new() }
    }

    /// A tap.
    pub fn tap(&mut self, at: Stamp) {
        self.taps.push(at);
    }

    /// The clicks from one moment up to, and without, another; a row to the light is silent.
    pub fn cues(&self, from: Stamp, to: Stamp) -> Vec<Cue> {
        if self.to == TapTo::Light {
            return Vec::new();
        }
        let due = self.beats.iter().filter(|beat| (from..to).contains(*beat));
        due.map(|beat| Cue { at: *beat, kind: CueKind::Click(Accent::Beat) }).collect()
    }

    /// What the window shows of it.
    pub fn shown(&self, now: Stamp) -> ui::Tapping {
        let beat = self.beats.partition_point(|beat| *beat <= now);
        let since = beat.checked_sub(1).map(|last| now.ms_since(self.beats[last]));
        let lit = self.to == TapTo::Light && since.is_some_and(|ms| ms < LIT_MS);
        ui::Tapping { to: self.to, beat, of: self.beats.len(), lit }
    }

    /// What is tapped to.
    pub fn to(&self) -> TapTo {
        self.to
    }

    /// Whether the last beat, with the taps that may still belong to it, has gone by.
    pub fn is_over(&self, now: Stamp) -> bool {
        self.beats.last().is_some_and(|last| now.ms_since(*last) > GAP_MS / 2.0)
    }

    /// What the row says.
    ///
    /// # Errors
    /// Where it says too little.
    pub fn measure(&self) -> Result<TapRow, TapTrouble> {
        measure_taps(&self.beats, &self.taps)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(ms: f64) -> Stamp {
        Stamp::from_ms(ms)
    }

    #[test]
    fn every_beat_clicks_once_and_the_light_is_silent() {
        let row = Tapping::start(TapTo::Click, ms(0.0));
        let cues: Vec<Cue> =
            (0..2000).flat_map(|n| row.cues(ms(f64::from(n) * 10.0), ms(f64::from(n + 1) * 10.0))).collect();
        assert_eq!(cues.len(), 24);
        assert!(Tapping::start(TapTo::Light, ms(0.0)).cues(ms(0.0), ms(20_000.0)).is_empty());
    }

    #[test]
    fn the_light_is_on_for_a_moment_at_each_beat() {
        let row = Tapping::start(TapTo::Light, ms(0.0));
        let lit = |at: f64| row.shown(ms(at)).lit;
        assert!(!lit(899.0) && lit(900.0) && lit(1000.0) && !lit(1011.0) && lit(1600.0));
        assert!(!Tapping::start(TapTo::Click, ms(0.0)).shown(ms(950.0)).lit);
    }

    #[test]
    fn taps_are_measured_against_their_beats() {
        let mut row = Tapping::start(TapTo::Click, ms(0.0));
        (0..24).for_each(|n| row.tap(ms(900.0 + 700.0 * f64::from(n) - 18.0)));
        assert_eq!(row.measure().unwrap().median_ms, -18.0);
        assert!(!row.is_over(ms(900.0 + 700.0 * 23.0)) && row.is_over(ms(900.0 + 700.0 * 23.5 + 1.0)));
    }
}
