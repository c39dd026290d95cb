//! The session: settings, transport, following and score as one state machine without clock or thread.

use crate::leg::Plan;
use crate::places::{Places, back, forward};
use crate::run::{Finished, Run};
use crate::sounds::order;
use crate::{
    Accent, ExtraKind, Heard, HeldKey, KeyVerdict, Lap, LoopBars, Mark, Mode, Position, Score,
    SessionCommand, SessionSettings, SessionView, SlotRef, Stamp, StepHeard, Stepper, Take, Timeline,
    WrongKey, octave_off, steps,
};
use song::Quarters;
use std::collections::BTreeMap;
use std::sync::Arc;
use theory::{Hand, MidiKey};
use voicing::Part;

/// What happened to a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteChange {
    /// It went down, so hard (1 to 127).
    On {
        /// 1 to 127.
        velocity: u8,
    },
    /// It came up.
    Off,
}

/// Something to be sounded by the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cue {
    /// When, exactly.
    pub at: Stamp,
    /// What.
    pub kind: CueKind,
}

/// What to sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CueKind {
    /// A note begins.
    NoteOn {
        /// Whose it is.
        hand: Hand,
        /// Its key.
        key: MidiKey,
        /// 1 to 127.
        velocity: u8,
    },
    /// A note ends.
    NoteOff {
        /// Whose it is.
        hand: Hand,
        /// Its key.
        key: MidiKey,
    },
    /// A click.
    Click(Accent),
    /// A key of a take that is heard again goes down.
    TakeOn {
        /// Its key.
        key: MidiKey,
        /// 1 to 127, as it was played.
        velocity: u8,
    },
    /// It comes up.
    TakeOff {
        /// Its key.
        key: MidiKey,
    },
    /// A pedal of a take that is heard again moves.
    TakePedal {
        /// Its number: 64 sustain, 66 sostenuto, 67 soft (MIDI 1.0).
        controller: u8,
        /// 0 to 127.
        value: u8,
    },
}

/// A practice session on one part.
///
/// It knows no clock: every call brings its moment along. Strikes are judged by the stamp they bring, so that it does not
/// matter when they are handed over, as long as they come in order and before the tick that ends their pass (some 200 ms
/// after its end).
#[derive(Clone, Debug)]
pub struct Session {
    part: Arc<Part>,
    timeline: Arc<Timeline>,
    places: Places,
    settings: SessionSettings,
    /// Where one is while no clock runs.
    cursor: Quarters,
    stepper: Stepper,
    run: Option<Run>,
    keys: BTreeMap<MidiKey, Held>,
    marks: Vec<Mark>,
    wrong: Vec<WrongKey>,
    score: Option<Arc<Score>>,
    take: Option<Arc<Take>>,
    laps: Arc<Vec<Lap>>,
    /// No pass of the run under way is among the laps yet.
    laps_are_old: bool,
    octave_offer: Option<i8>,
    generation: u64,
    pending: Vec<Cue>,
    /// So much further ahead cues are asked for, in milliseconds.
    ahead_ms: f64,
    /// How often each key of the program's is down, by the cues that were given in a generation.
    sounding: (u64, BTreeMap<(Hand, MidiKey), u32>),
}

/// A key the player holds; `settled`: it was struck for a step that is done.
#[derive(Clone, Copy, Debug)]
struct Held {
    verdict: KeyVerdict,
    hand: Option<Hand>,
    settled: bool,
}

impl Session {
    /// A session at the start of a part, in step mode.
    pub fn new(part: Arc<Part>) -> Session {
        let mut session = Session {
            timeline: Arc::new(Timeline::new(&part)),
            places: Places::new(&part),
            settings: SessionSettings::default(),
            cursor: Quarters::ZERO,
            stepper: Stepper::new(Vec::new()),
            run: None,
            keys: BTreeMap::new(),
            marks: vec![Mark::Open; part.events.len()],
            wrong: Vec::new(),
            score: None,
            take: None,
            laps: Arc::default(),
            laps_are_old: false,
            octave_offer: None,
            generation: 0,
            pending: Vec::new(),
            ahead_ms: 0.0,
            sounding: (0, BTreeMap::new()),
            part,
        };
        session.rebuild_steps();
        session
    }

