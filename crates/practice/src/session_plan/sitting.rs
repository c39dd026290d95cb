//! A session under way: what comes next, what was heard, and what the player changes of it.

use super::{PlanItem, SessionPlan, Task};
use crate::history::Purpose;
use crate::learn::{Coach, Drill, DrillEnd, Heard, HeardPass};
use crate::{Hands, LoopBars, Speed};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// A session under way. Nothing in it is counted or scored: it knows what is to be played next.
#[derive(Clone, Debug)]
pub struct Sitting {
    items: Vec<PlanItem>,
    at: usize,
    /// Seconds spent on the item in hand.
    spent: f64,
    /// Drills that were begun, by song and bar: they go on where they were when their turn comes again.
    drills: BTreeMap<(usize, usize), Drill>,
    /// Bars whose drills are over for today.
    over: Vec<(usize, usize)>,
    /// The bar that "what turns out to be hardest" has become.
    chosen: Option<usize>,
}

/// What is to be played next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextPass {
    /// Of which song.
    pub song: usize,
    /// Which bars.
    pub bars: LoopBars,
    /// Of the bar only the change into this chord: from the last beat before it into the first after.
    pub change: Option<usize>,
    /// From the last beat before them into the first after them.
    pub with_lead: bool,
    /// How fast.
    pub speed: Speed,
    /// With which hands.
    pub hands: Hands,
    /// What for.
    pub purpose: Purpose,
}

/// What a pass led to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// The item goes on.
    GoesOn,
    /// The item is done, its time is over.
    Done,
    /// The bar is clean at its target.
    Clean(usize),
    /// It no longer gets better today; this can be tried.
    NoBetter(usize, &'static str),
}

impl Sitting {
    /// Begins with the first item of a plan.
    pub fn new(plan: SessionPlan) -> Sitting {
        Sitting {
            items: plan.items,
            at: 0,
            spent: 0.0,
            drills: BTreeMap::new(),
            over: Vec::new(),
            chosen: None,
        }
    }

    /// All items, in their order now.
    pub fn items(&self) -> &[PlanItem] {
        &self.items
    }

    /// The place of the item in hand; as many as there are items once all are done.
    pub fn at(&self) -> usize {
        self.at
    }

    /// The item in hand; `None` once all are done.
    pub fn item(&self) -> Option<&PlanItem> {
        self.items.get(self.at)
    }

    /// Minutes left of the item in hand.
    pub fn minutes_left(&self) -> f64 {
        self.item().map_or(0.0, |item| (item.minutes - self.spent / 60.0).max(0.0))
    }

    /// What is to be played next; `None` for what is not played from a song (scales, chords, rests), for joins between songs,
    /// and at the end. Items whose bar is already learned or over for today are passed by.
    pub fn next_pass(&mut self, coaches: &[Coach], day: f64) -> Option<NextPass> {
        while let Some(item) = self.items.get(self.at) {
            let song = item.task.song()?;
            let coach = coaches.get(song).filter(|coach| !coach.is_empty())?;
            let all = LoopBars::new(0, coach.len() - 1);
            let whole = |speed, purpose| {
                let (bars, hands) = (all, Hands::Both);
                Some(NextPass { song, bars, change: None, with_lead: false, speed, hands, purpose })
            };
            let target = coach.target();
            match item.task {
                Task::Survey { .. } => {
                    return whole(Speed::clamped(target.percent().min(60.0)), Purpose::Survey);
                }
                Task::RunThrough { .. } => return whole(run_speed(coach, day), Purpose::RunThrough),
                Task::Join { bars, .. } => {
                    let speed = [bars.from(), bars.to()].map(|bar| likely_speed(coach, bar, day));
                    let speed = if speed[0].percent() < speed[1].percent() { speed[0] } else { speed[1] };
                    let (hands, purpose) = (Hands::Both, Purpose::Join);
                    let change = None;
                    return Some(NextPass { song, bars, change, with_lead: false, speed, hands, purpose });
                }
                Task::AskAgain { bar, .. } => {
                    let (bars, hands, purpose) = (LoopBars::new(bar, bar), Hands::Both, Purpose::AskedAgain);
                    let (change, speed) = (None, target);
                    return Some(NextPass { song, bars, change, with_lead: true, speed, hands, purpose });
                }
                Task::Drill { bar, .. } => {
                    if let Some(pass) = self.drill_pass(coach, song, bar, day) {
                        return Some(pass);
                    }
                }
                Task::Hardest { .. } => {
                    let pass = self.hardest(coach, song, day);
                    if let Some(pass) = pass.and_then(|bar| self.drill_pass(coach, song, bar, day)) {
                        return Some(pass);
                    }
                }
                Task::Scale(_) | Task::Chords(_) | Task::Rest | Task::SongJoin { .. } => return None,
            }
            self.go_on();
        }
        None
    }

    /// A pass of the item in hand was heard, so many seconds long with all around it; the coach of its song takes it in as
    /// well. `heard` are its bars.
    pub fn heard(
        &mut self,
        pass: &NextPass,
        heard: &[Heard],
        seconds: f64,
        coach: &mut Coach,
        day: f64,
    ) -> Outcome {
        self.heard_pass(pass, &HeardPass::of_bars(heard.to_vec()), seconds, coach, day)
    }

