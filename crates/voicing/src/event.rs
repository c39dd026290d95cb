//! Figures become strikes: when each key goes down and how long it sounds.
//!
//! Each hand is walked through the song by itself. What is open (sounding) is closed by the next strike of the same key,
//! by silence, by the next shape, or by a push that takes the eighth before it.

use crate::neighbour::neighbour;
use crate::passing::{Offer, offer};
use crate::rhythm::{Flow, Sign, SlotAt};
use crate::{Event, HeldNote, Part, Role, Shape};
use song::{FigureNote, FigurePlace, Quarters, SlotKind};
use theory::{Hand, MidiKey, Pitch};

/// All strikes of a part, by start, then by key, then right hand first.
pub(crate) fn events(part: &Part) -> Vec<Event> {
    let mut events = Vec::new();
    for hand in Hand::BOTH {
        let flow = Flow::of(part, hand);
        let mut walk = Walk { part, flow: &flow, open: Vec::new(), struck: Vec::new(), in_hand: None };
        walk.run();
        events.append(&mut walk.struck);
    }
    events.retain(|event| event.length > Quarters::ZERO);
    events.sort_by_key(|event| (event.start, event.key, event.hand));
    events
}

/// A key that sounds.
struct Open {
    /// Which strike.
    struck: usize,
    /// A neighbour goes with the hand's next strike.
    passing: bool,
    /// The place in the shape that it holds or stands for.
    place: usize,
}

struct Walk<'a> {
    part: &'a Part,
    flow: &'a Flow<'a>,
    open: Vec<Open>,
    struck: Vec<Event>,
    /// The shape that the hand lies on; none after a rest.
    in_hand: Option<&'a Shape>,
}

impl<'a> Walk<'a> {
    fn run(&mut self) {
        for (index, slot) in self.flow.slots.iter().enumerate() {
            match &slot.slot.kind {
                SlotKind::Chord { .. } => {
                    self.chord(slot);
                    if let Some(Offer { at, pitch }) = offer(self.part, self.flow, index) {
                        self.strike(slot, at, &[(slot.shape.notes.len() - 1, Some(pitch))]);
                    }
                }
                SlotKind::Tie { .. } => {}
                SlotKind::Rest => {
                    self.close_all(slot.start);
                    self.in_hand = None;
                }
            }
        }
        self.close_all(self.flow.end);
    }

    fn chord(&mut self, slot: &SlotAt<'a>) {
        let goes_on = slot.goes_on_from(self.in_hand);
        if !goes_on {
            self.close_all(slot.pushed.unwrap_or(slot.start));
        }
        self.in_hand = Some(slot.shape);
        if let Some(early) = slot.pushed {
            self.strike_all(slot, early);
        } else if slot.struck_once() {
            if !goes_on {
                self.strike_all(slot, slot.start);
            }
            return;
        }
        let skip_first = slot.pushed.is_some();
        for (at, sign) in slot.signs() {
            let first = at == slot.start;
            match sign {
                _ if slot.struck_once() => break,
                Sign::Hold if first && !goes_on && !skip_first => self.strike_all(slot, at),
                Sign::Hold => {}
                Sign::Silent => self.close_all(at),
                Sign::Strike | Sign::Notes(_) if first && skip_first => {}
                Sign::Strike => self.strike_all(slot, at),
                Sign::Notes(notes) => self.strike_some(slot, at, notes, first && !goes_on),
            }
        }
    }

    fn strike_all(&mut self, slot: &SlotAt<'a>, at: Quarters) {
        let notes: Vec<(usize, Option<Pitch>)> =
            (0..slot.shape.notes.len()).map(|place| (place, None)).collect();
        self.strike(slot, at, &notes);
    }

