//! The planner's working store: candidate sets and pair tables, each made once, and paths through them.

use crate::candidate::{Candidate, CandidateSet, Ingredient, Room, Wish, keep_nearest};
use crate::candidate_left::{left_candidates, thinner_left};
use crate::candidate_right::{right_candidates, thinner_right};
use crate::movement::MoveWeights;
use crate::pair::{PairTable, pair_costs};
use crate::path::{Ground, Step};
use crate::{Costs, KeySpan, Settings};
use song::Hold;
use std::collections::HashMap;
use theory::{Chord, Hand, Key, NumberChord};

/// A chord with both hands chosen: a pair table and a candidate in each of its sets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Voiced {
    pub pair: usize,
    pub right: usize,
    pub left: usize,
}

/// A chord on the way through a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stop {
    /// All candidates of a pair table.
    Open(usize),
    /// Chosen already.
    Fixed(Voiced),
    /// One candidate of one hand, all of the other.
    One(usize, Hand, usize),
}

/// What a hand is asked to hold at a chord: where equal, the candidates are.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Request {
    chord: NumberChord,
    key: Key,
    hand: Hand,
    hold: Hold,
    written: bool,
    near: Option<i32>,
    floor: Option<u8>,
}

pub(crate) struct Planner<'a> {
    costs: &'a Costs,
    rooms: [Room; 2],
    /// The key that the left hand stays on or above beside a bass player.
    pub floor: u8,
    voice: Option<KeySpan>,
    pub sets: Vec<CandidateSet>,
    pub pairs: Vec<PairTable>,
    requests: HashMap<Request, usize>,
    /// Sets of the same shapes, though asked for by different chords (1 and 1/4 in the right hand), are one.
    contents: HashMap<(Vec<Ingredient>, Vec<Candidate>), usize>,
    pair_numbers: HashMap<(NumberChord, Key, usize, usize), usize>,
    single_numbers: HashMap<(usize, Candidate), usize>,
}

impl<'a> Planner<'a> {
    pub fn new(settings: &Settings, costs: &'a Costs) -> Self {
        Self {
            costs,
            rooms: Hand::BOTH.map(|hand| Room {
                reach: settings.reach_of(hand).semitones(),
                range: (settings.keys.low().number(), settings.keys.high().number()),
            }),
            floor: settings.left_floor.number(),
            voice: settings.voice,
            sets: Vec::new(),
            pairs: Vec::new(),
            requests: HashMap::new(),
            contents: HashMap::new(),
            pair_numbers: HashMap::new(),
            single_numbers: HashMap::new(),
        }
    }

    pub fn range(&self) -> (u8, u8) {
        self.rooms[0].range
    }

    /// The number of the pair table for a chord and what each hand is asked to hold.
    pub fn pair_for(&mut self, chord: &Chord, right: Wish<'_>, left: Wish<'_>) -> usize {
        let right_set = self.set_for(chord, Hand::Right, right);
        let left_set = self.set_for(chord, Hand::Left, left);
        if let Some(&number) = self.pair_numbers.get(&(chord.written, chord.key, right_set, left_set)) {
            return number;
        }
        let number = self.add_pair(chord, right_set, left_set);
        if self.hands_meet(number) {
            self.make_room(number, chord, right);
        }
        if self.hands_meet(number) {
            self.thin_out(number, chord, right, left);
        }
        number
    }

    /// One set of all the shapes of some.
    pub fn joined(&mut self, sets: &[usize]) -> usize {
        let mut palette: Vec<Ingredient> = Vec::new();
        let mut candidates: Vec<Candidate> = Vec::new();
        for &set in sets {
            let from = palette.len() as u8;
            palette.extend(self.sets[set].palette.iter().copied());
            for mut candidate in self.sets[set].candidates.iter().copied().filter(|c| c.lowered == 0) {
                candidate.names.iter_mut().for_each(|name| *name += from);
                candidates.push(candidate);
            }
        }
        self.sets.push(CandidateSet::new(palette, candidates));
        self.sets.len() - 1
    }

    /// Whether a hand could have held these keys where something else was chosen.
    pub fn is_open_at(&self, chosen: Voiced, hand: Hand, keys: &[u8]) -> bool {
        self.shape(chosen, hand).0.candidates.iter().any(|candidate| candidate.keys() == keys)
    }

    /// The table of costs.
    pub fn costs(&self) -> &Costs {
        self.costs
    }

    /// The singer's range.
    pub fn voice(&self) -> Option<KeySpan> {
        self.voice
    }

    /// A hand's set and its place there.
    pub fn place_in_set(&self, voiced: Voiced, hand: Hand) -> (&CandidateSet, usize) {
        let index = if hand == Hand::Right { voiced.right } else { voiced.left };
        (self.shape(voiced, hand).0, index)
    }

    /// Whether the hands of a pair table meet whatever they do.
    pub fn hands_meet(&self, number: usize) -> bool {
        self.pairs[number].cost.iter().all(|&cost| cost >= self.costs.hands_cross)
    }

    /// A pair table of sets that exist already.
    pub fn pair_of(&mut self, chord: &Chord, right_set: usize, left_set: usize) -> usize {
        match self.pair_numbers.get(&(chord.written, chord.key, right_set, left_set)) {
            Some(&number) => number,
            None => self.add_pair(chord, right_set, left_set),
        }
    }

