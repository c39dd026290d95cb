//! Which frame of the sound stream is heard at a stamp.

use super::Clock;
use crate::devices::ClockPair;
use practice::clock::ClockMap;
use practice::{Frames, Stamp};
use std::collections::VecDeque;

/// Pairs that the estimate looks back on: at blocks of 128 frames a bit more than a second.
const KEPT: usize = 512;
/// A new estimate after so many new pairs.
const EVERY: usize = 32;

/// The line through the newest pairs of a stream.
#[derive(Debug, Default)]
pub(super) struct FrameMap {
    generation: Option<u32>,
    rate: f64,
    pairs: VecDeque<(Frames, Stamp)>,
    fresh: usize,
    map: Option<ClockMap>,
}

impl FrameMap {
    /// Takes a pair in. Says whether it is the first of another stream than before, whose events are all gone.
    pub fn learn(&mut self, pair: &ClockPair, clock: Clock) -> bool {
        let renewed = self.generation.replace(pair.generation) != Some(pair.generation);
        if renewed {
            self.pairs.clear();
            self.map = None;
            self.rate = f64::from(pair.rate.hertz());
        }
        let frame = Frames(i64::try_from(pair.frame).unwrap_or(i64::MAX));
        // What is asked for now leaves the device so much later: cues are placed by when they are heard.
        self.pairs.push_back((frame, clock.stamp(pair.at + pair.delay)));
        if self.pairs.len() > KEPT {
            self.pairs.pop_front();
        }
        self.fresh += 1;
        renewed
    }

    /// The frame that is heard at a stamp; `None` before the first pair.
    pub fn frame(&mut self, at: Stamp) -> Option<u64> {
        if self.map.is_none() || self.fresh >= EVERY {
            self.fresh = 0;
            self.map = ClockMap::estimate(self.pairs.make_contiguous(), self.rate);
        }
        let Frames(frame) = self.map?.frames(at);
        Some(u64::try_from(frame).unwrap_or(0))
    }
}
