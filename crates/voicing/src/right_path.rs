//! The right hand alone: the cheapest way through chords within a range of keys.

use crate::candidate::{CandidateSet, Room, Wish};
use crate::candidate_right::right_candidates;
use crate::movement::MoveWeights;
use crate::pair::{PairTable, pair_costs};
use crate::path::{Ground, Step, cheapest_path};
use crate::{Costs, KeyRange, Reach};
use song::Hold;
use theory::{Chord, MidiKey};

/// The right hand's cheapest way through chords, with the left hand silent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RightPath {
    /// The keys at each chord, from the lowest up.
    pub shapes: Vec<Vec<MidiKey>>,
    /// What it costs.
    pub cost: i64,
}

/// The cheapest way of one hand through chords with `notes` keys each, on the keys of `range`. If `start` is a shape of
/// the first chord, the way starts there.
///
/// ```
/// use voicing::{Costs, KeyRange, Reach, right_path};
/// let key = "C major".parse().unwrap();
/// let chords = ["1", "5", "6", "4"].map(|c| theory::Chord::in_key(c.parse().unwrap(), key));
/// let range = KeyRange::new(theory::MidiKey::new(55).unwrap(), theory::MidiKey::new(79).unwrap()).unwrap();
/// let path = right_path(&chords, 3, range, Reach::OCTAVE, &Costs::movement_only(), None);
/// assert_eq!(path.cost, 9);
/// ```
pub fn right_path(
    chords: &[Chord],
    notes: u8,
    range: KeyRange,
    reach: Reach,
    costs: &Costs,
    start: Option<&[MidiKey]>,
) -> RightPath {
    let range = (range.low().number(), range.high().number());
    let mut sets = vec![CandidateSet::new(Vec::new(), vec![Default::default()])];
    let mut pairs = Vec::with_capacity(chords.len());
    for chord in chords {
        sets.push(right_candidates(
            chord,
            Wish::notes(&Hold::Notes(notes)),
            Room { reach: reach.semitones(), range },
        ));
        let cost = pair_costs(chord, &sets[sets.len() - 1], &sets[0], costs, None);
        pairs.push(PairTable { right: sets.len() - 1, left: 0, cost });
    }
    let mut steps: Vec<Step> =
        (0..pairs.len()).map(|pair| Step { pair, rights: 0..sets[pair + 1].len(), lefts: 0..1 }).collect();
    if let (Some(first), Some(start)) = (steps.first_mut(), start) {
        let wanted = |keys: &[u8]| keys.iter().copied().eq(start.iter().map(|k| k.number()));
        if let Some(place) = sets[1].candidates.iter().position(|c| wanted(c.keys())) {
            first.rights = place..place + 1;
        }
    }
    let (right, left) = (MoveWeights::right(costs), MoveWeights::left(costs));
    let (chosen, cost) = cheapest_path(&Ground { sets: &sets, pairs: &pairs, right, left }, &steps);
    let shapes = chosen.iter().enumerate().map(|(i, &(right, _))| {
        sets[i + 1].candidates[right].keys().iter().filter_map(|&key| MidiKey::new(key)).collect()
    });
    RightPath { shapes: shapes.collect(), cost }
}
