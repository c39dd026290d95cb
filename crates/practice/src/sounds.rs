//! What the program sounds in a run: notes of the hands it plays, the count-in, the click.

use crate::click::{ClickBars, ClickStyle, clicks_in_style, count_in_style};
use crate::transport::{Course, Transport};
use crate::{Cue, CueKind, LoopBars, Speed, Stamp, Timeline};
use song::Quarters;
use theory::Hand;
use voicing::{Event, Part, Role};

/// How hard the program plays: the right hand leads, what passes by steps back, what is accented stands out.
/// 1 to 127, as MIDI has it.
pub fn velocity(event: &Event) -> u8 {
    let plain = match (event.hand, event.role) {
        (Hand::Right, Role::Chord) => 76,
        (Hand::Right, Role::Passing) => 68,
        (Hand::Left, Role::Chord) => 66,
        (Hand::Left, Role::Passing) => 60,
    };
    if event.accented { plain + ACCENT } else { plain }
}

/// The notes that some hands play in some bars, by time in chart milliseconds; what ends comes before what begins.
pub fn notes_by_time(
    part: &Part,
    timeline: &Timeline,
    bars: LoopBars,
    plays: impl Fn(Hand) -> bool,
) -> Vec<(f64, CueKind)> {
    Sounds::notes(part, timeline, bars, plays).into_notes()
}

/// So much harder is an accented note.
const ACCENT: u8 = 20;
/// From note to note of a shape that is rolled, in milliseconds of the chart. By ear.
const ROLL_MS: f64 = 40.0;

/// Rolls what is wider than the hand: from the lowest note up, the lowest on the beat (a choice; some have the highest there).
#[derive(Default)]
struct Roll {
    /// The strike of each hand, and how many of its notes came: events come by time, then from the lowest key up.
    strikes: [Option<(Quarters, u32)>; 2],
}

impl Roll {
    /// By how much later than written a note goes down.
    fn delay_ms(&mut self, event: &Event) -> f64 {
        let strike = &mut self.strikes[usize::from(event.hand == Hand::Left)];
        let before = strike.filter(|(start, _)| *start == event.start).map_or(0, |(_, count)| count);
        *strike = Some((event.start, before + 1));
        if event.rolled { ROLL_MS * f64::from(before) } else { 0.0 }
    }
}

/// A note that begins or ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NoteSound {
    /// When, in chart milliseconds.
    pub at: f64,
    /// When its strike is written.
    pub struck_at: f64,
    /// The bar it is written in.
    pub bar: usize,
    pub kind: CueKind,
}

/// A click of the chart.
#[derive(Clone, Copy, Debug)]
struct ClickSound {
    at: f64,
    /// Its bar, from 0 within the pass.
    bar: u32,
    kind: CueKind,
}

/// Cues of one pass by chart time in milliseconds, and those of the count-in, which comes once.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sounds {
    notes: Vec<NoteSound>,
    clicks: Vec<ClickSound>,
    /// How many bars a pass has.
    bars: u32,
    click_in: ClickBars,
    count_in: Vec<(f64, CueKind)>,
}

impl Sounds {
    /// The notes of some hands in some bars, by time; what ends comes before what begins.
    pub fn notes(part: &Part, timeline: &Timeline, bars: LoopBars, plays: impl Fn(Hand) -> bool) -> Sounds {
        let (mut notes, mut roll) = (Vec::new(), Roll::default());
        for event in part.events.iter().filter(|e| plays(e.hand) && bars.contains(e.bar)) {
            let (hand, key, bar) = (event.hand, event.key, event.bar);
            let on = CueKind::NoteOn { hand, key, velocity: velocity(event) };
            let struck_at = timeline.ms(event.start);
            let end = timeline.ms(event.start + event.length);
            let late = roll.delay_ms(event).min((end - struck_at) / 4.0);
            notes.push(NoteSound { at: struck_at + late, struck_at, bar, kind: on });
            notes.push(NoteSound { at: end, struck_at, bar, kind: CueKind::NoteOff { hand, key } });
        }
        notes.sort_by(|a, b| a.at.total_cmp(&b.at).then_with(|| order(&a.kind).cmp(&order(&b.kind))));
        Sounds { notes, ..Sounds::default() }
    }

    /// The notes by time, in chart milliseconds.
    pub fn into_notes(self) -> Vec<(f64, CueKind)> {
        self.notes.into_iter().map(|n| (n.at, n.kind)).collect()
    }

    /// The clicks, which subdivide according to style and speed.
    pub fn set_clicks(&mut self, timeline: &Timeline, bars: LoopBars, speed: Speed, style: ClickStyle) {
        (self.clicks, self.bars) = (Vec::new(), 0);
        self.click_in = style.bars;
        for bar in bars.from()..=bars.to() {
            for click in clicks_in_style(timeline, bar, speed, style) {
                let (at, kind) = (timeline.ms(click.at), CueKind::Click(click.accent));
                self.clicks.push(ClickSound { at, bar: self.bars, kind });
            }
            self.bars += 1;
        }
    }

    /// The count-in, for the speed at the start; it keeps its bars when the speed changes meanwhile.
    pub fn set_count_in(&mut self, timeline: &Timeline, bar: usize, speed: Speed, style: ClickStyle) {
        let clicks = count_in_style(timeline, bar, speed, style).into_iter();
        self.count_in = clicks.map(|c| (count_ms(timeline, bar, c.at), CueKind::Click(c.accent))).collect();
    }

