//! Why a shape is not fingered as handbooks have it.

use crate::finger_form::forms;
use crate::finger_grip::{FingerHand, Fingers};
use crate::finger_passage::{Change, Fingered, neighbours};
use crate::finger_stage::Spot;
use crate::{Claim, FingerReason, Part, Reason, Role};
use theory::{Finger, Pitch};

/// Something to say about the fingers of a chord.
#[derive(Clone, Debug)]
pub(crate) struct FingerWhy {
    pub bar: usize,
    pub slot: usize,
    pub reason: Reason,
}

/// Puts what is said about fingers behind what else is said about the hand.
pub(crate) fn tell(part: &mut Part, why: Vec<FingerWhy>) {
    for FingerWhy { bar, slot, reason } in why {
        let told = &mut part.bars[bar].chords[slot].why;
        let place = told.iter().rposition(|other| other.hand.is_some() && other.hand <= reason.hand);
        told.insert(place.map_or(0, |place| place + 1), reason);
    }
}

/// What there is to say about a passage.
pub(crate) fn why_these(
    hand: &FingerHand<'_>,
    part: &Part,
    (spots, fingered): (&[Spot], &[Fingered]),
    why: &mut Vec<FingerWhy>,
) {
    for at in (0..spots.len()).filter(|&at| !spots[at].stage.goes_on) {
        let view = Passage { hand, part, spots, fingered, at };
        why.extend(view.claim().map(|claim| FingerWhy {
            bar: spots[at].bar,
            slot: spots[at].slot,
            reason: Reason { hand: Some(hand.hand), claim },
        }));
    }
}

/// One shape on its way through a passage.
struct Passage<'a> {
    hand: &'a FingerHand<'a>,
    part: &'a Part,
    spots: &'a [Spot],
    fingered: &'a [Fingered],
    at: usize,
}

/// What a reason saves against the usual form.
type Saving = (i32, FingerReason);

