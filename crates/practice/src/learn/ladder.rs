//! The ladder of a drill: ten per cent faster while the first try at a speed is clean, five with three clean in a row after
//! a failure there, a step back after two failures in a row. Three in a row at every five per cent would be some 27 passes
//! from 60 to 100 % (teachers' practice; common practice).

use crate::Speed;

/// So many clean passes in a row are asked for after a failure.
const IN_A_ROW: u32 = 3;
/// After so many failures in a row it is gone back.
const FAILURES: u32 = 2;
/// A step up from a clean first try, and any other step, in percent of the chart's tempo.
const BIG: f64 = 10.0;
const SMALL: f64 = 5.0;

/// Where one is on the ladder.
///
/// ```
/// use practice::{Speed, learn::{Ladder, LadderStep}};
/// let mut ladder = Ladder::new(Speed::clamped(80.0), Speed::FULL);
/// assert_eq!(ladder.heard(true), LadderStep::Up);
/// assert_eq!(ladder.speed().percent(), 90.0);
/// ladder.heard(true);
/// assert_eq!(ladder.heard(true), LadderStep::Done);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ladder {
    speed: Speed,
    target: Speed,
    /// There was a failure at this speed.
    failed_here: bool,
    clean_in_a_row: u32,
    failures_in_a_row: u32,
}

/// What a pass led to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LadderStep {
    /// Again at this speed.
    Again,
    /// Faster.
    Up,
    /// Slower.
    Back,
    /// Clean at the target: at the first try, or three times in a row after a failure there.
    Done,
}

impl Ladder {
    /// From a speed up to a target; a start above the target is the target.
    pub fn new(start: Speed, target: Speed) -> Ladder {
        let speed = if start.percent() < target.percent() { start } else { target };
        Ladder { speed, target, failed_here: false, clean_in_a_row: 0, failures_in_a_row: 0 }
    }

    /// The speed of the next pass.
    pub fn speed(&self) -> Speed {
        self.speed
    }

    /// The speed that is aimed at.
    pub fn target(&self) -> Speed {
        self.target
    }

    /// A pass at this speed was heard.
    pub fn heard(&mut self, clean: bool) -> LadderStep {
        if clean {
            self.failures_in_a_row = 0;
            self.clean_in_a_row += 1;
            return match self.failed_here {
                true if self.clean_in_a_row < IN_A_ROW => LadderStep::Again,
                true => self.up(SMALL),
                false => self.up(BIG),
            };
        }
        self.failed_here = true;
        self.clean_in_a_row = 0;
        self.failures_in_a_row += 1;
        if self.failures_in_a_row < FAILURES || self.speed == Speed::MIN {
            return LadderStep::Again;
        }
        // What failed above is climbed in small steps.
        let slower = Speed::clamped(self.speed.percent() - SMALL);
        *self = Ladder { speed: slower, failed_here: true, ..Ladder::new(slower, self.target) };
        LadderStep::Back
    }

    fn up(&mut self, by: f64) -> LadderStep {
        if self.speed == self.target {
            return LadderStep::Done;
        }
        let faster = Speed::clamped(self.speed.percent() + by);
        *self = Ladder::new(faster, self.target);
        LadderStep::Up
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The speeds of the passes and what came of the last one.
    fn climb(from: f64, passes: &[bool]) -> (Vec<f64>, LadderStep) {
        let mut ladder = Ladder::new(Speed::clamped(from), Speed::FULL);
        let mut last = LadderStep::Again;
        let speeds = passes
            .iter()
            .map(|clean| {
                let speed = ladder.speed().percent();
                last = ladder.heard(*clean);
                speed
            })
            .collect();
        (speeds, last)
    }

    // Worked by hand from the rule.
    #[test]
    fn clean_first_tries_climb_by_tens() {
        let (speeds, last) = climb(60.0, &[true; 5]);
        assert_eq!((speeds, last), (vec![60.0, 70.0, 80.0, 90.0, 100.0], LadderStep::Done));
        assert_eq!(climb(95.0, &[true, true]).0, [95.0, 100.0], "never above the target");
    }

    #[test]
    fn after_a_failure_three_in_a_row_climb_by_five() {
        let (speeds, _) = climb(70.0, &[false, true, true, true, true, true]);
        assert_eq!(speeds, [70.0, 70.0, 70.0, 70.0, 75.0, 85.0]);
        let broken = climb(70.0, &[false, true, true, false, true, true, true, true]).0;
        assert_eq!(broken[6..], [70.0, 75.0], "a failure between begins the row again");
    }

    #[test]
    fn two_failures_in_a_row_go_back_and_from_there_in_small_steps() {
        let (speeds, _) = climb(80.0, &[false, false, true, true, true, true]);
        assert_eq!(speeds, [80.0, 80.0, 75.0, 75.0, 75.0, 80.0]);
        assert_eq!(climb(30.0, &[false; 5]).0, [30.0; 5], "no speed is slower");
    }

    #[test]
    fn at_the_target_a_failure_asks_for_three_in_a_row() {
        let (_, last) = climb(100.0, &[false, true, true]);
        assert_eq!(last, LadderStep::Again);
        assert_eq!(climb(100.0, &[false, true, true, true]).1, LadderStep::Done);
    }
}
