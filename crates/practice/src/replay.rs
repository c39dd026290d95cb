//! A take heard again: its keys and pedals as they were played, alone or with the part.

use crate::sounds::Sounds;
use crate::{ChartTime, Cue, CueKind, Lap, LoopBars, Stamp, Timeline};

/// It begins so long after it was asked for, so that its first sound can be prepared; in milliseconds.
const LEAD_MS: f64 = 150.0;
/// A key that never came up is let go so long after it went down, in milliseconds as played.
const OPEN_NOTE_MS: f64 = 2000.0;
/// After the last sound it is over so much later, in milliseconds.
const TAIL_MS: f64 = 400.0;

/// A take that is being heard again, at the speed it was played; where that changed, it changes.
#[derive(Clone, Debug)]
pub struct Replay {
    /// By time, in milliseconds as played from the first bar line of the take.
    cues: Vec<(f64, CueKind)>,
    /// When that bar line would have been.
    origin: Stamp,
    lap: Lap,
    timeline: Timeline,
}

impl Replay {
    /// Begins soon after `now`; the part plays along in the bars of the take, or does not.
    pub fn start(lap: &Lap, with_part: bool, now: Stamp) -> Replay {
        let timeline = Timeline::new(&lap.part);
        let mut cues = played(lap);
        if with_part {
            cues.extend(of_part(lap, &timeline));
        }
        // What ends comes before what begins.
        let begins = |kind: &CueKind| !matches!(kind, CueKind::NoteOff { .. } | CueKind::TakeOff { .. });
        cues.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| begins(&a.1).cmp(&begins(&b.1))));
        let first = cues.first().map_or(0.0, |cue| cue.0);
        Replay { cues, origin: now.plus_ms(LEAD_MS - first), lap: lap.clone(), timeline }
    }

    /// What sounds from one moment up to, and without, another.
    pub fn cues(&self, from: Stamp, to: Stamp) -> Vec<Cue> {
        let (from, to) = (from.ms_since(self.origin), to.ms_since(self.origin));
        let first = self.cues.partition_point(|cue| cue.0 < from);
        let last = self.cues.partition_point(|cue| cue.0 < to);
        let cue = |&(ms, kind): &(f64, CueKind)| Cue { at: self.origin.plus_ms(ms), kind };
        self.cues[first..last.max(first)].iter().map(cue).collect()
    }

    /// The place in the song, in quarters.
    pub fn quarters(&self, now: Stamp) -> f64 {
        self.timeline.quarters_of_ms(self.lap.take.tempo.chart_ms(now.ms_since(self.origin)))
    }

    /// Whether everything has sounded.
    pub fn is_over(&self, now: Stamp) -> bool {
        let last = self.cues.last().map_or(0.0, |cue| cue.0);
        now.ms_since(self.origin) > last + TAIL_MS
    }

    /// What is heard.
    pub fn lap(&self) -> &Lap {
        &self.lap
    }
}

/// The player's keys and pedals, where the score has them: a shift that was found is taken off.
fn played(lap: &Lap) -> Vec<(f64, CueKind)> {
    let ms = |at: ChartTime| lap.take.tempo.played_ms(at - lap.score.offset);
    let mut cues = Vec::new();
    for note in &lap.take.notes {
        let end = note.length.map_or(ms(note.at) + OPEN_NOTE_MS, |length| ms(note.at + length));
        cues.push((ms(note.at), CueKind::TakeOn { key: note.key, velocity: note.velocity }));
        cues.push((end, CueKind::TakeOff { key: note.key }));
    }
    for control in &lap.take.controls {
        let kind = CueKind::TakePedal { controller: control.controller, value: control.value };
        cues.push((ms(control.at), kind));
    }
    cues
}

/// Both hands of the part, from the bar the take begins in to the one it ends in.
fn of_part(lap: &Lap, timeline: &Timeline) -> Vec<(f64, CueKind)> {
    let bars = lap.score.bars.iter().map(|bar| bar.bar);
    let Some((first, last)) = bars.clone().min().zip(bars.max()) else { return Vec::new() };
    let notes = Sounds::notes(&lap.part, timeline, LoopBars::new(first, last), |_| true);
    let as_played = |(ms, kind): (f64, CueKind)| (lap.take.tempo.played_ms(ChartTime::from_ms(ms)), kind);
    notes.into_notes().into_iter().map(as_played).collect()
}
