//! One run: the clock goes from the start to a stop or the end of the song, in one pass or, looped, in several.

use crate::follow::WIDEST_MS;
use crate::sounds::Sounds;
use crate::transport::{Course, Transport};
use crate::{
    ChartTime, ClickStyle, ControlChange, CountIn, Cue, Expected, Follower, Hands, Heard, LoopBars, Mark,
    PlayedNote, Score, ScoreOptions, SessionSettings, Speed, Stamp, Take, Timeline, WrongKey, score,
};
use std::collections::HashMap;
use std::sync::Arc;
use theory::MidiKey;

/// A run is begun so long after it is asked for, so that its first sound can be prepared; in milliseconds.
const LEAD_MS: f64 = 120.0;

/// What a run goes through, fixed at its start.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub bars: LoopBars,
    /// Whether these are all bars of the song.
    pub whole: bool,
    pub course: Course,
    /// What is asked of the player; nothing while listening.
    pub expected: Arc<Expected>,
    pub hands: Hands,
    pub sounds: Sounds,
}

impl Plan {
    /// When the first note of a pass is expected, or the pass starts.
    fn first_expected(&self) -> f64 {
        self.expected.notes.first().map_or(self.course.start, |n| n.at.ms().min(self.course.start))
    }
}

/// A run under way.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    plan: Plan,
    transport: Transport,
    /// The pass under way, before it the last one while late strikes may still belong to it, after it the next one once an
    /// early strike belonged to it.
    passes: Vec<Pass>,
    /// Where the note of a held key is kept: its pass, and its place in it.
    held: HashMap<MidiKey, (u32, usize)>,
}

/// What is kept of one pass.
#[derive(Clone, Debug)]
struct Pass {
    number: u32,
    follower: Follower,
    notes: Vec<PlayedNote>,
    controls: Vec<ControlChange>,
    wrong: Vec<WrongKey>,
}

