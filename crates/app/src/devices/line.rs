//! The way of a sound event to the callback: one ring for each thread that sends.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Instant;

use rtrb::{Consumer, Producer, RingBuffer};
use sound::{Event, EventKind, Source};

use super::mailbox::Mailbox;

/// Cues in a ring.
const ROOM: usize = 4096;
/// Of these, kept for what ends a sound.
const RESERVE: usize = 512;

/// When a cue is meant to sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum When {
    /// On a frame of the stream.
    Frame(u64),
    /// One block after it was played.
    Played(Instant),
}

/// What goes through the ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cue {
    pub(super) when: When,
    pub(super) kind: EventKind,
}

/// Sends events to the sound callback from one thread. It never waits: if the ring is full the event is counted as missed,
/// except for what ends a sound, which always gets through. It works the same whether or not there is a device, and
/// goes on working when the device is lost and found again.
#[derive(Debug)]
pub struct SoundLine {
    ring: Option<Producer<Cue>>,
    /// Where everybody's pedals stand: the next stream has to be told.
    pedals: [Feet; Source::COUNT],
    shared: Arc<Shared>,
}

/// The values of sustain, sostenuto and una corda.
type Feet = [u8; 3];

/// The callback's end of a line, from which a new ring is made for every stream.
#[derive(Debug)]
pub(super) struct Plug {
    shared: Arc<Shared>,
}

/// The receiving end for the life of one stream.
#[derive(Debug)]
pub(super) struct Receiver {
    ring: Consumer<Cue>,
    shared: Arc<Shared>,
}

#[derive(Debug)]
struct Shared {
    rings: Mailbox<Producer<Cue>>,
    missed: AtomicU64,
    total: Arc<AtomicU64>,
    /// An ending that found no room, one for each source: everything of the source ends instead.
    all_off: [AtomicBool; Source::COUNT],
}

/// A line; what it misses is also added to `total`.
pub(super) fn sound_line(total: &Arc<AtomicU64>) -> (SoundLine, Plug) {
    let shared = Arc::new(Shared {
        rings: Mailbox::empty(),
        missed: AtomicU64::new(0),
        total: Arc::clone(total),
        all_off: std::array::from_fn(|_| AtomicBool::new(false)),
    });
    let pedals = [Feet::default(); Source::COUNT];
    (SoundLine { ring: None, pedals, shared: Arc::clone(&shared) }, Plug { shared })
}

impl SoundLine {
    /// Sends an event for its frame.
    pub fn send(&mut self, event: Event) {
        self.push(Cue { when: When::Frame(event.frame), kind: event.kind });
    }

    /// Sends what was just played, to sound a block after `at` (now, or the stamp of a MIDI message): always the same
    /// short time later, wherever in a block it came.
    pub fn play(&mut self, at: Instant, kind: EventKind) {
        self.push(Cue { when: When::Played(at), kind });
    }

    /// Drops what a source still has waiting and ends what it sounds, now.
    pub fn all_off(&mut self, source: Source) {
        for kind in [EventKind::Forget(source), EventKind::AllOff(source)] {
            self.push(Cue { when: When::Frame(0), kind });
        }
    }

    /// Events of this line that found no room.
    pub fn missed(&self) -> u64 {
        self.shared.missed.load(Ordering::Relaxed)
    }

    fn push(&mut self, cue: Cue) {
        if self.shared.rings.swap(&mut self.ring) {
            self.press_pedals();
        }
        self.note_pedals(cue.kind);
        self.push_on(cue);
    }

    /// A new stream knows of no pedal: those that are down go down in it first.
    fn press_pedals(&mut self) {
        for source in Source::all() {
            let [sustain, sostenuto, una_corda] = self.pedals[source.index()];
            let pressed = [
                (sostenuto, EventKind::Sostenuto { source, value: sostenuto }),
                (sustain, EventKind::Sustain { source, value: sustain }),
                (una_corda, EventKind::UnaCorda { source, value: una_corda }),
            ];
            for (_, kind) in pressed.into_iter().filter(|(value, _)| *value > 0) {
                self.push_on(Cue { when: When::Frame(0), kind });
            }
        }
    }

    fn note_pedals(&mut self, kind: EventKind) {
        match kind {
            EventKind::Sustain { source, value } => self.pedals[source.index()][0] = value,
            EventKind::Sostenuto { source, value } => self.pedals[source.index()][1] = value,
            EventKind::UnaCorda { source, value } => self.pedals[source.index()][2] = value,
            EventKind::AllOff(source) => self.pedals[source.index()] = Feet::default(),
            _ => {}
        }
    }

