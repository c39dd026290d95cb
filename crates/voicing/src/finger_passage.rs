//! The fingers of a passage: the cheapest way through it, found exactly, after the shapes are chosen.

use crate::finger_grip::{FingerHand, Fingers, Grip, Way};
use crate::finger_span::passes;

/// A moment at which a hand may take other fingers: where a shape begins, at a neighbour note, and after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Stage {
    /// The keys that the hand plays of the shape.
    pub grip: Grip,
    /// Keys of the grip, by bit, that stay down from before.
    pub held: u8,
    /// Keys of the grip, by bit, that sound at this moment, struck now or before.
    pub sounding: u8,
    /// Neighbour notes that are struck now, from the lowest up.
    pub neighbours: Vec<Neighbour>,
    /// The shape of the stage before goes on.
    pub goes_on: bool,
    /// Fingers that are chosen already.
    pub fixed: Option<Fingers>,
}

/// A note that stands beside one of the grip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Neighbour {
    pub key: u8,
    /// The place in the grip of the note that it stands beside.
    pub beside: u8,
}

/// What is chosen for a stage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Fingered {
    /// On the keys of the grip.
    pub fingers: Fingers,
    /// On the neighbour notes.
    pub neighbours: Fingers,
}

/// The cheapest fingers for a passage.
pub(crate) fn cheapest_fingers(
    hand: &FingerHand<'_>,
    stages: &[&Stage],
    ways: &mut WayBook,
) -> Vec<Fingered> {
    let pages: Vec<usize> = stages.iter().map(|stage| ways.page(hand, &stage.grip)).collect();
    let mut steps: Vec<Vec<Step>> = Vec::with_capacity(stages.len());
    for (i, &stage) in stages.iter().enumerate() {
        let before = (i > 0).then(|| (stages[i - 1], &steps[i - 1][..]));
        let mut here = steps_into(hand, before, stage, &ways.pages[pages[i]]);
        // Only differences matter; numbers stay small in the longest song.
        let least = here.iter().map(|step| step.cost).min().unwrap_or(0);
        here.iter_mut().for_each(|step| step.cost -= least);
        steps.push(here);
    }
    walked_back(hand, stages, &steps)
}

/// The ways of grips, each made once.
#[derive(Default)]
pub(crate) struct WayBook {
    numbers: std::collections::HashMap<Grip, usize>,
    pages: Vec<Vec<Way>>,
}

impl WayBook {
    fn page(&mut self, hand: &FingerHand<'_>, grip: &Grip) -> usize {
        let pages = &mut self.pages;
        *self.numbers.entry(*grip).or_insert_with(|| {
            pages.push(hand.ways(grip));
            pages.len() - 1
        })
    }
}

/// A way at a stage with the least that it costs to get there.
struct Step {
    fingers: Fingers,
    cost: i32,
    came_from: usize,
}

fn steps_into(
    hand: &FingerHand<'_>,
    before: Option<(&Stage, &[Step])>,
    stage: &Stage,
    ways: &[Way],
) -> Vec<Step> {
    let fixed = stage.fixed.map(|fingers| [Way { fingers, cost: 0 }]);
    let ways = fixed.as_ref().map_or(ways, |one| one);
    let change = before.map(|(before, _)| Change::new(before, stage));
    let mut here = Vec::with_capacity(ways.len());
    for way in ways {
        let mut step = Step { fingers: way.fingers, cost: i32::MAX, came_from: 0 };
        match (before, &change) {
            (Some((_, steps)), Some(change)) => {
                for (from, reached) in steps.iter().enumerate() {
                    let cost = reached.cost + change.cost(hand, &reached.fingers, way);
                    if cost < step.cost {
                        (step.cost, step.came_from) = (cost, from);
                    }
                }
            }
            _ => step.cost = way.cost,
        }
        step.cost += neighbours(hand, stage, &way.fingers).1;
        here.push(step);
    }
    here
}

fn walked_back(hand: &FingerHand<'_>, stages: &[&Stage], steps: &[Vec<Step>]) -> Vec<Fingered> {
    let mut at = steps.last().and_then(|last| (0..last.len()).min_by_key(|&i| last[i].cost)).unwrap_or(0);
    let mut chosen: Vec<Fingered> = Vec::with_capacity(stages.len());
    for (stage, steps) in stages.iter().zip(steps).rev() {
        let fingers = steps[at].fingers;
        chosen.push(Fingered { fingers, neighbours: neighbours(hand, stage, &fingers).0 });
        at = steps[at].came_from;
    }
    chosen.reverse();
    chosen
}

/// What there is to pay for between two stages, whatever the fingers.
pub(crate) struct Change<'a> {
    before: &'a Grip,
    after: &'a Grip,
    goes_on: bool,
    /// Places before and after of a key that both have, and whether it stays down, or has its neighbour just before or
    /// after it, so that its finger is the one that is played.
    common: [(u8, u8, bool); crate::candidate::MOST_NOTES],
    common_count: usize,
}

