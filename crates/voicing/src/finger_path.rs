//! The fingers of a passage: the least strained way through it, found exactly, after the shapes are chosen.

use crate::candidate::Candidate;
use crate::finger::{Fingering, Fingers, fingerings};
use std::collections::HashMap;
use theory::Hand;

/// Another finger on a key that stays: the held tone keeps its finger (common practice).
const CHANGE_ON_HELD_KEY: i32 = 6;
/// A single line that goes up while the fingers go down, or another key with the same finger though it lies near.
const AGAINST_THE_LINE: i32 = 2;
/// Within this many semitones a single line is fingered without moving the hand.
const FIVE_FINGER_SPAN: i32 = 7;

/// Fingerings of shapes, each made once.
pub(crate) struct FingerBook {
    reach: u8,
    pages: HashMap<(Hand, Candidate), usize>,
    ways: Vec<Vec<Fingering>>,
}

impl FingerBook {
    pub fn new(reach: u8) -> Self {
        Self { reach, pages: HashMap::new(), ways: Vec::new() }
    }

    fn page(&mut self, hand: Hand, shape: &Candidate) -> usize {
        if let Some(&page) = self.pages.get(&(hand, *shape)) {
            return page;
        }
        self.ways.push(fingerings(shape, hand, self.reach));
        self.pages.insert((hand, *shape), self.ways.len() - 1);
        self.ways.len() - 1
    }

    /// The fingers of each shape of one hand's passage; where `kept` has some, those.
    pub fn passage(&mut self, hand: Hand, shapes: &[Candidate], kept: &[Option<Fingers>]) -> Vec<Fingers> {
        let pages: Vec<usize> = shapes.iter().map(|shape| self.page(hand, shape)).collect();
        let fixed: Vec<Option<[Fingering; 1]>> =
            kept.iter().map(|kept| kept.map(|fingers| [Fingering { fingers, cost: 0 }])).collect();
        let ways: Vec<&[Fingering]> = (pages.iter().zip(&fixed))
            .map(|(&page, fixed)| fixed.as_ref().map_or(&self.ways[page][..], |one| one))
            .collect();
        least_strained(hand, shapes, &ways)
    }
}

fn least_strained(hand: Hand, shapes: &[Candidate], ways: &[&[Fingering]]) -> Vec<Fingers> {
    let mut costs: Vec<i32> = Vec::new();
    let mut came_from: Vec<Vec<usize>> = Vec::with_capacity(ways.len());
    for (i, here) in ways.iter().enumerate() {
        let mut sources = vec![0; here.len()];
        let mut next = Vec::with_capacity(here.len());
        for (source, way) in sources.iter_mut().zip(here.iter()) {
            let reached = (0..costs.len())
                .map(|j| {
                    let before = (&shapes[i - 1], &ways[i - 1][j].fingers);
                    (costs[j] + change(hand, before, (&shapes[i], &way.fingers)), j)
                })
                .min();
            let (cost, from) = reached.unwrap_or((0, 0));
            *source = from;
            next.push(cost + way.cost);
        }
        // Only differences matter; numbers stay small in the longest song.
        let least = next.iter().copied().min().unwrap_or(0);
        costs = next.into_iter().map(|cost| cost - least).collect();
        came_from.push(sources);
    }
    let mut at = (0..costs.len()).min_by_key(|&i| costs[i]).unwrap_or(0);
    let mut fingers = vec![Fingers::default(); ways.len()];
    for i in (0..ways.len()).rev() {
        fingers[i] = ways[i][at].fingers;
        at = came_from[i][at];
    }
    fingers
}

/// What going from one fingered shape to the next costs.
fn change(hand: Hand, before: (&Candidate, &Fingers), after: (&Candidate, &Fingers)) -> i32 {
    let (from, to) = (before.0.keys(), after.0.keys());
    let mut cost = 0;
    for (key, finger) in from.iter().zip(before.1) {
        if let Some(place) = to.iter().position(|k| k == key) {
            cost += if after.1[place] == *finger { 0 } else { CHANGE_ON_HELD_KEY };
        }
    }
    match (from, to) {
        (&[a], &[b]) if a != b => cost + line(hand, (a, before.1[0]), (b, after.1[0])),
        _ => cost,
    }
}

/// A single line under one hand: fingers go with the keys while it stays within five fingers.
fn line(hand: Hand, before: (u8, u8), after: (u8, u8)) -> i32 {
    let keys = i32::from(after.0) - i32::from(before.0);
    if keys.abs() > FIVE_FINGER_SPAN {
        return 0;
    }
    let mut fingers = i32::from(after.1) - i32::from(before.1);
    if hand == Hand::Left {
        fingers = -fingers;
    }
    if keys.signum() == fingers.signum() {
        (keys.abs() - 2 * fingers.abs()).abs() / 2
    } else {
        AGAINST_THE_LINE + 1
    }
}
