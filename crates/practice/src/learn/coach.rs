//! What to play next.
//!
//! Each rule and what it rests on:
//!
//! - The song is heard once, slowly, so that it is known which bars are hard.
//! - The hardest bars are worked on, not the song from the top: the best players find the exact place of an error and repeat
//!   it until it is stable (Duke, Simmons & Cash 2009).
//! - Three of them take turns, and none comes twice in a row while another is there: alternating passages beats blocks of
//!   one, modestly (Carter & Grahn 2016).
//! - Each goes up its ladder from a speed at which success is likely, for retention follows the share of correct repetitions
//!   (Duke, Simmons & Cash 2009).
//! - What no longer gets better rests, until the song was played through or until the next day: gains show after a day
//!   (Simmons 2012).
//! - What was learned is asked again after a day and at growing distances (see [`super::Spacing`]).
//! - When nothing is left to work on, the song is played through.

use super::{Belief, Chance, Drill, DrillEnd, Honesty, Spacing};
use crate::{LoopBars, Speed};

/// So many bars take turns.
const TURNS: usize = 3;
/// The first hearing is so fast, in percent.
const SURVEY_PERCENT: f64 = 60.0;
/// A bar that is believed to be clean this often at the target needs no drill.
const READY: f64 = 0.96;

/// What to play, and why.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// The bars.
    pub bars: LoopBars,
    /// How fast.
    pub speed: Speed,
    /// Why.
    pub why: Why,
}

/// Why something is to be played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Why {
    /// To hear which bars are hard.
    Survey,
    /// A hard bar.
    Hard,
    /// It was learned; is it still there?
    AskedAgain,
    /// Everything is ready to be put together.
    RunThrough,
}

/// How one bar of a pass went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heard {
    /// The bar.
    pub bar: usize,
    /// Whether it was clean.
    pub clean: bool,
}

/// Decides what one player plays next in one song, with both hands.
#[derive(Clone, Debug)]
pub struct Coach {
    bars: Vec<Item>,
    target: Speed,
    day: f64,
    turns: Vec<usize>,
    last: Option<usize>,
    honesty: Honesty,
}

/// What is known of one bar.
#[derive(Clone, Debug)]
struct Item {
    belief: Belief,
    drill: Option<Drill>,
    spacing: Option<Spacing>,
    /// It no longer got better: it rests until the song was played through, or until the next day.
    rests: bool,
}

impl Coach {
    /// For a song of so many bars, to be clean at a speed.
    pub fn new(bars: usize, target: Speed) -> Coach {
        let item = Item { belief: Belief::new(), drill: None, spacing: None, rests: false };
        Coach {
            bars: vec![item; bars],
            target,
            day: 0.0,
            turns: Vec::new(),
            last: None,
            honesty: Honesty::default(),
        }
    }

    /// What to play on a day; `None` in a song without bars.
    pub fn next(&mut self, day: f64) -> Option<Advice> {
        let all = LoopBars::new(0, self.bars.len().checked_sub(1)?);
        if day.floor() > self.day.floor() {
            self.turns.clear();
            self.bars.iter_mut().for_each(|b| (b.drill, b.rests) = (None, false));
        }
        self.day = self.day.max(day);
        if self.bars.iter().all(|b| b.belief.heard() == 0) {
            let speed = Speed::clamped(SURVEY_PERCENT.min(self.target.percent()));
            return Some(Advice { bars: all, speed, why: Why::Survey });
        }
        self.fill_turns();
        let next = self.turns.iter().position(|b| Some(*b) != self.last).unwrap_or(0);
        let Some(&bar) = self.turns.get(next) else {
            return Some(Advice { bars: all, speed: self.target, why: Why::RunThrough });
        };
        let item = &mut self.bars[bar];
        let due = item.spacing.is_some_and(|s| s.due() <= self.day) && item.drill.is_none();
        let bars = LoopBars::new(bar, bar);
        if due {
            return Some(Advice { bars, speed: self.target, why: Why::AskedAgain });
        }
        let (belief, target, day) = (&item.belief, self.target, self.day);
        let drill =
            item.drill.get_or_insert_with(|| Drill::new(belief, &Belief::new(), &Belief::new(), target, day));
        Some(Advice { bars, speed: drill.speed(), why: Why::Hard })
    }

