//! Forecasts held against what came: whoever was told eighty per cent should be right four times in five.
//!
//! What a model of learning forecasts is off by what it does not know of a player. So its forecasts are corrected by what
//! became of earlier ones. With the log odds of a forecast, those of the corrected one are
//!
//! `shift + slope * odds + night`
//!
//! where `night` holds if one has gone by since the bar was heard. The three figures are the player's own. They begin at 0, 1
//! and 0, which corrects nothing, each held fast by how uncertain it is then, and are weighed by each bar that was clean or
//! not, whatever it was played for: a logistic regression of what came on what was forecast (Platt's scaling), taken pass by
//! pass on its linearised form (the extended Kalman filter); textbook methods, from memory. From pass to pass the figures may
//! drift, so that old passes weigh less and less.

use super::Chance;

/// How uncertain the figures are before anything is heard, and by how much they may drift from pass to pass (deviations).
const FIRST: [f64; 3] = [0.7, 0.3, 0.7];
const DRIFT: [f64; 3] = [0.05, 0.01, 0.05];
/// No forecast is surer than this, either way.
const SUREST: f64 = 0.995;
/// Nor does any figure learn less from a sure one than from one of 0.98.
const LEAST_SPREAD: f64 = 0.02;
/// The slope stays within these: more likely stays more likely.
const SLOPES: (f64, f64) = (0.4, 3.0);

/// A forecast, not corrected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// The chance of a clean pass.
    pub chance: f64,
    /// Whether a night has gone by since the bar was heard.
    pub slept: bool,
}

/// How much a player's forecasts are corrected.
///
/// ```
/// use practice::learn::{Forecast, Honesty};
/// let mut honesty = Honesty::default();
/// let forecast = Forecast { chance: 0.8, slept: false };
/// (0..60).for_each(|n| honesty.hear(&[(forecast, n % 2 == 0)]));
/// let corrected = honesty.corrected(forecast);
/// assert!((0.4..0.6).contains(&corrected), "called 0.8, clean every other time");
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Honesty {
    figures: [f64; 3],
    covariance: [[f64; 3]; 3],
}

impl Default for Honesty {
    fn default() -> Self {
        let covariance =
            std::array::from_fn(|a| std::array::from_fn(|b| if a == b { FIRST[a].powi(2) } else { 0.0 }));
        Honesty { figures: [0.0, 1.0, 0.0], covariance }
    }
}

impl Honesty {
    /// A pass was heard: what was forecast of its bars, and whether they were clean.
    pub fn hear(&mut self, bars: &[(Forecast, bool)]) {
        for figure in 0..3 {
            let variance = &mut self.covariance[figure][figure];
            *variance = (*variance + DRIFT[figure].powi(2)).min(FIRST[figure].powi(2));
        }
        bars.iter().for_each(|(forecast, clean)| self.weigh(forecast.features(), *clean));
    }

    /// A forecast, corrected.
    pub fn corrected(&self, forecast: Forecast) -> f64 {
        self.chance(forecast.features()).clamp(1.0 - SUREST, SUREST)
    }

    /// A chance with its bounds, corrected.
    pub fn corrected_chance(&self, chance: Chance, slept: bool) -> Chance {
        let corrected = |chance: f64| self.corrected(Forecast { chance, slept });
        Chance { mean: corrected(chance.mean), low: corrected(chance.low), high: corrected(chance.high) }
    }

    fn chance(&self, features: [f64; 3]) -> f64 {
        1.0 / (1.0 + (-dot(self.figures, features)).exp())
    }

    /// One step of the filter.
    fn weigh(&mut self, features: [f64; 3], clean: bool) {
        let chance = self.chance(features);
        let spread = (chance * (1.0 - chance)).max(LEAST_SPREAD);
        let along = self.covariance.map(|row| dot(row, features));
        let gain = 1.0 / (1.0 + spread * dot(along, features));
        let missed = f64::from(u8::from(clean)) - chance;
        for a in 0..3 {
            self.figures[a] += gain * missed * along[a];
            for b in 0..3 {
                self.covariance[a][b] -= spread * gain * along[a] * along[b];
            }
        }
        self.figures[1] = self.figures[1].clamp(SLOPES.0, SLOPES.1);
    }
}

impl Forecast {
    fn features(self) -> [f64; 3] {
        let chance = self.chance.clamp(1.0 - SUREST, SUREST);
        [1.0, (chance / (1.0 - chance)).ln(), f64::from(u8::from(self.slept))]
    }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.into_iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn called(chance: f64) -> Forecast {
        Forecast { chance, slept: false }
    }

    /// So many passes of one bar, of which some were clean.
    fn after(honesty: &mut Honesty, forecast: Forecast, passes: usize, clean: impl Fn(usize) -> bool) {
        (0..passes).for_each(|n| honesty.hear(&[(forecast, clean(n))]));
    }

    #[test]
    fn right_forecasts_stay_as_they_are() {
        let mut honesty = Honesty::default();
        assert!((honesty.corrected(called(0.8)) - 0.8).abs() < 1e-12);
        after(&mut honesty, called(0.8), 500, |n| n % 5 != 0);
        assert!((honesty.corrected(called(0.8)) - 0.8).abs() < 0.03, "{honesty:?}");
    }

    #[test]
    fn one_that_is_too_low_is_raised_and_one_that_is_too_high_lowered() {
        let corrected = |clean_of_ten: usize| {
            let mut honesty = Honesty::default();
            after(&mut honesty, called(0.7), 300, |n| n * 7 % 10 < clean_of_ten);
            honesty.corrected(called(0.7))
        };
        let (raised, lowered) = (corrected(9), corrected(5));
        assert!((raised - 0.9).abs() < 0.05 && (lowered - 0.5).abs() < 0.08, "{raised} {lowered}");
    }

    #[test]
    fn a_player_who_changes_is_followed() {
        let mut honesty = Honesty::default();
        after(&mut honesty, called(0.8), 400, |n| n % 2 == 0);
        after(&mut honesty, called(0.8), 400, |n| n % 10 != 0);
        assert!((honesty.corrected(called(0.8)) - 0.9).abs() < 0.05, "{honesty:?}");
    }

    // With this player it goes all at once: what was called 0.4 never came, what was called 0.6 always.
    #[test]
    fn forecasts_that_should_be_surer_become_so() {
        let mut honesty = Honesty::default();
        for _ in 0..60 {
            honesty.hear(&[(called(0.4), false), (called(0.6), true)]);
        }
        let (low, high) = (honesty.corrected(called(0.4)), honesty.corrected(called(0.6)));
        assert!(low < 0.33 && high > 0.67, "{low} {high}");
    }

    #[test]
    fn what_a_night_does_is_learned_apart() {
        let mut honesty = Honesty::default();
        let slept = Forecast { chance: 0.7, slept: true };
        for n in 0..120 {
            honesty.hear(&[(called(0.7), n % 10 < 7), (slept, n % 20 != 0)]);
        }
        let (awake, slept) = (honesty.corrected(called(0.7)), honesty.corrected(slept));
        assert!((awake - 0.7).abs() < 0.06 && slept > 0.85, "{awake} {slept}");
    }

    #[test]
    fn what_is_more_likely_stays_more_likely() {
        let mut honesty = Honesty::default();
        after(&mut honesty, called(0.9), 200, |_| false);
        let all: Vec<f64> = (1..100).map(|n| honesty.corrected(called(f64::from(n) / 100.0))).collect();
        assert!(all.windows(2).all(|pair| pair[0] <= pair[1]), "{honesty:?}");
    }
}
