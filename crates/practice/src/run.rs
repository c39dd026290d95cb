//! One run: the clock goes from the start to a stop or the end of the song, in one pass or, looped, in several.

use crate::follow::WIDEST_MS;
use crate::leg::{Cut, Edge, Leg, Plan};
use crate::sounds::order;
use crate::transport::{Segment, Transport};
use crate::{
    ChartTime, ClickStyle, ControlChange, CountIn, Cue, Expected, Follower, Heard, LoopBars, Mark,
    PlayedNote, Score, ScoreOptions, Speed, Stamp, Take, TakeTempo, Timeline, WrongKey, score,
};
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;
use theory::{Hand, MidiKey};
use voicing::Part;

/// A run is begun so long after it is asked for, so that its first sound can be prepared; in milliseconds.
const LEAD_MS: f64 = 120.0;
/// Another speed, other hands, another key and other bars hold so long after they are asked for at the earliest: what was
/// handed out to be sounded until then stays right, and nothing that sounds is cut off. In milliseconds as played.
const CHANGE_AHEAD_MS: f64 = 250.0;

/// A run under way.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    /// By time; the last one may be still to come.
    legs: Vec<Leg>,
    transport: Transport,
    /// The pass under way, before it the last one while late strikes may still belong to it, after it the next one once an
    /// early strike belonged to it.
    passes: Vec<Pass>,
    /// Where the note of a held key is kept: its pass, and its place in it.
    held: HashMap<MidiKey, (u32, usize)>,
    /// Passes that were cut off and are over, while the player's pass goes on.
    earlier: Vec<Earlier>,
}

/// What is kept of one pass.
#[derive(Clone, Debug)]
struct Pass {
    number: u32,
    part: Arc<Part>,
    follower: Follower,
    notes: Vec<PlayedNote>,
    controls: Vec<ControlChange>,
    wrong: Vec<WrongKey>,
}

/// The marks of a pass that was cut off, by event.
#[derive(Clone, Debug)]
struct Earlier {
    /// As which pass the player counts it.
    shown: u32,
    part: Arc<Part>,
    marks: Vec<(usize, Mark)>,
}

/// A pass that is over.
#[derive(Clone, Debug)]
pub(crate) struct Finished {
    pub part: Arc<Part>,
    pub take: Take,
    pub score: Score,
}

impl Run {
    /// Starts soon after `now`, with the count-in if the plan's sounds have one.
    pub fn start(plan: Plan, now: Stamp, speed: Speed) -> Run {
        let first_note =
            plan.expected.notes.first().map(|n| n.at.ms()).into_iter().chain(plan.sounds.first_note());
        let start = first_note.chain(plan.sounds.first_count()).fold(plan.course.start, f64::min);
        let transport = Transport::start(now.plus_ms(LEAD_MS), start, speed);
        let mut run = Run {
            legs: vec![Leg::first(plan)],
            transport,
            passes: Vec::new(),
            held: HashMap::new(),
            earlier: Vec::new(),
        };
        run.pass_index(0);
        run
    }

    /// The plan that holds at a moment.
    pub fn plan(&self, now: Stamp) -> &Plan {
        &self.legs[self.leg_at(self.transport.run_ms(now))].plan
    }

    /// The pass, as the player counts, and the place in the song, in chart milliseconds.
    pub fn place(&self, now: Stamp) -> (u32, f64) {
        let run_ms = self.transport.run_ms(now);
        let leg = &self.legs[self.leg_at(run_ms)];
        let (pass, at) = leg.place(run_ms);
        (leg.shown_as + pass, at)
    }

    pub fn set_speed(&mut self, now: Stamp, speed: Speed, timeline: &Timeline, style: ClickStyle) {
        self.transport.set_speed(now.plus_ms(CHANGE_AHEAD_MS), speed);
        self.set_click_style(timeline, style);
    }

    pub fn set_click_style(&mut self, timeline: &Timeline, style: ClickStyle) {
        let speed = self.transport.speed();
        for leg in &mut self.legs {
            leg.plan.sounds.set_clicks(timeline, leg.plan.bars, speed, style);
        }
    }

