//! The run of an exercise as the row of notes shows it: both hands' notes in order, and where they cross.

use practice::{Crossed, crossed};
use theory::{CrossingKind, Finger, Hand, Pitch};
use voicing::{Event, Part};

/// A note of the row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Note {
    /// Its pitch.
    pub pitch: Pitch,
    /// Its finger.
    pub finger: Finger,
    /// Whether it is accented.
    pub accented: bool,
    /// Its index in the part.
    pub event: usize,
}

/// A crossing of the row: the place of the note before it, in order of playing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Crossing {
    /// The note before it; the one after it comes next.
    pub from: usize,
    /// What happens.
    pub what: Crossed,
}

/// Both hands' notes and crossings.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Run {
    notes: [Vec<Option<Note>>; 2],
    crossings: [Vec<Crossing>; 2],
}

impl Run {
    /// Of a part that strikes single notes: slot by slot.
    pub fn of(part: &Part) -> Run {
        let slots: usize = part.bars.iter().map(|bar| bar.chords.len()).sum();
        let mut first_slot = Vec::with_capacity(part.bars.len());
        let mut count = 0;
        for bar in &part.bars {
            first_slot.push(count);
            count += bar.chords.len();
        }
        let mut run = Run { notes: [vec![None; slots], vec![None; slots]], ..Run::default() };
        for (index, event) in part.events.iter().enumerate() {
            let place = first_slot[event.bar] + event.slot;
            run.notes[event.hand as usize][place] = Some(Note {
                pitch: event.pitch,
                finger: event.finger,
                accented: event.accented,
                event: index,
            });
        }
        run.crossings = Hand::BOTH.map(|hand| run.find_crossings(hand, &part.events));
        run
    }

    fn find_crossings(&self, hand: Hand, events: &[Event]) -> Vec<Crossing> {
        let crossing = |(from, two): (usize, &[Option<Note>])| {
            let (before, after) = (two[0]?, two[1]?);
            let what = crossed(hand, &events[before.event], &events[after.event])?;
            Some(Crossing { from, what })
        };
        self.notes[hand as usize].windows(2).enumerate().filter_map(crossing).collect()
    }

    /// How many notes it has.
    pub fn len(&self) -> usize {
        self.notes[0].len()
    }

    /// A hand's note at a place.
    pub fn note(&self, hand: Hand, place: usize) -> Option<Note> {
        *self.notes[hand as usize].get(place)?
    }

    /// A hand's crossings in order.
    pub fn crossings(&self, hand: Hand) -> &[Crossing] {
        &self.crossings[hand as usize]
    }

    /// Whether a hand plays at all.
    pub fn has(&self, hand: Hand) -> bool {
        self.notes[hand as usize].iter().any(Option::is_some)
    }

    /// Where an event of the part stands.
    pub fn place_of(&self, event: usize) -> Option<usize> {
        let here = |note: &Option<Note>| note.is_some_and(|note| note.event == event);
        self.notes.iter().find_map(|hand| hand.iter().position(here))
    }

    /// Whether both hands play notes of one name all through, so that one row of names will do.
    pub fn names_agree(&self) -> bool {
        let differ = |(right, left): (&Option<Note>, &Option<Note>)| match (right, left) {
            (Some(right), Some(left)) => right.pitch.name != left.pitch.name,
            _ => false,
        };
        !self.notes[0].iter().zip(&self.notes[1]).any(differ)
    }
}

impl Crossing {
    /// Which finger passes which: `1 under 3`, `3 over 1`.
    pub fn text(&self) -> String {
        match self.what.kind {
            CrossingKind::ThumbUnder => format!("1 under {}", self.what.finger),
            CrossingKind::FingerOver => format!("{} over 1", self.what.finger),
        }
    }
}
