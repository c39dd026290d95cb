//! How ready a song is: the chance of a clean run at the chart's tempo, of each bar, each section and the whole, today and
//! on the day it is played.
//!
//! The forecast for that day takes it that nothing more is practised until then: it is what there is to lose, and what the
//! plan works against.

use super::{Chance, Coach};
use crate::LoopBars;
use voicing::Part;

/// A chance today and on the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ready {
    /// Today.
    pub today: Chance,
    /// On the day, if there is one and nothing more is practised.
    pub on_the_day: Option<Chance>,
}

/// A section as it is played once.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionReady {
    /// Its name.
    pub name: String,
    /// Its bars.
    pub bars: LoopBars,
    /// A clean run through them.
    pub ready: Ready,
}

/// How ready a song is.
#[derive(Clone, Debug, PartialEq)]
pub struct Readiness {
    /// Bar by bar.
    pub bars: Vec<Ready>,
    /// Section by section in playing order; all passes at one place are one.
    pub sections: Vec<SectionReady>,
    /// The whole.
    pub song: Ready,
    /// Nothing was heard of the song yet: all of this is a first guess.
    pub is_a_guess: bool,
}

/// How ready a part is, on a day, for another day.
pub fn readiness(part: &Part, coach: &Coach, today: f64, the_day: Option<f64>) -> Readiness {
    let now = coach.chances(today);
    let then = the_day.map(|day| coach.chances(day.max(today)));
    let of = |bars: LoopBars| {
        let run =
            |chances: &[Chance]| Chance::of_all(chances.get(bars.from()..=bars.to()).unwrap_or_default());
        Ready { today: run(&now), on_the_day: then.as_deref().map(run) }
    };
    Readiness {
        bars: (0..now.len()).map(|bar| of(LoopBars::new(bar, bar))).collect(),
        sections: sections(part)
            .into_iter()
            .map(|(name, bars)| SectionReady { name, bars, ready: of(bars) })
            .collect(),
        song: of(LoopBars::new(0, now.len().saturating_sub(1))),
        is_a_guess: !coach.is_known(),
    }
}

/// The sections of a part in playing order, with their bars.
pub fn sections(part: &Part) -> Vec<(String, LoopBars)> {
    let mut found: Vec<(usize, String, LoopBars)> = Vec::new();
    for (bar, part_bar) in part.bars.iter().enumerate() {
        let place = part_bar.played.place;
        match found.last_mut() {
            Some((last, _, bars)) if *last == place => *bars = LoopBars::new(bars.from(), bar),
            _ => {
                let name = part.sections.get(part_bar.played.section).cloned().unwrap_or_default();
                found.push((place, name, LoopBars::new(bar, bar)));
            }
        }
    }
    found.into_iter().map(|(_, name, bars)| (name, bars)).collect()
}

impl Ready {
    /// In words; `date` is how the day is called.
    pub fn words(&self, date: &str) -> String {
        let today = self.today.words();
        match self.on_the_day {
            Some(then) => format!("today {today}; {date} {} if nothing more is practised", then.words()),
            None => format!("today {today}"),
        }
    }
}
