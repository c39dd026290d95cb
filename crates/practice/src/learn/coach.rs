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

use super::inside::Inside;
use super::player::{Player, Shares};
use super::{Belief, ByHands, Chance, Drill, DrillEnd, Forecast, Heard, HeardPass, Honesty, Spacing};
use crate::{Hands, LoopBars, Speed};
use std::collections::BTreeMap;
use theory::Hand;

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
    /// Of the bar only the change into this chord: from the last beat before it into the first after.
    pub change: Option<usize>,
    /// How fast.
    pub speed: Speed,
    /// With which hands.
    pub hands: Hands,
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

/// Decides what one player plays next in one song.
///
/// Bars that are alike (the same bar in another pass of a verse) are one thing to learn: what is heard of one is heard of
/// all, and the first of them is drilled.
#[derive(Clone, Debug)]
pub struct Coach {
    /// Which item each bar is.
    kinds: Vec<usize>,
    bars: Vec<Item>,
    target: Speed,
    day: f64,
    turns: Vec<usize>,
    last: Option<usize>,
    /// What kind of player this is.
    player: Player,
    honesty: Honesty,
    /// What is inside of the bars: their changes from chord to chord.
    pub(super) inside: Inside,
}

/// What is known of one bar.
#[derive(Clone, Debug)]
struct Item {
    /// Where it is first played.
    first: usize,
    known: ByHands,
    /// Apart from its changes, with both hands.
    rest: Belief,
    /// The speed that the player's coach asks for.
    aim: Option<Speed>,
    /// Clean passes at the target in a row.
    clean_in_a_row: u32,
    drill: Option<Drill>,
    spacing: Option<Spacing>,
    /// It no longer got better: it rests until the song was played through, or until the next day.
    rests: bool,
}

impl Coach {
    /// For a song of so many bars, all different, to be clean at a speed.
    pub fn new(bars: usize, target: Speed) -> Coach {
        Coach::alike(&(0..bars).collect::<Vec<_>>(), target)
    }

    /// For a song of which each bar is known by something; bars known by the same are alike.
    ///
    /// ```
    /// use practice::{Speed, learn::Coach};
    /// // A verse of two bars, a bar between, and the verse again.
    /// let coach = Coach::alike(&["1", "4", "5", "1", "4"], Speed::FULL);
    /// assert_eq!((coach.len(), coach.things_to_learn()), (5, 3));
    /// ```
    pub fn alike<T: Ord>(bars: &[T], target: Speed) -> Coach {
        let mut seen: BTreeMap<&T, usize> = BTreeMap::new();
        let (mut kinds, mut items) = (Vec::new(), Vec::new());
        for (bar, known_by) in bars.iter().enumerate() {
            let kind = *seen.entry(known_by).or_insert(items.len());
            if kind == items.len() {
                items.push(Item::new(bar));
            }
            kinds.push(kind);
        }
        Coach {
            kinds,
            bars: items,
            target,
            day: 0.0,
            turns: Vec::new(),
            last: None,
            player: Player::default(),
            honesty: Honesty::default(),
            inside: Inside::default(),
        }
    }

    /// How many bars the song has.
    pub fn len(&self) -> usize {
        self.kinds.len()
    }

    /// Whether it has none.
    pub fn is_empty(&self) -> bool {
        self.kinds.is_empty()
    }

    /// How many different bars it has.
    pub fn things_to_learn(&self) -> usize {
        self.bars.len()
    }

    /// The speed that is aimed at.
    pub fn target(&self) -> Speed {
        self.target
    }

