//! What speaks most against a way to hold a chord: the point of the table of costs in which it loses most.

use crate::movement::MoveWeights;
use crate::pair::pair_costs;
use crate::planner::{Planner, Voiced};
use crate::section_plan::Tour;
use crate::{Claim, Costs, movement};
use theory::{Chord, Hand, Member, MidiKey};

/// From here on a cost says that something cannot be.
pub(crate) const IMPOSSIBLE: i32 = 500_000;

/// Where a way to hold a chord falls short of the one that is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Fault {
    /// The hand would move further from the chord before, or to the chord after.
    Moves {
        /// From the chord before; else to the one after.
        from_before: bool,
        /// Semitones of all voices.
        semitones: u32,
        /// Semitones that are played.
        played: u32,
    },
    /// The top line would leap.
    TopLeaps {
        /// From the chord before; else to the one after.
        from_before: bool,
        /// Semitones.
        semitones: u32,
    },
    /// It lies further from where the hand is at home: the middle of the right hand from G4, the lowest note of the left
    /// from C3 (from G#2 under a shape wider than a fifth).
    FarFromHome {
        /// Semitones.
        semitones: u32,
        /// Semitones of what is played.
        played: u32,
    },
    /// Low notes too close together to sound clear.
    Muddy,
    /// Two of its notes grate, a semitone apart.
    Grates,
    /// It has the leading tone twice.
    DoublesLeadingTone,
    /// It has a major third twice.
    DoublesThird,
    /// The chord would have no third or suspension.
    NoThird,
    /// The chord would miss a seventh, ninth or the like.
    NoColour,
    /// It lies a semitone from the left hand's note.
    RubsWithBass,
    /// It has more of what the other hand holds.
    HeldByOther,
    /// The hands would be on one another.
    HandsTooClose,
    /// The hands would be too far apart.
    HandsTooFar,
    /// A suspended note would not resolve to the third in the same voice.
    Unresolved,
    /// It lies where the singer sings.
    InSingersWay,
    /// Nothing speaks against it but that the song, or its level, asks for another shape.
    NotAsked,
    /// What costs more comes later in the song.
    Elsewhere,
}

/// A place of the song with what is played around it.
pub(crate) struct Scene<'a> {
    pub hand: Hand,
    chord: &'a Chord,
    played: Voiced,
    before: Option<Voiced>,
    after: Option<Voiced>,
}

