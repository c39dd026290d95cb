//! How far one hand moves from shape to shape.

use crate::Costs;
use crate::candidate::{Candidate, CandidateSet, MOST_NOTES};
use theory::Member;

/// What a move costs one hand.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MoveWeights {
    semitone: i32,
    moves: i32,
    enters: i32,
    top_leap: i32,
    top_leap_far: i32,
    unresolved: i32,
}

/// A leap of the highest voice starts beyond a major third.
const STEP_OF_TOP: i32 = 4;
/// Beyond a fifth it is a far one.
const FIFTH: i32 = 7;

impl MoveWeights {
    pub fn right(costs: &Costs) -> Self {
        Self {
            semitone: costs.right_semitone,
            moves: costs.voice_moves,
            enters: costs.voice_enters,
            top_leap: costs.top_leap_semitone,
            top_leap_far: costs.top_leap_far,
            unresolved: costs.unresolved,
        }
    }

    /// The left hand's top line is not listened to as a melody.
    pub fn left(costs: &Costs) -> Self {
        Self {
            semitone: costs.left_semitone,
            moves: 0,
            enters: 0,
            top_leap: 0,
            top_leap_far: 0,
            unresolved: 0,
        }
    }

    fn voice(&self, distance: i32) -> i32 {
        self.semitone * distance + if distance == 0 { 0 } else { self.moves }
    }

    fn top(&self, distance: i32) -> i32 {
        self.top_leap * (distance - STEP_OF_TOP).max(0) + self.top_leap_far * i32::from(distance > FIFTH)
    }

    /// The cost from one shape of a set to one of another. Nothing where a hand is empty.
    pub fn between(&self, from: (&CandidateSet, usize), to: (&CandidateSet, usize)) -> i32 {
        let (a, b) = (&from.0.candidates[from.1], &to.0.candidates[to.1]);
        self.moving(a, b) + self.resolution(from.0, to.0).map_or(0, |resolution| resolution.cost(a, b))
    }

    fn moving(&self, from: &Candidate, to: &Candidate) -> i32 {
        let (a, b) = (from.keys(), to.keys());
        let (Some(&top), Some(&next_top)) = (a.last(), b.last()) else { return 0 };
        let top = self.top((i32::from(top) - i32::from(next_top)).abs());
        if a.len() == b.len() {
            let moved = a.iter().zip(b).map(|(&x, &y)| self.voice((i32::from(x) - i32::from(y)).abs()));
            return top + moved.sum::<i32>();
        }
        let entering = a.len().abs_diff(b.len()) as i32 * self.enters;
        top + entering + least_pairing(a, b, |distance| self.voice(distance))
    }

    /// The costs from every candidate of one set (rows) to every one of the other.
    pub fn matrix(&self, from: &CandidateSet, to: &CandidateSet) -> Vec<i32> {
        let mut matrix = vec![0; from.len() * to.len()];
        match (from.uniform, to.uniform) {
            (Some(a), Some(b)) if a == b => self.fill_uniform(usize::from(a), from, to, &mut matrix),
            _ => {
                for (row, a) in matrix.chunks_exact_mut(to.len().max(1)).zip(&from.candidates) {
                    for (cell, b) in row.iter_mut().zip(&to.candidates) {
                        *cell = self.moving(a, b);
                    }
                }
            }
        }
        if let Some(resolution) = self.resolution(from, to) {
            let pairs = from.candidates.iter().flat_map(|a| to.candidates.iter().map(move |b| (a, b)));
            matrix.iter_mut().zip(pairs).for_each(|(cell, (a, b))| *cell += resolution.cost(a, b));
        }
        matrix
    }

