//! A distribution of a player's limit over a grid of speeds, for one kind of player.

use super::player::Kind;

/// Points of the grid.
const POINTS: usize = 72;
/// The slowest and the fastest limit that is thought of, as logarithms of shares of the chart's tempo.
const LOWEST: f64 = -1.8;
const HIGHEST: f64 = 0.6;
/// How often anything goes wrong.
const SLIP: f64 = 0.01;

/// How likely each limit is.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Grid(Vec<f64>);

impl Grid {
    /// A normal curve of the limit's logarithm.
    pub fn around(mean: f64, deviation: f64) -> Grid {
        let mut grid = Grid((0..POINTS).map(|n| normal(limit(n) - mean, deviation)).collect());
        grid.normalise();
        grid
    }

    /// The chance of a clean pass at a speed, given as its logarithm.
    pub fn chance(&self, kind: &Kind, speed: f64) -> f64 {
        self.0.iter().enumerate().map(|(n, weight)| weight * chance(kind, limit(n), speed)).sum()
    }

    /// That chance for each limit, with how likely that limit is.
    pub fn chances<'a>(&'a self, kind: &'a Kind, speed: f64) -> impl Iterator<Item = (f64, f64)> + 'a {
        self.0.iter().enumerate().map(move |(n, weight)| (chance(kind, limit(n), speed), *weight))
    }

    /// Weighs each limit by how likely a pass was.
    pub fn weigh(&mut self, kind: &Kind, speed: f64, clean: bool) {
        for (n, weight) in self.0.iter_mut().enumerate() {
            let chance = chance(kind, limit(n), speed);
            *weight *= if clean { chance } else { 1.0 - chance };
        }
        self.normalise();
    }

    /// Mean and deviation of the limit's logarithm.
    pub fn limit(&self) -> (f64, f64) {
        let mean: f64 = self.0.iter().enumerate().map(|(n, w)| w * limit(n)).sum();
        let variance: f64 = self.0.iter().enumerate().map(|(n, w)| w * (limit(n) - mean).powi(2)).sum();
        (mean, variance.sqrt())
    }

    /// Moves the distribution and widens it.
    pub fn move_by(&mut self, by: f64, deviation: f64) {
        let step = (HIGHEST - LOWEST) / (POINTS - 1) as f64;
        // Less than a step wide, a normal curve between grid points would vanish.
        let deviation = deviation.max(0.4 * step);
        let reach = ((4.0 * deviation + by.abs()) / step).ceil() as i64;
        // What leads beyond the grid ends at its end, however far: years away are no more work than days.
        let furthest = reach.min(POINTS as i64 - 1);
        let mut kernel = vec![0.0; 2 * furthest as usize + 1];
        for k in -reach..=reach {
            kernel[(k.clamp(-furthest, furthest) + furthest) as usize] +=
                normal(k as f64 * step - by, deviation);
        }
        let mut moved = vec![0.0; POINTS];
        for (n, weight) in self.0.iter().enumerate() {
            for (k, share) in (-furthest..=furthest).zip(&kernel) {
                let to = (n as i64 + k).clamp(0, POINTS as i64 - 1) as usize;
                moved[to] += weight * share;
            }
        }
        self.0 = moved;
        self.normalise();
    }

    fn normalise(&mut self) {
        let sum: f64 = self.0.iter().sum();
        self.0.iter_mut().for_each(|w| *w /= sum);
    }
}

fn limit(point: usize) -> f64 {
    LOWEST + (HIGHEST - LOWEST) * point as f64 / (POINTS - 1) as f64
}

fn chance(kind: &Kind, limit: f64, speed: f64) -> f64 {
    (1.0 - SLIP) / (1.0 + (-kind.steepness * (limit - speed)).exp())
}

/// A normal curve, not scaled.
fn normal(from_mean: f64, deviation: f64) -> f64 {
    (-0.5 * (from_mean / deviation).powi(2)).exp()
}