    pub fn cues(&self, click: bool, from: Stamp, to: Stamp) -> Vec<Cue> {
        let mut cues = self.legs[0].plan.sounds.count_cues(&self.transport, from, to);
        cues.extend(self.legs.iter().flat_map(|leg| leg.cues(&self.transport, click, from, to)));
        cues.sort_by_key(|c: &Cue| (c.at, order(&c.kind)));
        cues
    }

    /// A key went down: what it was heard as, and whose it is if it is in the part. `None` if it was struck while counting
    /// in, too early for the first notes.
    pub fn note_on(
        &mut self,
        at: Stamp,
        key: MidiKey,
        velocity: u8,
        timeline: &Timeline,
    ) -> Option<(Heard, Option<Hand>)> {
        let run_ms = self.transport.run_ms(at);
        let number = self.pass_of(run_ms, key);
        if self.is_after(number, run_ms) {
            return None;
        }
        let chart = self.in_pass(run_ms, number);
        let index = self.pass_index(number);
        let pass = &mut self.passes[index];
        let heard = pass.follower.strike(chart, key, self.transport.speed_at(run_ms));
        let hand = match heard {
            Heard::Note(n) => Some(pass.follower.expected().notes[n].hand),
            Heard::Wrong if run_ms < self.legs[0].plan.first_expected() - WIDEST_MS => return None,
            Heard::Wrong => {
                let bar = timeline.bar_at(chart).unwrap_or(0);
                pass.wrong.push(WrongKey { bar, at: chart, key });
                None
            }
        };
        pass.notes.push(PlayedNote { at: chart, length: None, key, velocity });
        self.held.insert(key, (number, pass.notes.len() - 1));
        Some((heard, hand))
    }

    pub fn note_off(&mut self, at: Stamp, key: MidiKey) {
        let Some((number, index)) = self.held.remove(&key) else { return };
        let run_ms = self.transport.run_ms(at);
        if self.is_after(number, run_ms) {
            return;
        }
        let chart = self.in_pass(run_ms, number);
        if let Some(pass) = self.passes.iter_mut().find(|p| p.number == number) {
            let note = &mut pass.notes[index];
            note.length = Some((chart - note.at).max(ChartTime::ZERO));
        }
    }

    /// A pedal moved. It belongs to the pass under way.
    pub fn control(&mut self, at: Stamp, controller: u8, value: u8) {
        let run_ms = self.transport.run_ms(at);
        let number = self.pass_at(run_ms);
        if !self.is_after(number, run_ms) {
            let at = self.in_pass(run_ms, number);
            let index = self.pass_index(number);
            self.passes[index].controls.push(ControlChange { at, controller, value });
        }
    }

    /// Marks what was missed; gives the passes that are over, and whether the run is.
    pub fn tick(&mut self, now: Stamp) -> (Vec<Finished>, bool) {
        let run_ms = self.transport.run_ms(now);
        // Also a pass in which nobody looked.
        let known = self.passes.iter().map(|p| p.number + 1).max().unwrap_or(0);
        for number in known..=self.pass_at(run_ms) {
            self.pass_index(number);
        }
        for index in 0..self.passes.len() {
            let chart = self.in_pass(run_ms, self.passes[index].number);
            self.passes[index].follower.pass(chart);
        }
        let mut finished = Vec::new();
        self.passes.sort_by_key(|pass| pass.number);
        while let Some(over) = self.passes.iter().position(|p| self.is_after(p.number, run_ms)) {
            let pass = self.passes.remove(over);
            self.hand_on_pedals(&pass);
            self.keep_marks(&pass);
            finished.extend(self.finish(pass, None));
        }
        let end = self.legs.last().and_then(Leg::end);
        (finished, end.is_some_and(|end| run_ms > end + WIDEST_MS))
    }