    /// Some notes, each perhaps as its neighbour. At a new chord the left hand's lowest note sounds too, and a hand of
    /// which nothing would sound plays the whole shape.
    fn strike_some(&mut self, slot: &SlotAt<'a>, at: Quarters, notes: &[FigureNote], new_chord: bool) {
        let mut chosen: Vec<(usize, Option<Pitch>)> = Vec::with_capacity(notes.len() + 1);
        for note in notes {
            let Some(place) = place_in(slot.shape, note.which) else { continue };
            let passing = match note.neighbour {
                0 => None,
                step => match self.passing(slot, at, place, step) {
                    Some(pitch) => Some(pitch),
                    None => continue,
                },
            };
            if !chosen.iter().any(|(other, _)| *other == place) {
                chosen.push((place, passing));
            }
        }
        if new_chord && chosen.is_empty() {
            return self.strike_all(slot, at);
        }
        if new_chord && self.flow.hand == Hand::Left && !chosen.iter().any(|(place, _)| *place == 0) {
            chosen.push((0, None));
        }
        drop_doubled_keys(slot.shape, &mut chosen);
        chosen.sort_by_key(|(place, _)| *place);
        self.strike(slot, at, &chosen);
    }

    /// The neighbour that stands for a note, if its resolution follows and it is on the keyboard.
    fn passing(&self, slot: &SlotAt<'a>, at: Quarters, place: usize, step: i8) -> Option<Pitch> {
        let note = slot.shape.notes.get(place)?;
        let SlotKind::Chord { chord, .. } = &slot.slot.kind else { return None };
        let pitch = neighbour(chord, note.pitch, step);
        let key = pitch.key().filter(|key| self.flow.keys.contains(*key) && *key != note.key)?;
        let elsewhere = slot.shape.notes.iter().any(|n| n.key == key);
        (!elsewhere && self.flow.resolves(slot, at, place)).then_some(pitch)
    }

    fn strike(&mut self, slot: &SlotAt<'a>, at: Quarters, notes: &[(usize, Option<Pitch>)]) {
        if notes.is_empty() {
            return;
        }
        let keys: Vec<Option<MidiKey>> =
            notes.iter().map(|(place, passing)| key_of(&slot.shape.notes[*place], passing)).collect();
        let replaced = |open: &Open, struck: &Event| {
            open.passing
                || keys.contains(&Some(struck.key))
                || notes.iter().any(|(place, passing)| passing.is_some() && *place == open.place)
        };
        let struck = &mut self.struck;
        self.open.retain(|open| {
            let ends = replaced(open, &struck[open.struck]);
            if ends {
                struck[open.struck].length = at - struck[open.struck].start;
            }
            !ends
        });
        for (&(place, passing), key) in notes.iter().zip(keys) {
            let Some(key) = key else { continue };
            let note = &slot.shape.notes[place];
            self.open.push(Open { struck: self.struck.len(), passing: passing.is_some(), place });
            self.struck.push(Event {
                hand: self.flow.hand,
                bar: slot.bar,
                slot: slot.index,
                start: at,
                length: Quarters::ZERO,
                pitch: passing.unwrap_or(note.pitch),
                key,
                place: place as u8,
                finger: note.finger,
                substitutions: Vec::new(),
                role: if passing.is_some() { Role::Passing } else { Role::Chord },
                rolled: slot.shape.rolled && notes.len() > 1,
                accented: false,
            });
        }
    }

    fn close_all(&mut self, at: Quarters) {
        for open in self.open.drain(..) {
            let event = &mut self.struck[open.struck];
            event.length = at - event.start;
        }
    }
}

fn key_of(note: &HeldNote, passing: &Option<Pitch>) -> Option<MidiKey> {
    match passing {
        None => Some(note.key),
        Some(pitch) => pitch.key(),
    }
}

/// The place a figure names, from 0. A note that the shape does not have is its highest: the rhythm stays.
pub(crate) fn place_in(shape: &Shape, which: FigurePlace) -> Option<usize> {
    let last = shape.notes.len().checked_sub(1)?;
    Some(match which {
        FigurePlace::Top => last,
        FigurePlace::FromLowest(number) => usize::from(number.saturating_sub(1)).min(last),
    })
}

/// Two neighbours on one key (a third closing from both sides): the lower note's stays.
fn drop_doubled_keys(shape: &Shape, chosen: &mut Vec<(usize, Option<Pitch>)>) {
    let mut seen: Vec<Option<MidiKey>> = Vec::with_capacity(chosen.len());
    chosen.retain(|(place, passing)| {
        let key = key_of(&shape.notes[*place], passing);
        let new = !seen.contains(&key);
        seen.push(key);
        new
    });
}