    /// What to play on a day; `None` in a song without bars.
    pub fn next(&mut self, day: f64) -> Option<Advice> {
        let all = LoopBars::new(0, self.kinds.len().checked_sub(1)?);
        let with_both =
            |bars, speed, why| Some(Advice { bars, change: None, speed, hands: Hands::Both, why });
        if day.floor() > self.day.floor() {
            self.turns.clear();
            self.bars.iter_mut().for_each(|b| (b.drill, b.rests) = (None, false));
        }
        self.day = self.day.max(day);
        if !self.is_known() {
            let speed = Speed::clamped(SURVEY_PERCENT.min(self.target.percent()));
            return with_both(all, speed, Why::Survey);
        }
        self.fill_turns();
        let next = self.turns.iter().position(|b| Some(*b) != self.last).unwrap_or(0);
        let Some(&kind) = self.turns.get(next) else { return with_both(all, self.target, Why::RunThrough) };
        let (item, day) = (&self.bars[kind], self.day);
        let bars = LoopBars::new(item.first, item.first);
        if item.is_due(day) && item.drill.is_none() {
            return with_both(bars, self.target, Why::AskedAgain);
        }
        if item.drill.is_none() {
            self.bars[kind].drill = self.drill(bars.from(), day);
        }
        let drill = self.bars[kind].drill.as_ref()?;
        let (change, speed, hands) = (drill.change(), drill.speed(), drill.hands());
        Some(Advice { bars, change, speed, hands, why: Why::Hard })
    }

    /// Whether anything was heard of it yet.
    pub fn is_known(&self) -> bool {
        self.bars.iter().any(|b| b.known.both.heard() > 0)
    }

    /// What was advised was played, and this was heard of its bars.
    pub fn heard(&mut self, advice: &Advice, heard: &[Heard], day: f64) {
        self.heard_pass(advice, &HeardPass::of_bars(heard.to_vec()), day);
    }

