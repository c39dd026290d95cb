//! The clocks, one type each, and every conversion between them.
//!
//! | type | counts | from |
//! | --- | --- | --- |
//! | [`Stamp`] | nanoseconds of the computer's monotonic clock | any fixed moment, the same for all stamps of a run |
//! | [`Frames`] | frames of one sound stream | the start of that stream |
//! | [`ChartTime`] | microseconds of the song at the chart's tempo | the first bar line |
//! | [`song::Quarters`] | written quarter notes | the first bar line |
//!
//! Quarters and chart time are joined by [`crate::Timeline`], chart time and stamps by [`crate::Transport`], frames and
//! stamps by [`ClockMap`], which [`ClockFollower`] keeps up to date.

pub use crate::clock_follower::{ClockBreak, ClockFollower, ClockLoss};
pub use crate::mapping::ClockMap;

/// A moment of the monotonic clock, in nanoseconds from a moment that the program fixes once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Stamp(i64);

impl Stamp {
    /// A moment by its nanoseconds.
    pub const fn from_nanos(nanos: i64) -> Stamp {
        Stamp(nanos)
    }
    /// A moment by milliseconds.
    pub fn from_ms(ms: f64) -> Stamp {
        Stamp((ms * 1e6).round() as i64)
    }
    /// In nanoseconds.
    pub const fn nanos(self) -> i64 {
        self.0
    }
    /// This moment so many milliseconds later; negative is earlier.
    pub fn plus_ms(self, ms: f64) -> Stamp {
        Stamp(self.0.saturating_add((ms * 1e6).round() as i64))
    }
    /// Milliseconds from `earlier` to this moment.
    pub fn ms_since(self, earlier: Stamp) -> f64 {
        self.0.saturating_sub(earlier.0) as f64 / 1e6
    }
}

/// A place in a sound stream, in frames from its start.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Frames(pub i64);

/// A time of the song, or a length of time, at the chart's own tempo, in whole microseconds. Below zero lies what sounds
/// before the first bar line.
///
/// ```
/// use practice::ChartTime;
/// assert_eq!(ChartTime::from_ms(833.3334).micros(), 833_333);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct ChartTime(i64);

impl ChartTime {
    /// The first bar line; no time.
    pub const ZERO: ChartTime = ChartTime(0);
    /// By whole microseconds.
    pub const fn from_micros(micros: i64) -> ChartTime {
        ChartTime(micros)
    }
    /// By milliseconds, rounded to the nearest microsecond.
    pub fn from_ms(ms: f64) -> ChartTime {
        ChartTime((ms * 1000.0).round() as i64)
    }
    /// In microseconds.
    pub const fn micros(self) -> i64 {
        self.0
    }
    /// In milliseconds.
    pub fn ms(self) -> f64 {
        self.0 as f64 / 1000.0
    }
    /// Without its sign.
    pub const fn abs(self) -> ChartTime {
        ChartTime(self.0.saturating_abs())
    }
}

impl std::ops::Add for ChartTime {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self(self.0.saturating_add(o.0))
    }
}
impl std::ops::Sub for ChartTime {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self(self.0.saturating_sub(o.0))
    }
}
impl std::ops::Neg for ChartTime {
    type Output = Self;
    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

/// How fast the song is played, in percent of the chart's tempo, 30 to 130.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Speed(f64);

impl Default for Speed {
    fn default() -> Self {
        Speed::FULL
    }
}

impl Speed {
    /// As the chart says.
    pub const FULL: Speed = Speed(100.0);
    /// The slowest.
    pub const MIN: Speed = Speed(30.0);
    /// The fastest.
    pub const MAX: Speed = Speed(130.0);

    /// A speed in percent; `None` outside 30 to 130.
    pub fn new(percent: f64) -> Option<Speed> {
        (30.0..=130.0).contains(&percent).then_some(Speed(percent))
    }
    /// The nearest possible speed.
    pub fn clamped(percent: f64) -> Speed {
        if percent.is_nan() { Speed::FULL } else { Speed(percent.clamp(30.0, 130.0)) }
    }
    /// In percent.
    pub const fn percent(self) -> f64 {
        self.0
    }
    /// As a factor: 0.6 for 60 %.
    pub fn ratio(self) -> f64 {
        self.0 / 100.0
    }
    /// How long a stretch of chart time lasts when it is played: 1000 ms last 2000 ms at 50 %.
    pub fn stretch_ms(self, chart_ms: f64) -> f64 {
        chart_ms / self.ratio()
    }
    /// How much chart time goes by while so long is played: 2000 ms at 50 % are 1000 ms of the chart.
    pub fn shrink_ms(self, played_ms: f64) -> f64 {
        played_ms * self.ratio()
    }
}