    /// Stops. What was begun is scored up to the last note that was struck.
    pub fn stop(mut self, now: Stamp) -> Vec<Finished> {
        let (mut finished, over) = self.tick(now);
        self.transport.stop(now);
        if !over {
            self.passes.sort_by_key(|pass| pass.number);
            // Those that were begun: of a loop a pedal that is down goes on into one more, which is not.
            for _ in 0..self.passes.len() {
                let pass = self.passes.remove(0);
                self.hand_on_pedals(&pass);
                if let Some(until) = pass.follower.last_struck() {
                    finished.extend(self.finish(pass, Some(until)));
                }
            }
        }
        finished
    }

    /// Marks of the pass under way, by event of the part that is played now.
    pub fn marks(&self, now: Stamp) -> Vec<(usize, Mark)> {
        let (shown, _) = self.place(now);
        let part = &self.plan(now).part;
        let earlier = self.earlier.iter().filter(|e| e.shown == shown && Arc::ptr_eq(&e.part, part));
        let mut marks: Vec<(usize, Mark)> = earlier.flat_map(|e| e.marks.iter().copied()).collect();
        for pass in &self.passes {
            let leg = self.leg_of(pass.number);
            let of_this_pass = leg.shown_as + (pass.number - leg.first_pass) == shown;
            if of_this_pass && Arc::ptr_eq(&leg.plan.part, part) {
                let events = pass.follower.expected().notes.iter().map(|n| n.event);
                marks.extend(events.zip(pass.follower.marks().iter().copied()));
            }
        }
        marks
    }

    pub fn wrong(&self, now: Stamp) -> Vec<WrongKey> {
        let current = self.pass_at(self.transport.run_ms(now));
        self.passes.iter().find(|p| p.number == current).map(|p| p.wrong.clone()).unwrap_or_default()
    }

    /// What was played so far in the first pass, and what was expected in it; `None` once it is over or was cut off.
    pub fn first_pass(&self) -> Option<(&Expected, &[PlayedNote])> {
        let pass = self.passes.iter().find(|p| p.number == 0 && self.legs.len() == 1)?;
        Some((pass.follower.expected().as_ref(), &pass.notes))
    }

    /// The beat that is being counted in, if one is.
    pub fn counting_in(&self, now: Stamp, timeline: &Timeline) -> Option<CountIn> {
        let plan = &self.legs[0].plan;
        let left = plan.course.start - self.transport.run_ms(now);
        let first = plan.sounds.first_count()?;
        let bar = timeline.bars().get(plan.bars.from())?;
        if left <= 0.0 {
            return None;
        }
        let bar_ms = bar.ms_per_quarter() * bar.length.to_f64();
        let left = left.min(plan.course.start - first);
        let bars_left = (left / bar_ms).ceil().max(1.0);
        let into = (bars_left * bar_ms - left) / bar.beat_ms();
        let beat = (into + 1e-9).floor() as u8 + 1;
        Some(CountIn { beat: beat.min(bar.beat.count), of: bar.beat.count, bars_left: bars_left as u32 })
    }
}

/// Changes while it runs.
impl Run {
    /// From a little after `now` on another plan through the same bars: other hands, or another part with bars of the same
    /// lengths. The beat goes on.
    pub fn replan(&mut self, now: Stamp, plan: impl Fn(LoopBars, bool) -> Plan) {
        let at = self.transport.run_ms(now.plus_ms(CHANGE_AHEAD_MS));
        let index = self.leg_at(at);
        let old = &mut self.legs[index];
        let (pass, place) = old.place(at);
        let place = ChartTime::from_ms(place);
        let next = Leg {
            plan: plan(old.plan.bars, old.plan.course.looped),
            begin: at,
            zero: old.zero + old.plan.course.run_start(pass),
            first_pass: old.first_pass + pass + 1,
            shown_as: old.shown_as + pass,
            starts: Some(Edge::Time(place)),
            cut: old.cut.map(|c| Cut { pass: c.pass - pass, ..c }),
        };
        // A bar edge behind which the leg began still holds for what is left of that pass.
        old.cut = Some(Cut { pass, edge: Edge::Time(place), at });
        let last_of_old = old.first_pass + pass;
        self.legs.insert(index + 1, next);
        for leg in &mut self.legs[index + 2..] {
            leg.plan = plan(leg.plan.bars, leg.plan.course.looped);
            leg.first_pass += 1;
        }
        let later = |number: &mut u32| *number += u32::from(*number > last_of_old);
        self.passes.iter_mut().for_each(|p| later(&mut p.number));
        self.held.values_mut().for_each(|h| later(&mut h.0));
        self.expect_anew();
    }

