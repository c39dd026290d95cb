//! How fast a take was played, when nobody says.

use crate::lanes::Lanes;
use crate::offset::best_shift;
use crate::windows::windows;
use crate::{ChartTime, Expected, PlayedNote, Speed, Window};

/// So many notes from the beginning are tried at every whole percent.
const HEAD: usize = 160;
/// So many notes of the take are looked for in the whole part.
const SHORT_HEAD: usize = 96;
/// So many of the most promising speeds are then tried on the whole take.
const TRIED: usize = 4;
/// How often each is straightened.
const ROUNDS: usize = 4;

/// The speed under which most notes of a take match, then with the least spread; the take's notes are in its own time, as
/// [`PlayedNote`]s at full speed. Every whole percent is tried on the beginning; the best ones are straightened on the
/// whole take by the line through its pairs. A whole percent is preferred where it matches no less. Where the beginnings
/// do not belong together, the beginning of the take is looked for in all that is expected.
pub fn find_speed(expected: &Expected, take: &[PlayedNote], window: Window) -> Speed {
    let mut in_order = take.to_vec();
    in_order.sort_by_key(|n| n.at);
    let head = match expected.notes.get(HEAD) {
        Some(note) => expected.between(None, Some(note.at)),
        None => expected.clone(),
    };
    let beginning = |notes: usize| &in_order[..in_order.len().min(notes)];
    let mut tries = tries(&head, beginning(head.notes.len() + head.notes.len() / 4 + 8), window);
    let likely = tries.first().is_some_and(|t| 5 * t.matched >= 3 * beginning(head.notes.len()).len());
    if !likely {
        tries = self::tries(expected, beginning(SHORT_HEAD), window);
    }
    let best = tries.iter().take(TRIED).map(|t| straighten(expected, take, window, t.speed));
    let best = best.min_by_key(Trial::rank).unwrap_or_else(|| Trial::of(expected, take, window, Speed::FULL));
    let whole = Trial::of(expected, take, window, Speed::clamped(best.speed.percent().round()));
    if whole.matched >= best.matched { whole.speed } else { best.speed }
}

/// Every whole percent, the best first.
fn tries(expected: &Expected, take: &[PlayedNote], window: Window) -> Vec<Trial> {
    let mut tries: Vec<Trial> =
        (30..=130).map(|p| Trial::of(expected, take, window, Speed::clamped(f64::from(p)))).collect();
    tries.sort_by_key(Trial::rank);
    tries
}

/// Goes from a speed to the one that the pairs found at it suggest, as long as that is better.
fn straighten(expected: &Expected, take: &[PlayedNote], window: Window, speed: Speed) -> Trial {
    let mut best = Trial::of(expected, take, window, speed);
    for _ in 0..ROUNDS {
        let Some(speed) = best.suggests(expected, take) else { break };
        let next = Trial::of(expected, take, window, speed);
        if next.rank() >= best.rank() {
            break;
        }
        best = next;
    }
    best
}

struct Trial {
    speed: Speed,
    matched: usize,
    /// The spread as played, in whole microseconds.
    spread: i64,
    mates: Vec<Option<usize>>,
}

impl Trial {
    fn of(expected: &Expected, take: &[PlayedNote], window: Window, speed: Speed) -> Trial {
        let chart = |t: ChartTime| ChartTime::from_ms(speed.shrink_ms(t.ms()));
        let played: Vec<PlayedNote> = take.iter().map(|n| PlayedNote { at: chart(n.at), ..*n }).collect();
        let lanes = Lanes::new(expected, &windows(expected, window, speed), &played);
        let mates = lanes.pair(best_shift(&lanes));
        let pairs =
            mates.iter().enumerate().filter_map(|(e, m)| m.map(|p| played[p].at - expected.notes[e].at));
        let errors = crate::errors::Errors::of(pairs);
        let spread = speed.stretch_ms(errors.spread().unwrap_or(0.0)) * 1000.0;
        let matched = mates.iter().flatten().count();
        Trial { speed, matched, spread: spread.round() as i64, mates }
    }

    fn rank(&self) -> (std::cmp::Reverse<usize>, i64) {
        (std::cmp::Reverse(self.matched), self.spread)
    }

    /// The slope of the line through the pairs: chart time over the take's own.
    fn suggests(&self, expected: &Expected, take: &[PlayedNote]) -> Option<Speed> {
        let pairs = || {
            let pairs = self.mates.iter().enumerate();
            pairs.filter_map(|(e, m)| m.map(|p| (take[p].at.ms(), expected.notes[e].at.ms())))
        };
        let n = pairs().count() as f64;
        let (x, y) = pairs().fold((0.0, 0.0), |sum, p| (sum.0 + p.0 / n, sum.1 + p.1 / n));
        let across: f64 = pairs().map(|p| (p.0 - x) * (p.1 - y)).sum();
        let along: f64 = pairs().map(|p| (p.0 - x).powi(2)).sum();
        (along > 0.0).then(|| Speed::clamped(across / along * 100.0))
    }
}
