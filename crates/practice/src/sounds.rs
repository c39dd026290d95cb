//! What the program sounds in a run: notes of the hands it plays, the count-in, the click.

use crate::click::{ClickBars, ClickStyle, clicks_in_style, count_in_style};
use crate::transport::{Course, Transport};
use crate::{Cue, CueKind, LoopBars, Speed, Stamp, Timeline};
use song::Quarters;
use theory::Hand;
use voicing::{Part, Role};

/// How hard the program plays: the right hand leads, what passes by steps back.
fn velocity(hand: Hand, role: Role) -> u8 {
    match (hand, role) {
        (Hand::Right, Role::Chord) => 76,
        (Hand::Right, Role::Passing) => 68,
        (Hand::Left, Role::Chord) => 66,
        (Hand::Left, Role::Passing) => 60,
    }
}

/// Cues of one pass by chart time in milliseconds, and those of the count-in, which comes once.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sounds {
    notes: Vec<(f64, CueKind)>,
    clicks: Vec<(f64, CueKind)>,
    /// For each click its bar, from 0 within the pass, and how many bars a pass has.
    click_bars: (Vec<u32>, u32),
    click_in: ClickBars,
    count_in: Vec<(f64, CueKind)>,
}

impl Sounds {
    /// The notes of some hands in some bars, by time; what ends comes before what begins.
    pub fn notes(part: &Part, timeline: &Timeline, bars: LoopBars, plays: impl Fn(Hand) -> bool) -> Sounds {
        let mut notes = Vec::new();
        for event in part.events.iter().filter(|e| plays(e.hand) && bars.contains(e.bar)) {
            let (hand, key) = (event.hand, event.key);
            let on = CueKind::NoteOn { hand, key, velocity: velocity(hand, event.role) };
            notes.push((timeline.ms(event.start), on));
            notes.push((timeline.ms(event.start + event.length), CueKind::NoteOff { hand, key }));
        }
        sort(&mut notes);
        Sounds { notes, ..Sounds::default() }
    }

    /// The clicks, which subdivide according to style and speed.
    pub fn set_clicks(&mut self, timeline: &Timeline, bars: LoopBars, speed: Speed, style: ClickStyle) {
        (self.clicks, self.click_bars) = (Vec::new(), (Vec::new(), 0));
        self.click_in = style.bars;
        for bar in bars.from()..=bars.to() {
            for click in clicks_in_style(timeline, bar, speed, style) {
                self.clicks.push((timeline.ms(click.at), CueKind::Click(click.accent)));
                self.click_bars.0.push(self.click_bars.1);
            }
            self.click_bars.1 += 1;
        }
    }

    /// The count-in, for the speed at the start; it keeps its bars when the speed changes meanwhile.
    pub fn set_count_in(&mut self, timeline: &Timeline, bar: usize, speed: Speed, style: ClickStyle) {
        let clicks = count_in_style(timeline, bar, speed, style).into_iter();
        self.count_in = clicks.map(|c| (count_ms(timeline, bar, c.at), CueKind::Click(c.accent))).collect();
    }

    /// Whether a click sounds in a pass.
    fn clicks_in(&self, pass: u32, click: usize) -> bool {
        let (of_click, bars) = (&self.click_bars.0, self.click_bars.1);
        match self.click_in {
            ClickBars::All => true,
            ClickBars::CountInOnly => false,
            ClickBars::EveryOther => {
                (u64::from(pass) * u64::from(bars) + u64::from(of_click[click])).is_multiple_of(2)
            }
        }
    }

    /// The first sound of a pass, in chart milliseconds.
    pub fn first_note(&self) -> Option<f64> {
        self.notes.first().map(|n| n.0)
    }

    /// The first click of the count-in.
    pub fn first_count(&self) -> Option<f64> {
        self.count_in.first().map(|n| n.0)
    }

    /// All cues from one moment up to, and without, another.
    pub fn cues(
        &self,
        transport: &Transport,
        course: &Course,
        click: bool,
        from: Stamp,
        to: Stamp,
    ) -> Vec<Cue> {
        let mut cues = Vec::new();
        let mut add = |list: &[(f64, CueKind)], passes: bool, sounds: &dyn Fn(u32, usize) -> bool| {
            for pass in passes_between(list, transport, course, from, to, passes) {
                let shift = course.run_start(pass);
                let low = transport.run_ms(from) - shift - SLACK_MS;
                let first = list.partition_point(|c| c.0 < low);
                let stamped = list.iter().enumerate().skip(first);
                let stamped = stamped.map(|(n, c)| (n, Cue { at: transport.stamp(c.0 + shift), kind: c.1 }));
                let due = stamped.take_while(|c| c.1.at < to).filter(|c| c.1.at >= from);
                cues.extend(due.filter(|c| sounds(pass, c.0)).map(|c| c.1));
            }
        };
        add(&self.notes, true, &|_, _| true);
        add(&self.count_in, false, &|_, _| true);
        if click {
            add(&self.clicks, true, &|pass, click| self.clicks_in(pass, click));
        }
        cues.sort_by_key(|c| (c.at, order(&c.kind)));
        cues
    }
}

/// So much is looked around a stretch of time, against rounding; the stamps decide.
const SLACK_MS: f64 = 1.0;

/// Where a place of the count-in lies: at the tempo of the bar it leads into.
pub(crate) fn count_ms(timeline: &Timeline, bar: usize, at: Quarters) -> f64 {
    timeline.bars().get(bar).map_or(0.0, |b| b.start_ms + (at - b.start).to_f64() * b.ms_per_quarter())
}

fn passes_between(
    list: &[(f64, CueKind)],
    transport: &Transport,
    course: &Course,
    from: Stamp,
    to: Stamp,
    passes: bool,
) -> std::ops::RangeInclusive<u32> {
    let (Some(first), Some(last)) = (list.first(), list.last()) else { return 0..=0 };
    if !passes || !course.looped || course.length() <= 0.0 {
        return 0..=0;
    }
    let pass = |run_ms: f64, at: f64| ((run_ms - at) / course.length()).floor().max(0.0) as u32;
    pass(transport.run_ms(from) - SLACK_MS, last.0)..=pass(transport.run_ms(to) + SLACK_MS, first.0)
}

fn sort(notes: &mut [(f64, CueKind)]) {
    notes.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| order(&a.1).cmp(&order(&b.1))));
}

/// What ends comes before what begins, so that a key struck again sounds again.
fn order(kind: &CueKind) -> u8 {
    match kind {
        CueKind::NoteOff { .. } => 0,
        CueKind::Click(_) => 1,
        CueKind::NoteOn { .. } => 2,
    }
}
