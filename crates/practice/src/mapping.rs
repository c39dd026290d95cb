//! How one clock runs against another, estimated from pairs of stamps.

use crate::{Frames, Stamp};

/// At most so many pairs are looked at, evenly picked.
const PAIRS: usize = 96;
/// A rate further from the nominal one than this share is not believed.
const RATE_TOLERANCE: f64 = 0.01;
/// From a median absolute deviation to a standard deviation, for normal errors (a textbook constant, from memory).
pub(crate) const MAD_TO_DEVIATION: f64 = 1.4826;

/// A straight line between a sound stream's frames and the monotonic clock, with how far off it may be.
///
/// ```
/// use practice::{Frames, Stamp, clock::ClockMap};
/// let pairs = [(Frames(0), Stamp::from_ms(5.0)), (Frames(48_000), Stamp::from_ms(1005.0))];
/// let map = ClockMap::estimate(&pairs, 48_000.0).expect("there are pairs");
/// assert_eq!(map.stamp(Frames(24_000)), Stamp::from_ms(505.0));
/// assert_eq!(map.frames(Stamp::from_ms(1005.0)), Frames(48_000));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClockMap {
    frame: i64,
    nanos: f64,
    nanos_per_frame: f64,
    uncertainty_nanos: f64,
}

impl ClockMap {
    /// The line through pairs of stamps taken at the same moments, with the stream's nominal frames a second. It stands up
    /// to stray pairs: the slope is the median of all slopes between two pairs (Theil and Sen), the height the median of
    /// what is left. `None` without pairs or with a rate that is not above nought.
    pub fn estimate(pairs: &[(Frames, Stamp)], nominal_rate: f64) -> Option<ClockMap> {
        let &(Frames(frame), _) = pairs.first()?;
        if nominal_rate.is_nan() || nominal_rate <= 0.0 {
            return None;
        }
        let step = pairs.len().div_ceil(PAIRS).max(1);
        let base = pairs[0].1.nanos();
        let points: Vec<(f64, f64)> = pairs
            .iter()
            .step_by(step)
            .map(|p| ((p.0.0 - frame) as f64, (p.1.nanos() - base) as f64))
            .collect();
        let nanos_per_frame = slope(&points, 1e9 / nominal_rate);
        let height = median(points.iter().map(|p| p.1 - p.0 * nanos_per_frame).collect()).unwrap_or(0.0);
        let rest = |p: &(f64, f64)| (p.1 - p.0 * nanos_per_frame - height).abs();
        let deviation = median(points.iter().map(rest).collect()).unwrap_or(0.0);
        Some(ClockMap {
            frame,
            nanos: base as f64 + height,
            nanos_per_frame,
            uncertainty_nanos: deviation * MAD_TO_DEVIATION,
        })
    }

    /// The line through one pair, at so many nanoseconds a frame, with the deviation of single pairs in nanoseconds.
    pub(crate) fn through(pair: (Frames, Stamp), nanos_per_frame: f64, uncertainty_nanos: f64) -> ClockMap {
        ClockMap { frame: pair.0.0, nanos: pair.1.nanos() as f64, nanos_per_frame, uncertainty_nanos }
    }

    /// The moment of a frame.
    pub fn stamp(&self, frame: Frames) -> Stamp {
        Stamp::from_nanos((self.nanos + (frame.0 - self.frame) as f64 * self.nanos_per_frame).round() as i64)
    }

    /// The frame nearest to a moment.
    pub fn frames(&self, stamp: Stamp) -> Frames {
        Frames(self.frame + ((stamp.nanos() as f64 - self.nanos) / self.nanos_per_frame).round() as i64)
    }

    /// Frames a second, as measured.
    pub fn rate(&self) -> f64 {
        1e9 / self.nanos_per_frame
    }

    /// How far single pairs lie off the line, as a standard deviation in milliseconds; 0 from a single pair.
    pub fn uncertainty_ms(&self) -> f64 {
        self.uncertainty_nanos / 1e6
    }
}

/// The median slope; the nominal one where there is none or it is not to be believed.
fn slope(points: &[(f64, f64)], nominal: f64) -> f64 {
    let slopes = points.iter().enumerate().flat_map(|(i, a)| {
        points[i + 1..].iter().filter(|b| b.0 != a.0).map(move |b| (b.1 - a.1) / (b.0 - a.0))
    });
    let measured = median(slopes.collect()).unwrap_or(nominal);
    if (measured / nominal - 1.0).abs() <= RATE_TOLERANCE { measured } else { nominal }
}

pub(crate) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = *values.get(values.len() / 2)?;
    Some(if values.len() % 2 == 1 { upper } else { f64::midpoint(values[values.len() / 2 - 1], upper) })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A stream that runs 80 parts in a million fast, read every 10 ms, each reading up to `jitter` ns late.
    fn pairs(jitter: i64) -> Vec<(Frames, Stamp)> {
        (0..200)
            .map(|n| {
                let frame = n * 480;
                let exact = 7_000_000 + (frame as f64 * 1e9 / (48_000.0 * 1.000_08)) as i64;
                (Frames(frame), Stamp::from_nanos(exact + (n * 7919 % 101) * jitter / 100))
            })
            .collect()
    }

    #[test]
    fn rate_and_uncertainty_are_measured() {
        let map = ClockMap::estimate(&pairs(0), 48_000.0).unwrap();
        assert!((map.rate() / 48_000.0 - 1.000_08).abs() < 1e-7);
        assert!(map.uncertainty_ms() < 1e-5);
        let rough = ClockMap::estimate(&pairs(400_000), 48_000.0).unwrap();
        assert!((0.05..0.4).contains(&rough.uncertainty_ms()), "{}", rough.uncertainty_ms());
    }

    #[test]
    fn stray_pairs_do_not_bend_the_line() {
        let mut strays = pairs(0);
        for n in (3..200).step_by(10) {
            strays[n].1 = strays[n].1.plus_ms(80.0);
        }
        let map = ClockMap::estimate(&strays, 48_000.0).unwrap();
        let exact = pairs(0)[150];
        assert!(map.stamp(exact.0).ms_since(exact.1).abs() < 0.01);
    }

    #[test]
    fn one_pair_runs_at_the_nominal_rate() {
        let map = ClockMap::estimate(&[(Frames(100), Stamp::from_ms(1.0))], 1000.0).unwrap();
        assert_eq!(map.stamp(Frames(101)), Stamp::from_ms(2.0));
        assert_eq!(ClockMap::estimate(&[], 48_000.0), None);
    }
}
