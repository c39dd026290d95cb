//! Pairs of expected and played notes: as many as possible, then with the least total error, then the earliest.
//!
//! Only notes of one key can be a pair, so every key is a problem of its own (a lane). Within a lane the notes fall apart
//! into groups that share no possible pair. In a group whose windows are in order (always so when all windows are equal)
//! some best pairing has no crossing, since uncrossing keeps every pair possible and adds no error: a dynamic programme
//! over both orders is exact. Any other group is solved as an assignment, by shortest augmenting paths.

use std::ops::{Add, Range, Sub};

/// An expected note of a lane: its time and how far a played one may be, in microseconds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Target {
    pub at: i64,
    pub window: i64,
}

/// The best pairing of a lane: for every target the index of the played note it goes with. Both are in order of time.
pub(crate) fn pair(targets: &[Target], played: &[i64]) -> Vec<Option<usize>> {
    let mut mates = vec![None; targets.len()];
    let reach = reach(targets, played);
    let mut order: Vec<usize> = (0..targets.len()).filter(|&t| !reach[t].is_empty()).collect();
    order.sort_by_key(|&t| (reach[t].start, t));
    let mut rest = order.as_slice();
    while let Some(&first) = rest.first() {
        let mut end = reach[first].end;
        let mut size = 1;
        while size < rest.len() && reach[rest[size]].start < end {
            end = end.max(reach[rest[size]].end);
            size += 1;
        }
        let (group, others) = rest.split_at(size);
        Group { targets, played, reach: &reach, group }.solve(&mut mates);
        rest = others;
    }
    mates
}

/// Which played notes each target can go with: always neighbours in time.
fn reach(targets: &[Target], played: &[i64]) -> Vec<Range<usize>> {
    let range = |t: &Target| {
        let start = played.partition_point(|&p| p < t.at.saturating_sub(t.window));
        let length = played[start..].partition_point(|&p| p <= t.at.saturating_add(t.window));
        start..start + length
    };
    targets.iter().map(range).collect()
}

/// What a pairing costs: compared from the first field to the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
struct Cost {
    /// Less one for every pair.
    pairs: i64,
    /// Sum of the errors.
    error: i128,
    /// Sum of the times: the earlier of two equal pairings has less.
    time: i128,
}

impl Cost {
    fn of(target: Target, played: i64) -> Cost {
        let (at, played) = (i128::from(target.at), i128::from(played));
        Cost { pairs: -1, error: (played - at).abs(), time: played + at }
    }
}

impl Add for Cost {
    type Output = Cost;
    fn add(self, o: Cost) -> Cost {
        Cost { pairs: self.pairs + o.pairs, error: self.error + o.error, time: self.time + o.time }
    }
}

impl Sub for Cost {
    type Output = Cost;
    fn sub(self, o: Cost) -> Cost {
        Cost { pairs: self.pairs - o.pairs, error: self.error - o.error, time: self.time - o.time }
    }
}

/// Targets that share possible pairs.
struct Group<'a> {
    targets: &'a [Target],
    played: &'a [i64],
    reach: &'a [Range<usize>],
    group: &'a [usize],
}