    /// Another part (the song was edited, transposed or replaced). If it has the same bars in time, as in another key, a
    /// run goes on in it at once, without a lost beat. Otherwise a run is ended; the settings and, as far as it exists, the
    /// bar one is in are kept, and what was scored is forgotten, for it was another part.
    pub fn set_part(&mut self, part: Arc<Part>, now: Stamp) {
        let timeline = Timeline::new(&part);
        if self.run.is_some() && timeline == *self.timeline {
            self.places = Places::new(&part);
            self.part = part;
            self.clear_marks();
            let Some(run) = &mut self.run else { return };
            let (part, timeline, settings) = (&self.part, &self.timeline, &self.settings);
            let plan = |bars, looped| Plan::new(part, timeline, settings, bars, looped);
            run.replan(now.plus_ms(self.ahead_ms), plan);
            return;
        }
        let bar = self.position(now).bar;
        self.end_run(now);
        self.timeline = Arc::new(timeline);
        self.places = Places::new(&part);
        self.part = part;
        (self.score, self.take, self.octave_offer) = (None, None, None);
        let last = self.part.bars.len().saturating_sub(1);
        self.settings.loop_bars = self.settings.loop_bars.filter(|l| l.to() <= last);
        self.clear_marks();
        self.rebuild_steps();
        self.go_to_bar(bar);
    }

    /// The part.
    pub fn part(&self) -> &Arc<Part> {
        &self.part
    }

    /// Its timeline.
    pub fn timeline(&self) -> &Arc<Timeline> {
        &self.timeline
    }

    /// All settings.
    pub fn settings(&self) -> &SessionSettings {
        &self.settings
    }

    /// Cues are asked for by so much further ahead than 100 ms, for sound that is heard so much later: what changes while it
    /// runs holds so much later, too, for it must not change what has left already.
    pub fn ask_ahead(&mut self, ms: f64) {
        self.ahead_ms = ms.max(0.0);
    }

    /// Whether the clock runs.
    pub fn is_running(&self) -> bool {
        self.run.is_some()
    }

    /// Does what a player asks for.
    pub fn apply(&mut self, command: SessionCommand, now: Stamp) {
        match command {
            SessionCommand::Start => self.start(None, now),
            SessionCommand::StartIn(bars) => self.start(Some(bars), now),
            SessionCommand::Stop => self.end_run(now),
            SessionCommand::Toggle if self.run.is_some() => self.end_run(now),
            SessionCommand::Toggle => self.start(None, now),
            SessionCommand::GoToBar(bar) => {
                self.end_run(now);
                self.go_to_bar(bar);
            }
            SessionCommand::Back(unit) => self.move_by(now, |t, from| back(t, from, unit)),
            SessionCommand::Forward(unit) => self.move_by(now, |t, from| forward(t, from, unit)),
            SessionCommand::Advance => self.advance_by_hand(now),
            setting => self.set(setting, now),
        }
    }

    /// A key of the player's went down or came up, at the stamp of its MIDI event.
    pub fn note(&mut self, at: Stamp, key: MidiKey, change: NoteChange) {
        let judged = key.number().checked_add_signed(self.settings.octave_shift).and_then(MidiKey::new);
        match (change, judged) {
            (NoteChange::On { velocity: 1.. }, Some(judged)) => {
                let NoteChange::On { velocity } = change else { return };
                self.settle_keys();
                let (verdict, hand) = self.strike(at, judged, velocity);
                self.keys.insert(key, Held { verdict, hand, settled: false });
                self.finish_step(at);
            }
            (NoteChange::On { velocity: 1.. }, None) => {}
            _ => {
                self.keys.remove(&key);
                if let (Some(run), Some(judged)) = (&mut self.run, judged) {
                    run.note_off(at, judged);
                }
            }
        }
    }

    /// A pedal of the player's moved, at the stamp of its MIDI event: it is kept in the take.
    pub fn control(&mut self, at: Stamp, controller: u8, value: u8) {
        if let Some(run) = &mut self.run {
            run.control(at, controller, value);
        }
    }

