//! Fingers for a whole part, after shapes and strikes are chosen: each section once, in the same way at every return.

use crate::finger_grip::{FingerHand, Fingers, Grip};
use crate::finger_passage::{Fingered, Stage, WayBook, cheapest_fingers};
use crate::finger_stage::{Spot, spots};
use crate::finger_why::{FingerWhy, why_these};
use crate::{Claim, Event, FingerCosts, Part, PartBar, PartChord, Reason, Role, Shape, Substitution};
use song::{FigureSign, PlayedBar, SlotKind, SlotSource};
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

/// Where a stage was written: section, slot, its number at that slot, the keys of the whole shape, and how the hand
/// plays there, for an exception may say otherwise.
type StagePlace<'a> = (usize, Option<u32>, SlotSource, usize, Grip, &'a [Vec<FigureSign>]);

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
    let mut known: HashMap<StagePlace<'_>, Fingers> = HashMap::new();
    let section = |pass: &Range<usize>| part.bars[pass.start].played.section;
    let mut passes_of: HashMap<usize, usize> = HashMap::new();
    passes.iter().for_each(|pass| *passes_of.entry(section(pass)).or_default() += 1);
    for pass in passes {
        let range = range_of(spots, pass);
        let places = if passes_of[&section(pass)] > 1 {
            places(part, hand.hand, &spots[range.clone()])
        } else {
            Vec::new()
        };
        for (spot, place) in spots[range.clone()].iter_mut().zip(&places) {
            spot.stage.fixed = known.get(place).map(|whole| spot.stage.grip.of_whole(whole));
        }
        let stages: Vec<&Stage> = spots[range.clone()].iter().map(|spot| &spot.stage).collect();
        for (chosen, i) in cheapest_fingers(hand, &stages, &mut book).into_iter().zip(range.clone()) {
            fingered[i] = chosen;
        }
        for (place, i) in places.into_iter().zip(range) {
            known.entry(place).or_insert_with(|| hand.completed(&spots[i].stage.grip, &fingered[i].fingers));
        }
    }
    fingered
}

/// The stages of some bars.
fn range_of(spots: &[Spot], bars: &Range<usize>) -> Range<usize> {
    let from = |bar: usize| spots.partition_point(|spot| spot.bar < bar);
    from(bars.start)..from(bars.end)
}

fn places<'a>(part: &'a Part, hand: Hand, spots: &[Spot]) -> Vec<StagePlace<'a>> {
    let mut number = 0;
    let place = |spot: &Spot| {
        number = if spot.stage.goes_on { number + 1 } else { 0 };
        let bar = &part.bars[spot.bar];
        let PlayedBar { section, written_bar, .. } = bar.played;
        let shape = Grip::new(&keys(bar.chords[spot.slot].hand(hand)), u8::MAX, false);
        let slot = &bar.played.slots[spot.slot];
        let style = if hand == Hand::Right { &slot.right } else { &slot.left };
        (section, written_bar, slot.source, number, shape, &style.figure.beats[..])
    };
    spots.iter().map(place).collect()
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
        let whole = hand.completed(&spot.stage.grip, &chosen.fingers);
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
                let nothing = Grip::new(&keys(shape), 0, shape.rolled);
                put(shape, &hand.completed(&nothing, &Fingers::default()));
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