impl Group<'_> {
    fn solve(&self, mates: &mut [Option<usize>]) {
        let in_order = |w: &[usize]| w[0] < w[1] && self.reach[w[0]].end <= self.reach[w[1]].end;
        if let [only] = self.group {
            let cost = |&p: &usize| Cost::of(self.targets[*only], self.played[p]);
            mates[*only] = self.reach[*only].clone().min_by_key(cost);
        } else if self.group.windows(2).all(in_order) {
            self.solve_in_order(mates);
        } else {
            self.solve_crossing(mates);
        }
    }

    /// `best[i][j]`: the cheapest pairing of the first `i` targets with the first `j` played notes. Only `j` in reach of
    /// target `i` are kept: before them the row above holds, after them the row's last.
    fn solve_in_order(&self, mates: &mut [Option<usize>]) {
        let mut moves: Vec<Vec<Move>> = Vec::with_capacity(self.group.len());
        let mut above = Row { start: self.reach[self.group[0]].start, best: vec![Cost::default()] };
        for &target in self.group {
            let (row, taken) = self.row(target, &above);
            moves.push(taken);
            above = row;
        }
        let mut j = self.reach[self.group[self.group.len() - 1]].end;
        for (&target, moves) in self.group.iter().zip(&moves).rev() {
            let reach = &self.reach[target];
            j = j.min(reach.end);
            while j > reach.start && moves[j - reach.start] == Move::SkipPlayed {
                j -= 1;
            }
            if j > reach.start && moves[j - reach.start] == Move::Pair {
                j -= 1;
                mates[target] = Some(j);
            }
        }
    }

    fn row(&self, target: usize, above: &Row) -> (Row, Vec<Move>) {
        let reach = &self.reach[target];
        let mut best = vec![above.at(reach.start)];
        let mut moves = vec![Move::SkipTarget];
        for j in reach.start + 1..=reach.end {
            let pair = above.at(j - 1) + Cost::of(self.targets[target], self.played[j - 1]);
            let choices = [
                (pair, Move::Pair),
                (above.at(j), Move::SkipTarget),
                (best[best.len() - 1], Move::SkipPlayed),
            ];
            let (cost, taken) = choices.into_iter().min_by_key(|c| c.0).expect("there are three choices");
            best.push(cost);
            moves.push(taken);
        }
        (Row { start: reach.start, best }, moves)
    }

    /// Takes in one target after another. The new one either stays alone or pushes along an alternating path, whose end is
    /// a played note that was free or a target that is given up; the cheapest path keeps the pairing the best.
    fn solve_crossing(&self, mates: &mut [Option<usize>]) {
        let mut owner: std::collections::HashMap<usize, usize> = std::collections::HashMap::new();
        for &new in self.group {
            let mut path = self.cheapest_path(new, mates, &owner);
            let mut end = path.end;
            if let PathEnd::GiveUp(target) = end {
                if target == new {
                    continue;
                }
                let (from, played) = path.from.remove(&target).expect("a target given up was reached");
                mates[target] = None;
                end = PathEnd::Free(from, played);
            }
            let PathEnd::Free(mut target, mut played) = end else { continue };
            loop {
                mates[target] = Some(played);
                owner.insert(played, target);
                match path.from.get(&target) {
                    Some(&(from, freed)) => (target, played) = (from, freed),
                    None => break,
                }
            }
        }
    }

    fn cheapest_path(
        &self,
        new: usize,
        mates: &[Option<usize>],
        owner: &std::collections::HashMap<usize, usize>,
    ) -> Path {
        let mut cost = std::collections::HashMap::from([(new, Cost::default())]);
        let mut from = std::collections::HashMap::new();
        let mut best = (Cost::default(), PathEnd::GiveUp(new));
        let mut queue = std::collections::VecDeque::from([new]);
        while let Some(target) = queue.pop_front() {
            let so_far = cost[&target];
            best = best.min((so_far, PathEnd::GiveUp(target)));
            for played in self.reach[target].clone().filter(|&p| mates[target] != Some(p)) {
                let step = so_far + Cost::of(self.targets[target], self.played[played]);
                let Some(&holder) = owner.get(&played) else {
                    best = best.min((step, PathEnd::Free(target, played)));
                    continue;
                };
                let step = step - Cost::of(self.targets[holder], self.played[played]);
                if cost.get(&holder).is_none_or(|known| step < *known) {
                    cost.insert(holder, step);
                    from.insert(holder, (target, played));
                    queue.push_back(holder);
                }
            }
        }
        Path { end: best.1, from }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Move {
    Pair,
    SkipTarget,
    SkipPlayed,
}

struct Row {
    start: usize,
    best: Vec<Cost>,
}

impl Row {
    fn at(&self, j: usize) -> Cost {
        self.best[(j - self.start).min(self.best.len() - 1)]
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum PathEnd {
    /// Ends with this target taking this free played note.
    Free(usize, usize),
    /// Ends with this target going without.
    GiveUp(usize),
}

struct Path {
    end: PathEnd,
    /// How a target that was paired was reached: from which target, which takes which played note from it.
    from: std::collections::HashMap<usize, (usize, usize)>,
}

#[cfg(test)]
#[path = "matching_tests.rs"]
mod tests;
