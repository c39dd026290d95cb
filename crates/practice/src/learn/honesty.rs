//! Forecasts held against what came: whoever was told eighty per cent should be right four times in five.
//!
//! What a model of learning forecasts is off by the player's own rate of learning and forgetting, which it does not know.
//! So its forecasts are corrected by one figure on the scale of log odds, found from the player's own passes: the
//! maximum-likelihood step for the intercept of a logistic regression, taken pass by pass (Newton's method; a textbook
//! method, from memory). Old passes weigh less and less.

use super::Chance;

/// Before anything is heard the correction is none, give or take some 0.7 of log odds.
const FIRST_WEIGHT: f64 = 2.0;
/// What is left of the weight of all that went before, at each pass.
const KEPT: f64 = 0.99;
/// No forecast is surer than this, either way.
const SUREST: f64 = 0.995;

/// How much a player's forecasts are corrected.
///
/// ```
/// use practice::learn::Honesty;
/// let mut honesty = Honesty::default();
/// (0..40).for_each(|n| honesty.hear(0.8, n % 2 == 0));
/// let corrected = honesty.corrected(0.8);
/// assert!((0.4..0.6).contains(&corrected), "called 0.8, clean every other time");
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Honesty {
    shift: f64,
    weight: f64,
}

impl Default for Honesty {
    fn default() -> Self {
        Honesty { shift: 0.0, weight: FIRST_WEIGHT }
    }
}

impl Honesty {
    /// Something was forecast, uncorrected, and was clean or not.
    pub fn hear(&mut self, forecast: f64, clean: bool) {
        let corrected = self.corrected(forecast);
        self.weight = KEPT * self.weight + corrected * (1.0 - corrected);
        self.shift += (f64::from(u8::from(clean)) - corrected) / self.weight.max(FIRST_WEIGHT);
    }

    /// A forecast, corrected.
    pub fn corrected(&self, forecast: f64) -> f64 {
        let forecast = forecast.clamp(1.0 - SUREST, SUREST);
        let odds = (forecast / (1.0 - forecast)).ln() + self.shift;
        1.0 / (1.0 + (-odds).exp())
    }

    /// A chance with its bounds, corrected.
    pub fn corrected_chance(&self, chance: Chance) -> Chance {
        let Chance { mean, low, high } = chance;
        Chance { mean: self.corrected(mean), low: self.corrected(low), high: self.corrected(high) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn right_forecasts_stay_as_they_are() {
        let mut honesty = Honesty::default();
        (0..500).for_each(|n| honesty.hear(0.8, n % 5 != 0));
        assert!((honesty.corrected(0.8) - 0.8).abs() < 0.03, "{honesty:?}");
    }

    #[test]
    fn one_that_is_too_low_is_raised_and_one_that_is_too_high_lowered() {
        let after = |clean_of_ten: usize| {
            let mut honesty = Honesty::default();
            (0..300).for_each(|n| honesty.hear(0.7, n * 7 % 10 < clean_of_ten));
            honesty.corrected(0.7)
        };
        assert!((after(9) - 0.9).abs() < 0.04 && (after(5) - 0.5).abs() < 0.06, "{} {}", after(9), after(5));
    }

    #[test]
    fn a_player_who_changes_is_followed() {
        let mut honesty = Honesty::default();
        (0..400).for_each(|n| honesty.hear(0.8, n % 2 == 0));
        (0..400).for_each(|n| honesty.hear(0.8, n % 10 != 0));
        assert!((honesty.corrected(0.8) - 0.9).abs() < 0.05, "{}", honesty.corrected(0.8));
    }
}