    /// Time went by: ends a run at the end of the song, starts a pass of the loop, marks what was missed. Call it some ten
    /// times a second while running.
    pub fn tick(&mut self, now: Stamp) {
        let Some(run) = &mut self.run else { return };
        let (finished, over) = run.tick(now);
        self.keep(finished);
        if over {
            let start = self.run.take().map(|r| r.plan(now).bars.from());
            self.generation += 1;
            self.go_to_bar(start.unwrap_or(0));
        } else {
            self.look_for_octave(now);
        }
    }

    /// What the program has to sound from one moment up to, and without, another, by time. Ask for stretches one after
    /// another; each is given once.
    pub fn cues(&mut self, from: Stamp, to: Stamp) -> Vec<Cue> {
        let mut cues: Vec<Cue> = Vec::new();
        self.pending.retain(|cue| {
            let due = cue.at < to;
            cues.extend(due.then_some(*cue));
            !due
        });
        if let Some(run) = &self.run {
            cues.extend(run.cues(self.settings.click, from, to));
        }
        cues.sort_by_key(|c| (c.at, order(&c.kind)));
        if std::mem::replace(&mut self.sounding.0, self.generation) != self.generation {
            self.sounding.1.clear();
        }
        strike_once(&mut self.sounding.1, cues)
    }

    /// What the screen shows.
    pub fn view(&self, now: Stamp) -> SessionView {
        let position = self.position(now);
        let slot = self.slot(&position, now);
        SessionView {
            settings: self.settings,
            running: self.run.is_some(),
            counting_in: self.run.as_ref().and_then(|r| r.counting_in(now, &self.timeline)),
            position,
            slot,
            next: slot.and_then(|s| self.next_slot(s)),
            held: self
                .keys
                .iter()
                .map(|(&key, h)| HeldKey { key, verdict: h.verdict, hand: h.hand })
                .collect(),
            marks: self.marks_now(now),
            wrong: self.run.as_ref().map_or_else(|| self.wrong.clone(), |r| r.wrong(now)),
            step: self.step_view(),
            score: self.score.clone(),
            take: self.take.clone(),
            laps: self.laps.clone(),
            octave_offer: self.octave_offer,
            cue_generation: self.generation,
        }
    }
}

/// Settings and places.
impl Session {
    fn set(&mut self, command: SessionCommand, now: Stamp) {
        match command {
            SessionCommand::SetSpeed(speed) => {
                self.settings.speed = speed;
                let at = now.plus_ms(self.ahead_ms);
                if let Some(run) = &mut self.run {
                    run.set_speed(at, speed, &self.timeline, self.settings.click_style);
                }
            }
            SessionCommand::SetCountIn(on) => self.settings.count_in = on,
            SessionCommand::SetClick(on) => self.settings.click = on,
            SessionCommand::SetClickStyle(style) => {
                self.settings.click_style = style;
                if let Some(run) = &mut self.run {
                    run.set_click_style(&self.timeline, style);
                }
            }
            SessionCommand::SetPedal(on) => self.settings.pedal = on,
            SessionCommand::SetOtherHand(on) => self.settings.other_hand = on,
            SessionCommand::SetOctaveShift(by) => {
                self.settings.octave_shift = by - by % 12;
                self.octave_offer = None;
            }
            SessionCommand::SetHands(_) | SessionCommand::SetLoop(_) | SessionCommand::SetStepBy(_) => {
                self.set_course(command);
                self.change_course(command, now);
            }
            ends_run => {
                self.end_run(now);
                self.set_course(ends_run);
            }
        }
    }

    /// A run goes on with other hands, or from the next bar line on in other bars; while it is counted in for other bars,
    /// it is begun again.
    fn change_course(&mut self, command: SessionCommand, now: Stamp) {
        let Some(run) = &mut self.run else { return };
        let (part, timeline, settings) = (&self.part, &self.timeline, &self.settings);
        let plan = |bars, looped| Plan::new(part, timeline, settings, bars, looped);
        let at = now.plus_ms(self.ahead_ms);
        match command {
            SessionCommand::SetHands(_) => run.replan(at, plan),
            SessionCommand::SetLoop(_) if !run.turn_to(at, timeline, settings.loop_bars, plan) => {
                self.end_run(now);
                self.start(None, now);
            }
            _ => {}
        }
    }

