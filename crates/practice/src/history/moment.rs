//! When something was played.

/// Milliseconds of a day.
pub const MS_PER_DAY: f64 = 86_400_000.0;

/// A moment by the world's clock and the player's.
///
/// ```
/// use practice::history::Moment;
/// // Half past eleven in the evening of 2 January 1970 in a zone an hour ahead of Greenwich.
/// let late = Moment { unix_ms: (46 * 60 + 30) * 60_000, zone_minutes: 60 };
/// assert_eq!(late.date(), 1);
/// assert!((late.day() - 1.9792).abs() < 1e-4);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Moment {
    /// Milliseconds since the beginning of 1970 in Greenwich.
    pub unix_ms: i64,
    /// How far the player's clock is ahead of Greenwich, in minutes.
    pub zone_minutes: i16,
}

impl Moment {
    /// Days since the beginning of 1970 by the player's clock, with fractions: days for learning.
    pub fn day(self) -> f64 {
        (self.unix_ms as f64 + f64::from(self.zone_minutes) * 60_000.0) / MS_PER_DAY
    }

    /// The day by the player's calendar, counted from 1 January 1970.
    pub fn date(self) -> i64 {
        self.day().floor() as i64
    }
}