    /// What was advised was played, and this was heard of it.
    pub fn heard_pass(&mut self, advice: &Advice, heard: &HeardPass, day: f64) {
        self.remember_pass(heard, advice.speed, advice.hands, day);
        if advice.why == Why::Hard {
            self.drilled(advice.bars.from(), heard.is_clean(advice.change.is_some()));
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

    /// Takes in a pass of whatever bars, without a drill going on: what history remembers.
    pub fn remember_pass(&mut self, heard: &HeardPass, speed: Speed, hands: Hands, day: f64) {
        self.remember(&heard.bars, speed, hands, day);
        if hands == Hands::Both {
            for &Heard { bar, clean } in &heard.rests {
                let Some(kind) = self.kinds.get(bar) else { continue };
                self.bars[*kind].rest.hear(day, speed, clean);
            }
        }
        self.inside.hear(&heard.changes, speed, hands, day);
    }

    /// The same where nothing but bars was heard.
    pub fn remember(&mut self, heard: &[Heard], speed: Speed, hands: Hands, day: f64) {
        self.day = self.day.max(day);
        let at_target = speed.percent() >= self.target.percent();
        if hands == Hands::Both {
            self.hold_against(heard, speed, day);
        }
        for &Heard { bar, clean } in heard {
            let Some(kind) = self.kinds.get(bar) else { continue };
            let item = &mut self.bars[*kind];
            item.known.hear(hands, day, speed, clean);
            if hands == Hands::Both && at_target {
                item.asked_at_target(day, clean);
            }
        }
    }

    /// What was forecast of bars with both hands is held against what came: by how much forecasts are corrected, and what kind
    /// of player this is.
    fn hold_against(&mut self, heard: &[Heard], speed: Speed, day: f64) {
        let mut forecasts: Vec<(Forecast, bool)> = Vec::new();
        let mut by_kind: Vec<(Shares, bool)> = Vec::new();
        for &Heard { bar, clean } in heard {
            let Some(believed) = self.belief(bar) else { continue };
            let chances = believed.by_kind(speed, day);
            let (chance, slept) = (believed.mean_of(&chances), believed.slept(day));
            forecasts.push((Forecast { chance, slept }, clean));
            by_kind.push((chances, clean));
        }
        self.honesty.hear(&forecasts);
        self.player.hear(&by_kind);
        let shares = self.player.shares();
        for item in &mut self.bars {
            item.known.of_player(shares);
            item.rest.of_player(shares);
        }
        self.inside.of_player(shares);
    }

    /// While both hands played this bar, one of them failed: it is tried alone first.
    pub fn suspect(&mut self, bar: usize, hand: Hand) {
        if let Some(kind) = self.kinds.get(bar) {
            self.bars[*kind].known.suspect = Some(hand);
        }
    }

    /// A drill of a bar, as one would be begun on a day: of the change that it fails at first, if there is one.
    pub fn drill(&self, bar: usize, day: f64) -> Option<Drill> {
        let item = &self.bars[*self.kinds.get(bar)?];
        let target = item.aim.unwrap_or(self.target);
        let drill = Drill::new(&item.known, target, day);
        Some(match self.weak_change(bar, day) {
            Some((change, known)) => drill.after_change(change.slot, known, target, day),
            None => drill,
        })
    }

    /// A drill of a bar came to its end, clean at the target: it is asked again after a day.
    pub fn learned(&mut self, bar: usize, day: f64) {
        if let Some(kind) = self.kinds.get(bar) {
            self.bars[*kind].spacing = Some(Spacing::learned(day));
        }
    }

    /// A bar is to go so fast, or faster if that was asked for before.
    pub(super) fn aim_at(&mut self, bar: usize, speed: Speed) {
        if let Some(kind) = self.kinds.get(bar) {
            let aim = &mut self.bars[*kind].aim;
            let slower = aim.is_none_or(|known| known.percent() < speed.percent());
            *aim = if slower { Some(speed) } else { *aim };
        }
    }

    /// A bar was clean at the target: it is learned if that was a drill, or the second time in a row.
    pub(super) fn may_be_learned(&mut self, bar: usize, drilled: bool, day: f64) {
        if let Some(kind) = self.kinds.get(bar) {
            let item = &mut self.bars[*kind];
            if item.spacing.is_none() && (drilled || item.clean_in_a_row >= 2) {
                item.spacing = Some(Spacing::learned(day));
            }
        }
    }

    /// The first of each of the different bars, with the day on which it is asked again if it was learned.
    pub fn spacings(&self) -> impl Iterator<Item = (usize, Option<Spacing>)> + '_ {
        self.bars.iter().map(|item| (item.first, item.spacing))
    }

    /// What is believed of a bar with both hands, not corrected; `None` beyond the last.
    pub fn belief(&self, bar: usize) -> Option<Belief> {
        self.kinds.get(bar).map(|kind| self.believed(&self.bars[*kind]))
    }

    /// What is believed of a bar with one hand alone; with both as [`Coach::belief`].
    pub fn belief_of(&self, bar: usize, hands: Hands) -> Option<Belief> {
        let item = &self.bars[*self.kinds.get(bar)?];
        Some(if hands == Hands::Both { self.believed(item) } else { item.known.of(hands).clone() })
    }

    /// What is known of a bar, and of it apart from its changes.
    pub(super) fn known(&self, bar: usize) -> Option<(&ByHands, &Belief)> {
        let item = &self.bars[*self.kinds.get(bar)?];
        Some((&item.known, &item.rest))
    }

    /// The number of the thing to learn that a bar is.
    pub(super) fn kind(&self, bar: usize) -> Option<usize> {
        self.kinds.get(bar).copied()
    }

    /// The chance of each bar to be clean at the target, on a day.
    pub fn chances(&self, day: f64) -> Vec<Chance> {
        let of_kinds = self.chances_of_kinds(day);
        self.kinds.iter().map(|kind| of_kinds[*kind]).collect()
    }

    fn chances_of_kinds(&self, day: f64) -> Vec<Chance> {
        let others = Belief::like(self.bars.iter().map(|b| &b.known.both));
        let chance = |item: &Item| {
            let belief = if item.known.both.heard() == 0 { &others } else { &item.known.both };
            self.honesty.corrected_chance(belief.chance(self.target, day), belief.slept(day))
        };
        self.bars.iter().map(chance).collect()
    }

    /// The same expected, without bounds.
    fn means_of_kinds(&self, day: f64) -> Vec<f64> {
        let others = Belief::like(self.bars.iter().map(|b| &b.known.both));
        let mean = |item: &Item| {
            let belief = if item.known.both.heard() == 0 { &others } else { &item.known.both };
            let chance = belief.mean_of(&belief.by_kind(self.target, day));
            self.honesty.corrected(Forecast { chance, slept: belief.slept(day) })
        };
        self.bars.iter().map(mean).collect()
    }

    /// The chance of a clean run through all bars, on a day.
    pub fn song_chance(&self, day: f64) -> Chance {
        Chance::of_all(&self.chances(day))
    }

    /// What is believed of a bar; of one never heard, that it is like the others.
    fn believed(&self, item: &Item) -> Belief {
        match item.known.both.heard() {
            0 => Belief::like(self.bars.iter().map(|b| &b.known.both)),
            _ => item.known.both.clone(),
        }
    }

    /// Up to three bars take turns: those in hand, then what is due to be asked again, then the hardest.
    fn fill_turns(&mut self) {
        let due = |b: &Item| b.is_due(self.day);
        let chances = self.means_of_kinds(self.day);
        let open = |&bar: &usize| {
            let item = &self.bars[bar];
            let waits = item.rests || self.turns.contains(&bar);
            let learned = item.spacing.is_some() && !due(item);
            !waits && !learned && (due(item) || chances[bar] < READY)
        };
        let mut open: Vec<usize> = (0..self.bars.len()).filter(open).collect();
        open.sort_by(|a, b| {
            due(&self.bars[*b]).cmp(&due(&self.bars[*a])).then(chances[*a].total_cmp(&chances[*b]))
        });
        let room = TURNS.saturating_sub(self.turns.len());
        self.turns.extend(open.into_iter().take(room));
    }

    /// A pass of a drill was heard.
    fn drilled(&mut self, bar: usize, clean: bool) {
        let Some(&kind) = self.kinds.get(bar) else { return };
        let (day, item) = (self.day, &mut self.bars[kind]);
        match item.drill.as_mut().and_then(|drill| drill.heard(clean)) {
            Some(DrillEnd::Clean) => {
                (item.spacing, item.drill) = (Some(Spacing::learned(day)), None);
                self.turns.retain(|b| *b != kind);
            }
            Some(DrillEnd::NoBetter) => {
                (item.rests, item.drill) = (true, None);
                self.turns.retain(|b| *b != kind);
            }
            None => {}
        }
    }

    /// A bar goes to the end of the row; one that was asked and is there leaves it.
    fn took_a_turn(&mut self, bar: usize) {
        let Some(&kind) = self.kinds.get(bar) else { return };
        self.last = Some(kind);
        let place = self.turns.iter().position(|b| *b == kind);
        let asked = place.map(|p| self.turns.remove(p));
        let still_there = self.bars[kind].spacing.is_some_and(|s| s.due() > self.day);
        self.turns.extend(asked.filter(|_| !still_there));
    }
}

impl Item {
    fn new(first: usize) -> Item {
        Item {
            first,
            known: ByHands::default(),
            rest: Belief::new(),
            aim: None,
            clean_in_a_row: 0,
            drill: None,
            spacing: None,
            rests: false,
        }
    }

    fn is_due(&self, day: f64) -> bool {
        self.spacing.is_some_and(|s| s.due() <= day)
    }

    /// What is no longer there is learned again.
    fn asked_at_target(&mut self, day: f64, clean: bool) {
        self.clean_in_a_row = if clean { self.clean_in_a_row + 1 } else { 0 };
        self.spacing = self.spacing.filter(|_| clean);
        if let Some(spacing) = &mut self.spacing {
            spacing.asked(day, clean);
        }
    }
}
