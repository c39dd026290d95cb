//! Reading.

use super::bars::bars;
use super::file::{MidiFile, MidiNote};
use super::mark::TakeMark;
use super::outline::{Outline, WordKind};
use super::tempo_map::TempoMap;
use crate::ExchangeError;
use midly::{Format, MetaMessage, MidiMessage, Smf, TrackEventKind};
use practice::{BarSpan, ControlChange};
use song::Quarters;
use std::collections::{HashMap, VecDeque};
use theory::{Hand, MidiKey};

/// Whether a file's bytes look like a standard MIDI file. Reading tells for sure.
pub fn looks_like_midi(bytes: &[u8]) -> bool {
    bytes.starts_with(b"MThd") || (bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"RMID"))
}

/// Reads a standard MIDI file of format 0 or 1, whatever its division. Percussion (channel 10, by General MIDI) is left
/// out. Any bytes are read or refused, with what to do; nothing is assumed of them.
pub fn read_midi(bytes: &[u8]) -> Result<MidiFile, ExchangeError> {
    if impossible_frame_rate(bytes) {
        return Err(ExchangeError::NotMidi("its frames a second are none that there are".to_owned()));
    }
    let smf = Smf::parse(bytes).map_err(|e| ExchangeError::NotMidi(e.to_string()))?;
    if smf.header.format == Format::Sequential {
        return Err(ExchangeError::Patterns);
    }
    let mut found = Found::default();
    smf.tracks.iter().enumerate().for_each(|(index, track)| found.track(index, track));
    found.tempos.sort_by_key(|t| t.0);
    found.meters.sort_by_key(|m| m.0);
    let map = TempoMap::new(smf.header.timing, &found.tempos).ok_or(ExchangeError::NoDivision)?;
    let last = found.notes.iter().map(|n| n.on).max().unwrap_or(0);
    let bars = bars(&map, &found.meters, last)?;
    let mut notes: Vec<MidiNote> = found.notes.iter().map(|n| n.place(&map, &bars, &found.names)).collect();
    notes.sort_by_key(|n| (n.at, n.key, n.track));
    let bars = bars.into_iter().map(|b| b.1).collect();
    found.controls.sort_by_key(|c| c.0);
    let control =
        |&(tick, controller, value): &(u64, u8, u8)| ControlChange { at: map.time(tick), controller, value };
    let controls = found.controls.iter().map(control).collect();
    let take = found.mark.as_ref().map(|mark| mark.take(&found.notes, &found.controls, &map));
    let mut outline = found.outline;
    (outline.tempos, outline.meters) = (found.tempos, found.meters);
    outline.ticks_per_quarter = map.ticks_per_quarter();
    outline.last_tick = outline.last_tick.max(last);
    outline.sort();
    Ok(MidiFile { notes, controls, track_names: found.names, bars, take, outline })
}

/// Whether a header counts its time in minus 128 frames a second, the one number that midly cannot turn round.
fn impossible_frame_rate(bytes: &[u8]) -> bool {
    bytes.windows(13).any(|chunk| chunk.starts_with(b"MThd") && chunk[12] == 0x80)
}

/// Sustain, sostenuto and soft pedal (MIDI 1.0); a take carries no other controllers.
const PEDALS: [u8; 3] = [64, 66, 67];
/// Channel 10, counted from 0.
const PERCUSSION: u8 = 9;

/// What the tracks hold, in ticks.
#[derive(Default)]
struct Found {
    tempos: Vec<(u64, u32)>,
    meters: Vec<(u64, u8, u8)>,
    names: Vec<String>,
    notes: Vec<Raw>,
    /// Tick, controller, value.
    controls: Vec<(u64, u8, u8)>,
    mark: Option<TakeMark>,
    outline: Outline,
}

/// A note in ticks.
pub(super) struct Raw {
    pub on: u64,
    pub off: Option<u64>,
    pub key: u8,
    pub velocity: u8,
    track: usize,
}