    /// From the next bar line on other bars, again and again, or without bars on to the end of the song. Where the next bar
    /// is one of them, it is gone on with; else the first of them follows. Gives whether that can be: not while counting in.
    pub fn turn_to(
        &mut self,
        now: Stamp,
        timeline: &Timeline,
        bars: Option<LoopBars>,
        plan: impl Fn(LoopBars, bool) -> Plan,
    ) -> bool {
        let mut at = self.transport.run_ms(now.plus_ms(CHANGE_AHEAD_MS));
        if at < self.legs[0].plan.course.start {
            return false;
        }
        self.drop_what_is_to_come(at, timeline);
        let old = self.legs.last_mut().expect("a run has a leg and loses none that has begun");
        at = at.max(old.begin);
        let turn = loop {
            if old.end().is_some_and(|end| at >= end) {
                return true;
            }
            let turn = Turn::after(old, at, timeline, bars);
            if turn.line - turn.lead(old, timeline) >= at {
                break turn;
            }
            at = turn.line;
        };
        old.cut = Some(Cut { pass: turn.pass, edge: Edge::Bar(turn.bar + 1), at: turn.line });
        let first_pass = old.first_pass + turn.pass + 1;
        if let Some(start) = timeline.bars().get(turn.first).map(|b| b.start_ms) {
            self.legs.push(Leg {
                plan: plan(turn.bars, bars.is_some()),
                begin: turn.line,
                zero: turn.line - start,
                first_pass,
                shown_as: 0,
                starts: Some(Edge::Bar(turn.first)),
                cut: None,
            });
        }
        self.expect_anew();
        true
    }
}

/// Where a run turns to other bars.
struct Turn {
    /// The last bar of before, and in which pass of its leg.
    bar: usize,
    pass: u32,
    /// When that bar is over, in run time.
    line: f64,
    /// The bar that would follow.
    follows: usize,
    /// The bars turned to, and the one that follows now; beyond the last, none.
    bars: LoopBars,
    first: usize,
}

impl Turn {
    /// At the end of the bar that a leg has reached at a run time.
    fn after(leg: &Leg, at: f64, timeline: &Timeline, bars: Option<LoopBars>) -> Turn {
        let (pass, place) = leg.place(at);
        let reached = timeline.bars().partition_point(|b| b.start_ms <= place).saturating_sub(1);
        let bar = reached.clamp(leg.plan.bars.from(), leg.plan.bars.to());
        let line = at + (timeline.bars().get(bar).map_or(place, crate::BarTime::end_ms) - place);
        let around = leg.plan.course.looped && bar == leg.plan.bars.to() && bars.is_some();
        let follows = if around { leg.plan.bars.from() } else { bar + 1 };
        let last = timeline.bars().len().saturating_sub(1);
        let (bars, first) = match bars {
            Some(bars) => (bars, if bars.contains(follows) { follows } else { bars.from() }),
            None => (LoopBars::new(follows.min(last), last), follows),
        };
        Turn { bar, pass, line, follows, bars, first }
    }

    /// How long before the bar line a pushed chord begins, of the bar that would follow or of the one that does.
    fn lead(&self, leg: &Leg, timeline: &Timeline) -> f64 {
        leg.plan.lead(self.follows, timeline).max(leg.plan.lead(self.first, timeline))
    }
}

/// Passes and legs.
impl Run {
    /// The leg that holds at a run time.
    fn leg_at(&self, run_ms: f64) -> usize {
        self.legs.iter().rposition(|leg| leg.begin <= run_ms).unwrap_or(0)
    }