    /// Settings that change what is expected.
    fn set_course(&mut self, command: SessionCommand) {
        let last = self.part.bars.len().saturating_sub(1);
        match command {
            // What was struck in one mode means nothing in another.
            SessionCommand::SetMode(mode) if mode != self.settings.mode => {
                self.settings.mode = mode;
                self.clear_marks();
            }
            SessionCommand::SetHands(hands) => self.settings.hands = hands,
            SessionCommand::SetStepBy(by) => self.settings.step_by = by,
            SessionCommand::SetLoop(bars) => {
                let within = |l: LoopBars| LoopBars::new(l.from().min(last), l.to().min(last));
                self.settings.loop_bars = bars.map(within);
            }
            _ => {}
        }
        self.rebuild_steps();
    }

    fn rebuild_steps(&mut self) {
        let s = &self.settings;
        self.stepper = Stepper::new(steps(&self.part, &self.timeline, s.hands, s.step_by, s.loop_bars));
        self.go_to(self.cursor);
    }

    fn go_to_bar(&mut self, bar: usize) {
        let bar = bar.min(self.part.bars.len().saturating_sub(1));
        let place = self.timeline.bars().get(bar).map_or(Quarters::ZERO, |b| b.start);
        self.go_to(place);
    }

    fn go_to(&mut self, place: Quarters) {
        self.cursor = place;
        self.stepper.go_to(place, self.settings.step_by);
    }

    fn move_by(&mut self, now: Stamp, to: impl Fn(&Timeline, Quarters) -> Quarters) {
        if self.run.is_some() {
            let bar = self.position(now).bar;
            self.end_run(now);
            self.go_to_bar(bar);
        }
        let place = to(&self.timeline, self.cursor);
        self.go_to(place);
    }

    fn clear_marks(&mut self) {
        self.marks = vec![Mark::Open; self.part.events.len()];
        self.wrong.clear();
    }
}

/// Running.
impl Session {
    /// Starts a run; through some bars once, if they are given.
    fn start(&mut self, once: Option<LoopBars>, now: Stamp) {
        if self.run.is_some() || self.settings.mode == Mode::Step || self.part.bars.is_empty() {
            return;
        }
        self.clear_marks();
        (self.score, self.take, self.octave_offer) = (None, None, None);
        self.laps_are_old = true;
        self.run = Some(Run::start(self.plan(once), now, self.settings.speed));
        self.generation += 1;
    }

    fn plan(&self, once: Option<LoopBars>) -> Plan {
        let last = self.part.bars.len() - 1;
        let once = once.map(|bars| LoopBars::new(bars.from().min(last), bars.to().min(last)));
        let from = self.timeline.bars().iter().rposition(|b| b.start <= self.cursor).unwrap_or(0);
        let (settings, timeline) = (&self.settings, &self.timeline);
        let bars = once.or(settings.loop_bars).unwrap_or(LoopBars::new(from, last));
        let looped = once.is_none() && settings.loop_bars.is_some();
        let mut plan = Plan::new(&self.part, timeline, settings, bars, looped);
        if settings.count_in {
            plan.sounds.set_count_in(timeline, bars.from(), settings.speed, settings.click_style);
        }
        plan
    }

    /// Ends a run; one stays in the bar that was reached.
    fn end_run(&mut self, now: Stamp) {
        self.pending.clear();
        let bar = self.position(now).bar;
        let Some(run) = self.run.take() else { return };
        self.generation += 1;
        let finished = run.stop(now);
        self.keep(finished);
        self.go_to_bar(bar);
    }

    /// Keeps these passes, and shows the result of the last.
    fn keep(&mut self, finished: Vec<Finished>) {
        if finished.is_empty() {
            return;
        }
        finished.iter().for_each(|f| self.show_marks(f));
        let lap = |f: Finished| Lap { part: f.part, take: Arc::new(f.take), score: Arc::new(f.score) };
        let laps = Arc::make_mut(&mut self.laps);
        if std::mem::take(&mut self.laps_are_old) {
            laps.clear();
        }
        laps.extend(finished.into_iter().map(lap));
        self.score = laps.last().map(|l| l.score.clone());
        self.take = laps.last().map(|l| l.take.clone());
    }

