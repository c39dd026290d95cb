//! The cheapest path through the candidates of both hands, found exactly.
//!
//! The cost of a path is the cost of each pair of shapes plus the movement of the right hand plus that of the left. No
//! term joins both hands across time, so the step from all pairs to all pairs is done one hand at a time, in
//! |L||R|² + |R||L|² instead of |L|²|R|². No candidate is dropped on the way.

use crate::candidate::CandidateSet;
use crate::movement::MoveWeights;
use crate::pair::PairTable;
use std::collections::HashMap;
use std::ops::Range;

/// A chord on the path, with the candidates that are open there: one where a shape is fixed.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    /// Number of its [`PairTable`].
    pub pair: usize,
    pub rights: Range<usize>,
    pub lefts: Range<usize>,
}

/// What the steps refer to.
pub(crate) struct Ground<'a> {
    pub sets: &'a [CandidateSet],
    pub pairs: &'a [PairTable],
    pub right: MoveWeights,
    pub left: MoveWeights,
}

/// The cheapest right and left candidate of each step, and what the path costs. Of equal paths always the same one.
pub(crate) fn cheapest_path(ground: &Ground<'_>, steps: &[Step]) -> (Vec<(usize, usize)>, i64) {
    let mut search = Search::new(ground, steps);
    search.forward();
    search.backward()
}

/// Tables of movement are kept up to this size in all (16 MB).
const MOST_CELLS: usize = 4 << 20;

/// The search keeps, for each step, the least cost of reaching each open pair.
struct Search<'a> {
    ground: &'a Ground<'a>,
    steps: &'a [Step],
    /// Reached costs of all steps, each a block by left, then by right, less the least of the block.
    reached: Vec<i32>,
    /// Where the block of each step starts.
    blocks: Vec<usize>,
    /// The sum of what was taken off the blocks, so that numbers stay small in the longest song.
    taken_off: i64,
    /// Movement of the right hand between two sets, by right before, then by right now.
    moves: HashMap<(usize, usize), Vec<i32>>,
    /// The size of all tables in `moves`.
    cells: usize,
    /// Scratch: costs with the right hand moved and the left not yet.
    half: Vec<i32>,
}

impl<'a> Search<'a> {
    fn new(ground: &'a Ground<'a>, steps: &'a [Step]) -> Self {
        let mut blocks = Vec::with_capacity(steps.len());
        let mut size = 0;
        for step in steps {
            blocks.push(size);
            size += step.rights.len() * step.lefts.len();
        }
        let (moves, half) = (HashMap::new(), Vec::new());
        Self { ground, steps, reached: vec![0; size], blocks, taken_off: 0, moves, cells: 0, half }
    }

    fn forward(&mut self) {
        for index in 0..self.steps.len() {
            if index > 0 {
                self.move_right(index);
                self.move_left(index);
            }
            self.add_pairs(index);
        }
    }

    /// `half[l][r'] = min over r of reached[l][r] + move(r, r')`.
    fn move_right(&mut self, index: usize) {
        let (before, now) = (&self.steps[index - 1], &self.steps[index]);
        let (from, to) = (self.right_set(before), self.right_set(now));
        if self.cells > MOST_CELLS {
            self.moves.clear();
            self.cells = 0;
        }
        let (sets, right, cells) = (self.ground.sets, self.ground.right, &mut self.cells);
        let moves = self.moves.entry((from, to)).or_insert_with(|| {
            *cells += sets[from].len() * sets[to].len();
            right.matrix(&sets[from], &sets[to])
        });
        let width = self.ground.sets[to].len();
        let rights = now.rights.len();
        self.half.clear();
        self.half.resize(before.lefts.len() * rights, i32::MAX);
        let reached = &self.reached[self.blocks[index - 1]..self.blocks[index]];
        for (l, block) in reached.chunks_exact(before.rights.len()).enumerate() {
            let out = &mut self.half[l * rights..(l + 1) * rights];
            for (r, &cost) in before.rights.clone().zip(block) {
                let row = &moves[r * width..(r + 1) * width][now.rights.clone()];
                for (cell, &moved) in out.iter_mut().zip(row) {
                    *cell = (*cell).min(cost + moved);
                }
            }
        }
    }