    fn push_on(&mut self, cue: Cue) {
        let Some(ring) = &mut self.ring else { return };
        let ends = cue.kind.ends_sound();
        if !ends && ring.slots() <= RESERVE {
            self.shared.missed.fetch_add(1, Ordering::Relaxed);
            self.shared.total.fetch_add(1, Ordering::Relaxed);
        } else if ring.push(cue).is_err() {
            self.shared.end_all(cue.kind.source());
        }
    }
}

impl Plug {
    /// A new ring; the sender takes it up with its next event, and what was in the old one is gone.
    pub(super) fn connect(&self) -> Receiver {
        let (producer, consumer) = RingBuffer::new(ROOM);
        self.shared.rings.give(producer);
        Receiver { ring: consumer, shared: Arc::clone(&self.shared) }
    }
}

impl Receiver {
    /// The next cue, without waiting.
    pub(super) fn next(&mut self) -> Option<Cue> {
        self.ring.pop().ok()
    }

    /// Sources that must be silenced because an ending found no room. To be asked after the ring was emptied.
    pub(super) fn take_all_off(&self) -> impl Iterator<Item = Source> {
        Source::all().filter(|source| {
            let flag = &self.shared.all_off[source.index()];
            flag.load(Ordering::Relaxed) && flag.swap(false, Ordering::Acquire)
        })
    }
}

impl Shared {
    fn end_all(&self, source: Option<Source>) {
        if let Some(source) = source {
            self.all_off[source.index()].store(true, Ordering::Release);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sound::{Key, Velocity};

    fn on(frame: u64) -> Event {
        let (key, velocity) = (Key::new(60).unwrap(), Velocity::clamped(80));
        Event { frame, kind: EventKind::NoteOn { key, velocity, source: Source::FIRST } }
    }

    fn off(frame: u64) -> Event {
        Event { frame, kind: EventKind::NoteOff { key: Key::new(60).unwrap(), source: Source::FIRST } }
    }

    #[test]
    fn a_full_ring_counts_what_it_drops_and_lets_endings_through() {
        let (mut line, plug) = sound_line(&Arc::default());
        let mut receiver = plug.connect();
        for frame in 0..ROOM as u64 {
            line.send(on(frame));
        }
        assert_eq!(line.missed(), RESERVE as u64);
        line.send(off(1));
        let received: Vec<Cue> = std::iter::from_fn(|| receiver.next()).collect();
        assert_eq!(received.len(), ROOM - RESERVE + 1);
        assert_eq!(received.last(), Some(&Cue { when: When::Frame(1), kind: off(1).kind }));
        assert_eq!(receiver.take_all_off().count(), 0);
    }

    #[test]
    fn an_ending_that_finds_no_room_at_all_becomes_all_off() {
        let (mut line, plug) = sound_line(&Arc::default());
        let receiver = plug.connect();
        for frame in 0..=ROOM as u64 {
            line.send(off(frame));
        }
        assert_eq!(receiver.take_all_off().collect::<Vec<_>>(), [Source::FIRST]);
        assert_eq!(receiver.take_all_off().count(), 0, "told once");
        assert_eq!(line.missed(), 0);
    }

    #[test]
    fn a_pedal_that_is_down_goes_down_in_the_next_stream_first() {
        let (mut line, plug) = sound_line(&Arc::default());
        let _first = plug.connect();
        let source = Source::FIRST;
        let (down, soft) =
            (EventKind::Sustain { source, value: 90 }, EventKind::UnaCorda { source, value: 5 });
        for kind in [
            down,
            soft,
            EventKind::Sostenuto { source, value: 127 },
            EventKind::Sostenuto { source, value: 0 },
        ] {
            line.play(Instant::now(), kind);
        }
        let kinds = |receiver: &mut Receiver| -> Vec<EventKind> {
            std::iter::from_fn(|| receiver.next()).map(|cue| cue.kind).collect()
        };
        let mut second = plug.connect();
        line.send(on(7));
        assert_eq!(kinds(&mut second), [down, soft, on(7).kind]);
        line.all_off(source);
        let mut third = plug.connect();
        line.send(on(8));
        assert_eq!(kinds(&mut third), [on(8).kind], "all off lifts the pedals too");
    }

    #[test]
    fn a_line_finds_the_next_stream_by_itself() {
        let (mut line, plug) = sound_line(&Arc::default());
        line.send(on(0)); // no stream yet: nothing to hear it
        let mut first = plug.connect();
        line.send(on(1));
        let mut second = plug.connect();
        line.send(on(2));
        assert_eq!(first.next().map(|cue| cue.when), Some(When::Frame(1)));
        assert_eq!(first.next(), None);
        assert_eq!(second.next().map(|cue| cue.when), Some(When::Frame(2)));
    }
}
