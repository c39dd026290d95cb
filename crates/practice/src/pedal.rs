//! How the pedal was used, bar by bar, in words.
//!
//! The foot comes up as the new chord goes down, and goes down again after it (syncopated pedalling). The limits are a
//! starting point, common practice without a source: up between 20 ms before and 80 ms after the chord; down again after
//! it and after any neighbour note that was struck with it has resolved, before the fingers let go, and at most half a
//! beat later. All of them are as played. Half positions beyond the two states, and the other pedals, are not judged.

use crate::{ChartTime, ControlChange, Score, Take, Timeline};
use song::Quarters;
use voicing::{Part, PedalKind, PedalMark, Role};

/// The sustain pedal's controller number (MIDI 1.0).
pub const SUSTAIN: u8 = 64;
/// From here on it is down (MIDI 1.0: 0-63 up, 64-127 down) ...
const DOWN_FROM: u8 = 64;
/// ... and below this up again: what lies between leaves it as it was, for pedals that waver there.
const UP_BELOW: u8 = 54;
/// So long before the chord the foot may come up, in milliseconds as played.
const UP_EARLY_MS: f64 = 20.0;
/// So long after it, too.
const UP_LATE_MS: f64 = 80.0;
/// Whether the pedal works the wrong way round is judged from so many marks on.
const POLARITY_MARKS: usize = 4;

/// What is wrong at one chord. Milliseconds are as played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PedalFault {
    /// Held through the change: both harmonies sound at once.
    Blurred,
    /// Nothing sounded between the chords, for so long.
    Gapped(f64),
    /// Up so long after the chord.
    Late(f64),
    /// Down again only so long after the chord, more than half a beat.
    DownLate(f64),
    /// Down again with the chord or before it, which takes the old sound along; or before a neighbour note had resolved.
    WithTheChord,
    /// Not used.
    NotUsed,
}

/// How one mark went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PedalVerdict {
    /// Which.
    pub mark: PedalMark,
    /// What was wrong; `None` if nothing was.
    pub fault: Option<PedalFault>,
}

/// How the pedal was used in a take.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PedalScore {
    /// Mark by mark, in order of time, as far as the take reaches.
    pub verdicts: Vec<PedalVerdict>,
    /// The pedal sends down for up: it was plugged in after the keyboard was switched on with the foot on it, or is made
    /// for another keyboard. The verdicts are about what the foot did.
    pub wrong_polarity: bool,
}

/// Judges the pedalling of a take against the marks of its part. `score` is the score of the same take: a chord is taken
/// where it was played.
pub fn judge_pedal(part: &Part, timeline: &Timeline, take: &Take, score: &Score) -> PedalScore {
    let chords = chords(part, timeline, take, score);
    let as_sent = judge(&chords, &spans(&take.controls, score, false));
    if as_sent.len() >= POLARITY_MARKS && 4 * good(&as_sent) <= as_sent.len() {
        let turned = judge(&chords, &spans(&take.controls, score, true));
        // Turned round three in four are right, and as sent at most one in four.
        if 4 * good(&turned) >= 3 * turned.len() {
            return PedalScore { verdicts: turned, wrong_polarity: true };
        }
    }
    PedalScore { verdicts: as_sent, wrong_polarity: false }
}

impl PedalScore {
    /// What is to be said about a bar; `None` where nothing was wrong.
    pub fn words(&self, bar: usize) -> Option<String> {
        let mut words: Vec<String> = Vec::new();
        for verdict in self.verdicts.iter().filter(|v| v.mark.bar == bar) {
            let text = verdict.fault.map(PedalFault::text);
            words.extend(text.filter(|t| !words.contains(t)));
        }
        (!words.is_empty()).then(|| words.join("; "))
    }