impl Passage<'_> {
    fn claim(&self) -> Option<Claim> {
        let spot = &self.spots[self.at];
        let keys = spot.stage.grip.keys();
        let forms = forms(keys, self.hand.hand)?;
        let form = forms.usual;
        let played = self.fingered[self.at].fingers;
        let of_grip = &played[..keys.len()];
        if form == of_grip || (forms.narrow && forms.others.contains(&of_grip)) {
            return None;
        }
        let mut usual = Fingers::default();
        usual[..form.len()].copy_from_slice(form);
        let savings = self.savings(&usual, &played);
        // Of equal ones the first.
        let most = savings.into_iter().rev().max_by_key(|(saved, _)| *saved);
        let why = most.filter(|(saved, _)| *saved > 0).map_or(FingerReason::AsElsewhere, |(_, why)| why);
        let fingers = |numbers: &Fingers| numbers.iter().filter_map(|&n| Finger::new(n)).collect();
        Some(Claim::Fingers { usual: fingers(&usual), played: fingers(&played), why })
    }

    fn savings(&self, usual: &Fingers, played: &Fingers) -> Vec<Saving> {
        let mut savings = Vec::with_capacity(6);
        savings.extend(self.span(usual, played));
        savings.extend(self.room(usual, played));
        savings.extend(self.for_neighbours(usual, played));
        savings.extend(self.with(true, usual, played));
        savings.extend(self.with(false, usual, played));
        savings.extend(self.black(usual, played));
        savings
    }

    /// The last stage with these fingers while the shape goes on.
    fn last(&self) -> usize {
        let fingers = &self.fingered[self.at].fingers;
        let same = |&i: &usize| self.spots[i].stage.goes_on && self.fingered[i].fingers == *fingers;
        (self.at + 1..self.spots.len()).take_while(same).last().unwrap_or(self.at)
    }

    /// The note at a place of the grip.
    fn note(&self, place: usize) -> Option<Pitch> {
        self.shape_note(|spot, i| spot.played & (1 << i) != 0 && spot.in_grip(i as u8) == place)
    }

    fn shape_note(&self, which: impl Fn(&Spot, usize) -> bool) -> Option<Pitch> {
        let spot = &self.spots[self.at];
        let notes = &self.part.bars[spot.bar].chords[spot.slot].hand(self.hand.hand).notes;
        notes.iter().enumerate().find(|(i, _)| which(spot, *i)).map(|(_, note)| note.pitch)
    }

    fn span(&self, usual: &Fingers, played: &Fingers) -> Option<Saving> {
        let keys = self.spots[self.at].stage.grip.keys();
        let cannot = |fingers: &Fingers| self.hand.impossible(keys, fingers);
        let saved = cannot(usual) - cannot(played);
        let pairs = (0..keys.len()).flat_map(|i| (i + 1..keys.len()).map(move |j| (i, j)));
        let pair =
            |&(i, j): &(usize, usize)| self.hand.impossible(&[keys[i], keys[j]], &[usual[i], usual[j]]) > 0;
        let (low, high) = pairs.into_iter().find(pair)?;
        let why = FingerReason::Span { low: self.note(low)?, high: self.note(high)? };
        Some((saved * self.hand.costs.beyond_possible, why))
    }

    fn room(&self, usual: &Fingers, played: &Fingers) -> Option<Saving> {
        let spot = &self.spots[self.at];
        let missed = |fingers: &Fingers| self.hand.impossible(spot.stage.grip.keys(), fingers);
        if missed(usual) > missed(played)
            || self.hand.ways(&spot.stage.grip).iter().any(|way| way.fingers == *usual)
        {
            return None;
        }
        let note = self.shape_note(|spot, i| spot.played & (1 << i) == 0)?;
        Some((i32::MAX, FingerReason::Room { note }))
    }

    fn for_neighbours(&self, usual: &Fingers, played: &Fingers) -> Option<Saving> {
        let range = self.at..=self.last();
        let cost = |fingers: &Fingers, i: usize| neighbours(self.hand, &self.spots[i].stage, fingers).1;
        let saved = |i: usize| cost(usual, i) - cost(played, i);
        let all: i32 = range.clone().map(saved).sum();
        let at = range.clone().find(|&i| saved(i) > 0)?;
        let stage = &self.spots[at].stage;
        let joins = |fingers: &Fingers, i: usize| {
            let (note, finger) = (stage.neighbours[i], neighbours(self.hand, stage, fingers).0[i]);
            self.hand.joins(&stage.grip, fingers, note, finger)
        };
        let freed = (0..stage.neighbours.len()).find(|&i| joins(played, i) && !joins(usual, i));
        let is_neighbour = |i: &&usize| self.part.events[**i].role == Role::Passing;
        let strike = self.spots[at].strikes.iter().filter(is_neighbour).nth(freed.unwrap_or(0))?;
        let (note, finger) = (self.part.events[*strike].pitch, self.part.events[*strike].finger);
        let why = match freed {
            Some(_) => FingerReason::Neighbour { note, finger },
            None => FingerReason::NeighbourNearer { note, finger },
        };
        Some((all, why))
    }

    /// Keys that the shape before or after has too, and its outer fingers.
    fn with(&self, before: bool, usual: &Fingers, played: &Fingers) -> Vec<Saving> {
        let here = if before { self.at } else { self.last() };
        let other =
            if before { here.checked_sub(1) } else { Some(here + 1).filter(|&i| i < self.spots.len()) };
        let Some(other) = other else { return Vec::new() };
        let stage = |i: usize| &self.spots[i].stage;
        let theirs = &self.fingered[other].fingers;
        let (change, order): (Change<'_>, [&Fingers; 2]) = match before {
            true => (Change::new(stage(other), stage(here)), [theirs, played]),
            false => (Change::new(stage(here), stage(other)), [played, theirs]),
        };
        let instead: [&Fingers; 2] = if before { [theirs, usual] } else { [usual, theirs] };
        let kept =
            change.kept(self.hand, instead[0], instead[1]) - change.kept(self.hand, order[0], order[1]);
        let outer =
            change.outer(self.hand, instead[0], instead[1]) - change.outer(self.hand, order[0], order[1]);
        let stays = self.stays(other, theirs, usual, played);
        let stays = stays.map(|(note, finger)| (kept, FingerReason::Stays { note, finger, before }));
        stays.into_iter().chain([(outer, FingerReason::Outer { before })]).collect()
    }

    /// A key that has its finger in both shapes, and would not in the usual form.
    fn stays(
        &self,
        other: usize,
        theirs: &Fingers,
        usual: &Fingers,
        played: &Fingers,
    ) -> Option<(Pitch, Finger)> {
        let (keys, others) = (self.spots[self.at].stage.grip.keys(), self.spots[other].stage.grip.keys());
        let stays = |i: usize| {
            let there = others.iter().position(|&key| key == keys[i])?;
            (theirs[there] == played[i] && played[i] != usual[i]).then_some(i)
        };
        let place = (0..keys.len()).find_map(stays)?;
        Some((self.note(place)?, Finger::new(played[place])?))
    }

    fn black(&self, usual: &Fingers, played: &Fingers) -> Option<Saving> {
        let keys = self.spots[self.at].stage.grip.keys();
        let cost = |fingers: &Fingers, i: usize| self.hand.on_black(keys[i], fingers[i]);
        let saved: i32 = (0..keys.len()).map(|i| cost(usual, i) - cost(played, i)).sum();
        let place = (0..keys.len()).find(|&i| cost(usual, i) > cost(played, i))?;
        let why = FingerReason::Black { note: self.note(place)?, finger: Finger::new(usual[place])? };
        Some((saved, why))
    }
}
