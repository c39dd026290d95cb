//! Pedal marks: where the right foot goes down, changes, and comes up.

use crate::Part;
use song::{Quarters, SlotKind};
use theory::Chord;

/// What the foot does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PedalKind {
    /// It goes down, once the chord has sounded.
    Down,
    /// It comes up as the new chord goes down, and goes down again after it (syncopated pedalling; common practice, no
    /// source).
    Change,
    /// It comes up and stays up.
    Up,
}

/// One mark. Its time is that of the chord that it belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PedalMark {
    /// What.
    pub kind: PedalKind,
    /// When, in quarters from the first bar line; at a pushed chord an eighth early, as the chord.
    pub at: Quarters,
    /// The bar of its chord, or the one that it ends in.
    pub bar: usize,
    /// The slot in that bar.
    pub slot: usize,
}

impl Part {
    /// The pedal marks of the bars that ask for pedal, in order of time: a change at each new chord, none where the harmony
    /// stays, up at a rest, at a bar without pedal and at the end.
    pub fn pedal_marks(&self) -> Vec<PedalMark> {
        let mut foot = Foot { down: None, marks: Vec::new() };
        let mut end = (Quarters::ZERO, 0, 0);
        for (bar, part_bar) in self.bars.iter().enumerate() {
            let played = &part_bar.played;
            if !played.pedal {
                foot.up(played.start, bar, 0);
            }
            for (slot, s) in played.slots.iter().enumerate() {
                let at = played.start + s.start;
                match &s.kind {
                    _ if !played.pedal => {}
                    SlotKind::Chord { chord, push, .. } => {
                        let at = if *push { at - played.push() } else { at };
                        foot.chord(chord, at, bar, slot);
                    }
                    SlotKind::Tie { .. } => {}
                    SlotKind::Rest => foot.up(at, bar, slot),
                }
                end = (at + s.length, bar, slot);
            }
        }
        foot.up(end.0, end.1, end.2);
        foot.marks
    }
}

struct Foot<'a> {
    /// The chord that it holds.
    down: Option<&'a Chord>,
    marks: Vec<PedalMark>,
}

impl<'a> Foot<'a> {
    fn chord(&mut self, chord: &'a Chord, at: Quarters, bar: usize, slot: usize) {
        let kind = match self.down.replace(chord) {
            Some(held) if held == chord => return,
            Some(_) => PedalKind::Change,
            None => PedalKind::Down,
        };
        self.marks.push(PedalMark { kind, at, bar, slot });
    }

    fn up(&mut self, at: Quarters, bar: usize, slot: usize) {
        if self.down.take().is_some() {
            self.marks.push(PedalMark { kind: PedalKind::Up, at, bar, slot });
        }
    }
}
