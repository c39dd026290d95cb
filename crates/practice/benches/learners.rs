//! All simulated learners: how long they need as the coach says, from the top, and bar by bar; and whether forecasts are kept.
//!
//! What was tuned (the kinds of player, how forecasts are corrected) was tuned on the first twenty seeds of the three models;
//! the figures asked for are those of the other forty. Then come forecasts of learners whom nothing was tuned on: sixty more
//! seeds of the same row.
#![allow(clippy::print_stdout)] // A bench that prints a table.

#[path = "../tests/learner.rs"]
mod learner;
#[path = "../tests/simulate.rs"]
mod simulate;

use learner::{Model, SEEDS};
use simulate::{Way, calibration, figures, practise};

const MODELS: [Model; 3] = [Model::Limit, Model::Power, Model::Wall];

fn main() {
    for model in MODELS {
        let (f, forecasts) = figures(model, &SEEDS[20..]);
        let [coached, top, each] = f.minutes;
        println!(
            "{model:?}: coached {coached:.0} min, from the top {top:.0} ({:.2}), each bar {each:.0} ({:.2}); later than \
             from the top {:.0} %, there within forty days {:.0} %",
            coached / top,
            coached / each,
            100.0 * f.worse,
            100.0 * f.reached
        );
        reliability("seeds 21 to 60", &forecasts);
    }
    println!("\nForecasts only");
    for model in MODELS {
        for (name, seeds) in [("seeds 1 to 20, tuned on", SEEDS[..20].to_vec()), ("60 more", more_seeds(60))]
        {
            let forecasts = |seed| practise(model, seed, Way::Coached).forecasts;
            println!("{model:?}");
            reliability(name, &seeds.into_iter().flat_map(forecasts).collect::<Vec<_>>());
        }
    }
}

fn reliability(name: &str, forecasts: &[(f64, bool)]) {
    println!("  {name}");
    for (from, to) in
        [(0.0, 0.45), (0.45, 0.55), (0.55, 0.65), (0.65, 0.75), (0.75, 0.85), (0.85, 0.95), (0.95, 1.01)]
    {
        let (n, forecast, clean) = calibration(forecasts, from, to);
        println!("    called {from:.2} to {to:.2}: {n} bars, {forecast:.3} on the mean, {clean:.3} clean");
    }
}

/// So many seeds more, of the same row.
fn more_seeds(count: u64) -> Vec<u64> {
    (60..60 + count).map(|n| 1_000_003 * (n + 1) + 17).collect()
}
