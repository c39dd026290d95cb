//! What a take was played to: the chart's meters and tempi over the stretch that was played, and how fast.

use crate::{ChartTime, LoopBars, Speed, Timeline};
use song::{Meter, Quarters};

/// Ticks in a quarter of the grid that takes are kept on, which is that of the files they are written to. All bar lines
/// lie on it. A tick lasts 16 µs at 120 quarters a minute; one byte on a MIDI wire takes 320 µs (MIDI 1.0).
pub const TICKS_PER_QUARTER: i64 = 30_720;
/// No take is longer.
const MOST_TICKS: i64 = 1 << 40;
/// From 20 of the shortest beats (a 32nd) to 300 of the longest (a whole note).
const QUARTERS_PER_MINUTE: std::ops::RangeInclusive<f64> = 2.0..=1500.0;

/// From a tick on the chart has this tempo and is played this fast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TempoStep {
    /// Since when, from the first bar line of the take.
    pub tick: i64,
    /// The chart's tempo.
    pub quarters_per_minute: f64,
    /// How fast it was played.
    pub speed: Speed,
}

/// From a bar line on bars have this meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MeterStep {
    /// Since when, from the first bar line of the take.
    pub tick: i64,
    /// The meter.
    pub meter: Meter,
}

/// The chart under a take, from the bar that it begins in. It joins ticks and chart time; speeds do not come into that,
/// they tell how long the ticks lasted as played.
///
/// ```
/// use practice::{ChartTime, LoopBars, Speed, TICKS_PER_QUARTER, TakeTempo, Timeline};
/// let waltz = song::Meter::new(3, 4).expect("3/4 is a meter");
/// let timeline = Timeline::of_bars([90.0, 60.0].map(|tempo| (waltz, waltz.beat(false), tempo)));
/// let tempo = TakeTempo::of_bars(&timeline, LoopBars::new(0, 1), &[(0.0, Speed::FULL)]);
/// // Three quarters at 90 and one at 60 are three seconds.
/// assert_eq!(tempo.tick(ChartTime::from_ms(3000.0)), 4 * TICKS_PER_QUARTER);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct TakeTempo {
    start: ChartTime,
    tempi: Vec<TempoStep>,
    /// Where each of these begins, in milliseconds of the chart.
    starts_ms: Vec<f64>,
    meters: Vec<MeterStep>,
}

impl TakeTempo {
    /// By its steps: the chart time of its first bar line; tempi and meters in order of time, each from tick 0 on. `None` if
    /// they are not, or no tempo of a chart.
    pub fn new(start: ChartTime, tempi: Vec<TempoStep>, meters: Vec<MeterStep>) -> Option<TakeTempo> {
        let in_order = |ticks: &[i64]| ticks.first() == Some(&0) && ticks.is_sorted_by(|a, b| a < b);
        let of_tempi: Vec<i64> = tempi.iter().map(|t| t.tick).collect();
        let of_meters: Vec<i64> = meters.iter().map(|m| m.tick).collect();
        let ends = of_tempi.last().max(of_meters.last()).is_some_and(|last| *last <= MOST_TICKS);
        let possible = tempi.iter().all(|t| QUARTERS_PER_MINUTE.contains(&t.quarters_per_minute));
        if !(in_order(&of_tempi) && in_order(&of_meters) && ends && possible) {
            return None;
        }
        let (mut at, mut starts_ms) = (start.ms(), vec![start.ms()]);
        for (step, next) in tempi.iter().zip(&of_tempi[1..]) {
            at += (next - step.tick) as f64 * step.tick_ms();
            starts_ms.push(at);
        }
        Some(TakeTempo { start, tempi, starts_ms, meters })
    }

    /// Bars in 4/4 at 120 from the first bar line of the song on, for a take of which no more is known than its speed.
    pub fn unknown(speed: Speed) -> TakeTempo {
        let tempo = TempoStep { tick: 0, quarters_per_minute: 120.0, speed };
        let meter = MeterStep { tick: 0, meter: Meter::new(4, 4).expect("4/4 is a meter") };
        TakeTempo { start: ChartTime::ZERO, tempi: vec![tempo], starts_ms: vec![0.0], meters: vec![meter] }
    }

