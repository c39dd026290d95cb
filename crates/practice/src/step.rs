//! Stepping: the song waits at each step until its keys were struck.

use crate::{Hands, LoopBars, SlotRef, StepBy, StepView, Timeline};
use song::{Quarters, SlotKind};
use theory::{Hand, MidiKey};
use voicing::Part;

/// One step: keys to be struck, in any order.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The chord it belongs to.
    pub slot: SlotRef,
    /// Where it stands, for going to a bar: a push stands at the bar line it anticipates.
    pub place: Quarters,
    /// Where its slot or strike ends.
    pub end: Quarters,
    /// The keys, each with the hand that takes it.
    pub keys: Vec<(Hand, MidiKey)>,
    /// The events of the part that it stands for.
    pub events: Vec<usize>,
}

/// All steps of a part for these hands, in order.
pub fn steps(
    part: &Part,
    timeline: &Timeline,
    hands: Hands,
    by: StepBy,
    bars: Option<LoopBars>,
) -> Vec<Step> {
    let wanted = |bar: usize| bars.is_none_or(|b| b.contains(bar));
    let mut steps = match by {
        StepBy::Chord => chord_steps(part, hands),
        StepBy::Strike => strike_steps(part, timeline, hands),
    };
    steps.retain(|s| wanted(s.slot.bar) && !s.keys.is_empty());
    steps
}

fn chord_steps(part: &Part, hands: Hands) -> Vec<Step> {
    let mut by_slot: std::collections::HashMap<SlotRef, Vec<usize>> = std::collections::HashMap::new();
    for (index, event) in part.events.iter().enumerate().filter(|(_, e)| hands.has(e.hand)) {
        by_slot.entry(SlotRef { bar: event.bar, slot: event.slot }).or_default().push(index);
    }
    let mut steps = Vec::new();
    for (bar, part_bar) in part.bars.iter().enumerate() {
        for (slot, written) in part_bar.played.slots.iter().enumerate() {
            let slot_ref = SlotRef { bar, slot };
            let events = by_slot.remove(&slot_ref).unwrap_or_default();
            let struck = matches!(written.kind, SlotKind::Chord { .. }) && !written.continued;
            let keys = if struck || !events.is_empty() {
                slot_keys(part, slot_ref, hands, &events)
            } else {
                Vec::new()
            };
            let place = part_bar.played.start + written.start;
            steps.push(Step { slot: slot_ref, place, end: place + written.length, keys, events });
        }
    }
    steps
}

/// The keys of both shapes, as far as they are the player's; of a hand without a shape, what it strikes.
fn slot_keys(part: &Part, at: SlotRef, hands: Hands, events: &[usize]) -> Vec<(Hand, MidiKey)> {
    let mut keys = Vec::new();
    for hand in Hand::BOTH.into_iter().filter(|h| hands.has(*h)) {
        let shape = part.bars[at.bar].chords.get(at.slot).map(|c| c.hand(hand));
        let strikes = events.iter().map(|&e| &part.events[e]).filter(|e| e.hand == hand);
        match shape {
            Some(shape) if !shape.notes.is_empty() => keys.extend(shape.notes.iter().map(|n| (hand, n.key))),
            _ => keys.extend(strikes.map(|e| (hand, e.key))),
        }
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}

fn strike_steps(part: &Part, timeline: &Timeline, hands: Hands) -> Vec<Step> {
    let events: Vec<usize> = (0..part.events.len()).filter(|&e| hands.has(part.events[e].hand)).collect();
    let same = |&a: &usize, &b: &usize| part.events[a].start == part.events[b].start;
    let step = |events: &[usize]| {
        let first = &part.events[events[0]];
        let bar_start = timeline.bars().get(first.bar).map_or(Quarters::ZERO, |b| b.start);
        Step {
            slot: SlotRef { bar: first.bar, slot: first.slot },
            place: first.start.max(bar_start),
            end: first.start + first.length,
            keys: events.iter().map(|&e| (part.events[e].hand, part.events[e].key)).collect(),
            events: events.to_vec(),
        }
    };
    events.chunk_by(same).map(step).collect()
}

/// What sounds when a step is sounded: each key with how long it lasts, both hands.
pub(crate) fn companions(part: &Part, step: &Step, by: StepBy) -> Vec<(Hand, MidiKey, Quarters)> {
    let in_slot = |e: &&voicing::Event| (e.bar, e.slot) == (step.slot.bar, step.slot.slot);
    match by {
        StepBy::Strike => {
            let start = step.events.first().map(|&e| part.events[e].start);
            let events = part.events.iter().filter(|e| Some(e.start) == start);
            events.map(|e| (e.hand, e.key, e.length)).collect()
        }
        StepBy::Chord => {
            let events: Vec<usize> =
                part.events.iter().enumerate().filter(|(_, e)| in_slot(e)).map(|(i, _)| i).collect();
            let slot = part.bars[step.slot.bar].played.slots.get(step.slot.slot);
            let length = slot.map_or(Quarters::new(1, 1), |s| s.length);
            let keys = slot_keys(part, step.slot, Hands::Both, &events);
            keys.into_iter().map(|(hand, key)| (hand, key, length)).collect()
        }
    }
}

/// What a strike was while stepping.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepHeard {
    /// A key of this step; when `done`, it was the last one that was open.
    Right {
        /// Whose it is.
        hand: Hand,
        /// Whether the step is done.
        done: bool,
    },
    /// Not a key of this step. It blocks nothing.
    Wrong,
}

