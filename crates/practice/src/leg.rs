//! Legs of a run: what is gone through from one moment on, until the player wants other hands, another key or other bars.
//!
//! Within a leg passes are counted from 0. A change cuts the leg in one of its passes and begins the next leg there, so that
//! the clock and the beat go on as they were.

use crate::sounds::Sounds;
use crate::transport::{Course, Transport};
use crate::{ChartTime, Cue, CueKind, Expected, Hands, LoopBars, SessionSettings, Stamp, Timeline};
use std::sync::Arc;
use voicing::Part;

/// What a leg goes through, fixed at its start.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub part: Arc<Part>,
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
    /// The plan with these settings through these bars, once or again and again. It has no count-in.
    pub fn new(
        part: &Arc<Part>,
        timeline: &Timeline,
        settings: &SessionSettings,
        bars: LoopBars,
        looped: bool,
    ) -> Plan {
        let whole = bars.from() == 0 && bars.to() + 1 == part.bars.len();
        let listening = settings.mode == crate::Mode::Listen;
        let expected = if listening {
            Expected::default()
        } else {
            Expected::of_part(part, timeline, settings.hands, (!whole).then_some(bars))
        };
        let mut sounds = Sounds::notes(part, timeline, bars, |h| {
            listening || (settings.other_hand && !settings.hands.has(h))
        });
        sounds.set_clicks(timeline, bars, settings.speed, settings.click_style);
        let bar = |bar: usize| timeline.bars().get(bar);
        let course = Course {
            start: bar(bars.from()).map_or(0.0, |b| b.start_ms),
            end: bar(bars.to()).map_or(0.0, crate::BarTime::end_ms),
            looped,
        };
        let expected = Arc::new(expected);
        Plan { part: part.clone(), bars, whole, course, expected, hands: settings.hands, sounds }
    }

    /// How long before its bar line the first chord of a bar begins, in chart milliseconds: 0 unless it is pushed.
    pub fn lead(&self, bar: usize, timeline: &Timeline) -> f64 {
        let first = self.part.events.iter().filter(|e| e.bar == bar).map(|e| e.start).min();
        let start = timeline.bars().get(bar).map(|b| b.start_ms);
        first.zip(start).map_or(0.0, |(first, start)| (start - timeline.ms(first)).max(0.0))
    }

    /// When the first note of a pass is expected, or the pass starts.
    pub fn first_expected(&self) -> f64 {
        self.expected.notes.first().map_or(self.course.start, |n| n.at.ms().min(self.course.start))
    }
}

/// Where one leg is cut off and the next begins. A push belongs to the bar that it is written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Edge {
    /// At a time.
    Time(ChartTime),
    /// After a bar, or before it.
    Bar(usize),
}

impl Edge {
    /// Whether a note lies on the far side.
    fn is_beyond(self, at_ms: f64, bar: usize) -> bool {
        match self {
            Edge::Time(time) => at_ms >= time.ms(),
            Edge::Bar(first) => bar >= first,
        }
    }
}

/// How a leg is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cut {
    /// In which of its passes.
    pub pass: u32,
    /// What lies beyond is not of this leg.
    pub edge: Edge,
    /// When, in run time.
    pub at: f64,
}

/// One leg.
#[derive(Clone, Debug)]
pub(crate) struct Leg {
    pub plan: Plan,
    /// From when on it holds, in run time.
    pub begin: f64,
    /// Where chart time nought of its first pass lies, in run time.
    pub zero: f64,
    /// The number of its first pass among all passes of the run.
    pub first_pass: u32,
    /// As which pass the player counts that.
    pub shown_as: u32,
    /// Where its first pass begins, if that is not where the bars do.
    pub starts: Option<Edge>,
    pub cut: Option<Cut>,
}

/// What a pass of a leg covers, as a take tells it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Coverage {
    pub bars: Option<LoopBars>,
    pub from: Option<ChartTime>,
    pub until: Option<ChartTime>,
}

impl Leg {
    /// The first leg of a run.
    pub fn first(plan: Plan) -> Leg {
        Leg { plan, begin: f64::NEG_INFINITY, zero: 0.0, first_pass: 0, shown_as: 0, starts: None, cut: None }
    }

    /// The pass and the place in the song at a run time.
    pub fn place(&self, run_ms: f64) -> (u32, f64) {
        self.plan.course.place(run_ms - self.zero)
    }

    /// A run time in the song's own terms within a pass.
    pub fn in_pass(&self, run_ms: f64, pass: u32) -> ChartTime {
        self.plan.course.in_pass(run_ms - self.zero, pass)
    }

