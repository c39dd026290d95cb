//! The cheapest choice in a graph with cycles, with proof.
//!
//! Costs are carried along the links, forwards and back, as messages; on a tree that alone is exact. Where ways come
//! together a node's cost is shared out among the chains through it (sequential tree-reweighted message passing:
//! Kolmogorov 2006, IEEE Transactions on Pattern Analysis and Machine Intelligence 28), which gives a lower bound for every
//! choice. Pairs of shapes that cannot be part of a better choice than the best one found are struck out; what is left
//! open at the nodes where sections join is then tried out one by one. All numbers are whole, so a bound that reaches the
//! cost is a proof.

use crate::graph::Solved;
use crate::messages::Messages;
use crate::network::{NEVER, Network};

/// About how many steps a search may take: some ten milliseconds.
const MOST_WORK: u64 = 24_000_000;
/// Carrying costs on stops when so many rounds in a row gain nothing.
const IDLE_ROUNDS: u32 = 3;

pub(crate) struct Search<'a> {
    network: &'a Network,
    messages: Messages,
    /// The costs of pairs, with what is struck out.
    own: Vec<Vec<i32>>,
    best: Vec<usize>,
    cost: i64,
    /// Rounds that may still be made.
    rounds: u64,
}

impl<'a> Search<'a> {
    pub fn new(network: &'a Network) -> Self {
        let own: Vec<Vec<i32>> = network.spots.iter().map(|spot| spot.own.clone()).collect();
        Self {
            network,
            messages: Messages::new(network),
            own,
            best: vec![0; network.spots.len()],
            cost: i64::MAX,
            rounds: (MOST_WORK / network.work()).max(4),
        }
    }

    pub fn run(mut self) -> Solved {
        let bound = self.improve();
        debug_assert!(
            bound <= self.cost,
            "nothing is struck out yet, so a bound above a cost that is there is wrong"
        );
        let bound = if bound < self.cost { self.branch(bound) } else { bound };
        let gap = (self.cost - bound).max(0);
        let places = self.network.spots.iter().zip(&self.best);
        Solved { chosen: places.map(|(spot, &pair)| spot.candidates(pair)).collect(), cost: self.cost, gap }
    }

    /// Carries costs to and fro until bound and best choice meet or nothing is gained any more. The lower bound.
    fn improve(&mut self) -> i64 {
        let forwards: Vec<usize> = (0..self.network.spots.len()).collect();
        let backwards: Vec<usize> = forwards.iter().rev().copied().collect();
        let (mut bound, mut idle) = (i64::MIN, 0);
        while idle < IDLE_ROUNDS && self.rounds > 0 && bound < self.cost {
            let mut reached = i64::MIN;
            for order in [&forwards, &backwards] {
                reached = reached.max(self.round(order).0);
            }
            idle = if reached > bound { 0 } else { idle + 1 };
            bound = bound.max(reached);
        }
        bound
    }

    /// One round in an order: the bound, and of the last node what each of its pairs costs above it.
    fn round(&mut self, order: &[usize]) -> (i64, Vec<i32>) {
        self.rounds = self.rounds.saturating_sub(1);
        let round = self.messages.round(self.network, &self.own, order);
        let cost = self.network.cost(&round.chosen);
        if cost < self.cost {
            self.cost = cost;
            self.best = round.chosen;
        }
        (self.network.base + round.bound, round.last)
    }

    /// Strikes out what it can, then tries out what is left open at the node with the least choice. A lower bound for the
    /// whole.
    fn branch(&mut self, bound: i64) -> i64 {
        let narrowest = self.narrowest();
        let bound = bound.max(self.improve());
        let Some((node, open)) = narrowest.filter(|_| bound < self.cost && self.rounds > 0) else {
            return bound;
        };
        let mut lowest = i64::MAX;
        for (at, &(above, pair)) in open.iter().enumerate() {
            if above >= self.cost {
                break;
            }
            if self.rounds == 0 {
                // In order of their bounds, so this one's is the least of those left.
                lowest = lowest.min(open[at].0);
                break;
            }
            let (own, messages) = (self.own.clone(), self.messages.clone());
            for (other, cost) in self.own[node].iter_mut().enumerate() {
                *cost = if other == pair { *cost } else { NEVER };
            }
            let reached = self.improve().max(above);
            lowest = lowest.min(if reached < self.cost { self.branch(reached) } else { reached });
            (self.own, self.messages) = (own, messages);
        }
        lowest.min(self.cost).max(bound)
    }

    /// Strikes out what is proven no better, and finds the node with the fewest pairs left, more than one, the cheapest
    /// first with their bounds.
    fn narrowest(&mut self) -> Option<(usize, Vec<(i64, usize)>)> {
        let mut best: Option<(usize, Vec<(i64, usize)>)> = None;
        for node in self.junctions() {
            if self.rounds == 0 {
                break;
            }
            let order = self.messages.towards(self.network, node);
            let (bound, above) = self.round(&order);
            let mut open = Vec::new();
            for (pair, &above) in above.iter().enumerate() {
                let least = bound + i64::from(above);
                if least >= self.cost {
                    self.own[node][pair] = NEVER;
                } else {
                    open.push((least, pair));
                }
            }
            open.sort_unstable();
            if open.len() > 1 && best.as_ref().is_none_or(|(_, fewest)| open.len() < fewest.len()) {
                best = Some((node, open));
            }
        }
        best
    }

    /// The nodes where more than two ways meet, the busiest first; any, if there are none (a single ring).
    fn junctions(&self) -> Vec<usize> {
        let ways = |node: &usize| self.network.spots[*node].links.len();
        let undecided = |node: &usize| self.own[*node].iter().filter(|&&cost| cost < NEVER).count() > 1;
        let mut nodes: Vec<usize> =
            (0..self.network.spots.len()).filter(|n| ways(n) > 2 && undecided(n)).collect();
        nodes.sort_by_key(|n| std::cmp::Reverse(ways(n)));
        if nodes.is_empty() {
            nodes.extend((0..self.network.spots.len()).find(undecided));
        }
        nodes
    }
}
