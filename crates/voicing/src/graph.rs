//! The song as a graph: a chord that comes back is one node, and every join that is played is an edge, also the one from
//! the end of a pass to its beginning. The cost of a choice is what the whole song costs as it is played.

use crate::network::Network;
use crate::path::{Ground, Step, cheapest_path};
use crate::search::Search;
use std::collections::HashMap;

/// A chord with its open candidates, and how often it is played.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub step: Step,
    pub times: i32,
}

/// A chord follows another, so many times.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Edge {
    pub from: usize,
    pub to: usize,
    pub times: i32,
}

/// All chords of a song, numbered as they first come.
#[derive(Clone, Debug, Default)]
pub(crate) struct Graph {
    pub nodes: Vec<Node>,
    pub edges: Vec<Edge>,
}

/// A choice for every node.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Solved {
    /// Right and left candidate.
    pub chosen: Vec<(usize, usize)>,
    /// What it costs.
    pub cost: i64,
    /// No choice costs less than `cost - gap`; 0 if this one is proven best.
    pub gap: i64,
}

/// More plays than this count as this many, so that numbers stay small.
const MOST_TIMES: i32 = 400;

impl Graph {
    /// The graph of nodes in the order in which they are played.
    pub fn of(steps: Vec<Step>, played: impl Iterator<Item = usize>) -> Graph {
        let mut nodes: Vec<Node> = steps.into_iter().map(|step| Node { step, times: 0 }).collect();
        let mut edges: Vec<Edge> = Vec::with_capacity(nodes.len());
        let mut numbers: HashMap<(usize, usize), usize> = HashMap::new();
        let mut before = None;
        for at in played {
            nodes[at].times = (nodes[at].times + 1).min(MOST_TIMES);
            // A chord that follows itself does not move.
            if let Some(from) = before.filter(|&from| from != at) {
                let number = *numbers.entry((from, at)).or_insert_with(|| {
                    edges.push(Edge { from, to: at, times: 0 });
                    edges.len() - 1
                });
                edges[number].times = (edges[number].times + 1).min(MOST_TIMES);
            }
            before = Some(at);
        }
        Graph { nodes, edges }
    }

    /// The cheapest choice: exact along a song that never comes back, else proven where it can be within a fixed amount of
    /// work, and otherwise with the gap that is left.
    pub fn solve(&self, ground: &Ground<'_>) -> Solved {
        if self.is_plain_path() {
            let steps: Vec<Step> = self.nodes.iter().map(|node| node.step.clone()).collect();
            let (chosen, cost) = cheapest_path(ground, &steps);
            return Solved { chosen, cost, gap: 0 };
        }
        Search::new(&Network::new(self, ground)).run()
    }

    fn is_plain_path(&self) -> bool {
        let follows = |(at, edge): (usize, &Edge)| (edge.from, edge.to, edge.times) == (at, at + 1, 1);
        self.nodes.iter().all(|node| node.times == 1)
            && self.edges.len() + 1 == self.nodes.len().max(1)
            && self.edges.iter().enumerate().all(follows)
    }
}