impl Raw {
    /// Its key.
    pub fn midi_key(&self) -> MidiKey {
        MidiKey::new(self.key).expect("a MIDI data byte is below 128")
    }
}

impl Found {
    fn track(&mut self, index: usize, track: &[midly::TrackEvent<'_>]) {
        self.names.push(String::new());
        let mut open: HashMap<(u8, u8), VecDeque<usize>> = HashMap::new();
        let mut tick = 0u64;
        for event in track {
            tick += u64::from(event.delta.as_int());
            match event.kind {
                TrackEventKind::Meta(meta) => self.meta(index, tick, meta),
                TrackEventKind::Midi { channel, message } if channel.as_int() != PERCUSSION => {
                    match message {
                        MidiMessage::NoteOn { key, vel } if vel > 0 => {
                            open.entry((channel.as_int(), key.as_int()))
                                .or_default()
                                .push_back(self.notes.len());
                            let (key, velocity) = (key.as_int(), vel.as_int());
                            self.notes.push(Raw { on: tick, off: None, key, velocity, track: index });
                        }
                        MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
                            let first =
                                open.get_mut(&(channel.as_int(), key.as_int())).and_then(VecDeque::pop_front);
                            if let Some(note) = first {
                                self.notes[note].off = Some(tick);
                            }
                        }
                        MidiMessage::Controller { controller, value }
                            if PEDALS.contains(&controller.as_int()) =>
                        {
                            self.controls.push((tick, controller.as_int(), value.as_int()));
                        }
                        _ => {}
                    }
                }
                _ => {}
            }
        }
    }

    fn meta(&mut self, track: usize, tick: u64, meta: MetaMessage<'_>) {
        match meta {
            MetaMessage::Tempo(tempo) => self.tempos.push((tick, tempo.as_int())),
            MetaMessage::TimeSignature(upper, power, ..) => self.meters.push((tick, upper, power)),
            MetaMessage::TrackName(name) if self.names[track].is_empty() => {
                self.names[track] = String::from_utf8_lossy(name).into_owned();
            }
            MetaMessage::Text(text) => {
                let mark = std::str::from_utf8(text).ok().and_then(TakeMark::parse);
                self.mark = self.mark.take().or(mark);
                self.outline.add(tick, track, WordKind::Text, text);
            }
            MetaMessage::Lyric(text) => self.outline.add(tick, track, WordKind::Lyric, text),
            MetaMessage::Marker(text) => self.outline.add(tick, track, WordKind::Marker, text),
            MetaMessage::CuePoint(text) => self.outline.add(tick, track, WordKind::Cue, text),
            MetaMessage::EndOfTrack => self.outline.last_tick = self.outline.last_tick.max(tick),
            MetaMessage::KeySignature(signature, minor) => self.outline.add_key(tick, signature, minor),
            _ => {}
        }
    }
}

impl Raw {
    fn place(&self, map: &TempoMap, bars: &[(u64, BarSpan)], names: &[String]) -> MidiNote {
        let quarters = |ticks: u64| {
            Quarters::new(i64::try_from(ticks).unwrap_or(i64::MAX), i64::from(map.ticks_per_quarter()))
        };
        MidiNote {
            at: map.time(self.on),
            end: self.off.map(|t| map.time(t)),
            start: quarters(self.on),
            length: self.off.map(|off| quarters(off.saturating_sub(self.on))),
            key: self.midi_key(),
            velocity: self.velocity,
            hand: hand(&names[self.track]),
            track: self.track,
            bar: bars.partition_point(|b| b.0 <= self.on).saturating_sub(1),
        }
    }
}

/// The hand a track is named after; none if it names both.
fn hand(name: &str) -> Option<Hand> {
    let name = name.to_lowercase();
    match (name.contains("right"), name.contains("left")) {
        (true, false) => Some(Hand::Right),
        (false, true) => Some(Hand::Left),
        _ => None,
    }
}