    /// A set of one shape, with the note names of another set.
    pub fn single(&mut self, names_of: usize, shape: Candidate) -> usize {
        let Self { sets, single_numbers, .. } = self;
        *single_numbers.entry((names_of, shape)).or_insert_with(|| {
            sets.push(CandidateSet::new(sets[names_of].palette.clone(), vec![shape]));
            sets.len() - 1
        })
    }

    /// Everything that a search refers to.
    pub fn ground(&self) -> Ground<'_> {
        Ground {
            sets: &self.sets,
            pairs: &self.pairs,
            right: MoveWeights::right(self.costs),
            left: MoveWeights::left(self.costs),
        }
    }

    /// The shape of one hand.
    pub fn shape(&self, voiced: Voiced, hand: Hand) -> (&CandidateSet, &Candidate) {
        let pair = &self.pairs[voiced.pair];
        let (set, index) = match hand {
            Hand::Right => (pair.right, voiced.right),
            Hand::Left => (pair.left, voiced.left),
        };
        (&self.sets[set], &self.sets[set].candidates[index])
    }

    /// What is open at a stop.
    pub fn step(&self, stop: Stop) -> Step {
        match stop {
            Stop::Open(number) => {
                let pair = &self.pairs[number];
                Step {
                    pair: number,
                    rights: 0..self.sets[pair.right].len(),
                    lefts: 0..self.sets[pair.left].len(),
                }
            }
            Stop::One(number, hand, one) => {
                let step = self.step(Stop::Open(number));
                match hand {
                    Hand::Right => Step { rights: one..one + 1, ..step },
                    Hand::Left => Step { lefts: one..one + 1, ..step },
                }
            }
            Stop::Fixed(Voiced { pair, right, left }) => {
                Step { pair, rights: right..right + 1, lefts: left..left + 1 }
            }
        }
    }

    /// The number of the set of candidates of a hand.
    pub fn set_for(&mut self, chord: &Chord, hand: Hand, wish: Wish<'_>) -> usize {
        let Wish { hold, written, near, floor } = wish;
        let hold = hold.clone();
        let request = Request { chord: chord.written, key: chord.key, hand, hold, written, near, floor };
        let Self { sets, requests, contents, rooms: [right, left], .. } = self;
        *requests.entry(request).or_insert_with(|| {
            let set = match hand {
                Hand::Right => right_candidates(chord, wish, *right),
                Hand::Left => left_candidates(chord, wish, *left),
            };
            *contents.entry((set.palette.clone(), set.candidates.clone())).or_insert_with(|| {
                sets.push(set);
                sets.len() - 1
            })
        })
    }

    fn add_pair(&mut self, chord: &Chord, right: usize, left: usize) -> usize {
        let cost = pair_costs(chord, &self.sets[right], &self.sets[left], self.costs, self.voice);
        self.pairs.push(PairTable { right, left, cost });
        self.pair_numbers.insert((chord.written, chord.key, right, left), self.pairs.len() - 1);
        self.pairs.len() - 1
    }

    /// Where `near` lays the right hand on a left one that can go no lower, the right hand is also open as near as it
    /// can be above that.
    fn make_room(&mut self, number: usize, chord: &Chord, right: Wish<'_>) {
        let (right_set, left_set) = (self.pairs[number].right, self.pairs[number].left);
        let lowest = self.sets[left_set].candidates.iter().filter_map(Candidate::high).min();
        let (Some(near), Some(left)) = (right.near, lowest) else { return };
        let mut above = right_candidates(chord, Wish { near: None, ..right }, self.rooms[0]).candidates;
        above.retain(|shape| shape.low().is_some_and(|low| low > left));
        keep_nearest(&mut above, near);
        self.pairs[number].right = self.widened(right_set, above);
        self.price(number, chord);
    }

    /// Where the hands would meet whatever they do, shapes with fewer notes are open as well.
    fn thin_out(&mut self, number: usize, chord: &Chord, right: Wish<'_>, left: Wish<'_>) {
        let (right_set, left_set) = (self.pairs[number].right, self.pairs[number].left);
        let more_right = thinner_right(chord, right, self.rooms[0]);
        let more_left = thinner_left(chord, left, self.rooms[1]);
        self.pairs[number].right = self.widened(right_set, more_right);
        self.pairs[number].left = self.widened(left_set, more_left);
        self.price(number, chord);
    }

    /// Puts costs on a pair table whose sets have grown.
    fn price(&mut self, number: usize, chord: &Chord) {
        let pair = &self.pairs[number];
        let cost = pair_costs(chord, &self.sets[pair.right], &self.sets[pair.left], self.costs, self.voice);
        self.pairs[number].cost = cost;
    }

    fn widened(&mut self, set: usize, more: Vec<Candidate>) -> usize {
        if more.is_empty() {
            return set;
        }
        let CandidateSet { palette, mut candidates, .. } = self.sets[set].clone();
        candidates.extend(more);
        self.sets.push(CandidateSet::new(palette, candidates));
        self.sets.len() - 1
    }
}