/// Where a player is in the steps. A step is done when each of its keys was struck since the step before was done, in any
/// order; keys from before may be held on or let go.
#[derive(Clone, Debug, PartialEq)]
pub struct Stepper {
    steps: Vec<Step>,
    index: usize,
    struck: Vec<bool>,
    wrong: Vec<MidiKey>,
}

impl Stepper {
    /// At the first of these steps.
    pub fn new(steps: Vec<Step>) -> Stepper {
        let mut stepper = Stepper { steps, index: 0, struck: Vec::new(), wrong: Vec::new() };
        stepper.go(0);
        stepper
    }

    /// The step in hand; `None` after the last.
    pub fn current(&self) -> Option<&Step> {
        self.steps.get(self.index)
    }

    /// The step after it, if there is one.
    pub fn next(&self) -> Option<&Step> {
        self.steps.get(self.index + 1)
    }

    /// To the step at a place: with strikes the first at or after it, with chords the one in whose slot it lies, if there is one.
    pub fn go_to(&mut self, place: Quarters, by: StepBy) {
        let after = self.steps.partition_point(|s| s.place < place);
        let at_place = self.steps.get(after).is_some_and(|s| s.place == place);
        let within =
            after.checked_sub(1).filter(|&b| by == StepBy::Chord && !at_place && place < self.steps[b].end);
        self.go(within.unwrap_or(after));
    }

    /// Whether all keys of the step in hand were struck.
    pub fn is_done(&self) -> bool {
        !self.struck.is_empty() && self.struck.iter().all(|s| *s)
    }

    /// A key went down.
    pub fn strike(&mut self, key: MidiKey) -> StepHeard {
        let Some(step) = self.steps.get(self.index) else { return StepHeard::Wrong };
        let Some(&(hand, _)) = step.keys.iter().find(|k| k.1 == key) else {
            self.wrong.push(key);
            return StepHeard::Wrong;
        };
        for (struck, _) in self.struck.iter_mut().zip(&step.keys).filter(|(_, k)| k.1 == key) {
            *struck = true;
        }
        StepHeard::Right { hand, done: self.struck.iter().all(|s| *s) }
    }

    /// On to the next step; `around`: after the last the first comes again.
    pub fn advance(&mut self, around: bool) {
        let next = self.index + 1;
        self.go(if around && next >= self.steps.len() { 0 } else { next });
    }

    /// For the screen; `None` after the last step.
    pub fn view(&self, part: &Part, bars: Option<LoopBars>) -> Option<StepView> {
        let step = self.current()?;
        let struck_key = |key: MidiKey| step.keys.iter().zip(&self.struck).any(|(k, s)| k.1 == key && *s);
        let (struck, open) = step.events.iter().partition(|&&e| struck_key(part.events[e].key));
        Some(StepView {
            index: self.index,
            of: self.steps.len(),
            open,
            struck,
            open_keys: step.keys.iter().zip(&self.struck).filter(|(_, s)| !**s).map(|(k, _)| *k).collect(),
            wrong: self.wrong.clone(),
            bars,
        })
    }

    fn go(&mut self, index: usize) {
        self.index = index.min(self.steps.len());
        self.struck = vec![false; self.current().map_or(0, |s| s.keys.len())];
        self.wrong.clear();
    }
}
