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
//! (Duke, Simmons & Cash 2009). Every day moves it down and widens it. How steep the curve is, what a clean pass gives and
//! what the first night gives is the player's own: all that is believed for each of six kinds of player, and each kind counts by its
//! share (see `player.rs`). The figures are this program's reading.

use super::grid::Grid;
use super::player::{KINDS, KINDS_COUNT, Player, Shares};
use crate::Speed;

/// Before anything is heard: half the players' limits lie within a fifth of three quarters of the tempo.
const FIRST_MEAN: f64 = -0.29;
const FIRST_DEVIATION: f64 = 0.35;
/// How unsure it is what a clean pass gives.
const GAIN_DEVIATION: f64 = 0.015;
/// What a day takes, and how unsure that is; days in a row count with their square root.
const DAY_LOSS: f64 = 0.02;
const DAY_DEVIATION: f64 = 0.05;

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
    /// For each kind of player.
    grids: Vec<Grid>,
    /// How likely each kind is.
    shares: Shares,
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
        let heard: Vec<&Belief> = others.filter(|b| b.heard > 0).collect();
        let Some(first) = heard.first() else { return Belief::new() };
        let grids = (0..KINDS_COUNT).map(|kind| alike(heard.iter().map(|belief| belief.grids[kind].limit())));
        Belief { grids: grids.collect(), shares: first.shares, day: f64::NEG_INFINITY, heard: 0 }
    }

    fn around(mean: f64, deviation: f64) -> Belief {
        let grids = vec![Grid::around(mean, deviation); KINDS_COUNT];
        Belief { grids, shares: Player::default().shares(), day: f64::NEG_INFINITY, heard: 0 }
    }

    /// A pass was heard. Days before the last one heard count as that one.
    pub fn hear(&mut self, day: f64, speed: Speed, clean: bool) {
        *self = self.on(day);
        let speed = speed.ratio().ln();
        for (grid, kind) in self.grids.iter_mut().zip(&KINDS) {
            grid.weigh(kind, speed, clean);
            if clean {
                // What is far easier than one can teaches little.
                let room: f64 = (grid.limit().0 - speed).max(0.0);
                grid.move_by(kind.gain * (1.0 - 2.0 * room).clamp(0.1, 1.0), GAIN_DEVIATION);
            }
        }
        self.heard += 1;
    }

    /// How many passes were heard.
    pub fn heard(&self) -> u32 {
        self.heard
    }

    /// What kind of player it is, as all that was heard tells.
    pub(super) fn of_player(&mut self, shares: Shares) {
        self.shares = shares;
    }

    /// Whether a night has gone by since it was heard.
    pub fn slept(&self, day: f64) -> bool {
        self.heard > 0 && day.floor() > self.day.floor()
    }

    /// The chance of a clean pass at a speed on a day.
    pub fn chance(&self, speed: Speed, day: f64) -> Chance {
        let on = self.on(day);
        let speed = speed.ratio().ln();
        let kinds = on.grids.iter().zip(&KINDS).zip(on.shares);
        let mut chances: Vec<(f64, f64)> = kinds
            .flat_map(|((grid, kind), share)| grid.chances(kind, speed).map(move |(c, w)| (c, w * share)))
            .collect();
        chances.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let mean = chances.iter().map(|(chance, weight)| chance * weight).sum();
        Chance { mean, low: below(&chances, 0.1), high: below(&chances, 0.9) }
    }

    /// The same expected, for each kind of player, without its bounds.
    pub(super) fn by_kind(&self, speed: Speed, day: f64) -> Shares {
        let (on, speed) = (self.on(day), speed.ratio().ln());
        std::array::from_fn(|kind| on.grids[kind].chance(&KINDS[kind], speed))
    }

    /// The same expected, all kinds together.
    pub(super) fn mean_of(&self, by_kind: &Shares) -> f64 {
        by_kind.iter().zip(self.shares).map(|(chance, share)| chance * share).sum()
    }

    /// The fastest speed, in fives of the chart's tempo, at which the chance is at least this; the slowest there is if none
    /// is. Never above a limit.
    pub fn speed_with(&self, chance: f64, day: f64, at_most: Speed) -> Speed {
        let on = self.on(day);
        let steps = (6..=26).rev().map(|n| Speed::clamped(5.0 * f64::from(n)));
        let mean = |speed: Speed| on.mean_of(&on.by_kind(speed, on.day));
        let fits = |s: &Speed| s.percent() <= at_most.percent() && mean(*s) >= chance;
        steps.into_iter().find(fits).unwrap_or(Speed::MIN)
    }

    /// What is believed some days later.
    fn on(&self, day: f64) -> Belief {
        let mut later = self.clone();
        let days = (day - self.day).max(0.0);
        if self.heard > 0 && days > 0.0 {
            let count = days.sqrt();
            for (grid, kind) in later.grids.iter_mut().zip(&KINDS) {
                // What a night gave goes in the days after it.
                let night = if self.slept(day) { kind.overnight / count.max(1.0) } else { 0.0 };
                grid.move_by(night - DAY_LOSS * count, DAY_DEVIATION * count);
            }
        }
        later.day = self.day.max(day);
        later
    }
}

/// As others are on the whole, by the means and deviations of their limits.
fn alike(limits: impl Iterator<Item = (f64, f64)>) -> Grid {
    let limits: Vec<(f64, f64)> = limits.collect();
    let n = limits.len() as f64;
    // The first guess counts as one bar.
    let mean = (FIRST_MEAN + limits.iter().map(|l| l.0).sum::<f64>()) / (n + 1.0);
    let spread = limits.iter().map(|l| (l.0 - mean).powi(2) + l.1.powi(2)).sum::<f64>();
    let variance = (FIRST_DEVIATION.powi(2) + spread) / (n + 1.0);
    Grid::around(mean, variance.sqrt().max(0.1))
}

/// The chance below which so much of the distribution lies, of chances in order with their weights.
fn below(chances: &[(f64, f64)], share: f64) -> f64 {
    let mut sum = 0.0;
    let at = chances.iter().find(|(_, weight)| {
        sum += weight;
        sum >= share
    });
    at.or(chances.last()).map_or(0.0, |(chance, _)| *chance)
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
