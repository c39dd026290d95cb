//! The passages of a part as the choice of fingers sees them: one hand's stages, read off its shapes and strikes.

use crate::finger_grip::Grip;
use crate::finger_passage::{Neighbour, Stage};
use crate::{Event, Part, Role, Shape};
use song::{Quarters, SlotKind};
use theory::Hand;

/// A stage and where it stands in the part.
#[derive(Clone, Debug)]
pub(crate) struct Spot {
    pub stage: Stage,
    pub bar: usize,
    pub slot: usize,
    pub at: Quarters,
    /// Places of the shape, by bit, that are played.
    pub played: u8,
    /// What stays down from before: index of the strike, place in the shape.
    pub held: Vec<(usize, u8)>,
    /// What is struck until the next stage of the shape: indices.
    pub strikes: Vec<usize>,
}

impl Spot {
    /// The place in the grip of a place in the shape.
    pub fn in_grip(&self, place: u8) -> usize {
        (self.played & ((1u8 << place) - 1)).count_ones() as usize
    }
}

/// All stages of one hand, in order. A hand that neither strikes nor holds anything in a slot has none there.
pub(crate) fn spots(part: &Part, hand: Hand) -> Vec<Spot> {
    let strikes = Strikes::of(part, hand);
    let mut spots = Vec::with_capacity(strikes.order.len());
    let mut open: Vec<usize> = Vec::new();
    let mut number = 0;
    for (bar, b) in part.bars.iter().enumerate() {
        for (slot, (s, chord)) in b.played.slots.iter().zip(&b.chords).enumerate() {
            if let SlotKind::Chord { .. } = s.kind {
                let here = SlotStrikes {
                    events: &part.events,
                    shape: chord.hand(hand),
                    struck: strikes.in_slot(number),
                    start: b.played.start + s.start,
                };
                here.spots((bar, slot), &mut open, &mut spots);
            }
            number += 1;
        }
    }
    spots
}

/// One hand's strikes, slot by slot.
struct Strikes {
    order: Vec<usize>,
    /// Where each slot's begin; one more at the end.
    from: Vec<usize>,
}

impl Strikes {
    fn of(part: &Part, hand: Hand) -> Strikes {
        let mut first_slot = Vec::with_capacity(part.bars.len());
        let mut slots = 0;
        for bar in &part.bars {
            first_slot.push(slots);
            slots += bar.chords.len();
        }
        let slot_of = |event: &Event| first_slot[event.bar] + event.slot;
        let mut from = vec![0; slots + 1];
        for event in part.events.iter().filter(|event| event.hand == hand) {
            from[slot_of(event) + 1] += 1;
        }
        for slot in 0..slots {
            from[slot + 1] += from[slot];
        }
        let mut next = from.clone();
        let mut order = vec![0; from[slots]];
        for (index, event) in part.events.iter().enumerate().filter(|(_, event)| event.hand == hand) {
            let slot = slot_of(event);
            order[next[slot]] = index;
            next[slot] += 1;
        }
        Strikes { order, from }
    }

    fn in_slot(&self, slot: usize) -> &[usize] {
        &self.order[self.from[slot]..self.from[slot + 1]]
    }
}

/// What a hand does at one chord.
struct SlotStrikes<'a> {
    events: &'a [Event],
    shape: &'a Shape,
    struck: &'a [usize],
    start: Quarters,
}

impl SlotStrikes<'_> {
    fn spots(&self, (bar, slot): (usize, usize), open: &mut Vec<usize>, spots: &mut Vec<Spot>) {
        let strike = self.struck.first().map(|&i| self.events[i].start);
        let first = strike.map_or(self.start, |at| at.min(self.start));
        open.retain(|&i| self.end(i) > first);
        let played = self.played(open);
        if played == 0 {
            return;
        }
        let keys: Vec<u8> = self.shape.notes.iter().map(|note| note.key.number()).collect();
        let grip = Grip::new(&keys, played, self.shape.rolled);
        let begin = spots.len();
        if !open.is_empty() && strike.is_none_or(|at| at > first) {
            // What stays down lies under the hand before anything is struck.
            spots.push(self.spot((bar, slot), first, (grip, played), open, &[]));
        }
        for group in self.struck.chunk_by(|&a, &b| self.events[a].start == self.events[b].start) {
            let has_neighbour =
                |strikes: &[usize]| strikes.iter().any(|&i| self.events[i].role == Role::Passing);
            let before = spots[begin..].last_mut();
            match before.filter(|spot| !has_neighbour(&spot.strikes) && !has_neighbour(group)) {
                Some(spot) => spot.strikes.extend_from_slice(group),
                None => {
                    let at = self.events[group[0]].start;
                    let mut spot = self.spot((bar, slot), at, (grip, played), open, group);
                    spot.stage.goes_on = spots.len() > begin;
                    spots.push(spot);
                }
            }
            open.extend_from_slice(group);
        }
    }

    /// Places of the shape that are struck here or stay down, those of neighbours' own notes among them.
    fn played(&self, open: &[usize]) -> u8 {
        let struck = self.struck.iter().map(|&i| self.events[i].place);
        let held = open.iter().filter_map(|&i| self.place_of(i));
        let played = struck.chain(held).fold(0u8, |places, place| places | 1 << place.min(4));
        played & whole(self.shape)
    }

    fn place_of(&self, event: usize) -> Option<u8> {
        let event = &self.events[event];
        let place = self.shape.notes.iter().position(|note| note.key == event.key)?;
        (event.role == Role::Chord).then_some(place as u8)
    }

    fn end(&self, event: usize) -> Quarters {
        self.events[event].start + self.events[event].length
    }

    fn spot(
        &self,
        (bar, slot): (usize, usize),
        at: Quarters,
        (grip, played): (Grip, u8),
        open: &[usize],
        group: &[usize],
    ) -> Spot {
        let sounding = open.iter().copied().filter(|&i| self.end(i) > at);
        let held: Vec<(usize, u8)> = sounding.filter_map(|i| Some((i, self.place_of(i)?))).collect();
        let stage = Stage { grip, held: 0, sounding: 0, neighbours: Vec::new(), goes_on: false, fixed: None };
        let mut spot = Spot { stage, bar, slot, at, played, held, strikes: group.to_vec() };
        for i in 0..spot.held.len() {
            spot.stage.held |= 1 << spot.in_grip(spot.held[i].1);
        }
        spot.stage.sounding = spot.stage.held;
        for &i in group {
            let event = &self.events[i];
            let place = spot.in_grip(event.place.min(4));
            match event.role {
                Role::Chord => spot.stage.sounding |= 1 << place,
                Role::Passing => {
                    spot.stage.neighbours.push(Neighbour { key: event.key.number(), beside: place as u8 });
                }
            }
        }
        spot
    }
}

fn whole(shape: &Shape) -> u8 {
    match shape.notes.len() {
        0 => 0,
        count => u8::MAX >> (8 - count.min(5)),
    }
}
