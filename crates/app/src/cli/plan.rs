//! `overhand plan --simulate`: the plan, driven over lines of JSON, so that any learner can be plugged in.
//!
//! ```text
//! <- {"bars": 24, "target": 100}
//! -> {"from":0,"to":23,"speed":60.0,"why":"survey","song":{"mean":0.0,"low":0.0,"high":0.1},"chances":[…]}
//! <- {"day": 0.02, "clean": [true, false, …]}
//! -> {"from":7,"to":7,"speed":45.0,"why":"hard",…}
//! <- {"day": 1.0}
//! -> …
//! ```
//!
//! The first line names the song. Each further line says which day it is, with fractions, and, if the advice was played,
//! for each of its bars whether it was clean; the answer is what to play next. Bars count from 0.

use super::Answer;
use practice::Speed;
use practice::learn::{Advice, Chance, Coach, Heard, Why};
use serde::{Deserialize, Serialize};
use std::io::{BufRead, Write};

/// No song has more bars.
const MOST_BARS: usize = 20_000;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SongLine {
    bars: usize,
    #[serde(default = "full")]
    target: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PassLine {
    day: f64,
    clean: Option<Vec<bool>>,
}

#[derive(Serialize)]
struct AdviceLine {
    from: usize,
    to: usize,
    speed: f64,
    why: &'static str,
    song: ChanceJson,
    chances: Vec<ChanceJson>,
}

#[derive(Serialize)]
struct ChanceJson {
    mean: f64,
    low: f64,
    high: f64,
}

/// Talks with a learner until it has said enough.
pub fn converse(input: impl BufRead, output: impl Write) -> Answer {
    match talk(input, output) {
        Ok(()) => Answer::done(String::new()),
        Err(message) => Answer::wrong_input(vec![message]),
    }
}

fn talk(input: impl BufRead, mut output: impl Write) -> Result<(), String> {
    let mut coach: Option<(Coach, Advice)> = None;
    for (number, line) in input.lines().enumerate() {
        let wrong = |what: String| format!("line {}: {what}", number + 1);
        let line = line.map_err(|error| wrong(error.to_string()))?;
        let (next, day) = match coach.take() {
            None => (begin(&line).map_err(wrong)?, 0.0),
            Some((coach, advice)) => pass(coach, advice, &line).map_err(wrong)?,
        };
        let mut next = next;
        let advice = next.next(day).ok_or_else(|| wrong("a song has at least one bar".into()))?;
        let text = serde_json::to_string(&advice_line(&next, &advice, day))
            .expect("mirror types hold nothing that JSON cannot");
        // A reader that has seen enough closes its end.
        if writeln!(output, "{text}").and_then(|()| output.flush()).is_err() {
            return Ok(());
        }
        coach = Some((next, advice));
    }
    Ok(())
}

fn begin(line: &str) -> Result<Coach, String> {
    let song: SongLine = serde_json::from_str(line)
        .map_err(|error| format!("the song comes first, as {{\"bars\": 24}}: {error}"))?;
    let target = Speed::new(song.target).ok_or("a target is 30 to 130 percent")?;
    match song.bars {
        1..=MOST_BARS => Ok(Coach::new(song.bars, target)),
        _ => Err(format!("a song has 1 to {MOST_BARS} bars")),
    }
}

fn pass(mut coach: Coach, advice: Advice, line: &str) -> Result<(Coach, f64), String> {
    let pass: PassLine = serde_json::from_str(line)
        .map_err(|error| format!("a pass is {{\"day\": 0.1, \"clean\": [true]}}: {error}"))?;
    if !(pass.day.is_finite() && pass.day >= 0.0) {
        return Err("a day is a number from 0 on".into());
    }
    if let Some(clean) = pass.clean {
        let bars = advice.bars.from()..=advice.bars.to();
        if clean.len() != bars.clone().count() {
            let wanted = bars.count();
            return Err(format!("{wanted} bars were to be played, and {} are told of", clean.len()));
        }
        let heard: Vec<Heard> = bars.zip(clean).map(|(bar, clean)| Heard { bar, clean }).collect();
        coach.heard(&advice, &heard, pass.day);
    }
    Ok((coach, pass.day))
}

fn advice_line(coach: &Coach, advice: &Advice, day: f64) -> AdviceLine {
    let rounded = |p: f64| (p * 1e4).round() / 1e4;
    let chance = |c: Chance| ChanceJson { mean: rounded(c.mean), low: rounded(c.low), high: rounded(c.high) };
    AdviceLine {
        from: advice.bars.from(),
        to: advice.bars.to(),
        speed: advice.speed.percent(),
        why: match advice.why {
            Why::Survey => "survey",
            Why::Hard => "hard",
            Why::AskedAgain => "asked again",
            Why::RunThrough => "run-through",
        },
        song: chance(coach.song_chance(day)),
        chances: coach.chances(day).into_iter().map(chance).collect(),
    }
}

fn full() -> f64 {
    Speed::FULL.percent()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    /// The answers to some lines, and the message that ended the talk.
    fn talked(lines: &[&str]) -> (Vec<Value>, Vec<String>) {
        let mut output = Vec::new();
        let answer = converse(lines.join("\n").as_bytes(), &mut output);
        let text = String::from_utf8(output).unwrap();
        (text.lines().map(|line| serde_json::from_str(line).unwrap()).collect(), answer.messages)
    }

    #[test]
    fn each_line_is_answered_with_what_to_play() {
        let clean = r#"{"day": 0.01, "clean": [true, false, true]}"#;
        let (answers, messages) = talked(&[r#"{"bars": 3}"#, clean, r#"{"day": 0.02, "clean": [true]}"#]);
        assert!(messages.is_empty(), "{messages:?}");
        assert_eq!((&answers[0]["why"], &answers[0]["speed"]), (&"survey".into(), &60.0.into()));
        assert_eq!((&answers[0]["from"], &answers[0]["to"]), (&0.into(), &2.into()));
        assert_eq!((&answers[1]["why"], &answers[1]["from"]), (&"hard".into(), &1.into()));
        assert_ne!(answers[2]["from"], 1, "bars take turns");
        assert_eq!(answers[2]["chances"].as_array().unwrap().len(), 3);
    }

    #[test]
    fn a_line_that_does_not_hold_is_told_by_its_number() {
        for (lines, told) in [
            (&["hello"][..], "line 1: the song comes first"),
            (&[r#"{"bars": 0}"#], "line 1: a song has 1 to"),
            (&[r#"{"bars": 2, "target": 10}"#], "line 1: a target is 30 to 130"),
            (
                &[r#"{"bars": 2}"#, r#"{"day": 0, "clean": [true]}"#],
                "line 2: 2 bars were to be played, and 1",
            ),
            (&[r#"{"bars": 2}"#, r#"{"day": -1}"#], "line 2: a day is"),
        ] {
            let (_, messages) = talked(lines);
            assert!(messages[0].starts_with(told), "{messages:?}");
        }
    }
}
