//! Progress over days: minutes, clean bars, speed reached, steadiness; in plain words.

use super::Steady;
use crate::Hands;
use crate::history::Placed;
use std::collections::BTreeMap;

/// A day of practice in a song.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticeDay {
    /// Days since 1 January 1970 by the player's calendar.
    pub date: i64,
    /// Minutes played.
    pub minutes: f64,
    /// Passes played.
    pub passes: usize,
    /// What was played of each bar with both hands; as many as the song has.
    pub bars: Vec<BarDay>,
    /// How far strikes scattered, in milliseconds as played; `None` where too few were heard.
    pub spread_ms: Option<f64>,
}

/// A bar on a day.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct BarDay {
    /// How often it was played.
    pub passes: usize,
    /// Of these clean.
    pub clean: usize,
    /// The fastest speed at which it was clean, in percent of the chart's tempo.
    pub fastest_clean: Option<f64>,
}

impl PracticeDay {
    /// How many bars were clean at a speed, in percent.
    pub fn clean_at(&self, percent: f64) -> usize {
        self.bars.iter().filter(|bar| bar.fastest_clean.is_some_and(|speed| speed >= percent)).count()
    }
}

/// The days on which a song of so many bars was practised, oldest first.
pub fn practice_days(passes: &[Placed<'_>], bars: usize) -> Vec<PracticeDay> {
    let mut days: BTreeMap<i64, (PracticeDay, Vec<f64>)> = BTreeMap::new();
    for pass in passes {
        let date = pass.record.at.date();
        let (day, beside) = days.entry(date).or_insert_with(|| (empty(date, bars), Vec::new()));
        day.minutes += pass.record.seconds / 60.0;
        day.passes += 1;
        for (bar, passed) in &pass.bars {
            beside.extend(passed.strikes.iter().filter_map(|s| s.beside_ms));
            if pass.record.hands == Hands::Both {
                day.bars[*bar].hear(pass.record.speed.percent(), passed.clean_in_time);
            }
        }
    }
    let finished = |(mut day, beside): (PracticeDay, Vec<f64>)| {
        day.spread_ms = spread(&beside);
        day
    };
    days.into_values().map(finished).collect()
}

fn empty(date: i64, bars: usize) -> PracticeDay {
    PracticeDay { date, minutes: 0.0, passes: 0, bars: vec![BarDay::default(); bars], spread_ms: None }
}

impl BarDay {
    fn hear(&mut self, percent: f64, clean: bool) {
        self.passes += 1;
        if clean {
            self.clean += 1;
            self.fastest_clean = Some(self.fastest_clean.unwrap_or(0.0).max(percent));
        }
    }
}

/// Fewer strikes than this say nothing of steadiness.
const FEWEST_STRIKES: usize = 20;

fn spread(beside: &[f64]) -> Option<f64> {
    let n = beside.len() as f64;
    let mean = beside.iter().sum::<f64>() / n;
    let variance = beside.iter().map(|ms| (ms - mean).powi(2)).sum::<f64>() / n;
    (beside.len() >= FEWEST_STRIKES).then(|| variance.sqrt())
}

/// Bars that went from one speed to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// The first and the last bar, from 0.
    pub bars: crate::LoopBars,
    /// The speed at which they were clean before, in percent.
    pub from: f64,
    /// And are now.
    pub to: f64,
}

/// A week.
const WEEK: i64 = 7;

/// What became faster in the week up to a date, the largest gain first. Before is the fastest clean speed up to a week
/// ago, or that of the first day on which the bar was clean.
pub fn gains(days: &[PracticeDay], today: i64) -> Vec<Gain> {
    let bars = days.iter().map(|day| day.bars.len()).max().unwrap_or(0);
    let mut gains: Vec<Gain> = Vec::new();
    for bar in 0..bars {
        let Some((from, to)) = gain(days, bar, today) else { continue };
        match gains.last_mut() {
            Some(last) if last.bars.to() + 1 == bar && (last.from, last.to) == (from, to) => {
                last.bars = crate::LoopBars::new(last.bars.from(), bar);
            }
            _ => gains.push(Gain { bars: crate::LoopBars::new(bar, bar), from, to }),
        }
    }
    gains.sort_by(|a, b| (b.to - b.from).total_cmp(&(a.to - a.from)));
    gains
}

fn gain(days: &[PracticeDay], bar: usize, today: i64) -> Option<(f64, f64)> {
    let clean = |day: &PracticeDay| day.bars.get(bar).and_then(|b| b.fastest_clean);
    let fastest = |from: i64, to: i64| {
        let within = days.iter().filter(|day| (from..=to).contains(&day.date));
        within.filter_map(clean).max_by(f64::total_cmp)
    };
    let to = fastest(today - WEEK + 1, today)?;
    let first = || days.iter().filter(|day| day.date > today - WEEK).find_map(clean);
    let from = fastest(i64::MIN, today - WEEK).or_else(first)?;
    (to > from).then_some((from, to))
}

/// Progress in plain words, at most so many sentences.
pub fn progress_words(days: &[PracticeDay], today: i64, most: usize) -> Vec<String> {
    let week: Vec<&PracticeDay> = days.iter().filter(|d| d.date > today - WEEK && d.date <= today).collect();
    let Some(last) = week.last() else {
        return vec!["Nothing of this song was played this week.".to_owned()];
    };
    let mut words: Vec<String> = gains(days, today).iter().map(|gain| gain.words()).collect();
    words.truncate(most.saturating_sub(1));
    let minutes: f64 = week.iter().map(|day| day.minutes).sum();
    let on = if week.len() == 1 { "on one day".to_owned() } else { format!("on {} days", week.len()) };
    words.insert(0, format!("{} played this week, {on}", in_minutes(minutes)));
    let earlier = days.iter().rev().find(|d| d.date <= today - WEEK && d.spread_ms.is_some());
    if let (Some(before), Some(now)) = (earlier.and_then(|d| d.spread_ms), last.spread_ms) {
        let told = Steady { before, now }.words();
        let room = most.saturating_sub(words.len());
        words.extend(told.into_iter().take(room));
    }
    words
}

impl Gain {
    /// For a musician: `bars 9 to 12 went from 60 to 85 % speed this week`.
    pub fn words(&self) -> String {
        let (from, to) = (self.bars.from() + 1, self.bars.to() + 1);
        let bars = if from == to { format!("bar {from}") } else { format!("bars {from} to {to}") };
        format!("{bars} went from {:.0} to {:.0} % speed this week", self.from, self.to)
    }
}

fn in_minutes(minutes: f64) -> String {
    match minutes.round() as u32 {
        0 => "less than a minute".to_owned(),
        1 => "1 minute".to_owned(),
        n => format!("{n} minutes"),
    }
}
