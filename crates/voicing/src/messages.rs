//! Messages along the links of a network: what the best choice beyond a link costs, for each pair of shapes at its end.

use crate::network::{Link, Network, Table};

/// Two messages for each link: to its second end, and to its first.
#[derive(Clone)]
pub(crate) struct Messages {
    along: Vec<[Vec<i32>; 2]>,
}

/// What one round found.
pub(crate) struct Round {
    /// No choice costs less (above the network's base).
    pub bound: i64,
    /// A choice: at each node the best that goes with those before it.
    pub chosen: Vec<usize>,
    /// What each pair of the last node costs at least above the bound.
    pub last: Vec<i32>,
}

impl Messages {
    pub fn new(network: &Network) -> Messages {
        let along = network.links.iter().map(|link| {
            let silent = |node: usize| vec![0; network.spots[node].len()];
            [silent(link.ends.1), silent(link.ends.0)]
        });
        Messages { along: along.collect() }
    }

    /// Visits the nodes in an order, each telling those that come later. The bound holds whatever the messages were.
    pub fn round(&mut self, network: &Network, own: &[Vec<i32>], order: &[usize]) -> Round {
        let mut place = vec![0; order.len()];
        order.iter().enumerate().for_each(|(at, &node)| place[node] = at);
        let mut round = Round { bound: 0, chosen: vec![0; order.len()], last: Vec::new() };
        let mut half = Vec::new();
        for &node in order {
            let spot = &network.spots[node];
            let later =
                |&(link, first): &(usize, bool)| place[other_end(&network.links[link], first)] > place[node];
            round.chosen[node] = self.choice(network, &own[node], node, &round.chosen, &later);
            let mut cost = own[node].clone();
            for &(link, first) in &spot.links {
                add(&mut cost, &self.along[link][usize::from(first)]);
            }
            round.bound += i64::from(take_least(&mut cost));
            let ahead = spot.links.iter().filter(|link| later(link)).count();
            let share = ahead.max(spot.links.len() - ahead).max(1) as i32;
            for &(link, first) in spot.links.iter().filter(|link| later(link)) {
                let back = &self.along[link][usize::from(first)];
                let told: Vec<i32> = cost.iter().zip(back).map(|(cost, back)| cost / share - back).collect();
                let tables = &network.links[link];
                let way = usize::from(!first);
                let mut message = std::mem::take(&mut self.along[link][way]);
                carry(&told, (&tables.right[way], &tables.left[way]), spot.rights, &mut half, &mut message);
                round.bound += i64::from(take_least(&mut message));
                self.along[link][way] = message;
            }
            round.last = cost;
        }
        round
    }

    /// The pair that costs least with what is chosen before and what is told from behind.
    fn choice(
        &self,
        network: &Network,
        own: &[i32],
        node: usize,
        chosen: &[usize],
        later: &impl Fn(&(usize, bool)) -> bool,
    ) -> usize {
        let spot = &network.spots[node];
        let mut cost = own.to_vec();
        for end in &spot.links {
            let &(link, first) = end;
            if later(end) {
                add(&mut cost, &self.along[link][usize::from(first)]);
                continue;
            }
            let tables = &network.links[link];
            let there = chosen[other_end(tables, first)];
            let from = network.spots[other_end(tables, first)].rights;
            let way = usize::from(first);
            let right = row(&tables.right[way], there % from);
            let left = row(&tables.left[way], there / from);
            for (line, left) in cost.chunks_exact_mut(spot.rights).zip(left) {
                line.iter_mut().zip(right).for_each(|(cell, right)| *cell += right + left);
            }
        }
        (0..cost.len()).min_by_key(|&pair| cost[pair]).unwrap_or(0)
    }

    /// The nodes in an order that ends with `last`, those far from it first.
    pub fn towards(&self, network: &Network, last: usize) -> Vec<usize> {
        let mut order = vec![last];
        let mut seen = vec![false; network.spots.len()];
        seen[last] = true;
        let mut at = 0;
        while let Some(&node) = order.get(at) {
            for &(link, first) in &network.spots[node].links {
                let other = other_end(&network.links[link], first);
                if !std::mem::replace(&mut seen[other], true) {
                    order.push(other);
                }
            }
            at += 1;
        }
        order.extend((0..seen.len()).filter(|&node| !seen[node]));
        order.reverse();
        order
    }
}

fn other_end(link: &Link, first: bool) -> usize {
    if first { link.ends.1 } else { link.ends.0 }
}

fn row(table: &Table, from: usize) -> &[i32] {
    &table.cells[from * table.to..(from + 1) * table.to]
}

fn add(cost: &mut [i32], more: &[i32]) {
    cost.iter_mut().zip(more).for_each(|(cell, more)| *cell += more);
}

fn take_least(cost: &mut [i32]) -> i32 {
    let least = cost.iter().copied().min().unwrap_or(0);
    cost.iter_mut().for_each(|cell| *cell -= least);
    least
}

/// `out[l'][r'] = min over l, r of told[l][r] + right[r][r'] + left[l][l']`, one hand after the other.
fn carry(told: &[i32], tables: (&Table, &Table), rights: usize, half: &mut Vec<i32>, out: &mut [i32]) {
    let (right, left) = tables;
    let width = right.to;
    half.clear();
    half.resize(told.len() / rights * width, i32::MAX);
    for (line, block) in half.chunks_exact_mut(width).zip(told.chunks_exact(rights)) {
        for (&cost, row) in block.iter().zip(right.cells.chunks_exact(width)) {
            line.iter_mut().zip(row).for_each(|(cell, moved)| *cell = (*cell).min(cost + moved));
        }
    }
    out.fill(i32::MAX);
    for (line, row) in half.chunks_exact(width).zip(left.cells.chunks_exact(left.to)) {
        for (out, moved) in out.chunks_exact_mut(width).zip(row) {
            out.iter_mut().zip(line).for_each(|(cell, cost)| *cell = (*cell).min(cost + moved));
        }
    }
}
