//! How likely a bar, or a change of chord, is clean at a speed.
//!
//! The model: a player has a limit for the bar, the speed at which it is clean half the time. With the natural logarithm of
//! speed as the measure, the chance of a clean pass is
//!
//! `(1 - SLIP) / (1 + exp(-STEEPNESS * (ln limit - ln speed)))`
//!
//! a logistic curve, which is the common choice for success against difficulty (item response models, from memory). The
//! limit is not known; it is a distribution over a grid of speeds. A pass that is heard weighs it by how likely that pass
//! was (Bayes). A clean pass moves it up a little, a wrong one does not: retention follows the share of correct repetitions
//! (Duke, Simmons & Cash 2009). Every day moves it down and widens it. The figures are this program's reading.

use crate::Speed;

/// Points of the grid.
const POINTS: usize = 72;
/// The slowest and the fastest limit that is thought of, as logarithms of shares of the chart's tempo.
const LOWEST: f64 = -1.8;
const HIGHEST: f64 = 0.6;
/// How steeply the chance falls with speed: at ten per cent above the limit it is a quarter.
const STEEPNESS: f64 = 12.0;
/// How often anything goes wrong.
const SLIP: f64 = 0.01;
/// Before anything is heard: half the players' limits lie within a fifth of three quarters of the tempo.
const FIRST_MEAN: f64 = -0.29;
const FIRST_DEVIATION: f64 = 0.35;
/// What a clean pass near the limit adds, and how unsure that is.
const GAIN: f64 = 0.025;
const GAIN_DEVIATION: f64 = 0.015;
/// What a night takes, and how unsure that is; nights in a row count with their square root.
const NIGHT_LOSS: f64 = 0.02;
const NIGHT_DEVIATION: f64 = 0.06;

/// What is believed of one bar, or of one change of chord, for certain hands.
///
/// ```
/// use practice::{Speed, learn::Belief};
/// let slow = Speed::clamped(60.0);
/// let mut belief = Belief::new();
/// let before = belief.chance(slow, 0.0).mean;
/// belief.hear(0.0, slow, true);
/// assert!(belief.chance(slow, 0.0).mean > before);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    weights: Vec<f64>,
    day: f64,
    /// How many passes were heard.
    heard: u32,
}

/// A chance with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// Expected.
    pub mean: f64,
    /// In nine cases of ten it is not below this.
    pub low: f64,
    /// In nine cases of ten it is not above this.
    pub high: f64,
}

impl Chance {
    /// That all of these come true, each for itself. The bounds go with the sum of the variances of the logarithms.
    pub fn of_all(chances: &[Chance]) -> Chance {
        let ln = |c: f64| c.max(1e-6).ln();
        let mean: f64 = chances.iter().map(|c| ln(c.mean)).sum();
        // From the middle to a bound that nine in ten stay within is 1.28 deviations of a normal curve (a textbook
        // constant, from memory).
        let deviation = |c: &Chance| (ln(c.high) - ln(c.low)) / (2.0 * 1.28);
        let width = 1.28 * chances.iter().map(|c| deviation(c).powi(2)).sum::<f64>().sqrt();
        Chance { mean: mean.exp(), low: (mean - width).exp(), high: (mean + width).exp().min(1.0) }
    }

    /// The same where it is known to be no less likely than something else.
    pub fn at_least(self, other: Chance) -> Chance {
        Chance {
            mean: self.mean.max(other.mean),
            low: self.low.max(other.low),
            high: self.high.max(other.high),
        }
    }

    /// For a musician, with its uncertainty.
    ///
    /// ```
    /// use practice::learn::Chance;
    /// let chance = Chance { mean: 0.81, low: 0.62, high: 0.9 };
    /// assert_eq!(chance.words(), "clean about 8 times in 10 (6 to 9)");
    /// ```
    pub fn words(self) -> String {
        let tenths = |c: f64| (10.0 * c).round().clamp(0.0, 10.0) as u32;
        let (mean, low, high) = (tenths(self.mean), tenths(self.low), tenths(self.high));
        let bounds = if low == high { String::new() } else { format!(" ({low} to {high})") };
        match mean {
            0 => format!("hardly ever clean yet{bounds}"),
            10 => format!("nearly always clean{bounds}"),
            1 => format!("clean about once in 10{bounds}"),
            n => format!("clean about {n} times in 10{bounds}"),
        }
    }
}

impl Default for Belief {
    fn default() -> Self {
        Belief::new()
    }
}