    /// Marks of a pass that is over; they join those of the pass that it went on from, if it was in another hand.
    fn show_marks(&mut self, finished: &Finished) {
        if finished.take.from.is_none() {
            self.clear_marks();
        }
        if !Arc::ptr_eq(&finished.part, &self.part) {
            return;
        }
        for note in &finished.score.notes {
            self.marks[note.event] = final_mark(&finished.score, note);
        }
        let wrong = finished.score.extras.iter().filter(|e| e.kind == ExtraKind::Wrong);
        self.wrong.extend(wrong.map(|e| WrongKey { bar: e.bar, at: e.played_at, key: e.key }));
    }

    /// Once the first line of the run is over: was it played an octave off?
    fn look_for_octave(&mut self, now: Stamp) {
        let Some(run) = self.run.as_ref().filter(|_| self.octave_offer.is_none()) else { return };
        let Some((expected, so_far)) = run.first_pass() else { return };
        let line_end =
            expected.first_line.checked_sub(1).and_then(|l| expected.bars.get(l)).map(|b| b.end.ms());
        let (pass, at) = run.place(now);
        if line_end.is_some_and(|end| (end..end + 1000.0).contains(&at)) && pass == 0 {
            let options = crate::ScoreOptions { speed: self.settings.speed, ..Default::default() };
            let off = octave_off(expected, so_far, &options);
            self.octave_offer = off.map(|by| -by);
        }
    }
}

/// Strikes.
impl Session {
    fn strike(&mut self, at: Stamp, key: MidiKey, velocity: u8) -> (KeyVerdict, Option<Hand>) {
        match (self.settings.mode, &mut self.run) {
            (Mode::Step, _) => match self.stepper.strike(key) {
                StepHeard::Right { hand, .. } => (KeyVerdict::Right, Some(hand)),
                StepHeard::Wrong => (KeyVerdict::Wrong, None),
            },
            (Mode::PlayAlong, Some(run)) => match run.note_on(at, key, velocity, &self.timeline) {
                Some((Heard::Note(_), hand)) => (KeyVerdict::Right, hand),
                Some((Heard::Wrong, _)) => (KeyVerdict::Wrong, None),
                None => (KeyVerdict::Neutral, None),
            },
            _ => (KeyVerdict::Neutral, None),
        }
    }

    /// Keys of steps that are done become neutral with the next strike.
    fn settle_keys(&mut self) {
        self.keys.values_mut().filter(|h| h.settled).for_each(|h| h.verdict = KeyVerdict::Neutral);
    }

    /// Goes on if the step in hand is done.
    fn finish_step(&mut self, now: Stamp) {
        if self.settings.mode == Mode::Step && self.stepper.is_done() {
            let SessionSettings { hands, other_hand, .. } = self.settings;
            self.sound_step(now, |hand| other_hand && !hands.has(hand));
            self.next_step();
        }
    }

    fn advance_by_hand(&mut self, now: Stamp) {
        if self.settings.mode != Mode::Step {
            return;
        }
        if self.stepper.current().is_none() {
            let first = self.settings.loop_bars.map_or(0, |l| l.from());
            self.clear_marks();
            return self.go_to_bar(first);
        }
        self.sound_step(now, |_| true);
        self.next_step();
    }

    fn next_step(&mut self) {
        self.keys.values_mut().for_each(|h| h.settled = true);
        let events = self.stepper.current().map(|s| s.events.clone()).unwrap_or_default();
        events.into_iter().for_each(|e| self.marks[e] = Mark::Struck);
        let around = self.settings.loop_bars.is_some();
        self.stepper.advance(around);
        if let Some(step) = self.stepper.current() {
            self.cursor = step.place;
        }
    }

    /// Sounds the step in hand, as far as these hands go, for as long as its longest note lasts, but at most two seconds.
    fn sound_step(&mut self, now: Stamp, plays: impl Fn(Hand) -> bool) {
        let Some(step) = self.stepper.current() else { return };
        let notes = crate::step::companions(&self.part, step, self.settings.step_by);
        for (hand, key, length) in notes.into_iter().filter(|n| plays(n.0)) {
            let quarter_ms = self.timeline.bars().get(step.slot.bar).map_or(500.0, |b| b.ms_per_quarter());
            let ms = self.settings.speed.stretch_ms(quarter_ms * length.to_f64()).clamp(120.0, 2000.0);
            self.pending.push(Cue { at: now, kind: CueKind::NoteOn { hand, key, velocity: 70 } });
            self.pending.push(Cue { at: now.plus_ms(ms), kind: CueKind::NoteOff { hand, key } });
        }
    }
}

