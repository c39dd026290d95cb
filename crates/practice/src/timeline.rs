//! The timeline: where every bar and beat lies, in quarters and in milliseconds at the chart's tempo.

use crate::ChartTime;
use song::{Beat, Meter, Quarters};
use voicing::Part;

/// One bar in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarTime {
    /// Where it starts.
    pub start: Quarters,
    /// Its length.
    pub length: Quarters,
    /// Its meter.
    pub meter: Meter,
    /// What is counted in it.
    pub beat: Beat,
    /// Into how many parts a click divides a beat: as the bar asks, else three in a dotted beat and two in others.
    pub beat_parts: i64,
    /// Its tempo, in quarters a minute.
    pub quarters_per_minute: f64,
    /// Where it starts, in milliseconds, not rounded.
    pub start_ms: f64,
}

impl BarTime {
    /// Milliseconds a quarter lasts.
    pub fn ms_per_quarter(&self) -> f64 {
        60_000.0 / self.quarters_per_minute
    }
    /// Milliseconds a beat lasts.
    pub fn beat_ms(&self) -> f64 {
        self.ms_per_quarter() * self.beat.length.to_f64()
    }
    /// The tempo in beats a minute.
    pub fn beats_per_minute(&self) -> f64 {
        self.quarters_per_minute / self.beat.length.to_f64()
    }
    /// Where it ends.
    pub fn end(&self) -> Quarters {
        self.start + self.length
    }
    /// Where it ends, in milliseconds, not rounded.
    pub fn end_ms(&self) -> f64 {
        self.start_ms + self.ms_per_quarter() * self.length.to_f64()
    }
    /// The beat at a place in the bar, from 1; places outside the bar give the first or last beat.
    pub fn beat_at(&self, at: f64) -> u8 {
        let beat = ((at - self.start.to_f64()) / self.beat.length.to_f64()).floor();
        beat.clamp(0.0, f64::from(self.beat.count.max(1) - 1)) as u8 + 1
    }
}

/// One beat in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeatTime {
    /// Index of its bar.
    pub bar: usize,
    /// Its number in the bar, from 1.
    pub beat: u8,
    /// Where it lies.
    pub at: Quarters,
    /// Whether it is the first of its bar, which is accented.
    pub accent: bool,
}

/// Quarters and milliseconds at the chart's tempo, over all bars of a part. What lies before the first bar goes on at the
/// first bar's tempo, what lies after the last at the last one's.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Timeline {
    bars: Vec<BarTime>,
    count_in: Option<u8>,
}

impl Timeline {
    /// The timeline of a part.
    pub fn new(part: &Part) -> Timeline {
        let mut timeline = Timeline::of_bars(
            part.bars.iter().map(|b| (b.played.meter, b.played.beat, b.played.quarters_per_minute)),
        );
        for (time, bar) in timeline.bars.iter_mut().zip(&part.bars) {
            time.beat_parts = bar.played.beat_parts.map_or(time.beat_parts, |parts| parts.get().into());
        }
        timeline.count_in = part.count_in;
        timeline
    }

    /// A timeline of bars one after another, each with its meter, its beat and its tempo in quarters a minute.
    pub fn of_bars(bars: impl IntoIterator<Item = (Meter, Beat, f64)>) -> Timeline {
        let (mut start, mut start_ms) = (Quarters::ZERO, 0.0);
        let mut out = Vec::new();
        for (meter, beat, quarters_per_minute) in bars {
            let length = meter.length();
            let beat_parts = if beat.length.fraction().0 % 3 == 0 { 3 } else { 2 };
            let bar = BarTime { start, length, meter, beat, beat_parts, quarters_per_minute, start_ms };
            start += length;
            start_ms += bar.ms_per_quarter() * length.to_f64();
            out.push(bar);
        }
        Timeline { bars: out, count_in: None }
    }

    /// How many bars the song says are counted in before it.
    pub fn count_in(&self) -> Option<u8> {
        self.count_in
    }

    /// All bars.
    pub fn bars(&self) -> &[BarTime] {
        &self.bars
    }

    /// Where the last bar ends.
    pub fn end(&self) -> Quarters {
        self.bars.last().map_or(Quarters::ZERO, BarTime::end)
    }

    /// A place in milliseconds, not rounded.
    pub fn ms(&self, at: Quarters) -> f64 {
        self.ms_of(at.to_f64())
    }

    /// A place in chart time.
    pub fn time(&self, at: Quarters) -> ChartTime {
        ChartTime::from_ms(self.ms(at))
    }

    /// The place, in quarters, of a chart time.
    pub fn quarters(&self, at: ChartTime) -> f64 {
        self.quarters_of_ms(at.ms())
    }

    pub(crate) fn quarters_of_ms(&self, ms: f64) -> f64 {
        let bar = self.bars.partition_point(|b| b.start_ms <= ms).saturating_sub(1);
        self.bars.get(bar).map_or(0.0, |b| b.start.to_f64() + (ms - b.start_ms) / b.ms_per_quarter())
    }

    /// The bar at a chart time: before the first bar line the first, after the end the last; `None` without bars.
    pub fn bar_at(&self, at: ChartTime) -> Option<usize> {
        let after = self.bars.partition_point(|b| ChartTime::from_ms(b.start_ms) <= at);
        (!self.bars.is_empty()).then(|| after.saturating_sub(1))
    }

    /// Where a bar starts and ends; `None` beyond the last.
    pub fn span(&self, bar: usize) -> Option<(ChartTime, ChartTime)> {
        self.bars.get(bar).map(|b| (ChartTime::from_ms(b.start_ms), self.time(b.end())))
    }

    /// The beats of a bar; none beyond the last.
    pub fn beats(&self, bar: usize) -> Vec<BeatTime> {
        let Some(time) = self.bars.get(bar) else { return Vec::new() };
        (0..time.beat.count)
            .map(|n| BeatTime {
                bar,
                beat: n + 1,
                at: time.start + time.beat.length.times(i64::from(n)),
                accent: n == 0,
            })
            .collect()
    }

    fn ms_of(&self, at: f64) -> f64 {
        let bar = self.bars.partition_point(|b| b.start.to_f64() <= at).saturating_sub(1);
        self.bars.get(bar).map_or(0.0, |b| b.start_ms + (at - b.start.to_f64()) * b.ms_per_quarter())
    }
}
