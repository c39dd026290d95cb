//! Fingers for a whole part, after shapes and strikes are chosen: each section once, in the same way at every return.

use crate::candidate::Candidate;
use crate::finger::Fingers;
use crate::finger_path::FingerBook;
use crate::neighbour::neighbour_finger;
use crate::{Part, PartBar, Role, Shape};
use song::{SlotKind, SlotSource};
use std::collections::HashMap;
use std::ops::Range;
use theory::{Finger, Hand};

/// Puts fingers on all shapes and strikes of a part.
pub(crate) fn put_fingers(part: &mut Part) {
    let passes = passes(&part.bars);
    for hand in Hand::BOTH {
        let mut book = FingerBook::new(part.settings.reach_of(hand).semitones());
        let mut known: HashMap<(usize, SlotSource, Vec<u8>), Fingers> = HashMap::new();
        for pass in &passes {
            finger_pass(part, pass.clone(), hand, &mut book, &mut known);
        }
    }
    carry_over_ties(part);
    finger_events(part);
}

/// The passes, those with the fewest exceptions first.
fn passes(bars: &[PartBar]) -> Vec<Range<usize>> {
    let mut passes = Vec::new();
    let mut start = 0;
    for pass in bars.chunk_by(|a, b| {
        let place = |bar: &PartBar| (bar.played.section, bar.played.place, bar.played.pass);
        place(a) == place(b)
    }) {
        passes.push(start..start + pass.len());
        start += pass.len();
    }
    let exceptions = |pass: &Range<usize>| {
        let slots = bars[pass.clone()].iter().flat_map(|bar| &bar.played.slots);
        slots.filter(|slot| slot.source.exception.is_some()).count()
    };
    passes.sort_by_key(exceptions);
    passes
}

fn finger_pass(
    part: &mut Part,
    bars: Range<usize>,
    hand: Hand,
    book: &mut FingerBook,
    known: &mut HashMap<(usize, SlotSource, Vec<u8>), Fingers>,
) {
    let mut at = Vec::new();
    for bar in bars {
        let played = &part.bars[bar].played;
        for (slot, s) in played.slots.iter().enumerate() {
            if let SlotKind::Chord { .. } = s.kind {
                let keys: Vec<u8> = keys(part.bars[bar].chords[slot].hand(hand));
                at.push((bar, slot, (played.section, s.source, keys)));
            }
        }
    }
    let shapes: Vec<Candidate> = at.iter().map(|(_, _, (_, _, keys))| Candidate::of_keys(keys)).collect();
    let kept: Vec<Option<Fingers>> = at.iter().map(|(_, _, place)| known.get(place).copied()).collect();
    let fingers = book.passage(hand, &shapes, &kept);
    for ((bar, slot, place), fingers) in at.into_iter().zip(fingers) {
        put(part.bars[bar].chords[slot].hand_mut(hand), &fingers);
        known.entry(place).or_insert(fingers);
    }
}

fn put(shape: &mut Shape, fingers: &Fingers) {
    for (note, &finger) in shape.notes.iter_mut().zip(fingers) {
        note.finger = Finger::new(finger).unwrap_or(Finger::THUMB);
    }
}

/// A tie shows the shape that goes on.
fn carry_over_ties(part: &mut Part) {
    let mut sounding: Option<(Shape, Shape)> = None;
    for bar in &mut part.bars {
        for (slot, chord) in bar.played.slots.iter().zip(&mut bar.chords) {
            match (&slot.kind, &sounding) {
                (SlotKind::Tie { .. }, Some((right, left))) => {
                    chord.right.clone_from(right);
                    chord.left.clone_from(left);
                }
                _ => sounding = Some((chord.right.clone(), chord.left.clone())),
            }
        }
    }
}

fn finger_events(part: &mut Part) {
    let bars = &part.bars;
    for event in &mut part.events {
        let shape = bars[event.bar].chords[event.slot].hand(event.hand);
        let place = usize::from(event.place);
        event.finger = match event.role {
            Role::Chord => shape.notes[place].finger,
            Role::Passing => neighbour_finger(event.hand, shape, place, event.pitch),
        };
    }
}

fn keys(shape: &Shape) -> Vec<u8> {
    shape.notes.iter().map(|note| note.key.number()).collect()
}