impl Belief {
    /// Before anything is heard.
    pub fn new() -> Belief {
        Belief::around(FIRST_MEAN, FIRST_DEVIATION)
    }

    /// A bar of which nothing was heard, of a player who was heard in these: as they are on the whole, and as different as
    /// bars are.
    pub fn like<'a>(others: impl Iterator<Item = &'a Belief>) -> Belief {
        let heard: Vec<(f64, f64)> = others.filter(|b| b.heard > 0).map(Belief::limit).collect();
        if heard.is_empty() {
            return Belief::new();
        }
        let n = heard.len() as f64;
        // The first guess counts as one bar.
        let mean = (FIRST_MEAN + heard.iter().map(|h| h.0).sum::<f64>()) / (n + 1.0);
        let spread = heard.iter().map(|h| (h.0 - mean).powi(2) + h.1.powi(2)).sum::<f64>();
        let variance = (FIRST_DEVIATION.powi(2) + spread) / (n + 1.0);
        Belief::around(mean, variance.sqrt().max(0.1))
    }

    fn around(mean: f64, deviation: f64) -> Belief {
        let weights = (0..POINTS).map(|n| normal(limit(n) - mean, deviation)).collect();
        let mut belief = Belief { weights, day: f64::NEG_INFINITY, heard: 0 };
        belief.normalise();
        belief
    }

    /// A pass was heard. Days before the last one heard count as that one.
    pub fn hear(&mut self, day: f64, speed: Speed, clean: bool) {
        *self = self.on(day);
        let speed = speed.ratio().ln();
        for (n, weight) in self.weights.iter_mut().enumerate() {
            let chance = chance(limit(n), speed);
            *weight *= if clean { chance } else { 1.0 - chance };
        }
        self.normalise();
        if clean {
            // What is far easier than one can teaches little.
            let room = (self.limit().0 - speed).max(0.0);
            let gain = GAIN * (1.0 - 2.0 * room).clamp(0.1, 1.0);
            self.move_by(gain, GAIN_DEVIATION);
        }
        self.heard += 1;
    }

    /// How many passes were heard.
    pub fn heard(&self) -> u32 {
        self.heard
    }

    /// The chance of a clean pass at a speed on a day.
    pub fn chance(&self, speed: Speed, day: f64) -> Chance {
        let on = self.on(day);
        let speed = speed.ratio().ln();
        let mean = on.weights.iter().enumerate().map(|(n, w)| w * chance(limit(n), speed)).sum();
        let at = |share: f64| chance(on.limit_at(share), speed);
        Chance { mean, low: at(0.1), high: at(0.9) }
    }

    /// The fastest speed, in fives of the chart's tempo, at which the chance is at least this; the slowest there is if none
    /// is. Never above a limit.
    pub fn speed_with(&self, chance: f64, day: f64, at_most: Speed) -> Speed {
        let on = self.on(day);
        let steps = (6..=26).rev().map(|n| Speed::clamped(5.0 * f64::from(n)));
        let fits = |s: &Speed| s.percent() <= at_most.percent() && on.chance(*s, day).mean >= chance;
        steps.into_iter().find(fits).unwrap_or(Speed::MIN)
    }

    /// Mean and deviation of the limit's logarithm.
    fn limit(&self) -> (f64, f64) {
        let mean: f64 = self.weights.iter().enumerate().map(|(n, w)| w * limit(n)).sum();
        let variance: f64 = self.weights.iter().enumerate().map(|(n, w)| w * (limit(n) - mean).powi(2)).sum();
        (mean, variance.sqrt())
    }

    /// The limit below which so much of the distribution lies.
    fn limit_at(&self, share: f64) -> f64 {
        let mut below = 0.0;
        for (n, weight) in self.weights.iter().enumerate() {
            below += weight;
            if below >= share {
                return limit(n);
            }
        }
        HIGHEST
    }

    /// What is believed some days later.
    fn on(&self, day: f64) -> Belief {
        let mut later = self.clone();
        let nights = (day - self.day).max(0.0);
        if self.heard > 0 && nights > 0.0 {
            let count = nights.sqrt();
            later.move_by(-NIGHT_LOSS * count, NIGHT_DEVIATION * count);
        }
        later.day = self.day.max(day);
        later
    }

    /// Moves the distribution and widens it.
    fn move_by(&mut self, by: f64, deviation: f64) {
        let step = (HIGHEST - LOWEST) / (POINTS - 1) as f64;
        // Less than a step wide, a normal curve between grid points would vanish.
        let deviation = deviation.max(0.4 * step);
        let reach = ((4.0 * deviation + by.abs()) / step).ceil() as i64;
        let kernel: Vec<(i64, f64)> =
            (-reach..=reach).map(|k| (k, normal(k as f64 * step - by, deviation))).collect();
        let mut moved = vec![0.0; POINTS];
        for (n, weight) in self.weights.iter().enumerate() {
            for (k, share) in &kernel {
                let to = (n as i64 + k).clamp(0, POINTS as i64 - 1) as usize;
                moved[to] += weight * share;
            }
        }
        self.weights = moved;
        self.normalise();
    }

    fn normalise(&mut self) {
        let sum: f64 = self.weights.iter().sum();
        self.weights.iter_mut().for_each(|w| *w /= sum);
    }
}