    /// `reached[l'][r'] = min over l of half[l][r'] + move(l, l')`.
    fn move_left(&mut self, index: usize) {
        let (before, now) = (&self.steps[index - 1], &self.steps[index]);
        let from = &self.ground.sets[self.left_set(before)];
        let to = &self.ground.sets[self.left_set(now)];
        let rights = now.rights.len();
        let start = self.blocks[index];
        let block = &mut self.reached[start..start + rights * now.lefts.len()];
        for (out, after) in block.chunks_exact_mut(rights).zip(now.lefts.clone()) {
            out.fill(i32::MAX);
            for (row, earlier) in self.half.chunks_exact(rights).zip(before.lefts.clone()) {
                let moved = self.ground.left.between((from, earlier), (to, after));
                for (cell, &cost) in out.iter_mut().zip(row) {
                    *cell = (*cell).min(cost + moved);
                }
            }
        }
    }

    fn add_pairs(&mut self, index: usize) {
        let step = &self.steps[index];
        let table = &self.ground.pairs[step.pair];
        let width = self.ground.sets[table.right].len();
        let rights = step.rights.len();
        let start = self.blocks[index];
        let block = &mut self.reached[start..start + rights * step.lefts.len()];
        for (out, l) in block.chunks_exact_mut(rights).zip(step.lefts.clone()) {
            let row = &table.cost[l * width..(l + 1) * width][step.rights.clone()];
            out.iter_mut().zip(row).for_each(|(cell, cost)| *cell += cost);
        }
        let least = block.iter().copied().min().unwrap_or(0);
        block.iter_mut().for_each(|cell| *cell -= least);
        self.taken_off += i64::from(least);
    }

    /// From the cheapest end back: the pair before is the one whose cost and movement explain the cost here.
    fn backward(&self) -> (Vec<(usize, usize)>, i64) {
        let mut chosen = vec![(0, 0); self.steps.len()];
        for index in (0..self.steps.len()).rev() {
            let step = &self.steps[index];
            let end = self.blocks[index] + step.rights.len() * step.lefts.len();
            let block = &self.reached[self.blocks[index]..end];
            let next = chosen.get(index + 1).map(|&pair| (&self.steps[index + 1], pair));
            let best = self.best_before(step, block, next);
            chosen[index] =
                (step.rights.start + best % step.rights.len(), step.lefts.start + best / step.rights.len());
        }
        (chosen, self.taken_off)
    }

    /// The place in a block from which going on to the chosen pair is cheapest.
    fn best_before(&self, step: &Step, block: &[i32], next: Option<(&Step, (usize, usize))>) -> usize {
        let Some((after, (right, left))) = next else { return least_at(block.iter().copied()) };
        let sets = self.ground.sets;
        let (right, left) = ((&sets[self.right_set(after)], right), (&sets[self.left_set(after)], left));
        let (rights_here, lefts_here) = (&sets[self.right_set(step)], &sets[self.left_set(step)]);
        let rights: Vec<i32> =
            step.rights.clone().map(|r| self.ground.right.between((rights_here, r), right)).collect();
        let lefts = step.lefts.clone().map(|l| self.ground.left.between((lefts_here, l), left));
        let moves = lefts.flat_map(|l| rights.iter().map(move |r| l + r));
        least_at(block.iter().zip(moves).map(|(cost, moved)| cost + moved))
    }

    fn right_set(&self, step: &Step) -> usize {
        self.ground.pairs[step.pair].right
    }

    fn left_set(&self, step: &Step) -> usize {
        self.ground.pairs[step.pair].left
    }
}

fn least_at(costs: impl Iterator<Item = i32>) -> usize {
    costs.enumerate().min_by_key(|&(_, cost)| cost).map_or(0, |(at, _)| at)
}