    /// Whether a click sounds in a pass.
    fn clicks_in(&self, pass: u32, bar: u32) -> bool {
        match self.click_in {
            ClickBars::All => true,
            ClickBars::CountInOnly => false,
            ClickBars::EveryOther => {
                (u64::from(pass) * u64::from(self.bars) + u64::from(bar)).is_multiple_of(2)
            }
        }
    }

    /// The first sound of a pass, in chart milliseconds.
    pub fn first_note(&self) -> Option<f64> {
        self.notes.first().map(|n| n.at)
    }

    /// The first click of the count-in.
    pub fn first_count(&self) -> Option<f64> {
        self.count_in.first().map(|n| n.0)
    }

    /// The notes from one moment up to, and without, another. A course comes with the run time at which its chart time
    /// nought lies.
    pub fn note_cues(
        &self,
        transport: &Transport,
        (course, zero): (&Course, f64),
        from: Stamp,
        to: Stamp,
        sounds: impl Fn(u32, &NoteSound) -> bool,
    ) -> Vec<Cue> {
        let due = due(&self.notes, |n| n.at, transport, (course, zero), from, to);
        let heard = due.into_iter().filter(|(pass, n, _)| sounds(*pass, &self.notes[*n]));
        heard.map(|(_, n, at)| Cue { at, kind: self.notes[n].kind }).collect()
    }

    /// The clicks; the count-in apart.
    pub fn click_cues(
        &self,
        transport: &Transport,
        (course, zero): (&Course, f64),
        from: Stamp,
        to: Stamp,
        sounds: impl Fn(u32, f64) -> bool,
    ) -> Vec<Cue> {
        let due = due(&self.clicks, |c| c.at, transport, (course, zero), from, to);
        let heard = |(pass, n, _): &(u32, usize, Stamp)| {
            let click = &self.clicks[*n];
            self.clicks_in(*pass, click.bar) && sounds(*pass, click.at)
        };
        due.into_iter().filter(heard).map(|(_, n, at)| Cue { at, kind: self.clicks[n].kind }).collect()
    }

    /// The count-in, at run times of its own.
    pub fn count_cues(&self, transport: &Transport, from: Stamp, to: Stamp) -> Vec<Cue> {
        let cues = self.count_in.iter().map(|c| Cue { at: transport.stamp(c.0), kind: c.1 });
        cues.filter(|c| from <= c.at && c.at < to).collect()
    }

    /// The ends of the notes that ring at a place and went down before it, of those that sound.
    pub fn ringing_at(
        &self,
        place: f64,
        sounds: impl Fn(f64, usize) -> bool,
    ) -> impl Iterator<Item = CueKind> {
        let ends = self.notes.iter().filter(|n| matches!(n.kind, CueKind::NoteOff { .. }));
        let ringing = ends.filter(move |n| n.struck_at < place && place < n.at && sounds(n.struck_at, n.bar));
        ringing.map(|n| n.kind)
    }
}

/// What of a list, in order of chart times, comes from one moment up to, and without, another: the pass, the place in the
/// list, when.
fn due<T>(
    list: &[T],
    at: impl Fn(&T) -> f64,
    transport: &Transport,
    (course, zero): (&Course, f64),
    from: Stamp,
    to: Stamp,
) -> Vec<(u32, usize, Stamp)> {
    let mut due = Vec::new();
    let run = |stamp: Stamp| transport.run_ms(stamp) - zero;
    let Some(ends) = list.first().map(&at).zip(list.last().map(&at)) else { return due };
    for pass in passes_between(ends, course, run(from), run(to)) {
        let shift = course.run_start(pass);
        let first = list.partition_point(|n| at(n) < run(from) - shift - SLACK_MS);
        let stamped = (first..list.len()).map(|n| (pass, n, transport.stamp(at(&list[n]) + shift + zero)));
        due.extend(stamped.take_while(|c| c.2 < to).filter(|c| c.2 >= from));
    }
    due
}

/// So much is looked around a stretch of time, against rounding; the stamps decide.
const SLACK_MS: f64 = 1.0;

/// Where a place of the count-in lies: at the tempo of the bar it leads into.
pub(crate) fn count_ms(timeline: &Timeline, bar: usize, at: Quarters) -> f64 {
    timeline.bars().get(bar).map_or(0.0, |b| b.start_ms + (at - b.start).to_f64() * b.ms_per_quarter())
}

fn passes_between(
    (first, last): (f64, f64),
    course: &Course,
    from: f64,
    to: f64,
) -> std::ops::RangeInclusive<u32> {
    if !course.looped || course.length() <= 0.0 {
        return 0..=0;
    }
    let pass = |run_ms: f64, at: f64| ((run_ms - at) / course.length()).floor().max(0.0) as u32;
    pass(from - SLACK_MS, last)..=pass(to + SLACK_MS, first)
}

/// What ends comes before what begins, so that a key struck again sounds again.
pub(crate) fn order(kind: &CueKind) -> u8 {
    match kind {
        CueKind::NoteOff { .. } | CueKind::TakeOff { .. } => 0,
        CueKind::Click(_) | CueKind::TakePedal { .. } => 1,
        CueKind::NoteOn { .. } | CueKind::TakeOn { .. } => 2,
    }
}