/// A pass that is over.
#[derive(Clone, Debug)]
pub(crate) struct Finished {
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
        let first = Pass::new(0, &plan, speed);
        Run { plan, transport, passes: vec![first], held: HashMap::new() }
    }

    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The pass and the place in the song, in chart milliseconds.
    pub fn place(&self, now: Stamp) -> (u32, f64) {
        self.plan.course.place(self.transport.run_ms(now))
    }

    pub fn set_speed(&mut self, now: Stamp, speed: Speed, timeline: &Timeline, style: ClickStyle) {
        self.transport.set_speed(now, speed);
        self.set_click_style(timeline, style);
    }

    pub fn set_click_style(&mut self, timeline: &Timeline, style: ClickStyle) {
        self.plan.sounds.set_clicks(timeline, self.plan.bars, self.transport.speed(), style);
    }

    pub fn cues(&self, click: bool, from: Stamp, to: Stamp) -> Vec<Cue> {
        let mut cues = self.plan.sounds.cues(&self.transport, &self.plan.course, click, from, to);
        if !self.plan.course.looped {
            let end = self.transport.stamp(self.plan.course.end);
            cues.retain(|c| c.at < end || matches!(c.kind, crate::CueKind::NoteOff { .. }));
        }
        cues
    }

    /// A key went down. `None` if it was struck while counting in, too early for the first notes.
    pub fn note_on(&mut self, at: Stamp, key: MidiKey, velocity: u8, timeline: &Timeline) -> Option<Heard> {
        let run_ms = self.transport.run_ms(at);
        let number = self.pass_of(run_ms, key);
        let chart = self.plan.course.in_pass(run_ms, number);
        if self.is_after(chart) {
            return None;
        }
        let index = self.pass_index(number);
        let pass = &mut self.passes[index];
        let heard = pass.follower.strike(chart, key, self.transport.speed());
        if heard == Heard::Wrong {
            if run_ms < self.plan.first_expected() - WIDEST_MS {
                return None;
            }
            let bar = timeline.bar_at(chart).unwrap_or(0);
            pass.wrong.push(WrongKey { bar, at: chart, key });
        }
        pass.notes.push(PlayedNote { at: chart, length: None, key, velocity });
        self.held.insert(key, (number, pass.notes.len() - 1));
        Some(heard)
    }

    pub fn note_off(&mut self, at: Stamp, key: MidiKey) {
        let Some((number, index)) = self.held.remove(&key) else { return };
        let chart = self.plan.course.in_pass(self.transport.run_ms(at), number);
        if self.is_after(chart) {
            return;
        }
        if let Some(pass) = self.passes.iter_mut().find(|p| p.number == number) {
            let note = &mut pass.notes[index];
            note.length = Some((chart - note.at).max(ChartTime::ZERO));
        }
    }

    /// A pedal moved. It belongs to the pass under way.
    pub fn control(&mut self, at: Stamp, controller: u8, value: u8) {
        let run_ms = self.transport.run_ms(at);
        let number = self.plan.course.place(run_ms).0;
        let at = self.plan.course.in_pass(run_ms, number);
        if !self.is_after(at) {
            let index = self.pass_index(number);
            self.passes[index].controls.push(ControlChange { at, controller, value });
        }
    }

    /// Marks what was missed; gives the passes that are over, and whether the run is.
    pub fn tick(&mut self, now: Stamp) -> (Vec<Finished>, bool) {
        let run_ms = self.transport.run_ms(now);
        for pass in &mut self.passes {
            pass.follower.pass(self.plan.course.in_pass(run_ms, pass.number));
        }
        // Also a pass in which nobody looked.
        let known = self.passes.iter().map(|p| p.number + 1).max().unwrap_or(0);
        for number in known..=self.plan.course.place(run_ms).0 {
            self.pass_index(number);
        }
        let mut finished = Vec::new();
        let is_over =
            |p: &Pass| run_ms > self.plan.course.run_start(p.number) + self.plan.course.end + WIDEST_MS;
        while let Some(over) = self.passes.iter().position(is_over) {
            let pass = self.passes.remove(over);
            finished.extend(self.finish(pass, None));
        }
        (finished, !self.plan.course.looped && run_ms > self.plan.course.end + WIDEST_MS)
    }

    /// Stops. What was begun is scored up to the last note that was struck.
    pub fn stop(mut self, now: Stamp) -> Vec<Finished> {
        let (mut finished, over) = self.tick(now);
        if !over {
            for pass in std::mem::take(&mut self.passes) {
                if let Some(until) = pass.follower.last_struck() {
                    finished.extend(self.finish(pass, Some(until)));
                }
            }
        }
        finished
    }

    /// Marks of the pass under way, by event of the part.
    pub fn marks(&self, now: Stamp) -> impl Iterator<Item = (usize, Mark)> {
        let current = self.place(now).0;
        let pass = self.passes.iter().find(|p| p.number == current);
        pass.into_iter().flat_map(|p| {
            p.follower.expected().notes.iter().map(|n| n.event).zip(p.follower.marks().iter().copied())
        })
    }

    pub fn wrong(&self, now: Stamp) -> Vec<WrongKey> {
        let current = self.place(now).0;
        self.passes.iter().find(|p| p.number == current).map(|p| p.wrong.clone()).unwrap_or_default()
    }

    /// What was played so far in the pass under way.
    pub fn so_far(&self, now: Stamp) -> &[PlayedNote] {
        let current = self.place(now).0;
        self.passes.iter().find(|p| p.number == current).map_or(&[], |p| &p.notes)
    }

    /// The beat that is being counted in, if one is.
    pub fn counting_in(&self, now: Stamp, timeline: &Timeline) -> Option<CountIn> {
        let left = self.plan.course.start - self.transport.run_ms(now);
        let first = self.plan.sounds.first_count()?;
        let bar = timeline.bars().get(self.plan.bars.from())?;
        if left <= 0.0 {
            return None;
        }
        let bar_ms = bar.ms_per_quarter() * bar.length.to_f64();
        let left = left.min(self.plan.course.start - first);
        let bars_left = (left / bar_ms).ceil().max(1.0);
        let into = (bars_left * bar_ms - left) / bar.beat_ms();
        let beat = (into + 1e-9).floor() as u8 + 1;
        Some(CountIn { beat: beat.min(bar.beat.count), of: bar.beat.count, bars_left: bars_left as u32 })
    }

    /// The pass that a strike belongs to: the one under way, unless it fits only a neighbour.
    fn pass_of(&mut self, run_ms: f64, key: MidiKey) -> u32 {
        let current = self.plan.course.place(run_ms).0;
        if !self.plan.course.looped {
            return current;
        }
        let next_begins =
            run_ms + WIDEST_MS > self.plan.course.run_start(current + 1) + self.plan.first_expected();
        if next_begins {
            self.pass_index(current + 1);
        }
        let order = [Some(current), next_begins.then_some(current + 1), current.checked_sub(1)];
        let fits = |number: &u32| {
            let pass = self.passes.iter().find(|p| p.number == *number);
            pass.is_some_and(|p| {
                p.follower.would_be(self.plan.course.in_pass(run_ms, *number), key).is_some()
            })
        };
        order.into_iter().flatten().find(fits).unwrap_or(current)
    }

    /// Whether a pass is over at this time of it. Only the stamp decides, not when the next tick comes.
    fn is_after(&self, chart: ChartTime) -> bool {
        chart.ms() > self.plan.course.end + WIDEST_MS
    }

    /// Where a pass is kept; it is begun if it is new.
    fn pass_index(&mut self, number: u32) -> usize {
        if let Some(index) = self.passes.iter().position(|p| p.number == number) {
            return index;
        }
        self.passes.push(Pass::new(number, &self.plan, self.transport.speed()));
        self.passes.len() - 1
    }

    fn finish(&self, pass: Pass, until: Option<ChartTime>) -> Option<Finished> {
        if self.plan.expected.notes.is_empty() {
            return None;
        }
        let bars = (!self.plan.whole).then_some(self.plan.bars);
        let end = self.plan.course.run_start(pass.number) + self.plan.course.end + WIDEST_MS;
        let speed = self.transport.speed_at(end);
        let take = Take { until, ..Take::new(pass.notes, speed, self.plan.hands, bars) }
            .with_controls(pass.controls);
        let expected = until.map(|u| self.plan.expected.until(u));
        let options = ScoreOptions { speed, ..ScoreOptions::default() };
        let score = score(expected.as_ref().unwrap_or(&self.plan.expected), &take.notes, &options);
        Some(Finished { take, score })
    }
}