/// What is seen.
impl Session {
    fn position(&self, now: Stamp) -> Position {
        let Some(run) = &self.run else { return self.position_at(self.cursor.to_f64(), 0) };
        let (pass, ms) = run.place(now);
        let quarters = self.timeline.quarters_of_ms(ms);
        let mut position = self.position_at(quarters, pass);
        if let Some(count) = run.counting_in(now, &self.timeline) {
            position =
                Position { bar: run.plan(now).bars.from(), beat: count.beat, beats: count.of, ..position };
        }
        position
    }

    fn position_at(&self, quarters: f64, pass: u32) -> Position {
        let bars = self.timeline.bars();
        let bar = bars.partition_point(|b| b.start.to_f64() <= quarters + 1e-9).saturating_sub(1);
        let Some(time) = bars.get(bar) else { return Position::default() };
        let slot = self.places.at(quarters + 1e-9).filter(|s| s.bar == bar).map_or(0, |s| s.slot);
        Position { bar, slot, beat: time.beat_at(quarters + 1e-9), beats: time.beat.count, quarters, pass }
    }

    /// The chord in hand: in step mode that of the step.
    fn slot(&self, position: &Position, now: Stamp) -> Option<SlotRef> {
        match self.stepper.current() {
            Some(step) if self.settings.mode == Mode::Step => Some(step.slot),
            _ => {
                let first = self.run.as_ref().and_then(|r| self.places.first_of(r.plan(now).bars.from()));
                self.places.at(position.quarters + 1e-9).map(|s| first.map_or(s, |f| s.max(f)))
            }
        }
    }

    fn next_slot(&self, slot: SlotRef) -> Option<SlotRef> {
        if self.settings.mode == Mode::Step
            && let Some(next) = self.stepper.next()
        {
            return Some(next.slot);
        }
        let next = self.places.after(slot);
        match self.settings.loop_bars {
            Some(bars) if next.is_none_or(|n| n.bar > bars.to()) => self.places.first_of(bars.from()),
            _ => next,
        }
    }

    fn marks_now(&self, now: Stamp) -> Vec<Mark> {
        let Some(run) = self.run.as_ref().filter(|_| self.settings.mode == Mode::PlayAlong) else {
            return self.marks.clone();
        };
        let mut marks = vec![Mark::Open; self.part.events.len()];
        for (event, mark) in run.marks(now) {
            // While another part takes over, the plan that still holds may be longer.
            if let Some(place) = marks.get_mut(event) {
                *place = mark;
            }
        }
        marks
    }

    fn step_view(&self) -> Option<crate::StepView> {
        let stepping = self.settings.mode == Mode::Step;
        if stepping { self.stepper.view(&self.part, self.settings.loop_bars) } else { None }
    }
}

/// A key that is struck again while it is down, as by a push over a bar line that is jumped, comes up first; the end of the
/// earlier note is then no end of the later one.
fn strike_once(down: &mut BTreeMap<(Hand, MidiKey), u32>, cues: Vec<Cue>) -> Vec<Cue> {
    let mut out = Vec::with_capacity(cues.len());
    for cue in cues {
        match cue.kind {
            CueKind::NoteOn { hand, key, .. } => {
                let times = down.entry((hand, key)).or_default();
                let off = Cue { kind: CueKind::NoteOff { hand, key }, ..cue };
                out.extend((*times > 0).then_some(off));
                *times += 1;
                out.push(cue);
            }
            CueKind::NoteOff { hand, key } => {
                let times = down.entry((hand, key)).or_default();
                *times = times.saturating_sub(1);
                out.extend((*times == 0).then_some(cue));
            }
            _ => out.push(cue),
        }
    }
    out
}

fn final_mark(score: &Score, note: &crate::NoteScore) -> Mark {
    let Some(error) = note.error else { return Mark::Missed };
    let ms = score.as_played_ms(error);
    match note.in_time {
        true => Mark::Hit(ms),
        false if ms < 0.0 => Mark::Early(ms),
        false => Mark::Late(ms),
    }
}
