//! The transport: how the song runs against the monotonic clock.
//!
//! *Run time* is chart time that does not jump back: with a loop, its second pass goes on where the first ended. Within
//! one speed, run time is a straight line over the clock; every change of speed begins a new segment and leaves the old
//! ones as they were, so that a strike stamped before the change is judged by the speed it was played at. Run time is kept
//! in chart milliseconds rather than quarters, for it alone is straight where the tempo changes from bar to bar.

use crate::{ChartTime, Speed, Stamp};

/// From one moment on the song runs at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// Since when.
    pub at: Stamp,
    /// The run time at that moment, in milliseconds at the chart's tempo.
    pub run_ms: f64,
    /// How fast.
    pub speed: Speed,
}

/// The segments of one run, in order of time.
///
/// ```
/// use practice::{Segment, Speed, Stamp, Transport};
/// let half = Speed::new(50.0).expect("50 lies within 30 to 130");
/// let mut transport = Transport::start(Stamp::from_ms(1000.0), 0.0, Speed::FULL);
/// transport.set_speed(Stamp::from_ms(2000.0), half);
/// assert_eq!(transport.run_ms(Stamp::from_ms(1500.0)), 500.0);
/// assert_eq!(transport.run_ms(Stamp::from_ms(3000.0)), 1500.0);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Transport {
    segments: Vec<Segment>,
}

impl Transport {
    /// Starts at a moment, at a run time.
    pub fn start(at: Stamp, run_ms: f64, speed: Speed) -> Transport {
        Transport { segments: vec![Segment { at, run_ms, speed }] }
    }

    /// Runs at another speed from a moment on; moments before the last change count as that change.
    pub fn set_speed(&mut self, at: Stamp, speed: Speed) {
        let at = at.max(self.last().at);
        let segment = Segment { at, run_ms: self.run_ms(at), speed };
        self.segments.push(segment);
    }

    /// It is stopped: changes that were to come after that moment do not.
    pub fn stop(&mut self, at: Stamp) {
        let known = self.segments.partition_point(|s| s.at <= at);
        self.segments.truncate(known.max(1));
    }

    /// The run time at a moment, in chart milliseconds; before the start the first segment goes on backwards.
    pub fn run_ms(&self, at: Stamp) -> f64 {
        let index = self.segments.partition_point(|s| s.at <= at).saturating_sub(1);
        let segment = &self.segments[index];
        segment.run_ms + segment.speed.shrink_ms(at.ms_since(segment.at))
    }

    /// The moment of a run time; beyond the last change, as the last segment goes on.
    pub fn stamp(&self, run_ms: f64) -> Stamp {
        let index = self.segments.partition_point(|s| s.run_ms <= run_ms).saturating_sub(1);
        let segment = &self.segments[index];
        segment.at.plus_ms(segment.speed.stretch_ms(run_ms - segment.run_ms))
    }

    /// The speed at a run time; beyond the last change that of the last segment.
    pub fn speed_at(&self, run_ms: f64) -> Speed {
        let index = self.segments.partition_point(|s| s.run_ms <= run_ms).saturating_sub(1);
        self.segments[index].speed
    }

    /// The speed it runs at now.
    pub fn speed(&self) -> Speed {
        self.last().speed
    }

    /// All segments.
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    fn last(&self) -> &Segment {
        self.segments.last().expect("a transport starts with a segment and loses none")
    }
}

/// The stretch of the song that is gone through, once or again and again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Course {
    /// Where it starts, in chart milliseconds.
    pub start: f64,
    /// Where it ends.
    pub end: f64,
    /// Whether it begins again.
    pub looped: bool,
}

impl Course {
    pub fn length(&self) -> f64 {
        self.end - self.start
    }

    /// The pass and the place in the song at a run time.
    pub fn place(&self, run_ms: f64) -> (u32, f64) {
        if !self.looped || run_ms < self.start || self.length() <= 0.0 {
            return (0, run_ms);
        }
        let pass = ((run_ms - self.start) / self.length()).floor();
        (pass as u32, run_ms - pass * self.length())
    }

    /// The run time in the song's own terms within a pass: places before the start lie in the pass before.
    pub fn in_pass(&self, run_ms: f64, pass: u32) -> ChartTime {
        ChartTime::from_ms(run_ms - self.run_start(pass))
    }

    /// What a pass adds to chart time to make run time.
    pub fn run_start(&self, pass: u32) -> f64 {
        f64::from(pass) * self.length()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_and_its_run_time_are_each_others_inverse_over_changes_of_speed() {
        let mut transport = Transport::start(Stamp::from_ms(10.0), -500.0, Speed::FULL);
        transport.set_speed(Stamp::from_ms(1010.0), Speed::MIN);
        transport.set_speed(Stamp::from_ms(4010.0), Speed::MAX);
        for ms in [10.0, 700.0, 1010.0, 2000.0, 4010.0, 9000.0] {
            let stamp = Stamp::from_ms(ms);
            assert!(transport.stamp(transport.run_ms(stamp)).ms_since(stamp).abs() < 1e-5);
        }
        // By hand: 1000 ms at full speed, 3000 ms at 30 %, 1000 ms at 130 %.
        let run = transport.run_ms(Stamp::from_ms(5010.0));
        assert!((run - (-500.0 + 1000.0 + 900.0 + 1300.0)).abs() < 1e-9);
    }

    #[test]
    fn a_change_of_speed_leaves_the_past_as_it_was() {
        let mut transport = Transport::start(Stamp::default(), 0.0, Speed::FULL);
        let before = transport.run_ms(Stamp::from_ms(300.0));
        transport.set_speed(Stamp::from_ms(400.0), Speed::MIN);
        assert_eq!(transport.run_ms(Stamp::from_ms(300.0)), before);
    }

    #[test]
    fn a_loop_begins_again_in_the_next_pass() {
        let course = Course { start: 2000.0, end: 6000.0, looped: true };
        assert_eq!(course.place(1500.0), (0, 1500.0), "counting in");
        assert_eq!(course.place(5999.0), (0, 5999.0));
        assert_eq!(course.place(6000.0), (1, 2000.0));
        assert_eq!(course.place(10_500.0), (2, 2500.0));
        assert_eq!(course.in_pass(5990.0, 1).ms(), 1990.0, "just before the second pass");
    }
}