    /// Voice by voice over whole rows, which the compiler turns into vector instructions.
    fn fill_uniform(&self, voices: usize, from: &CandidateSet, to: &CandidateSet, matrix: &mut [i32]) {
        for voice in 0..voices {
            let last = voice + 1 == voices;
            let (leap, far) = if last { (self.top_leap, self.top_leap_far) } else { (0, 0) };
            let targets = to.voice(voice);
            for (row, &key) in matrix.chunks_exact_mut(to.len().max(1)).zip(from.voice(voice)) {
                for (cell, &target) in row.iter_mut().zip(targets) {
                    let distance = (key - target).abs();
                    *cell += self.semitone * distance
                        + self.moves * distance.min(1)
                        + leap * (distance - STEP_OF_TOP).max(0)
                        + far * i32::from(distance > FIFTH);
                }
            }
        }
    }
}

/// A suspension in one set of shapes and its resolution in the next.
struct Resolution {
    /// The suspended note and the third of the same root, as pitch classes.
    suspended: u8,
    third: u8,
    /// Whether it goes down (a fourth) or up (a second).
    down: bool,
    cost: i32,
}

impl MoveWeights {
    /// `None` unless a chord with its third follows the same root's suspension.
    fn resolution(&self, from: &CandidateSet, to: &CandidateSet) -> Option<Resolution> {
        let class = |set: &CandidateSet, member: Member| {
            set.palette.iter().find(|i| i.member == member).map(|i| i.name.pitch_class())
        };
        if self.unresolved == 0 || class(from, Member::THIRD).is_some() {
            return None;
        }
        let third = class(to, Member::THIRD)?;
        let same_root = class(from, Member::ROOT)? == class(to, Member::ROOT)?;
        let fourth = class(from, Member::FOURTH);
        let suspended = fourth.or(class(from, Member::SECOND)).filter(|_| same_root)?;
        Some(Resolution { suspended, third, down: fourth.is_some(), cost: self.unresolved })
    }
}

impl Resolution {
    fn cost(&self, from: &Candidate, to: &Candidate) -> i32 {
        let Some(held) = from.keys().iter().find(|&key| key % 12 == self.suspended) else { return 0 };
        let step = |key: u8| if self.down { held.wrapping_sub(key) } else { key.wrapping_sub(*held) };
        let resolves = to.keys().iter().any(|&key| key % 12 == self.third && matches!(step(key), 1 | 2));
        if resolves { 0 } else { self.cost }
    }
}

/// How many semitones a hand moves in all: the voices go one to one from the lowest up; between shapes of different size
/// the voices of the smaller one go to those of the larger that are nearest in all.
///
/// ```
/// use theory::MidiKey;
/// let keys = |numbers: &[u8]| numbers.iter().map(|&n| MidiKey::new(n).unwrap()).collect::<Vec<_>>();
/// // C E G to C F A: the thumb stays, the others go a semitone and a tone.
/// assert_eq!(voicing::movement(&keys(&[60, 64, 67]), &keys(&[60, 65, 69])), 3);
/// ```
pub fn movement(from: &[theory::MidiKey], to: &[theory::MidiKey]) -> u32 {
    let numbers = |keys: &[theory::MidiKey]| keys.iter().map(|k| k.number()).collect::<Vec<_>>();
    least_pairing(&numbers(from), &numbers(to), |distance| distance) as u32
}

/// The least sum over all ways to pair the voices of the smaller shape with voices of the larger in ascending order.
pub(crate) fn least_pairing(a: &[u8], b: &[u8], cost: impl Fn(i32) -> i32) -> i32 {
    let (few, many) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    // best[j]: the voices of `few` so far, paired with the first j of `many`.
    if many.len() <= MOST_NOTES {
        return pair(few, many, cost, &mut [0; MOST_NOTES + 1][..=many.len()]);
    }
    pair(few, many, cost, &mut vec![0; many.len() + 1])
}

fn pair(few: &[u8], many: &[u8], cost: impl Fn(i32) -> i32, best: &mut [i32]) -> i32 {
    const NEVER: i32 = i32::MAX / 2;
    for &voice in few {
        let mut left_of = best[0];
        best[0] = NEVER;
        for (j, &other) in many.iter().enumerate() {
            let paired = left_of + cost((i32::from(voice) - i32::from(other)).abs());
            left_of = best[j + 1];
            best[j + 1] = paired.min(best[j]);
        }
    }
    best[many.len()]
}
