//! A graph of chords with all its costs worked out as tables of small whole numbers.

use crate::graph::{Edge, Graph, Node};
use crate::movement::MoveWeights;
use crate::path::Ground;
use std::collections::HashMap;
use std::rc::Rc;

/// A pair of shapes costs at most so much more than the best one: beyond any saving elsewhere, and small enough to add up.
pub(crate) const NEVER: i32 = 200_000_000;

/// The open pairs of shapes of one node: by left candidate, then by right.
pub(crate) struct Spot {
    pub rights: usize,
    pub lefts: usize,
    /// Where the open candidates begin in their sets.
    first: (usize, usize),
    /// What each pair costs more than the best one, for all times it is played.
    pub own: Vec<i32>,
    /// The links that touch it, and whether it is their first end.
    pub links: Vec<(usize, bool)>,
}

/// A square of costs: `cells[from * to_len + to]`.
#[derive(Debug)]
pub(crate) struct Table {
    pub to: usize,
    pub cells: Vec<i32>,
}

/// Two nodes that follow one another somewhere; all their joins together.
pub(crate) struct Link {
    pub ends: (usize, usize),
    /// Movement of the right hand from the first end to the second, and the same the other way round.
    pub right: [Rc<Table>; 2],
    /// Of the left hand.
    pub left: [Rc<Table>; 2],
}

pub(crate) struct Network {
    pub spots: Vec<Spot>,
    pub links: Vec<Link>,
    /// What every choice costs.
    pub base: i64,
}

impl Spot {
    pub fn len(&self) -> usize {
        self.rights * self.lefts
    }

    /// The candidates of a pair.
    pub fn candidates(&self, pair: usize) -> (usize, usize) {
        (self.first.0 + pair % self.rights, self.first.1 + pair / self.rights)
    }
}

impl Table {
    fn turned(&self) -> Table {
        let from = self.cells.len() / self.to.max(1);
        let cells = (0..self.to).flat_map(|to| (0..from).map(move |f| f * self.to + to));
        Table { to: from, cells: cells.map(|at| self.cells[at]).collect() }
    }

    fn plus(&self, other: &Table) -> Table {
        let cells = self.cells.iter().zip(&other.cells).map(|(a, b)| a + b).collect();
        Table { to: self.to, cells }
    }
}

impl Network {
    pub fn new(graph: &Graph, ground: &Ground<'_>) -> Network {
        let mut base = 0;
        let mut spots: Vec<Spot> = graph.nodes.iter().map(|node| spot(node, ground, &mut base)).collect();
        let mut links: Vec<Link> = Vec::with_capacity(graph.edges.len());
        let mut between: HashMap<(usize, usize), usize> = HashMap::new();
        let mut tables = Tables { graph, ground, known: HashMap::new() };
        for edge in &graph.edges {
            let ends = (edge.from.min(edge.to), edge.from.max(edge.to));
            let [right, left] = tables.of(edge);
            match between.get(&ends) {
                Some(&known) => links[known].add(right, left),
                None => {
                    between.insert(ends, links.len());
                    spots[ends.0].links.push((links.len(), true));
                    spots[ends.1].links.push((links.len(), false));
                    links.push(Link { ends, right, left });
                }
            }
        }
        Network { spots, links, base }
    }

    /// What a choice of a pair for every spot costs.
    pub fn cost(&self, pairs: &[usize]) -> i64 {
        let own: i64 = self.spots.iter().zip(pairs).map(|(spot, &pair)| i64::from(spot.own[pair])).sum();
        let moved = self.links.iter().map(|link| {
            let (a, b) = link.ends;
            i64::from(self.moved(link, (pairs[a], pairs[b])))
        });
        self.base + own + moved.sum::<i64>()
    }

