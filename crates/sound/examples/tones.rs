//! Renders keys, one after the other, as raw samples to listen to or to look at:
//! `cargo run -p sound --example tones -- 100 21 60 108 > tones.raw` plays three keys at velocity 100 for three seconds each
//! (32-bit floats, two channels, 48 kHz), as in `sox -t f32 -r 48k -c 2 tones.raw tones.wav`.
#![allow(clippy::disallowed_methods, reason = "a tool that is told its keys")]

use std::io::Write;

use sound::{Event, EventKind, Key, SampleRate, Source, Velocity, offline};

const SECONDS: f64 = 3.0;

fn main() -> std::io::Result<()> {
    let numbers: Vec<u8> = std::env::args().skip(1).filter_map(|number| number.parse().ok()).collect();
    let Some((&velocity, keys)) = numbers.split_first() else {
        return Err(std::io::Error::other("give a velocity and one key or more, as MIDI numbers"));
    };
    let (rate, source) = (SampleRate::DEFAULT, Source::Part);
    let mut events = Vec::new();
    for (at, key) in keys.iter().filter_map(|midi| Key::new(*midi)).enumerate() {
        let frame = rate.frames(SECONDS * at as f64);
        let velocity = Velocity::clamped(velocity);
        events.push(Event { frame, kind: EventKind::NoteOn { key, velocity, source } });
        let frame = frame + rate.frames(SECONDS - 0.6);
        events.push(Event { frame, kind: EventKind::NoteOff { key, source } });
    }
    let frames = rate.frames(SECONDS * keys.len() as f64) as usize;
    let samples = offline::render(rate, &events, frames, 2);
    let bytes: Vec<u8> = samples.iter().flat_map(|sample| sample.to_le_bytes()).collect();
    std::io::stdout().write_all(&bytes)
}