impl<'a> Scene<'a> {
    pub fn of(tour: &Tour, chosen: &[Voiced], visit: usize, (chord, hand): (&'a Chord, Hand)) -> Scene<'a> {
        let at = |visit: Option<usize>| visit.and_then(|v| tour.visits.get(v)).map(|v| chosen[v.2]);
        Scene {
            hand,
            chord,
            played: chosen[tour.visits[visit].2],
            before: at(visit.checked_sub(1)),
            after: at(Some(visit + 1)),
        }
    }

    /// The lowest key that the right hand plays here, or one beyond all keys.
    pub fn other_low(&self, planner: &Planner<'_>) -> Option<u8> {
        planner.shape(self.played, Hand::Right).1.low().or(Some(u8::MAX))
    }

    /// What a candidate costs with the best of the other hand, between the shapes around.
    pub fn local_cost(&self, planner: &Planner<'_>, open: usize, number: usize) -> i32 {
        let pair = &planner.pairs[open];
        let (rights, lefts) = (planner.sets[pair.right].len(), planner.sets[pair.left].len());
        let others = if self.hand == Hand::Right { lefts } else { rights };
        let voiced = |other: usize| match self.hand {
            Hand::Right => Voiced { pair: open, right: number, left: other },
            Hand::Left => Voiced { pair: open, right: other, left: number },
        };
        let cost = |v: Voiced| {
            let own = pair.cost[v.left * rights + v.right];
            own + self.moves(planner, v, Hand::Right, planner.costs())
                + self.moves(planner, v, Hand::Left, planner.costs())
        };
        (0..others).map(|other| cost(voiced(other))).min().unwrap_or(IMPOSSIBLE)
    }

    /// What the movement of a hand costs, from the chord before and to the one after.
    fn moves(&self, planner: &Planner<'_>, here: Voiced, hand: Hand, costs: &Costs) -> i32 {
        [true, false].into_iter().map(|before| self.move_of(planner, here, hand, before, costs)).sum()
    }

    fn move_of(&self, planner: &Planner<'_>, here: Voiced, hand: Hand, before: bool, costs: &Costs) -> i32 {
        let weights = match hand {
            Hand::Right => MoveWeights::right(costs),
            Hand::Left => MoveWeights::left(costs),
        };
        let Some(other) = (if before { self.before } else { self.after }) else { return 0 };
        let (here, other) = (planner.place_in_set(here, hand), planner.place_in_set(other, hand));
        if before { weights.between(other, here) } else { weights.between(here, other) }
    }

    /// What a pair of shapes costs with a table of costs of one's own.
    fn pair(&self, planner: &Planner<'_>, voiced: Voiced, costs: &Costs) -> i32 {
        let [right, left] = Hand::BOTH.map(|hand| {
            let (set, shape) = planner.shape(voiced, hand);
            crate::candidate::CandidateSet::new(set.palette.clone(), vec![*shape])
        });
        pair_costs(self.chord, &right, &left, costs, planner.voice()).first().copied().unwrap_or(0)
    }

    fn semitones(&self, planner: &Planner<'_>, here: Voiced, before: bool) -> Option<u32> {
        let other = if before { self.before } else { self.after }?;
        let [here, other] = [here, other].map(|v| keys(planner.shape(v, self.hand).1.keys()));
        Some(movement(&here, &other))
    }

    fn top_leap(&self, planner: &Planner<'_>, here: Voiced, before: bool) -> Option<u32> {
        let other = if before { self.before } else { self.after }?;
        let top = |v: Voiced| planner.shape(v, self.hand).1.high();
        Some(u32::from(top(here)?.abs_diff(top(other)?)))
    }

    fn far_from_home(&self, planner: &Planner<'_>, here: Voiced) -> u32 {
        let shape = planner.shape(here, self.hand).1;
        let (low, high) = (i32::from(shape.low().unwrap_or(0)), i32::from(shape.high().unwrap_or(0)));
        match self.hand {
            Hand::Right => ((low + high) / 2 - crate::cost::RIGHT_CENTRE).unsigned_abs(),
            Hand::Left => (low - crate::cost::left_centre(shape.span())).unsigned_abs(),
        }
    }
}

fn keys(numbers: &[u8]) -> Vec<MidiKey> {
    numbers.iter().filter_map(|&key| MidiKey::new(key)).collect()
}

/// Why a way to hold the chord lost against the one that is played.
pub(crate) fn why_not(planner: &Planner<'_>, scene: &Scene<'_>, here: Voiced) -> Claim {
    let (set, shape) = planner.shape(here, scene.hand);
    let lowest = shape.names().first().map_or(Member::ROOT, |&name| set.palette[usize::from(name)].member);
    let bare = shape.keys().iter().all(|key| key % 12 == shape.keys()[0] % 12);
    let inversion = if bare { None } else { Member::inversion(lowest) };
    let worst = faults(planner, scene, here).into_iter().max_by_key(|&(cost, _)| cost);
    let other_shape = scene.hand == Hand::Left && !planner.is_open_at(scene.played, scene.hand, shape.keys());
    let otherwise = if other_shape { Fault::NotAsked } else { Fault::Elsewhere };
    let fault = worst.filter(|&(cost, _)| cost > 0).map_or(otherwise, |(_, fault)| fault);
    Claim::Instead { lowest, inversion, fault }
}

/// Each point in which it could lose, with what it costs more than what is played.
fn faults(planner: &Planner<'_>, scene: &Scene<'_>, here: Voiced) -> Vec<(i32, Fault)> {
    let mut found = Vec::new();
    for from_before in [true, false] {
        let more = |costs: &Costs| {
            let cost = |v: Voiced| scene.move_of(planner, v, scene.hand, from_before, costs);
            cost(here) - cost(scene.played)
        };
        let table = planner.costs();
        let none = Costs::movement_only();
        let still = Costs { right_semitone: 0, left_semitone: 0, ..none };
        let moving = Costs {
            right_semitone: table.right_semitone,
            left_semitone: table.left_semitone,
            voice_moves: table.voice_moves,
            voice_enters: table.voice_enters,
            ..still.clone()
        };
        let semitones = scene.semitones(planner, here, from_before);
        let played = scene.semitones(planner, scene.played, from_before);
        if let Some((semitones, played)) = semitones.zip(played).filter(|(there, played)| there > played) {
            found.push((more(&moving), Fault::Moves { from_before, semitones, played }));
        }
        let leaping = Costs {
            top_leap_semitone: table.top_leap_semitone,
            top_leap_far: table.top_leap_far,
            ..still.clone()
        };
        if let Some(semitones) = scene.top_leap(planner, here, from_before) {
            found.push((more(&leaping), Fault::TopLeaps { from_before, semitones }));
        }
        found.push((more(&Costs { unresolved: table.unresolved, ..still }), Fault::Unresolved));
    }
    let (semitones, played) =
        (scene.far_from_home(planner, here), scene.far_from_home(planner, scene.played));
    let far = Fault::FarFromHome { semitones, played };
    for (costs, fault) in tables(planner.costs(), far) {
        let cost = |v: Voiced| scene.pair(planner, v, &costs);
        found.push((cost(here) - cost(scene.played), fault));
    }
    found
}

/// Tables with one point each.
fn tables(all: &Costs, far: Fault) -> Vec<(Costs, Fault)> {
    let none = || Costs { right_semitone: 0, left_semitone: 0, ..Costs::movement_only() };
    vec![
        (
            Costs {
                centre_semitone: all.centre_semitone,
                centre_far_square: all.centre_far_square,
                left_centre_semitone: all.left_centre_semitone,
                ..none()
            },
            far,
        ),
        (
            Costs { low_limit: all.low_limit, low_limit_semitone: all.low_limit_semitone, ..none() },
            Fault::Muddy,
        ),
        (Costs { semitone_inside: all.semitone_inside, ..none() }, Fault::Grates),
        (Costs { doubled_leading_tone: all.doubled_leading_tone, ..none() }, Fault::DoublesLeadingTone),
        (Costs { doubled_major_third: all.doubled_major_third, ..none() }, Fault::DoublesThird),
        (Costs { third_missing: all.third_missing, ..none() }, Fault::NoThird),
        (Costs { colour_missing: all.colour_missing, ..none() }, Fault::NoColour),
        (Costs { rubs_with_bass: all.rubs_with_bass, ..none() }, Fault::RubsWithBass),
        (Costs { held_by_left: all.held_by_left, ..none() }, Fault::HeldByOther),
        (
            Costs {
                hands_touch: all.hands_touch,
                hands_cross: all.hands_cross,
                lowered: all.lowered,
                ..none()
            },
            Fault::HandsTooClose,
        ),
        (Costs { gap_semitone: all.gap_semitone, ..none() }, Fault::HandsTooFar),
        (Costs { in_singers_way: all.in_singers_way, ..none() }, Fault::InSingersWay),
    ]
}
