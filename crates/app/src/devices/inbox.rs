//! What was played, from every keyboard, for the session thread.

use std::sync::Arc;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread::{self, Thread};
use std::time::{Duration, Instant};

use rtrb::{Consumer, Producer, RingBuffer};
use sound::{Key, Velocity};

/// Inputs in a ring: more than the wire can carry in three seconds.
const ROOM: usize = 4096;
/// Of these, kept for keys and pedals that come up.
const RESERVE: usize = 512;

/// Which keyboard: the first [`KEYBOARDS`](super::KEYBOARDS) are MIDI keyboards, the last is the one on the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PortId(pub u8);

/// Something played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Input {
    /// On which keyboard.
    pub port: PortId,
    /// When the message arrived, on the monotonic clock.
    pub at: Instant,
    /// What it was.
    pub kind: InputKind,
}

/// What a player does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InputKind {
    /// A key goes down.
    KeyDown {
        /// Which.
        key: Key,
        /// How fast.
        velocity: Velocity,
    },
    /// A key comes up.
    KeyUp {
        /// Which.
        key: Key,
    },
    /// The sustain pedal moves, 0 to 127; 64 and above is down.
    Sustain {
        /// The controller's value.
        value: u8,
    },
    /// The sostenuto pedal moves, 0 to 127; 64 and above is down.
    Sostenuto {
        /// The controller's value.
        value: u8,
    },
    /// The soft pedal moves, 0 to 127.
    UnaCorda {
        /// The controller's value.
        value: u8,
    },
    /// The keyboard went away, or more came than could be kept: all its keys and its pedal are up.
    AllUp,
}

impl InputKind {
    /// Whether this must get through even where there is no room left.
    fn ends_sound(self) -> bool {
        match self {
            InputKind::KeyDown { .. } | InputKind::UnaCorda { .. } => false,
            InputKind::Sustain { value } | InputKind::Sostenuto { value } => value < 64,
            InputKind::KeyUp { .. } | InputKind::AllUp => true,
        }
    }
}

/// The session's end of all keyboards.
pub struct Inbox {
    ports: Vec<(Consumer<Input>, Arc<Flags>)>,
    waker: Arc<OnceLock<Thread>>,
}

/// One keyboard's end.
pub(super) struct InputLine {
    port: PortId,
    ring: Producer<Input>,
    flags: Arc<Flags>,
    waker: Arc<OnceLock<Thread>>,
}

#[derive(Default)]
struct Flags {
    all_up: AtomicBool,
    missed: AtomicU64,
}

/// Makes an inbox for a number of keyboards.
pub(super) fn inbox(keyboards: usize) -> (Vec<InputLine>, Inbox) {
    let waker = Arc::new(OnceLock::new());
    let (mut lines, mut ports) = (Vec::new(), Vec::new());
    for port in (0..=u8::MAX).take(keyboards).map(PortId) {
        let (ring, consumer) = RingBuffer::new(ROOM);
        let flags = Arc::new(Flags::default());
        ports.push((consumer, Arc::clone(&flags)));
        lines.push(InputLine { port, ring, flags, waker: Arc::clone(&waker) });
    }
    (lines, Inbox { ports, waker })
}

impl Inbox {
    /// The earliest input of all keyboards that was not read yet; nothing when all are read.
    pub fn next_input(&mut self) -> Option<Input> {
        let earliest = self
            .ports
            .iter()
            .enumerate()
            .filter_map(|(at, (ring, _))| ring.peek().ok().map(|input| (input.at, at)))
            .min();
        match earliest {
            Some((_, at)) => self.ports[at].0.pop().ok(),
            None => self.overflowed(),
        }
    }

    /// Waits until something is played, or the time is over. Always called from one and the same thread.
    pub fn wait(&self, timeout: Duration) {
        self.waker.get_or_init(thread::current);
        if self.ports.iter().all(|(ring, _)| ring.is_empty()) {
            thread::park_timeout(timeout);
        }
    }

    /// Keys that were lost because nobody read the inbox for too long.
    pub fn missed(&self) -> u64 {
        self.ports.iter().map(|(_, flags)| flags.missed.load(Ordering::Relaxed)).sum()
    }

    fn overflowed(&self) -> Option<Input> {
        let at = self.ports.iter().position(|(_, flags)| {
            flags.all_up.load(Ordering::Relaxed) && flags.all_up.swap(false, Ordering::Acquire)
        })?;
        let port = PortId(u8::try_from(at).ok()?);
        Some(Input { port, at: Instant::now(), kind: InputKind::AllUp })
    }
}

impl InputLine {
    /// The keyboard it belongs to.
    pub(super) fn port(&self) -> PortId {
        self.port
    }

    /// Passes an input on without waiting, and wakes the session.
    pub(super) fn send(&mut self, at: Instant, kind: InputKind) {
        let ends = kind.ends_sound();
        if !ends && self.ring.slots() <= RESERVE {
            self.flags.missed.fetch_add(1, Ordering::Relaxed);
        } else if self.ring.push(Input { port: self.port, at, kind }).is_err() {
            self.flags.all_up.store(true, Ordering::Release);
        }
        if let Some(thread) = self.waker.get() {
            thread.unpark();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn down(midi: u8) -> InputKind {
        InputKind::KeyDown { key: Key::new(midi).unwrap(), velocity: Velocity::clamped(70) }
    }

    #[test]
    fn two_keyboards_are_read_in_the_order_they_were_played() {
        let (mut lines, mut inbox) = inbox(2);
        let start = Instant::now();
        let after = |ms| start + Duration::from_millis(ms);
        lines[0].send(after(1), down(60));
        lines[0].send(after(5), down(62));
        lines[1].send(after(3), down(48));
        let read: Vec<(u8, InputKind)> =
            std::iter::from_fn(|| inbox.next_input()).map(|input| (input.port.0, input.kind)).collect();
        assert_eq!(read, [(0, down(60)), (1, down(48)), (0, down(62))]);
    }

    #[test]
    fn what_overflows_is_counted_and_all_keys_come_up() {
        let (mut lines, mut inbox) = inbox(1);
        let now = Instant::now();
        for _ in 0..ROOM {
            lines[0].send(now, down(60));
        }
        assert_eq!(inbox.missed(), RESERVE as u64);
        for _ in 0..=RESERVE {
            lines[0].send(now, InputKind::KeyUp { key: Key::new(60).unwrap() });
        }
        let read: Vec<InputKind> =
            std::iter::from_fn(|| inbox.next_input()).map(|input| input.kind).collect();
        assert_eq!(read.len(), ROOM + 1);
        assert_eq!(read.last(), Some(&InputKind::AllUp));
    }
}