    /// What the movement between two pairs costs.
    pub fn moved(&self, link: &Link, pairs: (usize, usize)) -> i32 {
        let (a, b) = (&self.spots[link.ends.0], &self.spots[link.ends.1]);
        let right = (pairs.0 % a.rights) * b.rights + pairs.1 % b.rights;
        let left = (pairs.0 / a.rights) * b.lefts + pairs.1 / b.rights;
        link.right[0].cells[right] + link.left[0].cells[left]
    }

    /// About how many steps it takes to carry costs over all links once.
    pub fn work(&self) -> u64 {
        let of = |link: &Link| {
            let (a, b) = (&self.spots[link.ends.0], &self.spots[link.ends.1]);
            (a.lefts * b.rights * (a.rights + b.lefts)) as u64
        };
        self.links.iter().map(of).sum::<u64>().max(1)
    }
}

impl Link {
    fn add(&mut self, right: [Rc<Table>; 2], left: [Rc<Table>; 2]) {
        for (mine, more) in self.right.iter_mut().zip(right).chain(self.left.iter_mut().zip(left)) {
            *mine = Rc::new(mine.plus(&more));
        }
    }
}

fn spot(node: &Node, ground: &Ground<'_>, base: &mut i64) -> Spot {
    let table = &ground.pairs[node.step.pair];
    let width = ground.sets[table.right].len();
    let (rights, lefts) = (node.step.rights.clone(), node.step.lefts.clone());
    let open = || lefts.clone().flat_map(|l| table.cost[l * width..][rights.clone()].iter().copied());
    let least = open().min().unwrap_or(0);
    *base += i64::from(least) * i64::from(node.times);
    let own = open().map(|cost| (cost - least).min(NEVER / node.times) * node.times).collect();
    let first = (rights.start, lefts.start);
    Spot { rights: rights.len(), lefts: lefts.len(), first, own, links: Vec::new() }
}

/// What decides about a table: the sets, their open stretches, how often, which way round.
type TableKey = ([usize; 2], [usize; 4], i32, bool, bool);

/// Tables of movement, each made once.
struct Tables<'a> {
    graph: &'a Graph,
    ground: &'a Ground<'a>,
    known: HashMap<TableKey, [Rc<Table>; 2]>,
}

impl Tables<'_> {
    /// Of the right hand and of the left, each from the lower node to the higher and back.
    fn of(&mut self, edge: &Edge) -> [[Rc<Table>; 2]; 2] {
        [true, false].map(|right| self.hand(edge, right))
    }

    fn hand(&mut self, edge: &Edge, right: bool) -> [Rc<Table>; 2] {
        let (from, to) = (&self.graph.nodes[edge.from], &self.graph.nodes[edge.to]);
        let set = |node: &Node| {
            let pair = &self.ground.pairs[node.step.pair];
            if right { pair.right } else { pair.left }
        };
        let open = |node: &Node| if right { node.step.rights.clone() } else { node.step.lefts.clone() };
        let (a, b) = (open(from), open(to));
        let up = edge.from < edge.to;
        let key = ([set(from), set(to)], [a.start, a.end, b.start, b.end], edge.times, up, right);
        let weights = if right { &self.ground.right } else { &self.ground.left };
        let sets = self.ground.sets;
        let make = || {
            let there = moved(weights, (&sets[key.0[0]], a), (&sets[key.0[1]], b), edge.times);
            let back = there.turned();
            if up { [Rc::new(there), Rc::new(back)] } else { [Rc::new(back), Rc::new(there)] }
        };
        self.known.entry(key).or_insert_with(make).clone()
    }
}

type Open<'a> = (&'a crate::candidate::CandidateSet, std::ops::Range<usize>);

fn moved(weights: &MoveWeights, from: Open<'_>, to: Open<'_>, times: i32) -> Table {
    let whole = weights.matrix(from.0, to.0);
    let rows = from.1.map(|row| &whole[row * to.0.len()..][to.1.clone()]);
    Table { to: to.1.len(), cells: rows.flat_map(|row| row.iter().map(|cost| cost * times)).collect() }
}
