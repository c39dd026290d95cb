//! From ticks to whole microseconds.

use midly::Timing;
use practice::ChartTime;

/// A quarter lasts half a second until a file says otherwise (Standard MIDI Files 1.0: 120 a minute).
pub(crate) const DEFAULT_TEMPO: u32 = 500_000;

/// When every tick comes. Sums are exact; only the result is rounded to whole microseconds.
#[derive(Clone, Debug)]
pub(crate) struct TempoMap {
    steps: Vec<Step>,
    /// What the unit of `Step::at` is divided by to make microseconds.
    divisor: i128,
    ticks_per_quarter: u32,
}

/// From a tick on, every tick lasts so many units.
#[derive(Clone, Copy, Debug)]
struct Step {
    tick: u64,
    at: i128,
    units_per_tick: i128,
}

impl TempoMap {
    /// From the file's division and its tempos (tick, microseconds a quarter) in order of time. `None` if a tick has no
    /// length. Where the division is in frames of a second, tempos change nothing and a quarter counts as half a second.
    pub fn new(timing: Timing, tempos: &[(u64, u32)]) -> Option<TempoMap> {
        match timing {
            Timing::Metrical(division) => TempoMap::metrical(u32::from(division.as_int()), tempos),
            Timing::Timecode(fps, subframes) => TempoMap::timecode(fps, subframes),
        }
    }

    fn metrical(ticks_per_quarter: u32, tempos: &[(u64, u32)]) -> Option<TempoMap> {
        if ticks_per_quarter == 0 {
            return None;
        }
        let first = Step { tick: 0, at: 0, units_per_tick: i128::from(DEFAULT_TEMPO) };
        let mut map =
            TempoMap { steps: vec![first], divisor: i128::from(ticks_per_quarter), ticks_per_quarter };
        for &(tick, tempo) in tempos.iter().filter(|t| t.1 > 0) {
            map.steps.push(Step { tick, at: map.units(tick), units_per_tick: i128::from(tempo) });
        }
        Some(map)
    }

    fn timecode(fps: midly::Fps, subframes: u8) -> Option<TempoMap> {
        // Frames a second as a fraction; 29 stands for 30/1.001.
        let (frames, seconds): (i128, i128) = match fps {
            midly::Fps::Fps24 => (24, 1),
            midly::Fps::Fps25 => (25, 1),
            midly::Fps::Fps29 => (30_000, 1001),
            midly::Fps::Fps30 => (30, 1),
        };
        let divisor = frames * i128::from(subframes);
        let ticks_per_quarter = (divisor / seconds / 2).max(1) as u32;
        let steps = vec![Step { tick: 0, at: 0, units_per_tick: 1_000_000 * seconds }];
        (subframes > 0).then_some(TempoMap { steps, divisor, ticks_per_quarter })
    }

    /// When a tick comes, to the nearest microsecond.
    pub fn time(&self, tick: u64) -> ChartTime {
        let rounded = (2 * self.units(tick) + self.divisor).div_euclid(2 * self.divisor);
        ChartTime::from_micros(i64::try_from(rounded).unwrap_or(i64::MAX))
    }

    /// How long a quarter lasts at a tick, in milliseconds.
    pub fn quarter_ms(&self, tick: u64) -> f64 {
        let units = self.step(tick).units_per_tick * i128::from(self.ticks_per_quarter);
        units as f64 / self.divisor as f64 / 1000.0
    }

    /// The changes of tempo at ticks of a range, each with the milliseconds that a quarter lasts from there on.
    pub fn changes(&self, ticks: std::ops::Range<u64>) -> impl Iterator<Item = (u64, f64)> {
        let from = self.steps.partition_point(|s| s.tick < ticks.start);
        let within = self.steps[from..].iter().take_while(move |s| s.tick < ticks.end);
        within.map(|s| (s.tick, self.quarter_ms(s.tick)))
    }

    /// Ticks in a quarter.
    pub fn ticks_per_quarter(&self) -> u32 {
        self.ticks_per_quarter
    }

    fn units(&self, tick: u64) -> i128 {
        let step = self.step(tick);
        step.at + i128::from(tick - step.tick) * step.units_per_tick
    }

    fn step(&self, tick: u64) -> &Step {
        let after = self.steps.partition_point(|s| s.tick <= tick);
        &self.steps[after.saturating_sub(1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use midly::num::u15;

    // By hand: 480 ticks at 120 are half a second, 480 more at 60 a second; a third of a quarter is rounded.
    #[test]
    fn tempo_changes_add_up_exactly() {
        let map = TempoMap::new(Timing::Metrical(u15::new(480)), &[(480, 1_000_000)]).unwrap();
        assert_eq!([0, 480, 960].map(|t| map.time(t).micros()), [0, 500_000, 1_500_000]);
        assert_eq!(map.time(480 + 160).micros(), 833_333);
        assert_eq!(map.quarter_ms(480), 1000.0);
    }

    #[test]
    fn frames_of_a_second_divide_time_too() {
        let map = TempoMap::new(Timing::Timecode(midly::Fps::Fps25, 40), &[(0, 1)]).unwrap();
        assert_eq!(map.time(1000).micros(), 1_000_000, "25 frames of 40 ticks are a millisecond a tick");
        let drop = TempoMap::new(Timing::Timecode(midly::Fps::Fps29, 100), &[]).unwrap();
        assert_eq!(drop.time(3000).micros(), 1_001_000, "30 frames last 1.001 s");
    }

    #[test]
    fn ticks_without_length_are_refused() {
        assert!(TempoMap::new(Timing::Metrical(u15::new(0)), &[]).is_none());
        assert!(TempoMap::new(Timing::Timecode(midly::Fps::Fps24, 0), &[]).is_none());
    }
}