    /// The leg of a pass.
    fn leg_of(&self, number: u32) -> &Leg {
        let leg = self.legs.iter().rfind(|leg| leg.first_pass <= number);
        leg.expect("the first leg begins with pass 0")
    }

    /// The pass at a run time.
    fn pass_at(&self, run_ms: f64) -> u32 {
        let leg = &self.legs[self.leg_at(run_ms)];
        leg.first_pass + leg.place(run_ms).0
    }

    /// A run time in the song's own terms within a pass: places before its start lie in the pass before.
    fn in_pass(&self, run_ms: f64, number: u32) -> ChartTime {
        let leg = self.leg_of(number);
        leg.in_pass(run_ms, number - leg.first_pass)
    }

    /// The pass that a strike belongs to: the one under way, unless it fits only a neighbour.
    fn pass_of(&mut self, run_ms: f64, key: MidiKey) -> u32 {
        let current = self.pass_at(run_ms);
        let next = self.next_pass(current).filter(|next| self.begins(*next) < run_ms + WIDEST_MS);
        if let Some(next) = next {
            self.pass_index(next);
        }
        let fits = |number: &u32| {
            let pass = self.passes.iter().find(|p| p.number == *number);
            pass.is_some_and(|p| p.follower.would_be(self.in_pass(run_ms, *number), key).is_some())
        };
        let order = [Some(current), next, current.checked_sub(1)];
        order.into_iter().flatten().find(fits).unwrap_or(current)
    }

    fn next_pass(&self, number: u32) -> Option<u32> {
        let leg = self.leg_of(number);
        let cut_here = leg.cut.is_some_and(|c| c.pass <= number - leg.first_pass);
        let another_leg = self.legs.last().is_some_and(|last| last.first_pass > number);
        (if cut_here { another_leg } else { leg.plan.course.looped }).then_some(number + 1)
    }

    /// When the first note of a pass is expected, or the pass starts, in run time.
    fn begins(&self, number: u32) -> f64 {
        let leg = self.leg_of(number);
        let pass = number - leg.first_pass;
        let first = leg.expected(pass).notes.first().map_or(f64::INFINITY, |n| n.at.ms());
        leg.pass_start(pass) + first.min(leg.plan.course.start.max(leg.begin - leg.pass_start(pass)))
    }

    /// Whether a pass is over. Only the stamp decides, not when the next tick comes.
    fn is_after(&self, number: u32, run_ms: f64) -> bool {
        let leg = self.leg_of(number);
        run_ms > leg.pass_end(number - leg.first_pass) + WIDEST_MS
    }

    /// Where a pass is kept; it is begun if it is new.
    fn pass_index(&mut self, number: u32) -> usize {
        if let Some(index) = self.passes.iter().position(|p| p.number == number) {
            return index;
        }
        let leg = self.leg_of(number);
        let follower = Follower::new(leg.expected(number - leg.first_pass), self.transport.speed());
        let part = leg.plan.part.clone();
        let (notes, controls, wrong) = (Vec::new(), Vec::new(), Vec::new());
        self.passes.push(Pass { number, part, follower, notes, controls, wrong });
        self.passes.len() - 1
    }

    /// Legs that have not begun at a run time are forgotten.
    fn drop_what_is_to_come(&mut self, run_ms: f64, timeline: &Timeline) {
        let is_to_come = |leg: &mut Leg| {
            let bar = timeline.bar_at(leg.in_pass(leg.begin, 0)).unwrap_or(0);
            leg.begin - leg.plan.lead(bar, timeline) > run_ms
        };
        while let Some(dropped) = self.legs.pop_if(is_to_come) {
            self.passes.retain(|p| p.number < dropped.first_pass);
            self.held.retain(|_, held| held.0 < dropped.first_pass);
            if let Some(last) = self.legs.last_mut() {
                last.cut = None;
            }
        }
    }

