//! When what was learned is asked again: after a day, and at growing distances while it is still there. Gains in accuracy
//! show after a day, not after minutes (Simmons 2012; Wiseheart 2017).

/// The longest distance, in days.
const LONGEST: f64 = 21.0;

/// When a bar is asked again.
///
/// ```
/// let mut spacing = practice::learn::Spacing::learned(3.0);
/// assert_eq!(spacing.due(), 4.0);
/// spacing.asked(4.0, true);
/// assert_eq!(spacing.due(), 6.0);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spacing {
    last: f64,
    days: f64,
}

impl Spacing {
    /// Learned on a day: asked again on the next.
    pub fn learned(day: f64) -> Spacing {
        Spacing { last: day, days: 1.0 }
    }

    /// The day on which it is asked.
    pub fn due(&self) -> f64 {
        self.last + self.days
    }

    /// Whether it is asked on this day of the calendar: whoever plays at eight on one evening and at seven on the next is
    /// asked then.
    pub fn is_due_on(&self, day: f64) -> bool {
        self.due().floor() <= day.floor()
    }

    /// The same with days counted from another day on.
    #[must_use]
    pub fn from(self, day: f64) -> Spacing {
        Spacing { last: self.last - day, ..self }
    }

    /// It was asked: twice the distance if it was still there, else a day. Before it was due a clean pass changes nothing
    /// but the day from which it counts.
    pub fn asked(&mut self, day: f64, clean: bool) {
        self.days = match clean {
            true if day >= self.due() => (2.0 * self.days).min(LONGEST),
            true => self.days,
            false => 1.0,
        };
        self.last = day;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_double_while_it_is_there_and_begin_again_when_it_is_not() {
        let mut spacing = Spacing::learned(0.0);
        let mut asked = Vec::new();
        for _ in 0..6 {
            let day = spacing.due();
            asked.push(day);
            spacing.asked(day, true);
        }
        assert_eq!(asked, [1.0, 3.0, 7.0, 15.0, 31.0, 52.0], "1, 2, 4, 8, 16 and then 21 days");
        spacing.asked(80.0, false);
        assert_eq!(spacing.due(), 81.0);
    }

    #[test]
    fn asking_early_does_not_stretch_the_distance() {
        let mut spacing = Spacing::learned(0.0);
        spacing.asked(0.2, true);
        assert_eq!(spacing.due(), 1.2);
    }
}
