//! The ends of a session thread whose keyboards and streams a test plays by hand.

use std::sync::Arc;
use std::time::{Duration, Instant};

use rtrb::Producer;
use sound::{EventKind, SampleRate};

use super::clock::{ClockFeed, ClockPair, ClockPlug, clock_feed};
use super::inbox::{Inbox, inbox};
use super::line::{Plug, Receiver, SoundLine, sound_line};
use super::screen_keys::ScreenKeys;

/// What leads to the streams.
pub(crate) struct ByHand {
    part: Plug,
    clock: ClockPlug,
    generation: u32,
}

/// What a session thread and the player hold of them.
pub(crate) struct EndsByHand {
    pub(crate) keyboards: Vec<ScreenKeys>,
    pub(crate) line: SoundLine,
    pub(crate) inbox: Inbox,
    pub(crate) feed: ClockFeed,
}

/// A stream as a test plays it.
pub(crate) struct StreamByHand {
    part: Receiver,
    pairs: Producer<ClockPair>,
    generation: u32,
}

impl ByHand {
    pub(crate) fn new(keyboards: usize) -> (ByHand, EndsByHand) {
        let silent = || sound_line(&Arc::default()).0;
        let (inputs, inbox) = inbox(keyboards);
        let keyboards = inputs.into_iter().map(|input| ScreenKeys::new(silent(), input)).collect();
        let ((line, part), (feed, clock)) = (sound_line(&Arc::default()), clock_feed());
        (ByHand { part, clock, generation: 0 }, EndsByHand { keyboards, line, inbox, feed })
    }

    /// Another stream begins.
    pub(crate) fn stream(&mut self) -> StreamByHand {
        self.generation += 1;
        let (part, pairs) = (self.part.connect(), self.clock.connect());
        StreamByHand { part, pairs, generation: self.generation }
    }
}

impl StreamByHand {
    /// It asks for a block of 480 frames at 48 kHz.
    pub(crate) fn asks(&mut self, frame: u64, at: Instant) {
        let (generation, rate, delay) = (self.generation, SampleRate::DEFAULT, Duration::ZERO);
        let pair = ClockPair { generation, frame, frames: 480, at, delay, rate, heard: true };
        self.pairs.push(pair).expect("there is room for a few pairs");
    }

    /// What was sent to it since the last call.
    pub(crate) fn sent(&mut self) -> Vec<EventKind> {
        std::iter::from_fn(|| self.part.next()).map(|cue| cue.kind).collect()
    }
}