    /// What the passes under way expect, after the legs were changed.
    fn expect_anew(&mut self) {
        for index in 0..self.passes.len() {
            let leg = self.leg_of(self.passes[index].number);
            let expected = leg.expected(self.passes[index].number - leg.first_pass);
            let part = leg.plan.part.clone();
            let speed = self.transport.speed();
            let pass = &mut self.passes[index];
            let same_part = Arc::ptr_eq(&pass.part, &part);
            pass.follower.expect(expected, speed, same_part);
            pass.part = part;
        }
    }

    /// A pedal that is down when a pass is over is down as the next one begins.
    fn hand_on_pedals(&mut self, pass: &Pass) {
        let leg = self.leg_of(pass.number);
        let end = leg.pass_end(pass.number - leg.first_pass);
        let Some(number) = self.next_pass(pass.number) else { return };
        let at = self.in_pass(end, number);
        let last: BTreeMap<u8, u8> = pass.controls.iter().map(|c| (c.controller, c.value)).collect();
        let down = last.into_iter().filter(|(_, value)| *value > 0);
        let down: Vec<_> = down.map(|(controller, value)| ControlChange { at, controller, value }).collect();
        if !down.is_empty() {
            let next = self.pass_index(number);
            self.passes[next].controls.splice(0..0, down);
        }
    }

    /// Of a pass that was cut off, the marks stay in sight while the player's pass goes on.
    fn keep_marks(&mut self, pass: &Pass) {
        let leg = self.leg_of(pass.number);
        let local = pass.number - leg.first_pass;
        let goes_on = leg.cut.is_some_and(|c| c.pass == local && matches!(c.edge, Edge::Time(_)));
        let shown = leg.shown_as + local;
        if goes_on {
            let events = pass.follower.expected().notes.iter().map(|n| n.event);
            let marks = events.zip(pass.follower.marks().iter().copied());
            self.earlier.retain(|e| e.shown == shown && Arc::ptr_eq(&e.part, &pass.part));
            self.earlier.push(Earlier { shown, part: pass.part.clone(), marks: marks.collect() });
        }
    }

    fn finish(&self, pass: Pass, stopped: Option<ChartTime>) -> Option<Finished> {
        let expected = pass.follower.expected();
        if expected.notes.is_empty() {
            return None;
        }
        let leg = self.leg_of(pass.number);
        let local = pass.number - leg.first_pass;
        let covers = leg.coverage(local);
        let until = stopped.or(covers.until);
        let speed = self.transport.speed_at(leg.pass_end(local) + WIDEST_MS);
        let tempo = self.tempo_under(&pass, leg, local);
        let take = Take::over(tempo, pass.notes, speed, leg.plan.hands, covers.bars);
        let take = Take { from: covers.from, until, key: Some(leg.plan.part.key), ..take };
        let take = take.with_controls(pass.controls);
        let options = ScoreOptions { speed, ..ScoreOptions::default() };
        let score = score(&expected.between(None, stopped), &take.notes, &options);
        Some(Finished { part: leg.plan.part.clone(), take, score })
    }

    /// The chart under a pass, from the bar that it begins in to the one that was reached.
    fn tempo_under(&self, pass: &Pass, leg: &Leg, local: u32) -> TakeTempo {
        let timeline = Timeline::new(&leg.plan.part);
        let covers = leg.coverage(local);
        let bar = |at: ChartTime| timeline.bar_at(at).unwrap_or(0);
        let bars = covers.bars.unwrap_or(leg.plan.bars);
        let first = covers.from.map_or(bars.from(), bar);
        let ends = pass.notes.iter().map(|n| n.at + n.length.unwrap_or_default());
        let last = ends.chain(pass.controls.iter().map(|c| c.at)).max().map_or(first, bar);
        // What changed after it is another pass's, however late one looks.
        let over = leg.pass_end(local) + WIDEST_MS;
        let since = |s: &Segment| (s.run_ms - leg.pass_start(local), s.speed);
        let speeds: Vec<(f64, Speed)> =
            self.transport.segments().iter().filter(|s| s.run_ms <= over).map(since).collect();
        TakeTempo::of_bars(&timeline, LoopBars::new(first, last.clamp(first, bars.to().max(first))), &speeds)
    }
}
