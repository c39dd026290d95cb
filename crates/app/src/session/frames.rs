//! Which frame of the sound stream is heard at a stamp.

use super::Clock;
use crate::devices::ClockPair;
use practice::clock::{ClockFollower, ClockLoss};
use practice::{Frames, Stamp};
use std::time::Duration;

/// The line that is followed from stream to stream.
#[derive(Debug, Default)]
pub(super) struct FrameMap {
    follower: ClockFollower,
    /// Whether a device counts the frames, and not the clock that stands in for one.
    heard: bool,
    /// What the device said last of how much later its sound leaves it.
    says: Duration,
}

impl FrameMap {
    /// Takes a pair in. Says whether it is the first of another stream than before, whose events are all gone.
    pub fn learn(&mut self, pair: &ClockPair, clock: Clock) -> bool {
        (self.heard, self.says) = (pair.heard, pair.delay);
        let frame = Frames(i64::try_from(pair.frame).unwrap_or(i64::MAX));
        // What is asked for now leaves the device so much later: cues are placed by when they are heard.
        let heard = clock.stamp(pair.at + pair.delay);
        self.follower.learn(pair.generation, f64::from(pair.rate.hertz()), frame, heard)
    }

    /// Why strikes of this moment cannot be set against the sound to 2 ms, if that is worth a word: that a stream has just
    /// begun is not, nor is anything while there is no sound.
    pub fn trouble(&self, now: Stamp) -> Option<ClockLoss> {
        self.follower
            .loss(now)
            .filter(|_| self.heard)
            .filter(|loss| matches!(loss, ClockLoss::Jumped | ClockLoss::Silent | ClockLoss::Rough))
    }

    /// How much later than it is asked for its sound leaves the device, as the device says itself, in milliseconds: nought
    /// where it does not say; `None` while there is no device.
    pub fn device_says_ms(&self) -> Option<f64> {
        self.heard.then_some(self.says.as_secs_f64() * 1000.0)
    }

    /// The frame that is heard at a stamp; `None` before the first pair.
    pub fn frame(&mut self, at: Stamp) -> Option<u64> {
        let Frames(frame) = self.follower.map()?.frames(at);
        Some(u64::try_from(frame).unwrap_or(0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sound::SampleRate;
    use std::time::Instant;

    /// Two seconds of blocks of 10 ms, each of them up to `rough_ms` late.
    fn followed(heard: bool, rough_ms: u64) -> (FrameMap, Stamp) {
        let (clock, start) = (Clock::start(), Instant::now());
        let (mut map, mut at) = (FrameMap::default(), start);
        for n in 0..200u64 {
            at = start + Duration::from_millis(10 * n + n * 7919 % 10 * rough_ms / 9);
            let (rate, delay) = (SampleRate::DEFAULT, Duration::from_millis(7));
            map.learn(
                &ClockPair { generation: 1, frame: n * 480, frames: 480, at, delay, rate, heard },
                clock,
            );
        }
        (map, clock.stamp(at))
    }

    #[test]
    fn only_a_device_that_answers_unevenly_is_worth_a_word() {
        let (even, now) = followed(true, 0);
        assert_eq!(even.trouble(now), None);
        assert_eq!(even.trouble(now.plus_ms(900.0)), Some(ClockLoss::Silent));
        let (rough, now) = followed(true, 9);
        assert_eq!(rough.trouble(now), Some(ClockLoss::Rough));
        let (stand_in, now) = followed(false, 9);
        assert_eq!(stand_in.trouble(now), None);
        assert_eq!(FrameMap::default().trouble(now), None, "nothing was heard yet");
        assert_eq!((rough.device_says_ms(), stand_in.device_says_ms()), (Some(7.0), None));
    }
}