    /// What is to be said about the whole take, if the pedal itself is at fault.
    pub fn remark(&self) -> Option<&'static str> {
        self.wrong_polarity.then_some(
            "the pedal works the wrong way round: switch the keyboard off, take the foot off the pedal and switch it on \
             again, or turn the pedal's own switch",
        )
    }
}

impl PedalFault {
    /// For a musician.
    ///
    /// ```
    /// assert_eq!(practice::PedalFault::Late(130.0).text(), "pedal late: up 130 ms after the chord");
    /// ```
    pub fn text(self) -> String {
        match self {
            PedalFault::Blurred => "pedal blurred: held through the change".into(),
            PedalFault::Gapped(ms) => format!("pedal gapped: nothing sounds for {ms:.0} ms"),
            PedalFault::Late(ms) => format!("pedal late: up {ms:.0} ms after the chord"),
            PedalFault::DownLate(ms) => format!("pedal late: down again {ms:.0} ms after the chord"),
            PedalFault::WithTheChord => {
                "pedal down with the chord or before it: press it once the chord sounds alone".into()
            }
            PedalFault::NotUsed => "pedal not used".into(),
        }
    }
}

/// A mark in time. All times are in milliseconds as played.
struct Chord {
    mark: PedalMark,
    at: f64,
    /// When the last neighbour note struck with it goes on.
    resolved: f64,
    /// When the last of its fingers lets go, if any note of it was played and let go.
    let_go: Option<f64>,
    half_beat: f64,
}

/// The marks that the take reaches, except the last one up: a last chord may ring.
fn chords(part: &Part, timeline: &Timeline, take: &Take, score: &Score) -> Vec<Chord> {
    let marks = part.pedal_marks();
    let wanted = |m: &&PedalMark| {
        let at = timeline.time(m.at);
        let reached = take.from.is_none_or(|from| from <= at) && take.until.is_none_or(|until| at <= until);
        reached && take.bars.is_none_or(|bars| bars.contains(m.bar))
    };
    let mut marks: Vec<PedalMark> = marks.iter().filter(wanted).copied().collect();
    marks.pop_if(|m| m.kind == PedalKind::Up);
    marks.into_iter().map(|mark| chord(mark, part, timeline, take, score)).collect()
}

fn chord(mark: PedalMark, part: &Part, timeline: &Timeline, take: &Take, score: &Score) -> Chord {
    let ms = |at: Quarters| score.as_played_ms(timeline.time(at));
    let mut struck: Vec<(ChartTime, u8)> = Vec::new();
    let mut resolved = f64::MIN;
    for note in score.notes.iter().filter(|n| n.start == mark.at && mark.kind != PedalKind::Up) {
        struck.extend(note.played_at.map(|at| (at, note.key.number())));
        if let Some(event) = part.events.get(note.event).filter(|e| e.role == Role::Passing) {
            resolved = resolved.max(ms(event.start + event.length));
        }
    }
    struck.sort_unstable();
    let middle = struck.get(struck.len() / 2).map(|s| score.as_played_ms(s.0));
    let let_go = take.notes.iter().filter(|n| struck.contains(&(n.at - score.offset, n.key.number())));
    let let_go = let_go.map(|n| n.length.map(|l| score.as_played_ms(n.at - score.offset + l)));
    let half_beat =
        timeline.bars().get(mark.bar).map_or(250.0, |b| score.speed.stretch_ms(b.beat_ms()) / 2.0);
    let at = middle.unwrap_or_else(|| ms(mark.at));
    // One finger that never lets go holds the sound.
    let let_go = let_go.reduce(|a, b| Some(a?.max(b?))).flatten();
    Chord { mark, at, resolved: resolved.max(at), let_go, half_beat }
}