    /// When a pass is over, in run time.
    pub fn pass_end(&self, pass: u32) -> f64 {
        let end = self.zero + self.plan.course.run_start(pass) + self.plan.course.end;
        self.cut.filter(|c| c.pass <= pass).map_or(end, |c| c.at.min(end))
    }

    /// When a pass begins, in run time.
    pub fn pass_start(&self, pass: u32) -> f64 {
        self.zero + self.plan.course.run_start(pass)
    }

    /// When the leg is over, in run time; `None` if it goes round for ever.
    pub fn end(&self) -> Option<f64> {
        self.cut.map(|c| c.at).or_else(|| (!self.plan.course.looped).then(|| self.pass_end(0)))
    }

    /// What a pass covers.
    pub fn coverage(&self, pass: u32) -> Coverage {
        let starts = self.starts.filter(|_| pass == 0);
        let ends = self.cut.filter(|c| c.pass == pass).map(|c| c.edge);
        let bars = self.plan.bars;
        let (mut from_bar, mut to_bar) = (bars.from(), bars.to());
        let (mut from, mut until) = (None, None);
        match starts {
            Some(Edge::Bar(bar)) => from_bar = bar,
            Some(Edge::Time(time)) => from = Some(time),
            None => {}
        }
        match ends {
            Some(Edge::Bar(bar)) => to_bar = bar.saturating_sub(1),
            Some(Edge::Time(time)) => until = Some(time - ChartTime::from_micros(1)),
            None => {}
        }
        let all = self.plan.whole && (from_bar, to_bar) == (bars.from(), bars.to());
        Coverage { bars: (!all).then_some(LoopBars::new(from_bar, to_bar)), from, until }
    }

    /// What a pass asks of the player.
    pub fn expected(&self, pass: u32) -> Arc<Expected> {
        let Coverage { bars, from, until } = self.coverage(pass);
        let uncut = Coverage { bars: (!self.plan.whole).then_some(self.plan.bars), ..Coverage::default() };
        if self.plan.expected.notes.is_empty() || self.coverage(pass) == uncut {
            return self.plan.expected.clone();
        }
        let expected = self.plan.expected.between(from, until);
        Arc::new(bars.map_or_else(|| expected.clone(), |bars| expected.in_bars(bars)))
    }

    /// All cues of this leg from one moment up to, and without, another.
    pub fn cues(&self, transport: &Transport, click: bool, from: Stamp, to: Stamp) -> Vec<Cue> {
        let note_sounds = |pass: u32, at: f64, bar: usize| self.is_within(pass, at, bar);
        let click_sounds = |pass: u32, at: f64| {
            let run = self.pass_start(pass) + at;
            run >= self.begin - SLACK_MS && self.cut.is_none_or(|c| run < c.at - SLACK_MS)
        };
        let last = self.cut.map(|c| (c.pass, c.at - self.pass_start(c.pass)));
        let mut cues =
            self.plan.sounds.note_cues(transport, (&self.plan.course, self.zero), from, to, |pass, s| {
                let rings_on = last.is_some_and(|(p, end)| pass > p || (pass == p && s.at > end));
                // Ends come with the cut; what a roll would strike behind it is not struck any more.
                note_sounds(pass, s.struck_at, s.bar) && !rings_on
            });
        if click {
            let course = (&self.plan.course, self.zero);
            cues.extend(self.plan.sounds.click_cues(transport, course, from, to, click_sounds));
        }
        if let Some((pass, end)) = last {
            let at = transport.stamp(self.pass_start(pass) + end);
            if from <= at && at < to {
                let ringing = self.plan.sounds.ringing_at(end, |at, bar| note_sounds(pass, at, bar));
                cues.extend(ringing.map(|kind| Cue { at, kind }));
            }
        }
        if !self.plan.course.looped {
            let end = transport.stamp(self.pass_end(0));
            cues.retain(|c| c.at < end || matches!(c.kind, CueKind::NoteOff { .. }));
        }
        cues
    }

    /// Whether a note of a pass belongs to this leg.
    fn is_within(&self, pass: u32, at_ms: f64, bar: usize) -> bool {
        let begun = self.starts.filter(|_| pass == 0).is_none_or(|edge| edge.is_beyond(at_ms, bar));
        let over =
            self.cut.is_some_and(|c| pass > c.pass || (pass == c.pass && c.edge.is_beyond(at_ms, bar)));
        begun && !over
    }
}

/// Bar lines and clicks on them are one place, whatever their last digits.
const SLACK_MS: f64 = 1e-6;