    /// These bars of a timeline, played at these speeds: each since when, in chart milliseconds, in order of time. The first
    /// one holds from the beginning. Bars beyond the timeline are left out; without any, nothing is known.
    pub fn of_bars(timeline: &Timeline, bars: LoopBars, speeds: &[(f64, Speed)]) -> TakeTempo {
        let first_speed = speeds.first().map_or(Speed::FULL, |s| s.1);
        let last = bars.to().min(timeline.bars().len().saturating_sub(1));
        let Some(stretch) = timeline.bars().get(bars.from()..=last).filter(|bars| !bars.is_empty()) else {
            return TakeTempo::unknown(first_speed);
        };
        let (mut tempi, mut meters) = (Vec::<TempoStep>::new(), Vec::<MeterStep>::new());
        for bar in stretch {
            let tick = ticks(bar.start - stretch[0].start);
            let quarters_per_minute = bar.quarters_per_minute;
            if tempi.last().is_none_or(|t| t.quarters_per_minute != quarters_per_minute) {
                tempi.push(TempoStep { tick, quarters_per_minute, speed: first_speed });
            }
            if meters.last().is_none_or(|m| m.meter != bar.meter) {
                meters.push(MeterStep { tick, meter: bar.meter });
            }
        }
        let start = ChartTime::from_ms(stretch[0].start_ms);
        let chart = TakeTempo::new(start, tempi, meters);
        chart.map_or_else(|| TakeTempo::unknown(first_speed), |chart| chart.played_at(speeds))
    }

    /// Where the take's first bar line lies.
    pub fn start(&self) -> ChartTime {
        self.start
    }

    /// The tempi; the first holds from tick 0 on, and before it.
    pub fn tempi(&self) -> &[TempoStep] {
        &self.tempi
    }

    /// The meters; the first holds from tick 0 on, and before it.
    pub fn meters(&self) -> &[MeterStep] {
        &self.meters
    }

    /// The ticks of the first bar.
    pub fn first_bar(&self) -> i64 {
        ticks(self.meters[0].meter.length())
    }

    /// The nearest tick to a chart time, from the take's first bar line.
    pub fn tick(&self, at: ChartTime) -> i64 {
        let index = self.starts_ms.partition_point(|ms| *ms <= at.ms()).saturating_sub(1);
        let step = &self.tempi[index];
        (step.tick as f64 + (at.ms() - self.starts_ms[index]) / step.tick_ms()).round() as i64
    }

    /// The chart time of a tick.
    pub fn time(&self, tick: i64) -> ChartTime {
        let index = self.tempi.partition_point(|t| t.tick <= tick).saturating_sub(1);
        let step = &self.tempi[index];
        let into = tick.saturating_sub(step.tick) as f64;
        ChartTime::from_ms(self.starts_ms[index] + into * step.tick_ms())
    }

    /// How long it took as it was played from the take's first bar line to a chart time, in milliseconds; negative before
    /// that line. Each stretch counts at the speed that it was played at.
    pub fn played_ms(&self, at: ChartTime) -> f64 {
        let index = self.starts_ms.partition_point(|ms| *ms <= at.ms()).saturating_sub(1);
        let stretches = self.starts_ms.windows(2).zip(&self.tempi).take(index);
        let before: f64 = stretches.map(|(ends, step)| step.speed.stretch_ms(ends[1] - ends[0])).sum();
        before + self.tempi[index].speed.stretch_ms(at.ms() - self.starts_ms[index])
    }