/// From when to when the pedal was down, in milliseconds as played.
fn spans(controls: &[ControlChange], score: &Score, turned: bool) -> Vec<(f64, f64)> {
    let mut spans: Vec<(f64, f64)> = Vec::new();
    let mut since: Option<f64> = None;
    for control in controls.iter().filter(|c| c.controller == SUSTAIN) {
        let value = if turned { 127 - control.value.min(127) } else { control.value };
        let at = score.as_played_ms(control.at - score.offset);
        match since {
            None if value >= DOWN_FROM => since = Some(at),
            Some(from) if value < UP_BELOW => {
                spans.push((from, at));
                since = None;
            }
            _ => {}
        }
    }
    spans.extend(since.map(|from| (from, f64::MAX)));
    spans
}

fn good(verdicts: &[PedalVerdict]) -> usize {
    verdicts.iter().filter(|v| v.fault.is_none()).count()
}

fn judge(chords: &[Chord], spans: &[(f64, f64)]) -> Vec<PedalVerdict> {
    let mut verdicts = Vec::new();
    let mut before = f64::MIN;
    for (n, chord) in chords.iter().enumerate() {
        let after = chords.get(n + 1).map_or(f64::MAX, |c| c.at - UP_EARLY_MS);
        let fault = match chord.mark.kind {
            PedalKind::Down => down_again(chord, spans, f64::MIN, after),
            PedalKind::Change => change(chord, spans, before, after),
            PedalKind::Up => up(chord, spans, after),
        };
        verdicts.push(PedalVerdict { mark: chord.mark, fault });
        before = chord.at;
    }
    verdicts
}

/// The foot up with the chord and down after it.
fn change(chord: &Chord, spans: &[(f64, f64)], before: f64, after: f64) -> Option<PedalFault> {
    let early = chord.at - UP_EARLY_MS;
    // The pressing that comes nearest to holding the old chord into the new one.
    let Some(&(_, up)) = spans.iter().rfind(|s| s.0 < early && s.1 > before) else {
        // It was not down before; whether it is from now on is all that can be asked.
        return down_again(chord, spans, f64::MIN, after);
    };
    if up < early {
        let down = spans.iter().map(|s| s.0).find(|d| *d >= early);
        return match down {
            Some(down) if down <= chord.at => Some(PedalFault::WithTheChord),
            _ => Some(PedalFault::Gapped(chord.at - up)),
        };
    }
    if up > chord.at + UP_LATE_MS {
        let late = up <= (chord.at + chord.half_beat.max(UP_LATE_MS)).min(after);
        return Some(if late { PedalFault::Late(up - chord.at) } else { PedalFault::Blurred });
    }
    down_again(chord, spans, up, after)
}

/// The foot down after a chord, once it has come up at `up`. Where nothing sounded before, it may be down already.
fn down_again(chord: &Chord, spans: &[(f64, f64)], up: f64, after: f64) -> Option<PedalFault> {
    let fresh = up == f64::MIN;
    let next = spans.iter().find(|s| if fresh { s.1 > chord.at } else { s.0 >= up });
    let Some(&(down, _)) = next.filter(|s| s.0 < after) else { return Some(PedalFault::NotUsed) };
    let latest = chord.resolved + chord.half_beat;
    let neighbour = chord.resolved > chord.at;
    match chord.let_go {
        _ if !fresh && down <= chord.at => Some(PedalFault::WithTheChord),
        _ if neighbour && down < chord.resolved => Some(PedalFault::WithTheChord),
        Some(let_go) if down > let_go => Some(PedalFault::Gapped(down - let_go)),
        _ if down > latest => Some(PedalFault::DownLate(down - chord.at)),
        _ => None,
    }
}

/// The foot up at a rest; earlier is as good, for the fingers hold.
fn up(chord: &Chord, spans: &[(f64, f64)], after: f64) -> Option<PedalFault> {
    let held = spans.iter().find(|s| s.0 < chord.at && s.1 > chord.at + UP_LATE_MS)?;
    let late = held.1 <= (chord.at + chord.half_beat.max(UP_LATE_MS)).min(after);
    Some(if late { PedalFault::Late(held.1 - chord.at) } else { PedalFault::Blurred })
}
