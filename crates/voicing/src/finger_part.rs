//! Fingers for a whole part, after shapes and strikes are chosen: each section once, in the same way at every return.

use crate::finger_grip::{FingerHand, Fingers, Grip};
use crate::finger_passage::{Fingered, Stage, WayBook, cheapest_fingers};
use crate::finger_stage::{Spot, spots};
use crate::finger_why::{FingerWhy, why_these};
use crate::{Claim, Event, FingerCosts, Part, PartBar, PartChord, Reason, Role, Shape, Substitution};
use song::{PlayedBar, SlotKind, SlotSource};
use std::collections::HashMap;
use std::ops::Range;
use theory::{Finger, Hand};

/// Puts fingers on all shapes and strikes of a part. Says where they are not the handbook's, and where they change on a
/// key that stays down.
pub(crate) fn put_fingers(part: &mut Part, costs: &FingerCosts) -> Vec<FingerWhy> {
    let passes = passes(&part.bars);
    let mut why = Vec::new();
    for hand in Hand::BOTH {
        let reach = part.settings.reach_of(hand).semitones();
        let hand = FingerHand { hand, reach, costs };
        let mut spots = spots(part, hand.hand);
        let fingered = finger_passes(&hand, part, &mut spots, &passes);
        write(&hand, part, &spots, &fingered, &mut why);
        for pass in &passes {
            let range = range_of(&spots, pass);
            why_these(&hand, part, (&spots[range.clone()], &fingered[range]), &mut why);
        }
    }
    carry_over_ties(part);
    why
}

/// The passes, those with the fewest exceptions first.
fn passes(bars: &[PartBar]) -> Vec<Range<usize>> {
    let mut passes = Vec::new();
    let mut start = 0;
    let place = |bar: &PartBar| (bar.played.section, bar.played.place, bar.played.pass);
    for pass in bars.chunk_by(|a, b| place(a) == place(b)) {
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

/// Where a stage was written: section, slot, its number at that slot, the keys of the whole shape.
type StagePlace = (usize, Option<u32>, SlotSource, usize, Grip);

/// Each pass by itself; where an earlier one has the same shape at the same place, it keeps those fingers.
fn finger_passes(
    hand: &FingerHand<'_>,
    part: &Part,
    spots: &mut [Spot],
    passes: &[Range<usize>],
) -> Vec<Fingered> {
    let nothing = Fingered { fingers: Fingers::default(), neighbours: Fingers::default() };
    let mut fingered = vec![nothing; spots.len()];
    let mut book = WayBook::default();
    let mut known: HashMap<StagePlace, Fingers> = HashMap::new();
    for pass in passes {
        let range = range_of(spots, pass);
        let mut places = Vec::with_capacity(range.len());
        let mut stages: Vec<Stage> = Vec::with_capacity(range.len());
        let mut number = 0;
        for spot in &spots[range.clone()] {
            number = if spot.stage.goes_on { number + 1 } else { 0 };
            let place = place_of(part, hand.hand, spot, number);
            let mut stage = spot.stage.clone();
            stage.fixed = known.get(&place).map(|whole| of_grip(spot, whole));
            stages.push(stage);
            places.push(place);
        }
        let chosen = cheapest_fingers(hand, &stages, &mut book).0;
        for ((place, chosen), i) in places.into_iter().zip(chosen).zip(range) {
            known.entry(place).or_insert_with(|| on_shape(hand, part, &spots[i], &chosen.fingers));
            fingered[i] = chosen;
        }
    }
    fingered
}

/// The stages of some bars.
fn range_of(spots: &[Spot], bars: &Range<usize>) -> Range<usize> {
    let from = |bar: usize| spots.partition_point(|spot| spot.bar < bar);
    from(bars.start)..from(bars.end)
}

fn place_of(part: &Part, hand: Hand, spot: &Spot, number: usize) -> StagePlace {
    let bar = &part.bars[spot.bar];
    let PlayedBar { section, written_bar, .. } = bar.played;
    let shape = Grip::new(&keys(bar.chords[spot.slot].hand(hand)), u8::MAX, false);
    (section, written_bar, bar.played.slots[spot.slot].source, number, shape)
}

/// Of the fingers of a whole shape those of a grip.
fn of_grip(spot: &Spot, whole: &Fingers) -> Fingers {
    let mut fingers = Fingers::default();
    for (place, &finger) in whole.iter().enumerate() {
        if spot.played & (1 << place) != 0 {
            fingers[spot.in_grip(place as u8)] = finger;
        }
    }
    fingers
}

/// The fingers of a grip, and the best for the keys of its shape that are not played.
fn on_shape(hand: &FingerHand<'_>, part: &Part, spot: &Spot, fingers: &Fingers) -> Fingers {
    let shape = part.bars[spot.bar].chords[spot.slot].hand(hand.hand);
    if spot.played.count_ones() as usize == shape.notes.len() {
        return *fingers;
    }
    let known = |place: usize| (spot.played & (1 << place) != 0).then(|| fingers[spot.in_grip(place as u8)]);
    hand.completed(&keys(shape), known, shape.rolled)
}

/// Writes the fingers down, stage by stage, and where they change on a key that stays down.
fn write(
    hand: &FingerHand<'_>,
    part: &mut Part,
    spots: &[Spot],
    fingered: &[Fingered],
    why: &mut Vec<FingerWhy>,
) {
    unplayed(hand, part, spots);
    for (spot, chosen) in spots.iter().zip(fingered) {
        let whole = on_shape(hand, part, spot, &chosen.fingers);
        if !spot.stage.goes_on {
            put(shape_at(part, spot, hand.hand), &whole);
        }
        strike(part, spot, &whole, chosen);
        for &(event, place) in &spot.held {
            let to = finger(whole[usize::from(place)]);
            let Some(from) = substitute(&mut part.events[event], spot, to) else { continue };
            let from_another_pass = pass_of(part, part.events[event].bar) != pass_of(part, spot.bar);
            let note = &mut shape_at(part, spot, hand.hand).notes[usize::from(place)];
            // What a section holds at a place is the same at every return, whatever came before.
            if !from_another_pass {
                (note.finger, note.substitute) = (from, Some(to));
            }
            let claim = Claim::Substitution { note: note.pitch, from, to };
            why.push(FingerWhy {
                bar: spot.bar,
                slot: spot.slot,
                reason: Reason { hand: Some(hand.hand), claim },
            });
        }
    }
}

fn pass_of(part: &Part, bar: usize) -> (usize, u32) {
    (part.bars[bar].played.place, part.bars[bar].played.pass)
}

fn shape_at<'a>(part: &'a mut Part, spot: &Spot, hand: Hand) -> &'a mut Shape {
    part.bars[spot.bar].chords[spot.slot].hand_mut(hand)
}

