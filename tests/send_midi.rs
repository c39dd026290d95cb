//! A second process with a keyboard of its own: plays a standard MIDI file into a virtual MIDI port, in time.
//!
//! `send_midi FILE|SECONDS [NAME]`: plays the file, or ten thousand messages a second for so long. It says `ready` once the port is there, waits for a line on its input, then plays and ends. The line may
//! say when the file's beginning is, as microseconds of the system's clock.
#![allow(clippy::print_stdout)]

use midir::os::unix::VirtualOutput;
use std::io::{BufRead, Write};
use std::time::{Duration, Instant, SystemTime};

/// A message with its milliseconds from the beginning.
type Timed = (f64, [u8; 3]);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let what = arguments.next().ok_or("send_midi FILE|SECONDS [NAME]")?;
    let name = arguments.next().unwrap_or_else(|| "test keyboard".to_owned());
    let events = match what.parse() {
        Ok(seconds) => flood(seconds),
        Err(_) => of_file(&what)?,
    };
    let mut port = midir::MidiOutput::new(&name)?.create_virtual("keys").map_err(|e| e.to_string())?;
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

fn of_file(path: &str) -> Result<Vec<Timed>, Box<dyn std::error::Error>> {
    let file = exchange::read_midi(&std::fs::read(path)?)?;
    let mut events: Vec<Timed> = Vec::new();
    for note in file.notes() {
        let end = note.end.unwrap_or(note.at);
        events.push((note.at.ms(), [0x90, note.key.number(), note.velocity]));
        events.push((end.ms(), [0x80, note.key.number(), 64]));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    Ok(events)
}

/// Ten thousand messages a second: keys go down and come up all over the keyboard.
fn flood(seconds: u32) -> Vec<Timed> {
    let pairs = 0..5_000 * seconds;
    let pair = |n: u32| {
        let (at, key) = (f64::from(n) * 0.2, 21 + (n % 88) as u8);
        [(at, [0x90, key, 64]), (at + 0.1, [0x80, key, 0])]
    };
    pairs.flat_map(pair).collect()
}

/// How long it is until a moment of the system's clock.
fn until(micros: u64) -> Duration {
    let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    Duration::from_micros(micros).saturating_sub(now)
}
