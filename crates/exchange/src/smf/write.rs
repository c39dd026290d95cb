//! Writing takes.

use super::mark::TakeMark;
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, Track, TrackEvent, TrackEventKind};
use practice::{ChartTime, PlayedNote, TICKS_PER_QUARTER, Take, TempoStep};
use song::Meter;
use theory::{Key, Mode};

/// Events of a track with their ticks.
pub(super) type TrackEvents<'a> = Vec<(i64, TrackEventKind<'a>)>;

/// The longest step between two events, in ticks.
const LONGEST_STEP: i64 = (1 << 28) - 1;
/// A key that never came up is let go so long after it went down, in milliseconds of the chart.
const OPEN_NOTE_MS: f64 = 2000.0;
/// The slowest tempo that fits its event, in microseconds a quarter: 3.6 quarters a minute.
const SLOWEST: f64 = ((1 << 24) - 1) as f64;

/// Writes a take as a standard MIDI file of format 1: a track with the chart's meters and its tempi as they were played,
/// its key and a text that says how it was played, and a track with the notes. Its bar lines are those of the chart; whole
/// bars come before the first where something was struck before it. Read again it is scored to the same result.
pub fn write_take(take: &Take) -> Vec<u8> {
    let mut keys = key_events(take);
    let bar = take.tempo.first_bar();
    let first = keys.iter().map(|e| e.0).min().unwrap_or(0);
    let lead = ((-first).max(0) + bar - 1) / bar * bar;
    keys.iter_mut().for_each(|e| e.0 += lead);
    let mark = TakeMark::of(take, lead).text();
    let mut clock = vec![
        (0, TrackEventKind::Meta(MetaMessage::TrackName(b"Clock"))),
        (0, TrackEventKind::Meta(MetaMessage::Text(mark.as_bytes()))),
    ];
    clock.extend(take.key.map(|key| (0, key_signature(key))));
    // The first of each holds in the bars before as well.
    let tick = |tick: i64| if tick == 0 { 0 } else { tick + lead };
    clock.extend(take.tempo.meters().iter().map(|m| (tick(m.tick), time_signature(m.meter))));
    clock.extend(take.tempo.tempi().iter().map(|t| (tick(t.tick), tempo(t))));
    clock.sort_by_key(|e| e.0);
    let mut notes = vec![(0, TrackEventKind::Meta(MetaMessage::TrackName(b"Take")))];
    notes.extend(keys);
    let mut smf =
        Smf::new(Header::new(Format::Parallel, Timing::Metrical(u15::new(TICKS_PER_QUARTER as u16))));
    smf.tracks = vec![track(clock), track(notes)];
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).expect("a vector takes all bytes, and two tracks fit a header");
    bytes
}

pub(super) fn key_signature(key: Key) -> TrackEventKind<'static> {
    TrackEventKind::Meta(MetaMessage::KeySignature(key.signature(), key.mode() == Mode::Minor))
}

/// With the MIDI clocks of a beat, of which a quarter has 24.
pub(super) fn time_signature(meter: Meter) -> TrackEventKind<'static> {
    let clocks = (meter.beat(false).length.to_f64() * 24.0).max(1.0) as u8;
    let power = meter.lower().trailing_zeros() as u8;
    TrackEventKind::Meta(MetaMessage::TimeSignature(meter.upper(), power, clocks, 8))
}

fn tempo(step: &TempoStep) -> TrackEventKind<'static> {
    let micros = step.quarter_micros().round().clamp(1.0, SLOWEST) as u32;
    TrackEventKind::Meta(MetaMessage::Tempo(u24::new(micros)))
}

/// Keys down and up, and pedals, in ticks from the first bar line; of one time, up comes first, unless it is the same note.
fn key_events(take: &Take) -> Vec<(i64, TrackEventKind<'static>)> {
    let mut events: Vec<(i64, u8, TrackEventKind<'static>)> = Vec::new();
    for note in &take.notes {
        let (on, off) = ends(note, take);
        let key = u7::new(note.key.number());
        let vel = u7::new(note.velocity.clamp(1, 127));
        let midi = |message| TrackEventKind::Midi { channel: u4::new(0), message };
        let order = if off == on { 2 } else { 0 };
        events.push((on, 1, midi(MidiMessage::NoteOn { key, vel })));
        events.push((off, order, midi(MidiMessage::NoteOff { key, vel: u7::new(64) })));
    }
    for control in &take.controls {
        let message = MidiMessage::Controller {
            controller: u7::new(control.controller.min(127)),
            value: u7::new(control.value.min(127)),
        };
        let kind = TrackEventKind::Midi { channel: u4::new(0), message };
        events.push((take.tempo.tick(control.at), 1, kind));
    }
    events.sort_by_key(|e| (e.0, e.1));
    events.into_iter().map(|(tick, _, kind)| (tick, kind)).collect()
}

fn ends(note: &PlayedNote, take: &Take) -> (i64, i64) {
    let length = note.length.unwrap_or(ChartTime::from_ms(OPEN_NOTE_MS));
    let on = take.tempo.tick(note.at);
    (on, take.tempo.tick(note.at + length).max(on))
}

/// A track of events in order, with their ticks; steps that are too long for one event are bridged by empty texts.
pub(super) fn track(events: TrackEvents<'_>) -> Track<'_> {
    let mut track = Vec::new();
    let mut at = 0;
    for (tick, kind) in events {
        while tick - at > LONGEST_STEP {
            track.push(event(LONGEST_STEP, TrackEventKind::Meta(MetaMessage::Text(b""))));
            at += LONGEST_STEP;
        }
        track.push(event(tick - at, kind));
        at = tick;
    }
    track.push(event(0, TrackEventKind::Meta(MetaMessage::EndOfTrack)));
    track
}

fn event(delta: i64, kind: TrackEventKind<'_>) -> TrackEvent<'_> {
    TrackEvent { delta: u28::new(delta as u32), kind }
}
