//! All simulated learners: how long they need as the coach says, from the top, and bar by bar; and whether forecasts were
//! kept. What was tuned was tuned on the first twenty seeds; the figures are those of the other forty.
#![allow(clippy::print_stdout)] // A bench that prints a table.

#[path = "../tests/learner.rs"]
mod learner;
#[path = "../tests/simulate.rs"]
mod simulate;

use learner::{Model, SEEDS};
use simulate::{calibration, figures};

fn main() {
    for model in [Model::Limit, Model::Power, Model::Wall] {
        let f = figures(model, &SEEDS[20..]);
        let [coached, top, each] = f.minutes;
        println!(
            "{model:?}: coached {coached:.0} min, from the top {top:.0} ({:.2}), each bar {each:.0} ({:.2}); later than \
             from the top {:.0} %, there within forty days {:.0} %",
            coached / top,
            coached / each,
            100.0 * f.worse,
            100.0 * f.reached
        );
        for (from, to) in [(0.0, 0.5), (0.5, 0.75), (0.75, 0.85), (0.85, 0.95), (0.95, 1.01)] {
            let (n, forecast, clean) = calibration(&f.forecasts, from, to);
            println!("  forecast {from:.2} to {to:.2}: {n} bars, {forecast:.3} forecast, {clean:.3} clean");
        }
    }
}