fn limit(point: usize) -> f64 {
    LOWEST + (HIGHEST - LOWEST) * point as f64 / (POINTS - 1) as f64
}

fn chance(limit: f64, speed: f64) -> f64 {
    (1.0 - SLIP) / (1.0 + (-STEEPNESS * (limit - speed)).exp())
}

/// A normal curve, not scaled.
fn normal(from_mean: f64, deviation: f64) -> f64 {
    (-0.5 * (from_mean / deviation).powi(2)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(percent: f64) -> Speed {
        Speed::clamped(percent)
    }

    #[test]
    fn slower_is_never_less_likely() {
        let mut belief = Belief::new();
        for (n, clean) in [true, true, false, true, false, false].into_iter().enumerate() {
            belief.hear(0.0, at(60.0 + 5.0 * n as f64), clean);
            let chances: Vec<f64> = (30..=130).map(|p| belief.chance(at(f64::from(p)), 0.0).mean).collect();
            assert!(chances.windows(2).all(|w| w[0] >= w[1]));
        }
    }

    #[test]
    fn clean_passes_raise_the_chance_and_wrong_ones_lower_it() {
        let mut belief = Belief::new();
        let start = belief.chance(at(80.0), 0.0).mean;
        (0..4).for_each(|_| belief.hear(0.0, at(80.0), true));
        let better = belief.chance(at(80.0), 0.0).mean;
        (0..4).for_each(|_| belief.hear(0.0, at(80.0), false));
        let worse = belief.chance(at(80.0), 0.0).mean;
        assert!(start < better && worse < better, "{start} {better} {worse}");
    }

    // Accuracy fades over days; what is not asked is not known.
    #[test]
    fn days_lower_the_chance_and_widen_what_is_believed() {
        let mut belief = Belief::new();
        (0..12).for_each(|_| belief.hear(0.0, at(90.0), true));
        let (today, later) = (belief.chance(at(90.0), 0.0), belief.chance(at(90.0), 20.0));
        assert!(later.mean < today.mean);
        assert!(later.high - later.low > today.high - today.low, "{today:?} {later:?}");
        // Where it goes every other time, width alone would change nothing.
        let even = belief.speed_with(0.5, 0.0, Speed::MAX);
        assert!(belief.chance(even, 20.0).mean < belief.chance(even, 0.0).mean - 0.05);
    }

    #[test]
    fn a_bar_not_heard_is_taken_to_be_like_the_others() {
        let heard = |clean: bool| {
            let mut belief = Belief::new();
            (0..8).for_each(|_| belief.hear(0.0, at(90.0), clean));
            belief
        };
        let (quick, slow) = ([heard(true), heard(true)], [heard(false), heard(false)]);
        let chance = |others: &[Belief]| Belief::like(others.iter()).chance(at(90.0), 0.0).mean;
        assert!(chance(&quick) > Belief::new().chance(at(90.0), 0.0).mean);
        assert!(chance(&slow) < Belief::new().chance(at(90.0), 0.0).mean);
        assert_eq!(Belief::like([].into_iter()), Belief::new());
    }

    #[test]
    fn the_speed_with_a_chance_has_it_and_five_more_has_not() {
        let mut belief = Belief::new();
        [(60.0, true), (70.0, true), (80.0, false), (75.0, true)]
            .into_iter()
            .for_each(|(speed, clean)| belief.hear(0.0, at(speed), clean));
        let found = belief.speed_with(0.8, 0.0, Speed::FULL);
        assert!(belief.chance(found, 0.0).mean >= 0.8);
        assert!(belief.chance(at(found.percent() + 5.0), 0.0).mean < 0.8);
        assert_eq!(belief.speed_with(0.0, 0.0, at(72.0)), at(70.0), "not above what was asked");
    }
}
