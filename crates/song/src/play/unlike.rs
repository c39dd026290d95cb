//! What a pass has that the other passes at its place do not have.

use crate::{HandStyle, PlayedBar, Quarters, Slot, SlotKind, Unlike};
use std::collections::HashMap;

/// Says of each bar in which something is written for some passes alone what the others do not have. The flags stand for
/// the bars, in order: whether an exception for some passes alone reaches it.
pub(super) fn tell(bars: &mut [PlayedBar], for_some: &[bool]) {
    let mut same: HashMap<(usize, Option<u32>), Vec<usize>> = HashMap::new();
    for (index, bar) in bars.iter().enumerate().filter(|(_, bar)| bar.passes > 1) {
        same.entry((bar.place, bar.written_bar.or(bar.in_place_of))).or_default().push(index);
    }
    let mut found = Vec::new();
    for ((_, number), all) in same.into_iter().filter(|(_, all)| all.iter().any(|&index| for_some[index])) {
        found.extend(unlike_in(bars, &all, for_some, number.is_some()));
    }
    for (index, unlike) in found {
        bars[index].unlike = unlike;
    }
}

/// For the same bar of all passes. What they have in common is what no exception for some alone touches.
fn unlike_in(bars: &[PlayedBar], all: &[usize], for_some: &[bool], numbered: bool) -> Vec<(usize, Unlike)> {
    let common = all.iter().copied().find(|&index| !for_some[index]);
    let Some(first) = common.or(all.first().copied()) else { return Vec::new() };
    let here_alone = !numbered || all.len() < bars[first].passes as usize;
    let other = all.iter().map(|&index| between(&bars[first], &bars[index])).find(|u| u.is_anything());
    let unlike = |index: usize| match between(&bars[first], &bars[index]) {
        _ if here_alone => Unlike { chords: true, ..Unlike::default() },
        nothing if !nothing.is_anything() && common.is_none() => other.unwrap_or_default(),
        found => found,
    };
    all.iter().filter(|&&index| for_some[index]).map(|&index| (index, unlike(index))).collect()
}

fn between(a: &PlayedBar, b: &PlayedBar) -> Unlike {
    let hand = |style: fn(&Slot) -> &HandStyle| {
        let lacks = |a: &PlayedBar, b: &PlayedBar| {
            a.slots.iter().any(|slot| at(b, slot.start).is_none_or(|other| style(slot) != style(other)))
        };
        lacks(a, b) || lacks(b, a)
    };
    Unlike {
        chords: a.meter != b.meter || !chords(a).eq(chords(b)),
        right: hand(|slot| &slot.right),
        left: hand(|slot| &slot.left),
        words: (&a.note, &a.cue) != (&b.note, &b.cue),
    }
}

/// The slot that lasts at a time of the bar.
fn at(bar: &PlayedBar, time: Quarters) -> Option<&Slot> {
    bar.slots.iter().rev().find(|slot| slot.start <= time)
}

/// What the bar's text says, without the cuts that a beat of an exception makes.
fn chords(bar: &PlayedBar) -> impl Iterator<Item = (Quarters, &SlotKind)> {
    bar.slots.iter().filter(|slot| !slot.continued).map(|slot| (slot.start, &slot.kind))
}