/// A shape that is only looked at.
fn unplayed(hand: &FingerHand<'_>, part: &mut Part, spots: &[Spot]) {
    let mut played = spots.iter().map(|spot| (spot.bar, spot.slot)).peekable();
    for (bar, b) in part.bars.iter_mut().enumerate() {
        for (slot, chord) in b.chords.iter_mut().enumerate() {
            let here = (bar, slot);
            while played.next_if(|&earlier| earlier < here).is_some() {}
            let shape = chord.hand_mut(hand.hand);
            if played.peek() != Some(&here) && !shape.notes.is_empty() {
                let fingers = hand.completed(&keys(shape), |_| None, shape.rolled);
                put(shape, &fingers);
            }
        }
    }
}

fn put(shape: &mut Shape, fingers: &Fingers) {
    for (note, &number) in shape.notes.iter_mut().zip(fingers) {
        note.finger = finger(number);
    }
}

fn strike(part: &mut Part, spot: &Spot, whole: &Fingers, chosen: &Fingered) {
    let mut neighbours = chosen.neighbours.iter();
    for &i in &spot.strikes {
        let event = &mut part.events[i];
        let number = match event.role {
            Role::Chord => whole.get(usize::from(event.place)),
            Role::Passing => neighbours.next(),
        };
        event.finger = finger(number.copied().unwrap_or(0));
    }
}

/// Notes another finger on a key that stays down; gives the one before, if it is another.
fn substitute(event: &mut Event, spot: &Spot, to: Finger) -> Option<Finger> {
    let from = event.substitutions.last().map_or(event.finger, |change| change.finger);
    (from != to).then(|| {
        event.substitutions.push(Substitution { at: spot.at, finger: to });
        from
    })
}

/// A tie shows the shape that goes on.
fn carry_over_ties(part: &mut Part) {
    let mut sounding = PartChord::default();
    for bar in &mut part.bars {
        let mut slots = bar.played.slots.iter().zip(&mut bar.chords).peekable();
        while let Some((slot, chord)) = slots.next() {
            if let SlotKind::Tie { .. } = slot.kind {
                chord.right.clone_from(&sounding.right);
                chord.left.clone_from(&sounding.left);
            }
            let tied = slots.peek().is_none_or(|(next, _)| matches!(next.kind, SlotKind::Tie { .. }));
            if tied {
                sounding =
                    PartChord { right: after(&chord.right), left: after(&chord.left), why: Vec::new() };
            }
        }
    }
}

/// A shape with the fingers that lie on it at its end.
fn after(shape: &Shape) -> Shape {
    let mut shape = shape.clone();
    for note in &mut shape.notes {
        note.finger = note.substitute.take().unwrap_or(note.finger);
    }
    shape
}

fn finger(number: u8) -> Finger {
    Finger::new(number).unwrap_or(Finger::THUMB)
}

fn keys(shape: &Shape) -> Vec<u8> {
    shape.notes.iter().map(|note| note.key.number()).collect()
}
