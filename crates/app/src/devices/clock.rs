//! Pairs of stamps from the sound stream, for whoever estimates the clock.

use std::sync::Arc;
use std::time::{Duration, Instant};

use rtrb::{Consumer, Producer, RingBuffer};
use sound::SampleRate;

use super::mailbox::Mailbox;

/// Pairs kept for a session that is busy: some ten seconds of small blocks.
const ROOM: usize = 4096;

/// Which frame was asked for when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClockPair {
    /// Changes with every stream; pairs of different generations do not lie on one line.
    pub generation: u32,
    /// The first frame of a block.
    pub frame: u64,
    /// Frames in that block.
    pub frames: u32,
    /// When the callback asked for it, on the monotonic clock.
    pub at: Instant,
    /// How much later the device says that frame leaves it; zero where it does not say.
    pub delay: Duration,
    /// The stream's nominal rate.
    pub rate: SampleRate,
    /// False while a monotonic clock stands in for a device.
    pub heard: bool,
}

/// The session's end of the clock.
#[derive(Debug)]
pub struct ClockFeed {
    ring: Option<Consumer<ClockPair>>,
    rings: Arc<Mailbox<Consumer<ClockPair>>>,
    latest: Option<ClockPair>,
}

/// The end from which a new ring is made for every stream.
#[derive(Debug)]
pub(super) struct ClockPlug {
    rings: Arc<Mailbox<Consumer<ClockPair>>>,
}

pub(super) fn clock_feed() -> (ClockFeed, ClockPlug) {
    let rings = Arc::new(Mailbox::empty());
    (ClockFeed { ring: None, rings: Arc::clone(&rings), latest: None }, ClockPlug { rings })
}

impl ClockFeed {
    /// The next pair that was not read yet, oldest first; nothing when all are read.
    pub fn next_pair(&mut self) -> Option<ClockPair> {
        self.rings.swap(&mut self.ring);
        let pair = self.ring.as_mut()?.pop().ok()?;
        self.latest = Some(pair);
        Some(pair)
    }

    /// Reads all pairs and gives the newest ever read; nothing only before the first block.
    pub fn latest(&mut self) -> Option<ClockPair> {
        while self.next_pair().is_some() {}
        self.latest
    }
}

impl ClockPlug {
    pub(super) fn connect(&self) -> Producer<ClockPair> {
        let (producer, consumer) = RingBuffer::new(ROOM);
        self.rings.give(consumer);
        producer
    }
}
