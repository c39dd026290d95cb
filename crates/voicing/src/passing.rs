//! Passing and neighbour notes that the player is offered: on top of a chord whose rhythm the level gives.
//!
//! Where the top note moves by a third into the next chord, the step between; where it comes again after a whole bar, in
//! every second bar the step beside it, the one that rubs less. On weak beats only, in the key, resolving by step into the next chord, and never
//! a semitone from a held third or leading tone.

use crate::rhythm::{Flow, Sign, SlotAt};
use crate::texture::PASSING_FROM;
use crate::texture_figure::is_weak;
use crate::{Part, neighbour};
use song::{Quarters, SlotKind};
use theory::{Chord, Hand, Interval, Member, Pitch};

/// A note in place of the top one, until the next chord.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Offer {
    pub at: Quarters,
    pub pitch: Pitch,
}

/// What the right hand may play between a chord and the next, if there is anything.
pub(crate) fn offer(part: &Part, flow: &Flow<'_>, index: usize) -> Option<Offer> {
    let slot = flow.slots.get(index).filter(|_| flow.hand == Hand::Right)?;
    let bar = &part.bars[slot.bar];
    let SlotKind::Chord { chord, push: false, diamond: false } = &slot.slot.kind else { return None };
    if bar.played.level < PASSING_FROM || slot.slot.right.written.figure || slot.slot.continued {
        return None;
    }
    let top = slot.shape.notes.last()?.pitch;
    let next = flow.slots.get(index + 1).filter(|next| strikes_top(next))?.shape.notes.last()?.pitch;
    let at = weak_place(part, slot)?;
    let steps = match between(chord, top, next) {
        Some(step) => vec![step],
        None if next.semitones() == top.semitones() && fills_second_bar(part, slot) => {
            vec![neighbour(chord, top, 1), neighbour(chord, top, -1)]
        }
        None => Vec::new(),
    };
    let fitting = steps.into_iter().filter(|&step| fits(part, slot, chord, step));
    let pitch = fitting.min_by_key(|&step| harshness(part, slot, step))?;
    Some(Offer { at, pitch })
}

/// The step between two notes a third apart.
fn between(chord: &Chord, from: Pitch, to: Pitch) -> Option<Pitch> {
    let steps = to.above(from).steps;
    let step = neighbour(chord, from, steps.signum() as i8);
    let near = |a: Pitch, b: Pitch| matches!((a.semitones() - b.semitones()).abs(), 1 | 2);
    (steps.abs() == 2 && near(from, step) && near(step, to) && chord.key.contains(step.name)).then_some(step)
}

/// Whether the top note is struck as the slot begins.
fn strikes_top(slot: &SlotAt<'_>) -> bool {
    if !matches!(slot.slot.kind, SlotKind::Chord { push: false, .. }) || slot.pushed.is_some() {
        return false;
    }
    match slot.signs().next() {
        _ if slot.is_diamond() => true,
        Some((at, Sign::Strike)) => at == slot.start,
        Some((_, Sign::Hold)) => !slot.same_keys,
        _ => false,
    }
}

/// The last weak place of a slot behind which its figure strikes nothing more: its last beat, else the last part of that.
fn weak_place(part: &Part, slot: &SlotAt<'_>) -> Option<Quarters> {
    let played = &part.bars[slot.bar].played;
    let beat = played.beat.length;
    if slot.slot.length < beat.times(2) || slot.struck_once() {
        return None;
    }
    let last = played.start + slot.slot.start + slot.slot.length - beat;
    let number = (last - played.start).div_floor(beat);
    let parts = if beat == Quarters::new(3, 2) { 3 } else { 2 };
    let late = last + beat.split(parts).times(parts - 1);
    let weak = is_weak(usize::from(played.beat.count), number as usize) && parts == 2;
    let places = [weak.then_some(last), Some(late)];
    let quiet = |from: &Quarters| {
        *from > slot.start && slot.signs().all(|(at, sign)| at < *from || matches!(sign, Sign::Hold))
    };
    places.into_iter().flatten().find(quiet).filter(|&at| at < slot.end)
}

fn fills_second_bar(part: &Part, slot: &SlotAt<'_>) -> bool {
    let played = &part.bars[slot.bar].played;
    slot.slot.length == played.meter.length() && played.bar_in_section.is_multiple_of(2)
}

/// In the key, within reach, on the keyboard, out of the singer's way, and no grating.
fn fits(part: &Part, slot: &SlotAt<'_>, chord: &Chord, step: Pitch) -> bool {
    let Some(key) = step.key() else { return false };
    let settings = &part.settings;
    let held = &slot.shape.notes[..slot.shape.notes.len() - 1];
    let left = &part.bars[slot.bar].chords[slot.index].left.notes;
    let low = held.first().map_or(key, |n| n.key);
    let singing = settings.voice.is_some_and(|voice| voice.low() <= key && key <= voice.high());
    chord.key.contains(step.name)
        && settings.keys.contains(key)
        && low <= key
        && key.number() - low.number() <= settings.reach.semitones()
        && held.last().is_none_or(|below| below.key < key)
        && !singing
        && held.iter().chain(left).all(|other| !grates(chord, step, other.pitch))
}

/// How many held notes lie a semitone or a tritone from it, octaves aside.
fn harshness(part: &Part, slot: &SlotAt<'_>, step: Pitch) -> usize {
    let right = &slot.shape.notes[..slot.shape.notes.len() - 1];
    let held = right.iter().chain(&part.bars[slot.bar].chords[slot.index].left.notes);
    let distance = |note: &crate::HeldNote| (step.semitones() - note.pitch.semitones()).rem_euclid(12);
    held.filter(|note| matches!(distance(note), 1 | 6 | 11)).count()
}

/// A semitone, octaves aside, from a held third or leading tone; or that very note.
fn grates(chord: &Chord, step: Pitch, held: Pitch) -> bool {
    let class = held.name.pitch_class();
    let third = chord.member(Member::THIRD).is_some_and(|t| t.name.pitch_class() == class);
    let leading = chord.key.tonic().up(Interval::new(6, 11)).pitch_class() == class;
    let distance = (step.semitones() - held.semitones()).rem_euclid(12);
    step.semitones() == held.semitones() || ((third || leading) && matches!(distance, 1 | 11))
}
