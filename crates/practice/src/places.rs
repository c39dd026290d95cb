//! Which chord stands where, and the beats before and after a place.

use crate::{SlotRef, Timeline, Unit};
use song::{Quarters, SlotKind};
use voicing::Part;

/// All slots of a part, by the time at which they sound.
#[derive(Clone, Debug, Default)]
pub(crate) struct Places {
    slots: Vec<(f64, SlotRef)>,
}

impl Places {
    pub fn new(part: &Part) -> Places {
        let mut slots = Vec::new();
        for (bar, part_bar) in part.bars.iter().enumerate() {
            for (slot, written) in part_bar.played.slots.iter().enumerate() {
                let pushed = matches!(written.kind, SlotKind::Chord { push: true, .. });
                let early = if pushed { part_bar.played.push() } else { Quarters::ZERO };
                let at = part_bar.played.start + written.start - early;
                slots.push((at.to_f64(), SlotRef { bar, slot }));
            }
        }
        Places { slots }
    }

    /// The slot that sounds at a place; before the first the first.
    pub fn at(&self, quarters: f64) -> Option<SlotRef> {
        let after = self.slots.partition_point(|s| s.0 <= quarters);
        self.slots.get(after.saturating_sub(1)).map(|s| s.1)
    }

    /// The slot after another.
    pub fn after(&self, slot: SlotRef) -> Option<SlotRef> {
        let index = self.slots.partition_point(|s| s.1 <= slot);
        self.slots.get(index).map(|s| s.1)
    }

    /// The first slot of a bar, or of the next that has one.
    pub fn first_of(&self, bar: usize) -> Option<SlotRef> {
        let index = self.slots.partition_point(|s| s.1.bar < bar);
        self.slots.get(index).map(|s| s.1)
    }
}

/// The place a beat or a bar before another; at the beginning, the beginning.
pub(crate) fn back(timeline: &Timeline, from: Quarters, by: Unit) -> Quarters {
    marks(timeline, by).take_while(|m| *m < from).last().unwrap_or(Quarters::ZERO)
}

/// The place a beat or a bar after another; at the last, the last.
pub(crate) fn forward(timeline: &Timeline, from: Quarters, by: Unit) -> Quarters {
    marks(timeline, by).find(|m| *m > from).unwrap_or(from)
}

fn marks(timeline: &Timeline, by: Unit) -> impl Iterator<Item = Quarters> {
    let beats = move |bar: usize| match by {
        Unit::Beat => timeline.beats(bar),
        Unit::Bar => timeline.beats(bar).into_iter().take(1).collect(),
    };
    (0..timeline.bars().len()).flat_map(beats).map(|b| b.at)
}
