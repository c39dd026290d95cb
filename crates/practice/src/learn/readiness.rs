//! How ready a song is: the chance of a clean run at the chart's tempo, of each bar, each section and the whole, today and
//! on the day it is played.
//!
//! The forecast for that day takes it that nothing more is practised until then: it is what there is to lose, and what the
//! plan works against.

use super::{Belief, Chance, Change, Coach};
use crate::{Hands, LoopBars};
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

/// A change from chord to chord.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeReady {
    /// Which, with the voices that move.
    pub change: Change,
    /// With both hands.
    pub ready: Ready,
    /// Each hand alone today, right and left, where it was heard alone.
    pub alone: [Option<Chance>; 2],
    /// How often it was heard with both hands.
    pub heard: u32,
}

/// How ready a song is.
#[derive(Clone, Debug, PartialEq)]
pub struct Readiness {
    /// Bar by bar.
    pub bars: Vec<Ready>,
    /// Section by section in playing order; all passes at one place are one.
    pub sections: Vec<SectionReady>,
    /// Each bar with each hand alone today, right and left, where it was heard alone.
    pub alone: Vec<[Option<Chance>; 2]>,
    /// Change by change, in playing order. What a bar is like holds them in already: they tell where it fails, and do not
    /// count for the song a second time.
    pub changes: Vec<ChangeReady>,
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
        alone: (0..now.len()).map(|bar| alone(|hands| coach.belief_of(bar, hands), coach, today)).collect(),
        changes: changes(coach, today, the_day),
        bars: (0..now.len()).map(|bar| of(LoopBars::new(bar, bar))).collect(),
        sections: sections(part)
            .into_iter()
            .map(|(name, bars)| SectionReady { name, bars, ready: of(bars) })
            .collect(),
        song: of(LoopBars::new(0, now.len().saturating_sub(1))),
        is_a_guess: !coach.is_known(),
    }
}

fn changes(coach: &Coach, today: f64, the_day: Option<f64>) -> Vec<ChangeReady> {
    let now = coach.change_chances(today);
    let then = the_day.map(|day| coach.change_chances(day.max(today)));
    let ready = |(place, change): (usize, &Change)| {
        let known = coach.change_belief(change.bar, change.slot);
        let of = |hands: Hands| known.map(|known| known.of(hands).clone());
        ChangeReady {
            change: *change,
            ready: Ready { today: now[place], on_the_day: then.as_ref().map(|then| then[place]) },
            alone: alone(of, coach, today),
            heard: known.map_or(0, |known| known.both.heard()),
        }
    };
    coach.changes().iter().enumerate().map(ready).collect()
}

/// What is known of each hand alone.
fn alone(of: impl Fn(Hands) -> Option<Belief>, coach: &Coach, today: f64) -> [Option<Chance>; 2] {
    [Hands::Right, Hands::Left].map(|hands| {
        let belief = of(hands).filter(|belief| belief.heard() > 0);
        belief.map(|belief| belief.chance(coach.target(), today))
    })
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

impl Readiness {
    /// The changes that were heard and are less likely than this to be clean today, the least likely first, each once: of
    /// those that are alike the first.
    pub fn weak_changes(&self, below: f64) -> Vec<&ChangeReady> {
        let mut weak: Vec<&ChangeReady> = Vec::new();
        for change in self.changes.iter().filter(|c| c.heard > 0 && c.ready.today.mean < below) {
            if !weak.iter().any(|known| known.is_like(change)) {
                weak.push(change);
            }
        }
        weak.sort_by(|a, b| a.ready.today.mean.total_cmp(&b.ready.today.mean));
        weak
    }
}

impl ChangeReady {
    /// The same movement, equally well known.
    fn is_like(&self, other: &ChangeReady) -> bool {
        let of = |c: &ChangeReady| (c.change.slot, c.change.right, c.change.left, c.heard);
        of(self) == of(other) && self.ready == other.ready && self.alone == other.alone
    }

    /// For a musician: `into bar 3, chord 2: the right hand's top note up 2 semitones; clean about 4 times in 10 (2 to 6)`.
    pub fn words(&self) -> String {
        let alone = ["right", "left"].into_iter().zip(self.alone);
        let alone =
            alone.filter_map(|(hand, chance)| Some(format!("; {hand} hand alone {}", chance?.words())));
        format!("{}; {}{}", self.change.text(), self.ready.today.words(), alone.collect::<String>())
    }
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
