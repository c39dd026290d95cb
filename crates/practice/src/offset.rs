//! The constant shift of a take whose clock is not known.
//!
//! Of all shifts, the one under which most notes match, then with the least spread of the errors. How many match only
//! changes at shifts where some pair becomes possible or impossible. Between two such shifts the number of expected notes
//! that have any played note in reach bounds the matches from above, so that only promising stretches are matched in full.
//! If the take fits best where it lies, it is left there; otherwise it is moved so that the mean error is nought, for the
//! lead or lag of a take whose clock is unknown cannot be known either.

use crate::lanes::Lanes;

/// How much work (notes matched, all trials together) is spent at most. A song of a thousand notes stays far below.
const WORK: usize = 4_000_000;
/// Into how many bins the range of possible shifts is divided at most.
const BINS: i64 = 1 << 20;

/// The best shift in microseconds; 0 if nothing can match.
pub(crate) fn best_shift(lanes: &Lanes) -> i64 {
    let mut search = Search { lanes, best: Candidate::at(lanes, 0), work: 0, least: 0 };
    let bins = Bins::of(lanes);
    for (bound, start) in bins.by_bound() {
        if bound < search.best.matched || search.work > WORK {
            break;
        }
        search.stretch(start, start.saturating_add(bins.width));
    }
    search.best.shift
}

/// The best shift up to so many microseconds on either side of one, with the matches under it. Shifts under which fewer
/// than `least` match are of no interest.
pub(crate) fn best_shift_around(lanes: &Lanes, centre: i64, reach: i64, least: usize) -> (i64, usize) {
    let mut search = Search { lanes, best: Candidate::at(lanes, centre), work: 0, least };
    search.stretch(centre.saturating_sub(reach), centre.saturating_add(reach).saturating_add(1));
    (search.best.shift, search.best.matched)
}

/// A shift that was tried. Candidates are ordered: the better one is the greater.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    shift: i64,
    matched: usize,
    /// The squared spread times the squared number of matches: exact, and comparable between equal numbers.
    spread: u128,
    /// How far the mean error lies from nought.
    off_centre: u64,
}

impl Candidate {
    fn at(lanes: &Lanes, shift: i64) -> Candidate {
        let differences = lanes.differences(shift);
        let n = differences.len() as i128;
        let base = differences.first().copied().unwrap_or(0);
        let rest = |d: &i64| i128::from(*d) - i128::from(base);
        let sum: i128 = differences.iter().map(rest).sum();
        let squares: i128 =
            differences.iter().map(|d| rest(d).saturating_mul(rest(d))).fold(0, i128::saturating_add);
        let spread = n.saturating_mul(squares).saturating_sub(sum.saturating_mul(sum)).max(0) as u128;
        let mean = if n == 0 { 0 } else { base.saturating_add((sum as f64 / n as f64).round() as i64) };
        Candidate { shift, matched: differences.len(), spread, off_centre: mean.abs_diff(shift) }
    }

    /// The shift that would bring the mean error to nought.
    fn mean(&self, lanes: &Lanes) -> i64 {
        let differences = lanes.differences(self.shift);
        let sum: i128 = differences.iter().map(|&d| i128::from(d)).sum();
        (sum as f64 / differences.len().max(1) as f64).round() as i64
    }

    fn beats(&self, other: &Candidate) -> bool {
        let rank = |c: &Candidate| {
            let moved = c.shift != 0;
            (
                std::cmp::Reverse(c.matched),
                c.spread,
                moved,
                if moved { c.off_centre } else { 0 },
                c.shift.abs(),
            )
        };
        rank(self) < rank(other)
    }
}

struct Search<'a> {
    lanes: &'a Lanes,
    best: Candidate,
    work: usize,
    /// Shifts under which fewer match are of no interest.
    least: usize,
}

impl Search<'_> {
    /// Tries the shifts from `start` up to, and without, `end`.
    fn stretch(&mut self, start: i64, end: i64) {
        let mut pieces = pieces(self.lanes, start, end);
        pieces.sort_by_key(|p| std::cmp::Reverse(p.bound));
        for piece in pieces {
            if piece.bound < self.best.matched.max(self.least) || self.work > WORK {
                break;
            }
            let middle = self.attempt(piece.start + (piece.last - piece.start) / 2);
            if middle.matched == self.best.matched {
                let mean = middle.mean(self.lanes);
                self.attempt(mean.clamp(piece.start, piece.last));
            }
        }
    }

    fn attempt(&mut self, shift: i64) -> Candidate {
        let candidate = Candidate::at(self.lanes, shift);
        self.work += self.lanes.expected + 1;
        if candidate.beats(&self.best) {
            self.best = candidate;
        }
        candidate
    }
}

