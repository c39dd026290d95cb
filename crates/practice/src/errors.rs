//! Mean, median and spread of errors.

use crate::ChartTime;

/// Errors, sorted.
pub(crate) struct Errors(Vec<ChartTime>);

impl Errors {
    pub fn of(errors: impl Iterator<Item = ChartTime>) -> Errors {
        let mut errors: Vec<ChartTime> = errors.collect();
        errors.sort_unstable();
        Errors(errors)
    }

    /// In milliseconds; `None` without errors, as the next two.
    pub fn mean(&self) -> Option<f64> {
        let sum: i128 = self.0.iter().map(|e| i128::from(e.micros())).sum();
        (!self.0.is_empty()).then(|| sum as f64 / self.0.len() as f64 / 1000.0)
    }

    /// The middle one, or the mean of the two in the middle.
    pub fn median(&self) -> Option<f64> {
        let middle = self.0.len() / 2;
        let upper = self.0.get(middle)?.ms();
        Some(if self.0.len() % 2 == 1 { upper } else { (self.0[middle - 1].ms() + upper) / 2.0 })
    }

    /// The population standard deviation.
    pub fn spread(&self) -> Option<f64> {
        let mean = self.mean()?;
        let squares: f64 = self.0.iter().map(|e| (e.ms() - mean).powi(2)).sum();
        Some((squares / self.0.len() as f64).sqrt())
    }

    /// From the earliest to the latest.
    pub fn width(&self) -> ChartTime {
        match (self.0.first(), self.0.last()) {
            (Some(&first), Some(&last)) => last - first,
            _ => ChartTime::ZERO,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked by hand: 2, 4, 4, 4, 5, 5, 7, 9 have mean 5 and population deviation 2 (a textbook example, from memory).
    #[test]
    fn mean_median_and_spread_are_those_of_the_textbook() {
        let errors =
            Errors::of([2, 4, 4, 4, 5, 5, 7, 9].into_iter().map(|ms| ChartTime::from_ms(f64::from(ms))));
        assert_eq!((errors.mean(), errors.median(), errors.spread()), (Some(5.0), Some(4.5), Some(2.0)));
        assert_eq!(errors.width(), ChartTime::from_ms(7.0));
    }

    #[test]
    fn without_errors_there_is_no_mean() {
        let none = Errors::of(std::iter::empty());
        assert_eq!((none.mean(), none.median(), none.spread()), (None, None, None));
    }
}