impl Pass {
    fn new(number: u32, plan: &Plan, speed: Speed) -> Pass {
        let follower = Follower::new(plan.expected.clone(), speed);
        Pass { number, follower, notes: Vec::new(), controls: Vec::new(), wrong: Vec::new() }
    }
}

/// The plan of a run with these settings through these bars.
pub(crate) fn plan(
    part: &voicing::Part,
    timeline: &Timeline,
    settings: &SessionSettings,
    bars: LoopBars,
) -> Plan {
    let whole = bars.from() == 0 && bars.to() + 1 == part.bars.len();
    let listening = settings.mode == crate::Mode::Listen;
    let expected = if listening {
        Expected::default()
    } else {
        Expected::of_part(part, timeline, settings.hands, (!whole).then_some(bars))
    };
    let mut sounds = Sounds::notes(part, timeline, bars, |h| listening || !settings.hands.has(h));
    sounds.set_clicks(timeline, bars, settings.speed, settings.click_style);
    if settings.count_in {
        sounds.set_count_in(timeline, bars.from(), settings.speed, settings.click_style);
    }
    let edge = |bar: Option<&crate::BarTime>, end: bool| {
        bar.map_or(
            0.0,
            |b| if end { b.start_ms + b.ms_per_quarter() * b.length.to_f64() } else { b.start_ms },
        )
    };
    let course = Course {
        start: edge(timeline.bars().get(bars.from()), false),
        end: edge(timeline.bars().get(bars.to()), true),
        looped: settings.loop_bars.is_some(),
    };
    Plan { bars, whole, course, expected: Arc::new(expected), hands: settings.hands, sounds }
}
