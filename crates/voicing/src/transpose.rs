//! The key of the night: shapes move as they are, and only what leaves the keyboard or a low limit is chosen anew.

use crate::candidate::Candidate;
use crate::pair::below_limit;
use crate::planner::{Planner, Stop, Voiced};
use theory::{Chord, Hand};

/// A chord in the key of the night: each hand's shape moved, or open where it cannot be or would lie on the other's.
pub(crate) fn moved_stop(
    planner: &mut Planner<'_>,
    shift: i32,
    voiced: Voiced,
    chord: &Chord,
    pair: usize,
) -> Stop {
    let (right_set, left_set) = (planner.pairs[pair].right, planner.pairs[pair].left);
    let mut set_of = |hand: Hand, night_set: usize| {
        let shape = *planner.shape(voiced, hand).1;
        match moved(&shape, shift, planner.range()) {
            Some(moved) => planner.single(night_set, moved),
            None => night_set,
        }
    };
    let right = set_of(Hand::Right, right_set);
    let left = set_of(Hand::Left, left_set);
    let kept = planner.pair_of(chord, right, left);
    // Beside a hand that had to be chosen anew, the other's shape may leave no room: then both are open.
    let anew = right == right_set || left == left_set;
    Stop::Open(if anew && planner.hands_meet(kept) { pair } else { kept })
}

/// The shape so many semitones on; `None` if it leaves the keyboard, or a low limit that it kept.
fn moved(shape: &Candidate, shift: i32, range: (u8, u8)) -> Option<Candidate> {
    let there = shape.moved(shift, range)?;
    let breaks = |keys: &[u8]| keys.windows(2).filter(|pair| below_limit(pair[0], pair[1]) > 0).count();
    (breaks(there.keys()) <= breaks(shape.keys())).then_some(there)
}