    /// The chart time to which so many milliseconds of playing lead from the take's first bar line, the other way round.
    pub fn chart_ms(&self, played_ms: f64) -> f64 {
        let mut index = 0;
        let mut rest = played_ms;
        while let Some(next) = self.starts_ms.get(index + 1) {
            let stretch = self.tempi[index].speed.stretch_ms(next - self.starts_ms[index]);
            if rest < stretch {
                break;
            }
            rest -= stretch;
            index += 1;
        }
        self.starts_ms[index] + self.tempi[index].speed.shrink_ms(rest)
    }

    /// The chart time on the grid that is nearest.
    pub(crate) fn on_grid(&self, at: ChartTime) -> ChartTime {
        self.time(self.tick(at))
    }

    fn played_at(&self, speeds: &[(f64, Speed)]) -> TakeTempo {
        let changes: Vec<(i64, Speed)> =
            speeds.iter().map(|(ms, speed)| (self.tick(ChartTime::from_ms(*ms)), *speed)).collect();
        let of_changes = changes.iter().map(|c| c.0).filter(|tick| (0..MOST_TICKS).contains(tick));
        let mut at: Vec<i64> = self.tempi.iter().map(|t| t.tick).chain(of_changes).collect();
        at.sort_unstable();
        let mut tempi: Vec<TempoStep> = Vec::new();
        for tick in at {
            let tempo = self.tempi[self.tempi.partition_point(|t| t.tick <= tick).saturating_sub(1)];
            let speed = changes.iter().rfind(|c| c.0 <= tick).map_or(tempo.speed, |c| c.1);
            let same = |t: &TempoStep| (t.quarters_per_minute, t.speed) == (tempo.quarters_per_minute, speed);
            if !tempi.last().is_some_and(same) {
                tempi.push(TempoStep { tick, speed, ..tempo });
            }
        }
        let meters = self.meters.clone();
        TakeTempo::new(self.start, tempi, meters).unwrap_or_else(|| self.clone())
    }
}

impl TempoStep {
    /// How long a tick lasts at the chart's tempo, in milliseconds.
    fn tick_ms(&self) -> f64 {
        60_000.0 / (self.quarters_per_minute * TICKS_PER_QUARTER as f64)
    }

    /// How long a quarter lasted as it was played, in microseconds.
    pub fn quarter_micros(&self) -> f64 {
        60e6 / self.quarters_per_minute / self.speed.ratio()
    }
}

/// Meters are over powers of two up to 32: nothing is rounded.
fn ticks(quarters: Quarters) -> i64 {
    let (upper, lower) = quarters.fraction();
    upper * TICKS_PER_QUARTER / lower
}

#[cfg(test)]
mod tests {
    use super::*;

    fn speed(percent: f64) -> Speed {
        Speed::new(percent).unwrap()
    }

    /// By hand: a bar of 3/4 at 90 lasts 2000 ms, a bar of 4/4 at 60 four seconds.
    fn chart(bars: LoopBars, speeds: &[(f64, Speed)]) -> TakeTempo {
        let bar = |upper, tempo| {
            let meter = Meter::new(upper, 4).unwrap();
            (meter, meter.beat(false), tempo)
        };
        let timeline = Timeline::of_bars([bar(3, 90.0), bar(3, 90.0), bar(4, 60.0), bar(4, 60.0)]);
        TakeTempo::of_bars(&timeline, bars, speeds)
    }

    #[test]
    fn a_stretch_begins_at_its_own_first_bar_line() {
        let tempo = chart(LoopBars::new(1, 3), &[(0.0, speed(50.0))]);
        assert_eq!(tempo.start(), ChartTime::from_ms(2000.0));
        let steps: Vec<(i64, f64)> = tempo.tempi().iter().map(|t| (t.tick, t.quarters_per_minute)).collect();
        assert_eq!(steps, [(0, 90.0), (3 * TICKS_PER_QUARTER, 60.0)]);
        let meters: Vec<(i64, u8)> = tempo.meters().iter().map(|m| (m.tick, m.meter.upper())).collect();
        assert_eq!(meters, [(0, 3), (3 * TICKS_PER_QUARTER, 4)]);
        assert_eq!(tempo.tempi()[1].quarter_micros(), 2_000_000.0, "a second, at half the speed");
        assert_eq!(tempo.tick(ChartTime::from_ms(5000.0)), 4 * TICKS_PER_QUARTER);
        assert_eq!(tempo.time(-3 * TICKS_PER_QUARTER), ChartTime::ZERO, "the bar before");
    }