    /// The same with all that was heard of it.
    pub fn heard_pass(
        &mut self,
        pass: &NextPass,
        heard: &HeardPass,
        seconds: f64,
        coach: &mut Coach,
        day: f64,
    ) -> Outcome {
        self.spent += seconds;
        coach.remember_pass(heard, pass.speed, pass.hands, day);
        let clean = heard.is_clean(pass.change.is_some());
        match pass.purpose {
            Purpose::Drill => self.drilled(pass, clean, coach, day),
            Purpose::Survey | Purpose::RunThrough | Purpose::AskedAgain => {
                self.go_on();
                Outcome::Done
            }
            Purpose::Join | Purpose::Free => self.time_passed(),
        }
    }

    /// So many seconds of a rest, a scale or chords went by.
    pub fn waited(&mut self, seconds: f64) -> Outcome {
        self.spent += seconds;
        self.time_passed()
    }

    /// The next item; the one in hand is left as it is.
    pub fn skip(&mut self) {
        self.go_on();
    }

    /// The item before, once more.
    pub fn back(&mut self) {
        (self.at, self.spent, self.chosen) = (self.at.saturating_sub(1), 0.0, None);
    }

    /// Goes to an item.
    pub fn go_to(&mut self, place: usize) {
        (self.at, self.spent, self.chosen) = (place.min(self.items.len()), 0.0, None);
    }

    /// Moves an item to another place among those that are not done yet.
    pub fn reorder(&mut self, from: usize, to: usize) {
        let open = self.at..self.items.len();
        if open.contains(&from) && open.contains(&to) {
            let item = self.items.remove(from);
            self.items.insert(to, item);
            (self.spent, self.chosen) = (0.0, None);
        }
    }

    /// What is left takes another form: after the first hearing of a song it is known which bars are hard.
    pub fn replan(&mut self, rest: SessionPlan) {
        self.items.truncate(self.at);
        self.items.extend(rest.items);
        (self.spent, self.chosen) = (0.0, None);
    }

    /// Minutes that the items not done yet were to take.
    pub fn minutes_ahead(&self) -> f64 {
        let later: f64 = self.items.iter().skip(self.at + 1).map(|item| item.minutes).sum();
        later + self.minutes_left()
    }

    fn go_on(&mut self) {
        (self.at, self.spent, self.chosen) = ((self.at + 1).min(self.items.len()), 0.0, None);
    }

    fn time_passed(&mut self) -> Outcome {
        if self.minutes_left() > 0.0 {
            return Outcome::GoesOn;
        }
        self.go_on();
        Outcome::Done
    }

    /// The next pass of a drill, begun if need be; `None` where it is over for today.
    fn drill_pass(&mut self, coach: &Coach, song: usize, bar: usize, day: f64) -> Option<NextPass> {
        if self.over.contains(&(song, bar)) {
            return None;
        }
        let drill = match self.drills.entry((song, bar)) {
            Entry::Occupied(begun) => begun.into_mut(),
            Entry::Vacant(place) => place.insert(coach.drill(bar, day)?),
        };
        let (bars, purpose) = (LoopBars::new(bar, bar), Purpose::Drill);
        let (change, speed, hands) = (drill.change(), drill.speed(), drill.hands());
        Some(NextPass { song, bars, change, with_lead: true, speed, hands, purpose })
    }

    fn drilled(&mut self, pass: &NextPass, clean: bool, coach: &mut Coach, day: f64) -> Outcome {
        let (song, bar) = (pass.song, pass.bars.from());
        let end = self.drills.get_mut(&(song, bar)).and_then(|drill| drill.heard(clean));
        let Some(end) = end else { return self.time_passed() };
        let advice = self.drills.remove(&(song, bar)).map_or("", |drill| drill.advice());
        self.over.push((song, bar));
        self.go_on();
        match end {
            DrillEnd::Clean => {
                coach.learned(bar, day);
                Outcome::Clean(bar)
            }
            DrillEnd::NoBetter => Outcome::NoBetter(bar, advice),
        }
    }

    /// The least likely bar whose drill is not over, the same one while the item lasts.
    fn hardest(&mut self, coach: &Coach, song: usize, day: f64) -> Option<usize> {
        if self.chosen.is_none() {
            let chances = coach.chances(day);
            let open = coach.spacings().filter(|(bar, s)| s.is_none() && !self.over.contains(&(song, *bar)));
            self.chosen =
                open.map(|(bar, _)| bar).min_by(|a, b| chances[*a].mean.total_cmp(&chances[*b].mean));
        }
        self.chosen
    }
}

/// A bar at a speed at which it is likely to be clean.
fn likely_speed(coach: &Coach, bar: usize, day: f64) -> Speed {
    let belief = coach.belief(bar);
    belief.map_or(coach.target(), |belief| belief.speed_with(0.8, day, coach.target()))
}

/// The whole song at its target if most bars are likely to be clean at it, else as fast as nine in ten bars allow.
fn run_speed(coach: &Coach, day: f64) -> Speed {
    let mut speeds: Vec<f64> =
        coach.spacings().map(|(bar, _)| likely_speed(coach, bar, day).percent()).collect();
    speeds.sort_by(f64::total_cmp);
    speeds.get(speeds.len() / 10).map_or(coach.target(), |percent| Speed::clamped(percent.max(50.0)))
}
