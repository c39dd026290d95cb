//! What is inside of bars: the changes from chord to chord.
//!
//! A change has beliefs of its own, in the model of [`Belief`], with both hands and with each alone. They are learned from the
//! first strikes of the chord it goes into; what else fails in the bar is learned of the rest of the bar ([`HeardPass`]), so
//! that a failure is put down to one of them.
//!
//! How bars and changes relate: a bar stands for all that is in it. How likely a section or a song is clean is made of its bars
//! alone, whose beliefs have heard every failure already; changes tell where in a bar it fails and what to drill, and are never
//! multiplied in a second time, nor do they tell a second time what kind of player it is. As a clean bar has no change that
//! failed, a change is at least as likely as its bar.

use super::player::Shares;
use super::{Belief, ByHands, Chance, Change, Coach, Forecast, HardBar, Honesty, Reason, bars_known_by};
use crate::history::ChangePassed;
use crate::{Hands, Speed};
use std::collections::BTreeMap;
use voicing::Part;

/// Where a bar is clean half the time, a change that is clean less often than this makes it fail, if the rest of the bar is
/// clean more often than that; from so many passes on.
const FAILS: f64 = 0.7;
const GOES: f64 = 0.75;
const KNOWN: u32 = 3;

/// What is believed of the changes of a part.
#[derive(Clone, Debug, Default)]
pub(super) struct Inside {
    changes: Vec<Change>,
    /// For each change, in their order, what it is to a learner: the same change in another pass of a verse is the same.
    kinds: Vec<usize>,
    known: Vec<ByHands>,
    honesty: Honesty,
}

impl Inside {
    /// The changes of a part; `kind_of` tells which bars are alike.
    fn of(part: &Part, kind_of: impl Fn(usize) -> Option<usize>) -> Inside {
        let changes = Change::all(part);
        let mut seen = BTreeMap::new();
        let kind = |change: &Change| {
            // Across a bar line it begins in the bar before.
            let before = change.bar.checked_sub(1).filter(|_| change.slot == 0).and_then(&kind_of);
            let next = seen.len();
            *seen.entry((before, kind_of(change.bar), change.slot)).or_insert(next)
        };
        let kinds: Vec<usize> = changes.iter().map(kind).collect();
        Inside { known: vec![ByHands::default(); seen.len()], changes, kinds, honesty: Honesty::default() }
    }

    /// Changes were heard.
    pub fn hear(&mut self, heard: &[ChangePassed], speed: Speed, hands: Hands, day: f64) {
        if hands == Hands::Both {
            self.hold_against(heard, speed, day);
        }
        for passed in heard {
            let Some(place) = self.place(passed.bar, passed.slot) else { continue };
            let (change, known) = (&self.changes[place], &mut self.known[self.kinds[place]]);
            let moves = match hands {
                Hands::Both => true,
                Hands::Right => change.right.is_some(),
                Hands::Left => change.left.is_some(),
            };
            if !moves {
                continue;
            }
            known.hear(hands, day, speed, passed.is_clean());
            known.suspect = passed.fails_alone().or(known.suspect);
        }
    }

    /// What was forecast of changes is held against what came.
    fn hold_against(&mut self, heard: &[ChangePassed], speed: Speed, day: f64) {
        let forecast = |passed: &ChangePassed| {
            let both = &self.known[self.kinds[self.place(passed.bar, passed.slot)?]].both;
            let chance = both.mean_of(&both.by_kind(speed, day));
            (both.heard() > 0).then(|| (Forecast { chance, slept: both.slept(day) }, passed.is_clean()))
        };
        let forecasts: Vec<(Forecast, bool)> = heard.iter().filter_map(forecast).collect();
        self.honesty.hear(&forecasts);
    }

    /// What kind of player it is. Bars tell that; changes are inside of them, and do not tell it a second time.
    pub fn of_player(&mut self, shares: Shares) {
        self.known.iter_mut().for_each(|known| known.of_player(shares));
    }

    fn place(&self, bar: usize, slot: usize) -> Option<usize> {
        self.changes.binary_search_by_key(&(bar, slot), |change| (change.bar, change.slot)).ok()
    }
}

impl Coach {
    /// For a part: bars that are alike are one thing to learn, and so are changes.
    pub fn of_part(part: &Part, target: Speed) -> Coach {
        let mut coach = Coach::alike(&bars_known_by(part), target);
        coach.inside = Inside::of(part, |bar| coach.kind(bar));
        coach
    }

    /// The changes from chord to chord, in order; none where no part is known.
    pub fn changes(&self) -> &[Change] {
        &self.inside.changes
    }

    /// The change into a chord of a bar; `None` where the chord lies as the one before.
    pub fn change(&self, bar: usize, slot: usize) -> Option<&Change> {
        self.inside.place(bar, slot).map(|place| &self.inside.changes[place])
    }

    /// What is believed of a change, not corrected.
    pub fn change_belief(&self, bar: usize, slot: usize) -> Option<&ByHands> {
        let place = self.inside.place(bar, slot)?;
        Some(&self.inside.known[self.inside.kinds[place]])
    }

    /// The chances of all changes to be clean at the target with both hands on a day, in their order. One that was never
    /// heard is taken to be like the others.
    pub fn change_chances(&self, day: f64) -> Vec<Chance> {
        let bars = self.chances(day);
        let others = Belief::like(self.inside.known.iter().map(|known| &known.both));
        let of_kinds: Vec<Chance> = self
            .inside
            .known
            .iter()
            .map(|known| if known.both.heard() == 0 { &others } else { &known.both })
            .map(|belief| {
                let (chance, slept) = (belief.chance(self.target(), day), belief.slept(day));
                self.inside.honesty.corrected_chance(chance, slept)
            })
            .collect();
        let places = self.inside.changes.iter().zip(&self.inside.kinds);
        places.map(|(change, kind)| of_kinds[*kind].at_least(bars[change.bar])).collect()
    }

    /// The change that a bar fails at, while the rest of the bar goes; with what is known of it. Compared at the speed at
    /// which the bar is clean half the time.
    pub(super) fn weak_change(&self, bar: usize, day: f64) -> Option<(&Change, &ByHands)> {
        let (known, rest) = self.known(bar)?;
        let speed = known.both.speed_with(0.5, day, Speed::MAX);
        let chance = |belief: &Belief| belief.chance(speed, day).mean;
        if known.both.heard() < KNOWN || chance(rest) < GOES {
            return None;
        }
        let of_bar =
            self.inside.changes.iter().zip(&self.inside.kinds).filter(|(change, _)| change.bar == bar);
        let known = of_bar.map(|(change, kind)| (change, &self.inside.known[*kind]));
        let failing = known.filter(|(_, known)| known.both.heard() >= KNOWN && chance(&known.both) < FAILS);
        failing.min_by(|a, b| chance(&a.1.both).total_cmp(&chance(&b.1.both)))
    }

    /// Where a hard bar fails at one change, that is its first reason.
    pub fn explain(&self, hard: &mut [HardBar], day: f64) {
        for hard in hard {
            let Some((change, known)) = self.weak_change(hard.bar, day) else { continue };
            let hand =
                known.suspect.into_iter().chain(theory::Hand::BOTH).find(|hand| change.of(*hand).is_some());
            let Some((hand, moves)) = hand.and_then(|hand| Some((hand, change.of(hand)?))) else { continue };
            let reason = Reason::Change { hand, slot: change.slot, moves };
            hard.reasons.retain(|other| !matches!(other, Reason::Change { .. }));
            hard.reasons.insert(0, reason);
        }
    }
}