    #[test]
    fn speeds_hold_from_where_they_were_set() {
        let speeds = [(-500.0, speed(50.0)), (1000.0, speed(80.0)), (3000.0, speed(100.0))];
        let tempo = chart(LoopBars::new(0, 3), &speeds);
        let steps: Vec<(f64, f64, f64)> = tempo
            .tempi()
            .iter()
            .map(|t| (tempo.time(t.tick).ms(), t.quarters_per_minute, t.speed.percent()))
            .collect();
        assert_eq!(
            steps,
            [(0.0, 90.0, 50.0), (1000.0, 90.0, 80.0), (3000.0, 90.0, 100.0), (4000.0, 60.0, 100.0)]
        );
        assert_eq!(chart(LoopBars::new(1, 2), &speeds).tempi()[0].speed, speed(80.0), "set before it began");
    }

    #[test]
    fn what_was_played_lasted_as_long_as_its_speeds_made_it() {
        let speeds = [(0.0, speed(50.0)), (1000.0, speed(80.0)), (3000.0, speed(100.0))];
        let tempo = chart(LoopBars::new(0, 3), &speeds);
        let at = ChartTime::from_ms;
        // By hand: 1000 ms at half the speed are 2000, 2000 at 80 % are 2500.
        for (chart, played) in [
            (-100.0, -200.0),
            (0.0, 0.0),
            (1000.0, 2000.0),
            (1800.0, 3000.0),
            (3000.0, 4500.0),
            (6000.0, 7500.0),
        ] {
            assert!((tempo.played_ms(at(chart)) - played).abs() < 0.05, "{chart}");
            assert!((tempo.chart_ms(played) - chart).abs() < 0.05, "{played}");
        }
        let later = chart(LoopBars::new(1, 3), &speeds);
        assert!(later.played_ms(at(2000.0)).abs() < 1e-9, "counted from its own first bar line");
    }

    #[test]
    fn a_place_on_the_grid_stays_where_it_is() {
        let tempo = chart(LoopBars::new(0, 3), &[(0.0, Speed::FULL)]);
        for at in (-1_000_000..15_000_000).step_by(1237).map(ChartTime::from_micros) {
            let there = tempo.on_grid(at);
            assert_eq!((tempo.on_grid(there), tempo.tick(there)), (there, tempo.tick(at)));
            assert!((there - at).abs() <= ChartTime::from_micros(17), "half a tick at 60");
        }
    }

    #[test]
    fn steps_that_make_no_chart_are_refused() {
        let tempo = |tick, quarters_per_minute| TempoStep { tick, quarters_per_minute, speed: Speed::FULL };
        let meter = |tick| MeterStep { tick, meter: Meter::new(4, 4).unwrap() };
        let new = |tempi: &[TempoStep], meters: &[MeterStep]| {
            TakeTempo::new(ChartTime::ZERO, tempi.to_vec(), meters.to_vec()).is_some()
        };
        assert!(new(&[tempo(0, 60.0), tempo(1, 61.0)], &[meter(0)]));
        assert!(!new(&[], &[meter(0)]) && !new(&[tempo(0, 60.0)], &[]));
        assert!(!new(&[tempo(1, 60.0)], &[meter(0)]), "it begins too late");
        assert!(!new(&[tempo(0, 60.0), tempo(0, 61.0)], &[meter(0)]), "two at once");
        assert!(!new(&[tempo(0, f64::NAN)], &[meter(0)]) && !new(&[tempo(0, 0.0)], &[meter(0)]));
        assert!(!new(&[tempo(0, 60.0), tempo(i64::MAX, 60.0)], &[meter(0)]));
    }
}
