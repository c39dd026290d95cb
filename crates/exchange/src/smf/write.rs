//! Writing takes.

use super::mark::TakeMark;
use super::tempo_map::DEFAULT_TEMPO;
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, Track, TrackEvent, TrackEventKind};
use practice::{ChartTime, PlayedNote, TAKE_GRID_MICROS, Take, to_grid};

/// At 120 a minute a tick of this division is one step of the grid that takes are kept on: nothing is rounded.
const DIVISION: u16 = (DEFAULT_TEMPO as i64 / TAKE_GRID_MICROS) as u16;
/// A bar of 4/4 at 120, in ticks: what comes before the first bar line is whole bars.
const BAR: i64 = 4 * DIVISION as i64;
/// The longest step between two events, in ticks.
const LONGEST_STEP: i64 = (1 << 28) - 1;
/// A key that never came up is let go so long after it went down, in milliseconds of the chart.
const OPEN_NOTE_MS: f64 = 2000.0;

/// Writes a take as a standard MIDI file of format 1: a track with the clock and a text that says how it was played, and
/// a track with the notes, in time as they were played. Read again it is scored to the same result.
pub fn write_take(take: &Take) -> Vec<u8> {
    let mut keys = key_events(take);
    let first = keys.iter().map(|e| e.0).min().unwrap_or(0);
    let lead = ((-first).max(0) + BAR - 1) / BAR * BAR;
    keys.iter_mut().for_each(|e| e.0 += lead);
    let mark = TakeMark::of(take, lead).text();
    let clock = vec![
        (0, TrackEventKind::Meta(MetaMessage::TrackName(b"Clock"))),
        (0, TrackEventKind::Meta(MetaMessage::Text(mark.as_bytes()))),
        (0, TrackEventKind::Meta(MetaMessage::Tempo(u24::new(DEFAULT_TEMPO)))),
        (0, TrackEventKind::Meta(MetaMessage::TimeSignature(4, 2, 24, 8))),
    ];
    let mut notes = vec![(0, TrackEventKind::Meta(MetaMessage::TrackName(b"Take")))];
    notes.extend(keys);
    let mut smf = Smf::new(Header::new(Format::Parallel, Timing::Metrical(u15::new(DIVISION))));
    smf.tracks = vec![track(clock), track(notes)];
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).expect("a vector takes all bytes, and two tracks fit a header");
    bytes
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
        events.push((to_grid(control.at, take.speed), 1, kind));
    }
    events.sort_by_key(|e| (e.0, e.1));
    events.into_iter().map(|(tick, _, kind)| (tick, kind)).collect()
}

fn ends(note: &PlayedNote, take: &Take) -> (i64, i64) {
    let length = note.length.unwrap_or(ChartTime::from_ms(OPEN_NOTE_MS));
    let on = to_grid(note.at, take.speed);
    (on, to_grid(note.at + length, take.speed).max(on))
}

/// A track of events in order, with their ticks; steps that are too long for one event are bridged by empty texts.
fn track(events: Vec<(i64, TrackEventKind<'_>)>) -> Track<'_> {
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