impl<'a> Change<'a> {
    pub fn new(before: &'a Stage, after: &'a Stage) -> Change<'a> {
        let mut change = Change {
            before: &before.grip,
            after: &after.grip,
            goes_on: after.goes_on,
            common: Default::default(),
            common_count: 0,
        };
        for (place, key) in after.grip.keys().iter().enumerate() {
            if let Some(earlier) = before.grip.keys().iter().position(|k| k == key) {
                let held = after.held & (1 << place) != 0;
                let beside = |note: &Neighbour| usize::from(note.beside) == place;
                let mut neighbours = before.neighbours.iter().chain(&after.neighbours);
                let held = held || after.goes_on && neighbours.any(beside);
                change.common[change.common_count] = (earlier as u8, place as u8, held);
                change.common_count += 1;
            }
        }
        change
    }

    /// What it costs to go from some fingers to a way, with what the way costs by itself. While a shape goes on, only
    /// other fingers than before are a new form.
    fn cost(&self, hand: &FingerHand<'_>, from: &Fingers, to: &Way) -> i32 {
        if self.goes_on && *from == to.fingers {
            return 0;
        }
        to.cost
            + self.kept(hand, from, &to.fingers)
            + self.outer(hand, from, &to.fingers)
            + self.line(hand, from, &to.fingers)
    }

    /// Keys that both have, with other fingers.
    pub fn kept(&self, hand: &FingerHand<'_>, from: &Fingers, to: &Fingers) -> i32 {
        let costs = hand.costs;
        let mut sum = 0;
        for &(earlier, place, held) in &self.common[..self.common_count] {
            if from[usize::from(earlier)] != to[usize::from(place)] {
                sum += if held { costs.substitution } else { costs.repeated_key_changes };
            }
        }
        sum
    }

    /// The outer fingers of shapes of two keys or more.
    pub fn outer(&self, hand: &FingerHand<'_>, from: &Fingers, to: &Fingers) -> i32 {
        let (before, after) = (self.before.keys().len(), self.after.keys().len());
        if self.goes_on || before < 2 || after < 2 {
            return 0;
        }
        let changes = i32::from(from[0] != to[0]) + i32::from(from[before - 1] != to[after - 1]);
        changes * hand.costs.outer_finger_changes
    }

    /// Single notes, one after the other.
    pub fn line(&self, hand: &FingerHand<'_>, from: &Fingers, to: &Fingers) -> i32 {
        match (self.before.keys(), self.after.keys()) {
            (&[a], &[b]) if a != b => hand.line((a, from[0]), (b, to[0])),
            _ => 0,
        }
    }
}

impl FingerHand<'_> {
    /// From one single note to the next.
    fn line(&self, from: (u8, u8), to: (u8, u8)) -> i32 {
        let costs = self.costs;
        let semitones = from.0.abs_diff(to.0);
        if from.1 == to.1 {
            let near = semitones <= self.reach;
            return if near { costs.same_finger_steps } else { costs.hand_moves };
        }
        if self.outward(from, to) {
            return self.stretch(from.1, to.1, semitones).min(costs.hand_moves);
        }
        if passes(from.1, to.1, semitones) { costs.thumb_passes } else { costs.fingers_cross }
    }

    /// Whether the finger further from the thumb lies further on its side of the hand.
    fn outward(&self, from: (u8, u8), to: (u8, u8)) -> bool {
        (self.finger_at(to.1) > self.finger_at(from.1)) == (to.0 > from.0)
    }

    /// Whether a neighbour note has a finger of its own, on its own side of the note that it stands beside.
    pub fn joins(&self, grip: &Grip, fingers: &Fingers, note: Neighbour, finger: u8) -> bool {
        let own = (grip.keys()[usize::from(note.beside)], fingers[usize::from(note.beside)]);
        finger != own.1 && self.outward(own, (note.key, finger))
    }

    /// A finger on a neighbour note: against its own note, and against what sounds.
    fn neighbour(&self, stage: &Stage, fingers: &Fingers, note: Neighbour, finger: u8) -> i32 {
        let (keys, costs) = (stage.grip.keys(), self.costs);
        let (own, own_finger) = (keys[usize::from(note.beside)], fingers[usize::from(note.beside)]);
        let mut cost = self.on_black(note.key, finger);
        cost += if finger == own_finger {
            costs.neighbour_slides
        } else if self.outward((own, own_finger), (note.key, finger)) {
            self.stretch(own_finger, finger, own.abs_diff(note.key))
        } else if passes(own_finger, finger, own.abs_diff(note.key)) {
            costs.neighbour_passes
        } else {
            costs.neighbour_crosses
        };
        for (place, (&key, &held)) in keys.iter().zip(fingers).enumerate() {
            let sounds = stage.sounding & (1 << place) != 0 && place != usize::from(note.beside);
            if sounds && (held == finger || !self.outward((key, held), (note.key, finger))) {
                cost += costs.lifts_held_key;
            } else if sounds {
                cost += self.stretch(held, finger, key.abs_diff(note.key));
            }
        }
        cost
    }
}

/// The best fingers for the neighbour notes of a stage, and what they cost.
pub(crate) fn neighbours(hand: &FingerHand<'_>, stage: &Stage, fingers: &Fingers) -> (Fingers, i32) {
    let notes = &stage.neighbours[..stage.neighbours.len().min(5)];
    if notes.is_empty() {
        return (Fingers::default(), 0);
    }
    let mut best = (Fingers::default(), i32::MAX);
    for bits in (0u8..32).filter(|bits| bits.count_ones() as usize == notes.len()) {
        let mut chosen = Fingers::default();
        let places = (1..=5).filter(|place| bits & (1 << (place - 1)) != 0);
        for (slot, place) in chosen.iter_mut().zip(places) {
            *slot = hand.finger_at(place);
        }
        let cost = notes
            .iter()
            .zip(chosen)
            .map(|(&note, finger)| hand.neighbour(stage, fingers, note, finger))
            .sum();
        if cost < best.1 {
            best = (chosen, cost);
        }
    }
    best
}