/// Shifts, both ends included, under which the same pairs are possible, with a bound on how many match.
#[derive(Clone, Copy, Debug)]
struct Piece {
    start: i64,
    last: i64,
    bound: usize,
}

/// The pieces of a stretch of shifts.
fn pieces(lanes: &Lanes, start: i64, end: i64) -> Vec<Piece> {
    let mut turns = turns(lanes, start, end);
    turns.sort_unstable();
    let mut reached: std::collections::HashMap<(usize, usize), u32> = std::collections::HashMap::new();
    let mut bound = 0;
    let mut pieces = Vec::new();
    let mut from = start;
    for turn in turns {
        if turn.at > from {
            pieces.push(Piece { start: from, last: turn.at - 1, bound });
            from = turn.at;
        }
        let count = reached.entry(turn.target).or_default();
        if turn.closes {
            *count -= 1;
            bound -= usize::from(*count == 0);
        } else {
            bound += usize::from(*count == 0);
            *count += 1;
        }
    }
    if from < end {
        pieces.push(Piece { start: from, last: end - 1, bound });
    }
    pieces
}

/// A shift from which on a pair is possible, or no longer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Turn {
    at: i64,
    /// Opening turns come first, so that a count never falls below nought.
    closes: bool,
    target: (usize, usize),
}

fn turns(lanes: &Lanes, start: i64, end: i64) -> Vec<Turn> {
    let mut turns = Vec::new();
    for (l, lane) in lanes.lanes.iter().enumerate() {
        for (t, target) in lane.targets.iter().enumerate() {
            let first = target.at.saturating_add(start).saturating_sub(target.window);
            let beyond = target.at.saturating_add(end).saturating_add(target.window);
            let from = lane.played.partition_point(|&p| p < first);
            for &played in lane.played[from..].iter().take_while(|&&p| p < beyond) {
                let difference = played.saturating_sub(target.at);
                let opens = difference.saturating_sub(target.window).max(start);
                let closes = difference.saturating_add(target.window).saturating_add(1);
                turns.push(Turn { at: opens, closes: false, target: (l, t) });
                if closes < end {
                    turns.push(Turn { at: closes, closes: true, target: (l, t) });
                }
            }
        }
    }
    turns
}

/// How many pairs lie how far apart, in bins at least as wide as the widest window.
struct Bins {
    low: i64,
    width: i64,
    counts: Vec<usize>,
    /// No shift can match more than this.
    most: usize,
}

impl Bins {
    fn of(lanes: &Lanes) -> Bins {
        let ends = |l: &crate::lanes::Lane| {
            let (first, last) = (l.played.first()?, l.played.last()?);
            let at = |t: &crate::matching::Target| t.at;
            Some((
                first.saturating_sub(l.targets.last().map(at)?),
                last.saturating_sub(l.targets.first().map(at)?),
            ))
        };
        let ranges: Vec<(i64, i64)> = lanes.lanes.iter().filter_map(ends).collect();
        let window = lanes.lanes.iter().flat_map(|l| l.targets.iter().map(|t| t.window)).max().unwrap_or(0);
        let low = ranges.iter().map(|r| r.0).min().unwrap_or(0).saturating_sub(window);
        let high = ranges.iter().map(|r| r.1).max().unwrap_or(0).saturating_add(window);
        let range = high.saturating_sub(low).saturating_add(1);
        let width = (range / BINS + 1).max(window + 1);
        let most = lanes.lanes.iter().map(|l| l.targets.len().min(l.played.len())).sum();
        let mut bins = Bins { low, width, counts: vec![0; (range / width + 1) as usize], most };
        bins.fill(lanes);
        bins
    }

    fn fill(&mut self, lanes: &Lanes) {
        for lane in &lanes.lanes {
            for target in &lane.targets {
                for played in &lane.played {
                    let bin = (played.saturating_sub(target.at).saturating_sub(self.low)) / self.width;
                    self.counts[bin as usize] += 1;
                }
            }
        }
    }

    /// Starts of the bins with a bound on how many notes match under any shift in them, the most promising first, and of
    /// equal ones the nearest to nought.
    fn by_bound(&self) -> Vec<(usize, i64)> {
        let near = |bin: usize| {
            let around = bin.saturating_sub(1)..(bin + 2).min(self.counts.len());
            self.counts[around].iter().sum::<usize>().min(self.most)
        };
        let start = |bin: usize| self.low.saturating_add((bin as i64).saturating_mul(self.width));
        let mut bins: Vec<(usize, i64)> =
            (0..self.counts.len()).map(|bin| (near(bin), start(bin))).filter(|b| b.0 > 0).collect();
        bins.sort_by_key(|&(bound, start)| (std::cmp::Reverse(bound), start.unsigned_abs()));
        bins
    }
}
