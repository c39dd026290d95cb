//! A second process with a keyboard of its own: plays a standard MIDI file into a virtual MIDI port, in time.
//!
//! `send_midi FILE DELAY_MS`: says `ready` once the port is there, waits for a line on its input, then plays, the file's
//! beginning so many milliseconds later, and ends.
#![allow(clippy::print_stdout)]

use midir::os::unix::VirtualOutput;
use std::io::{BufRead, Write};
use std::time::{Duration, Instant};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [file, delay] = arguments.as_slice() else { return Err("send_midi FILE DELAY_MS".into()) };
    let file = exchange::read_midi(&std::fs::read(file)?)?;
    let delay: f64 = delay.parse()?;
    let mut events: Vec<(f64, [u8; 3])> = Vec::new();
    for note in file.notes() {
        let end = note.end.unwrap_or(note.at);
        events.push((delay + note.at.ms(), [0x90, note.key.number(), note.velocity]));
        events.push((delay + end.ms(), [0x80, note.key.number(), 64]));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut port =
        midir::MidiOutput::new("test keyboard")?.create_virtual("keys").map_err(|e| e.to_string())?;
    println!("ready");
    std::io::stdout().flush()?;
    std::io::stdin().lock().read_line(&mut String::new())?;
    let start = Instant::now();
    for (ms, message) in events {
        let at = start + Duration::from_secs_f64(ms.max(0.0) / 1000.0);
        std::thread::sleep(at.saturating_duration_since(Instant::now()));
        port.send(&message)?;
    }
    // What was sent last is still on its way.
    std::thread::sleep(Duration::from_millis(200));
    Ok(())
}
