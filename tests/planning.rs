//! `overhand plan --simulate`, with a learner on the other side.

use crate::program::overhand;
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Write};
use std::process::Stdio;

/// A learner whose bars go up to a speed each, five percent further after three clean passes.
struct Learner {
    limits: Vec<f64>,
    clean: Vec<u32>,
}

impl Learner {
    fn plays(&mut self, advice: &Value) -> Vec<bool> {
        let bar = |name: &str| usize::try_from(advice[name].as_u64().unwrap()).unwrap();
        let speed = advice["speed"].as_f64().unwrap();
        (bar("from")..=bar("to"))
            .map(|bar| {
                let clean = speed <= self.limits[bar];
                self.clean[bar] += u32::from(clean);
                self.limits[bar] += if clean && self.clean[bar].is_multiple_of(3) { 5.0 } else { 0.0 };
                clean
            })
            .collect()
    }
}

#[test]
fn a_learner_on_the_other_side_of_a_pipe_is_brought_to_the_tempo() {
    let mut plan =
        overhand().args(["plan", "--simulate"]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let (mut to, from) = (plan.stdin.take().unwrap(), BufReader::new(plan.stdout.take().unwrap()));
    let mut answers = from.lines().map(|line| serde_json::from_str::<Value>(&line.unwrap()).unwrap());
    let mut learner = Learner { limits: vec![110.0, 55.0, 75.0, 120.0, 90.0, 45.0], clean: vec![0; 6] };
    writeln!(to, "{}", json!({ "bars": 6 })).unwrap();
    let first = answers.next().unwrap();
    assert_eq!(first["why"], "survey");
    let begun = first["song"]["mean"].as_f64().unwrap();
    let (mut advice, mut passes) = (first, 0u32);
    let mut through = 0;
    while through < 3 && passes < 600 {
        through += u32::from(advice["why"] == "run-through" && learner.limits.iter().all(|l| *l >= 100.0));
        let clean = learner.plays(&advice);
        writeln!(to, "{}", json!({ "day": f64::from(passes / 60), "clean": clean })).unwrap();
        advice = answers.next().unwrap();
        passes += 1;
    }
    assert_eq!(through, 3, "after {passes} passes the limits are {:?}", learner.limits);
    let ready = advice["song"]["mean"].as_f64().unwrap();
    assert!(begun < 0.1 && ready > 0.7, "{begun} at the beginning, {ready} at the end");
    drop(to);
    assert!(plan.wait().unwrap().success());
}
