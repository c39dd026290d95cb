//! Plays a standard MIDI file through real MIDI, as a keyboard in another process would.
//!
//! `send_take FILE [NAME]` offers a MIDI output called NAME (`keys` if none is given), prints `ready`, waits for a line on
//! standard input, plays the file in its own time, prints `done` and waits for the end of its input. A program that
//! listens to every keyboard finds the output by itself; give it time before the line is sent. It needs the `midi-jack`
//! feature and a JACK server, or on other systems a driver that lets programs offer ports.
#![allow(clippy::print_stdout, reason = "a program of the command line")]

use std::error::Error;
use std::io::{BufRead, stdin};
use std::thread;
use std::time::{Duration, Instant};

use midly::{MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let file = arguments.next().ok_or("send_take FILE [NAME]")?;
    let name = arguments.next().unwrap_or_else(|| "keys".to_owned());
    let messages = messages(&std::fs::read(file)?)?;
    let mut output = offer(&name)?;
    println!("ready");
    stdin().lock().read_line(&mut String::new())?;
    let start = Instant::now();
    for (at, bytes) in &messages {
        thread::sleep((start + *at).saturating_duration_since(Instant::now()));
        output.send(bytes)?;
    }
    println!("done");
    stdin().lock().read_line(&mut String::new())?;
    Ok(())
}

#[cfg(unix)]
fn offer(name: &str) -> Result<midir::MidiOutputConnection, Box<dyn Error>> {
    use midir::os::unix::VirtualOutput;
    let output = midir::MidiOutput::new(name)?;
    output.create_virtual("out").map_err(|error| format!("{error:?}").into())
}

#[cfg(not(unix))]
fn offer(name: &str) -> Result<midir::MidiOutputConnection, Box<dyn Error>> {
    let output = midir::MidiOutput::new(name)?;
    let port = output.ports().into_iter().next().ok_or("there is no MIDI output")?;
    output.connect(&port, "out").map_err(|error| format!("{error:?}").into())
}

/// Every channel message of all tracks with its time, in order.
fn messages(file: &[u8]) -> Result<Vec<(Duration, Vec<u8>)>, Box<dyn Error>> {
    let smf = Smf::parse(file)?;
    let Timing::Metrical(division) = smf.header.timing else {
        return Err("only files with ticks per quarter can be sent".into());
    };
    let mut events: Vec<(u64, TrackEventKind)> = Vec::new();
    for track in &smf.tracks {
        let mut ticks = 0;
        for event in track {
            ticks += u64::from(event.delta.as_int());
            events.push((ticks, event.kind));
        }
    }
    // Stable, and note-offs before note-ons of the same tick, so that a repeated key is let go first.
    events.sort_by_key(|(ticks, kind)| (*ticks, is_note_on(kind)));
    let (mut then, mut seconds, mut tempo) = (0, 0.0, 500_000.0);
    let mut sent = Vec::new();
    for (ticks, kind) in events {
        seconds += (ticks - then) as f64 / f64::from(division.as_int()) * tempo / 1e6;
        then = ticks;
        match kind {
            TrackEventKind::Meta(MetaMessage::Tempo(micros)) => tempo = f64::from(micros.as_int()),
            TrackEventKind::Midi { .. } => {
                let mut bytes = Vec::new();
                if let Some(live) = kind.as_live_event() {
                    live.write_std(&mut bytes)?;
                }
                sent.push((Duration::from_secs_f64(seconds), bytes));
            }
            _ => {}
        }
    }
    Ok(sent)
}

fn is_note_on(kind: &TrackEventKind) -> bool {
    matches!(kind, TrackEventKind::Midi { message: MidiMessage::NoteOn { vel, .. }, .. } if vel.as_int() > 0)
}
