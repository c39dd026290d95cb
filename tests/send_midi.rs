//! A second process with a keyboard of its own: plays a standard MIDI file into a virtual MIDI port, in time.
//!
//! `send_midi FILE`: says `ready` once the port is there, waits for a line on its input, then plays and ends. The line may
//! say when the file's beginning is, as microseconds of the system's clock.
#![allow(clippy::print_stdout)]

use midir::os::unix::VirtualOutput;
use std::io::{BufRead, Write};
use std::time::{Duration, Instant, SystemTime};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let file = std::env::args().nth(1).ok_or("send_midi FILE")?;
    let file = exchange::read_midi(&std::fs::read(file)?)?;
    let mut events: Vec<(f64, [u8; 3])> = Vec::new();
    for note in file.notes() {
        let end = note.end.unwrap_or(note.at);
        events.push((note.at.ms(), [0x90, note.key.number(), note.velocity]));
        events.push((end.ms(), [0x80, note.key.number(), 64]));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut port =
        midir::MidiOutput::new("test keyboard")?.create_virtual("keys").map_err(|e| e.to_string())?;
    println!("ready");
    std::io::stdout().flush()?;
    let mut line = String::new();
    std::io::stdin().lock().read_line(&mut line)?;
    let start = Instant::now() + line.trim().parse().map_or(Duration::ZERO, until);
    for (ms, message) in events {
        let at = start + Duration::from_secs_f64(ms.max(0.0) / 1000.0);
        std::thread::sleep(at.saturating_duration_since(Instant::now()));
        port.send(&message)?;
    }
    // What was sent last is still on its way.
    std::thread::sleep(Duration::from_millis(200));
    Ok(())
}

/// How long it is until a moment of the system's clock.
fn until(micros: u64) -> Duration {
    let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    Duration::from_micros(micros).saturating_sub(now)
}
