//! Which frame of the sound stream is heard at a stamp.

use super::Clock;
use crate::devices::ClockPair;
use practice::clock::{ClockFollower, ClockLoss};
use practice::{Frames, Stamp};

/// The line that is followed from stream to stream.
#[derive(Debug, Default)]
pub(super) struct FrameMap {
    follower: ClockFollower,
}

impl FrameMap {
    /// Takes a pair in. Says whether it is the first of another stream than before, whose events are all gone.
    pub fn learn(&mut self, pair: &ClockPair, clock: Clock) -> bool {
        let frame = Frames(i64::try_from(pair.frame).unwrap_or(i64::MAX));
        // What is asked for now leaves the device so much later: cues are placed by when they are heard.
        let heard = clock.stamp(pair.at + pair.delay);
        self.follower.learn(pair.generation, f64::from(pair.rate.hertz()), frame, heard)
    }

    /// Why strikes of this moment cannot be set against the sound to 2 ms, if that is worth a word: that a stream has just
    /// begun is not.
    pub fn trouble(&self, now: Stamp) -> Option<ClockLoss> {
        self.follower
            .loss(now)
            .filter(|loss| matches!(loss, ClockLoss::Jumped | ClockLoss::Silent | ClockLoss::Rough))
    }

    /// The frame that is heard at a stamp; `None` before the first pair.
    pub fn frame(&mut self, at: Stamp) -> Option<u64> {
        let Frames(frame) = self.follower.map()?.frames(at);
        Some(u64::try_from(frame).unwrap_or(0))
    }
}
