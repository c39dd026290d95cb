//! Events that wait for their frame, in a store of fixed size.

use std::collections::VecDeque;

use crate::{Event, EventKind, Source};

/// Places for events of every kind.
const ROOM: usize = 8192;
/// Of these, kept free for what ends a sound.
const RESERVE: usize = 1024;

/// There is no room for another event until some have sounded.
///
/// It says nothing about the sound that is already under way, and note-offs have room of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("too many notes are waiting to sound; hand over fewer at a time")]
pub struct QueueFull;

/// A queue in the order of frames; among equal frames, in the order of arrival.
#[derive(Debug)]
pub(crate) struct Pending {
    events: VecDeque<Waiting>,
}

/// An event at the frame on which it will sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Waiting {
    pub(crate) event: Event,
    /// The frame that it was meant for, earlier if it came too late.
    pub(crate) meant: u64,
}

impl Pending {
    pub(crate) fn new() -> Pending {
        Pending { events: VecDeque::with_capacity(ROOM) }
    }

    /// Keeps an event, to sound no sooner than on the frame `now`. Most come in order, so the place is looked for from the
    /// end.
    pub(crate) fn push(&mut self, event: Event, now: u64) -> Result<(), QueueFull> {
        if !self.has_room(&event) {
            return Err(QueueFull);
        }
        let waiting = Waiting { event: Event { frame: event.frame.max(now), ..event }, meant: event.frame };
        let frame = waiting.event.frame;
        let place = self.events.iter().rposition(|other| other.event.frame <= frame).map_or(0, |at| at + 1);
        self.events.insert(place, waiting);
        Ok(())
    }

    pub(crate) fn pop_due(&mut self, frame: u64) -> Option<Waiting> {
        if self.events.front()?.event.frame > frame {
            return None;
        }
        self.events.pop_front()
    }

    pub(crate) fn next_frame(&self) -> Option<u64> {
        self.events.front().map(|waiting| waiting.event.frame)
    }

    /// Drops what waits for a source from a frame on; clicks and gains go with the part.
    pub(crate) fn forget(&mut self, source: Source, from: u64) {
        self.events.retain(|Waiting { event, .. }| {
            event.frame < from || event.kind.source().unwrap_or(Source::Part) != source
        });
    }

    /// Room for this event; an "all off" that finds none makes some, for the notes it ends need not start any more.
    fn has_room(&mut self, event: &Event) -> bool {
        if !event.kind.ends_sound() {
            return self.events.len() < ROOM - RESERVE;
        }
        if let EventKind::AllOff(source) = event.kind
            && self.events.len() >= ROOM
        {
            self.events.retain(|waiting| waiting.event.kind.source() != Some(source));
        }
        self.events.len() < ROOM
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{ClickKind, Key};

    fn click(frame: u64) -> Event {
        Event { frame, kind: EventKind::Click(ClickKind::Beat) }
    }

    fn off(frame: u64, source: Source) -> Event {
        Event { frame, kind: EventKind::NoteOff { key: Key::new(60).unwrap(), source } }
    }

    #[test]
    fn comes_out_in_the_order_of_frames_and_of_arrival() {
        let mut pending = Pending::new();
        for event in [click(30), off(10, Source::FIRST), click(20), off(10, Source::Part)] {
            pending.push(event, 0).unwrap();
        }
        assert_eq!(pending.next_frame(), Some(10));
        assert_eq!(pending.pop_due(9), None);
        let out: Vec<Event> =
            std::iter::from_fn(|| pending.pop_due(99)).map(|waiting| waiting.event).collect();
        assert_eq!(out, [off(10, Source::FIRST), off(10, Source::Part), click(20), click(30)]);
    }

    #[test]
    fn offs_find_room_when_nothing_else_does() {
        let mut pending = Pending::new();
        while pending.push(click(5), 0).is_ok() {}
        assert!(pending.push(off(6, Source::FIRST), 0).is_ok());
        while pending.push(off(6, Source::FIRST), 0).is_ok() {}
        let all_off = Event { frame: 7, kind: EventKind::AllOff(Source::FIRST) };
        assert!(pending.push(all_off, 0).is_ok(), "an all-off makes its own room");
        assert_eq!(pending.events.back().map(|waiting| waiting.event), Some(all_off));
        assert_eq!(pending.events.capacity(), Pending::new().events.capacity(), "it never grew");
    }

    #[test]
    fn forgetting_a_source_leaves_the_other_and_what_comes_before() {
        let mut pending = Pending::new();
        for event in [off(1, Source::Part), off(5, Source::Part), off(5, Source::FIRST), click(6)] {
            pending.push(event, 0).unwrap();
        }
        pending.forget(Source::Part, 5);
        let out: Vec<Event> =
            std::iter::from_fn(|| pending.pop_due(99)).map(|waiting| waiting.event).collect();
        assert_eq!(out, [off(1, Source::Part), off(5, Source::FIRST)]);
    }
}