    /// What was advised was played, and this was heard of it.
    pub fn heard(&mut self, advice: &Advice, heard: &[Heard], day: f64) {
        self.day = self.day.max(day);
        let at_target = advice.speed.percent() >= self.target.percent();
        for &Heard { bar, clean } in heard {
            let Some(item) = self.bars.get_mut(bar) else { continue };
            if at_target && advice.why != Why::Hard {
                self.honesty.hear(item.belief.chance(advice.speed, day).mean, clean);
            }
            item.belief.hear(day, advice.speed, clean);
            if at_target {
                // What is no longer there is learned again.
                item.spacing = item.spacing.filter(|_| clean);
                if let Some(spacing) = &mut item.spacing {
                    spacing.asked(day, clean);
                }
            }
            if advice.why == Why::Hard {
                self.drilled(bar, clean);
            }
        }
        match advice.why {
            Why::Hard | Why::AskedAgain => self.took_a_turn(advice.bars.from()),
            Why::Survey | Why::RunThrough => {
                // What rested has rested while the song was played.
                self.bars.iter_mut().for_each(|b| b.rests = false);
                self.last = None;
            }
        }
    }

    /// The chance of each bar to be clean at the target, on a day.
    pub fn chances(&self, day: f64) -> Vec<Chance> {
        let chance = |b: &Item| self.honesty.corrected_chance(self.believed(b).chance(self.target, day));
        self.bars.iter().map(chance).collect()
    }

    /// The chance of a clean run through all bars, on a day, taking bars to fail each for itself. Its bounds go with the sum
    /// of the variances of the bars' logarithms.
    pub fn song_chance(&self, day: f64) -> Chance {
        let ln = |c: f64| c.max(1e-6).ln();
        let chances = self.chances(day);
        let mean: f64 = chances.iter().map(|c| ln(c.mean)).sum();
        // From the middle to a bound that nine in ten stay within is 1.28 deviations of a normal curve (a textbook
        // constant, from memory).
        let deviation = |c: &Chance| (ln(c.high) - ln(c.low)) / (2.0 * 1.28);
        let width = 1.28 * chances.iter().map(|c| deviation(c).powi(2)).sum::<f64>().sqrt();
        Chance { mean: mean.exp(), low: (mean - width).exp(), high: (mean + width).exp().min(1.0) }
    }

    /// What is believed of a bar; of one never heard, that it is like the others.
    fn believed(&self, item: &Item) -> Belief {
        match item.belief.heard() {
            0 => Belief::like(self.bars.iter().map(|b| &b.belief)),
            _ => item.belief.clone(),
        }
    }

    /// Up to three bars take turns: those in hand, then what is due to be asked again, then the hardest.
    fn fill_turns(&mut self) {
        let due = |b: &Item| b.spacing.is_some_and(|s| s.due() <= self.day);
        let chances = self.chances(self.day);
        let open = |&bar: &usize| {
            let item = &self.bars[bar];
            let waits = item.rests || self.turns.contains(&bar);
            let learned = item.spacing.is_some() && !due(item);
            !waits && !learned && (due(item) || chances[bar].mean < READY)
        };
        let mut open: Vec<usize> = (0..self.bars.len()).filter(open).collect();
        open.sort_by(|a, b| {
            due(&self.bars[*b]).cmp(&due(&self.bars[*a])).then(chances[*a].mean.total_cmp(&chances[*b].mean))
        });
        let room = TURNS.saturating_sub(self.turns.len());
        self.turns.extend(open.into_iter().take(room));
    }

    /// A pass of a drill was heard.
    fn drilled(&mut self, bar: usize, clean: bool) {
        let (day, item) = (self.day, &mut self.bars[bar]);
        match item.drill.as_mut().and_then(|drill| drill.heard(clean)) {
            Some(DrillEnd::Clean) => {
                (item.spacing, item.drill) = (Some(Spacing::learned(day)), None);
                self.turns.retain(|b| *b != bar);
            }
            Some(DrillEnd::NoBetter) => {
                (item.rests, item.drill) = (true, None);
                self.turns.retain(|b| *b != bar);
            }
            None => {}
        }
    }

    /// A bar goes to the end of the row; one that was asked and is there leaves it.
    fn took_a_turn(&mut self, bar: usize) {
        self.last = Some(bar);
        let place = self.turns.iter().position(|b| *b == bar);
        let asked = place.map(|p| self.turns.remove(p));
        let still_there = self.bars[bar].spacing.is_some_and(|s| s.due() > self.day);
        self.turns.extend(asked.filter(|_| !still_there));
    }
}
