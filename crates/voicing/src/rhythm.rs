//! One hand's slots in time, and the signs of its figures on them.

use crate::{KeyRange, Part, Shape};
use song::{Beat, FigureNote, FigureSign, HandStyle, Quarters, Restart, Slot, SlotKind};
use theory::Hand;

/// A sign of a figure at its place.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Sign<'a> {
    Strike,
    Notes(&'a [FigureNote]),
    Hold,
    Silent,
}

/// A slot as one hand plays it. Times are from the first bar line.
#[derive(Clone, Debug)]
pub(crate) struct SlotAt<'a> {
    pub bar: usize,
    pub index: usize,
    pub slot: &'a Slot,
    pub shape: &'a Shape,
    /// Where it starts, or where a later push takes over if that is earlier still.
    pub start: Quarters,
    /// Where it ends, or where the next push takes over.
    pub end: Quarters,
    /// When a push is struck.
    pub pushed: Option<Quarters>,
    /// Whether the hand's keys are those of the slot before, so that it could just go on.
    pub same_keys: bool,
    style: &'a HandStyle,
    beat: Beat,
    bar_start: Quarters,
    swung: bool,
}

impl<'a> SlotAt<'a> {
    /// A hand whose keys do not change just goes on; not into a push or a diamond, which are struck.
    pub fn goes_on_from(&self, in_hand: Option<&Shape>) -> bool {
        in_hand.is_some() && self.same_keys && self.pushed.is_none() && !self.is_diamond()
    }

    /// Struck at its start and held: a diamond, or a bar whose beat is of another kind than the figure's.
    pub fn struck_once(&self) -> bool {
        self.is_diamond() || self.style.figure_beat != self.beat.length
    }

    pub fn is_diamond(&self) -> bool {
        matches!(self.slot.kind, SlotKind::Chord { diamond: true, .. })
    }

    /// The signs of its figure from its start on. Where the start falls inside a sign, that sign holds (or is silent)
    /// from there.
    pub fn signs(&self) -> impl Iterator<Item = (Quarters, Sign<'a>)> + use<'a> {
        let from_chord = self.style.restart == Restart::Chord;
        let origin = if from_chord { self.bar_start + self.slot.start } else { self.bar_start };
        let beats = &self.style.figure.beats;
        let length = self.style.figure_beat;
        let (start, end, swung) = (self.start, self.end, self.swung);
        let playable = !beats.is_empty() && length > Quarters::ZERO && start < end;
        let first = if playable { (start - origin).div_floor(length).max(0) } else { 0 };
        let last = if playable { (end - origin).div_floor(length) + 1 } else { 0 };
        let signs = (first..last).flat_map(move |beat| {
            let signs = &beats[beat as usize % beats.len()];
            let each = length.split(signs.len().max(1) as i64);
            let from = origin + length.times(beat);
            let at = move |i: usize| {
                let even = from + each.times(i as i64);
                if swung { swing(even, each, origin) } else { even }
            };
            signs.iter().enumerate().map(move |(i, sign)| (at(i), at(i + 1), sign))
        });
        signs.filter_map(move |(at, until, sign)| {
            if at >= end || until <= start {
                None
            } else if at >= start {
                Some((at, Sign::of(sign)))
            } else {
                let silent = matches!(sign, FigureSign::Silent);
                Some((start, if silent { Sign::Silent } else { Sign::Hold }))
            }
        })
    }
}

/// Where a sign falls in swing: halves of a quarter go two to one, what divides them goes along; thirds stay.
fn swing(at: Quarters, each: Quarters, origin: Quarters) -> Quarters {
    let quarter = Quarters::new(1, 1);
    let (numerator, denominator) = each.fraction();
    if numerator != 1 || denominator % 2 != 0 {
        return at;
    }
    let beat = origin + quarter.times((at - origin).div_floor(quarter));
    let inside = at - beat;
    if inside < Quarters::EIGHTH {
        beat + inside.times(4).split(3)
    } else {
        beat + Quarters::new(2, 3) + (inside - Quarters::EIGHTH).times(2).split(3)
    }
}

impl<'a> Sign<'a> {
    fn of(sign: &'a FigureSign) -> Sign<'a> {
        match sign {
            FigureSign::Strike => Sign::Strike,
            FigureSign::Notes(notes) => Sign::Notes(notes),
            FigureSign::Hold => Sign::Hold,
            FigureSign::Silent => Sign::Silent,
        }
    }
}

/// All slots of a part as one hand plays them.
pub(crate) struct Flow<'a> {
    pub hand: Hand,
    pub keys: KeyRange,
    pub slots: Vec<SlotAt<'a>>,
    pub end: Quarters,
}

impl<'a> Flow<'a> {
    pub fn of(part: &'a Part, hand: Hand) -> Flow<'a> {
        let mut slots: Vec<SlotAt<'a>> = Vec::with_capacity(2 * part.bars.len());
        let mut end = Quarters::ZERO;
        for (number, bar) in part.bars.iter().enumerate() {
            for (index, (slot, chord)) in bar.played.slots.iter().zip(&bar.chords).enumerate() {
                let start = bar.played.start + slot.start;
                let push = matches!(slot.kind, SlotKind::Chord { push: true, .. });
                let shape = chord.hand(hand);
                end = start + slot.length;
                slots.push(SlotAt {
                    bar: number,
                    index,
                    slot,
                    shape,
                    start,
                    end,
                    pushed: push.then(|| start - bar.played.push()),
                    same_keys: slots.last().is_some_and(|before| same_keys(before.shape, shape)),
                    style: if hand == Hand::Right { &slot.right } else { &slot.left },
                    beat: bar.played.beat,
                    bar_start: bar.played.start,
                    swung: bar.played.is_swung(),
                });
            }
        }
        give_way_to_pushes(&mut slots);
        Flow { hand, keys: part.settings.keys, slots, end }
    }

    /// Whether a note is struck again after `after`, before its shape changes or falls silent.
    pub fn resolves(&self, slot: &SlotAt<'a>, after: Quarters, place: usize) -> bool {
        let from = self.slots.partition_point(|s| (s.bar, s.index) < (slot.bar, slot.index));
        for (i, slot) in self.slots.iter().enumerate().skip(from) {
            let carries_on = i == from || (slot.same_keys && slot.pushed.is_none() && !slot.struck_once());
            if !carries_on || !matches!(slot.slot.kind, SlotKind::Chord { .. }) {
                return false;
            }
            for (at, sign) in slot.signs().filter(|(at, _)| *at > after) {
                match sign {
                    Sign::Silent => return false,
                    Sign::Strike => return true,
                    Sign::Notes(notes) if names(notes, slot.shape, place) => return true,
                    _ if at > slot.end => return false,
                    _ => {}
                }
            }
        }
        false
    }
}

fn names(notes: &[FigureNote], shape: &Shape, place: usize) -> bool {
    notes.iter().any(|n| n.neighbour == 0 && crate::event::place_in(shape, n.which) == Some(place))
}

fn same_keys(a: &Shape, b: &Shape) -> bool {
    !a.notes.is_empty() && a.notes.iter().map(|n| n.key).eq(b.notes.iter().map(|n| n.key))
}

/// A push takes the eighth from whatever is before.
fn give_way_to_pushes(slots: &mut [SlotAt<'_>]) {
    for i in 1..slots.len() {
        let Some(early) = slots[i].pushed else { continue };
        for before in slots[..i].iter_mut().rev() {
            if before.end <= early {
                break;
            }
            before.end = early;
            before.start = before.start.min(early);
            before.pushed = before.pushed.map(|at| at.min(early));
        }
    }
}
