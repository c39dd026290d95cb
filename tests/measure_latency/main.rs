//! From a message that another process sends to the sound that comes out: figures for players, measured on real servers.
//!
//! `measure_latency [NOTES]` starts a JACK server on its dummy driver and, for blocks of 64, 128 and 256 frames, plays notes
//! to two programs through MIDI and records what they play: to the least that any program can do, a click at the start of
//! the next block, and to all of our way from the message to the sample. Both tell when they did what, so that every stage
//! of the way is measured by itself; what is left in the end has no other owner than us. `stages.rs` tells the stages.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod probe;
mod recorded;
mod server;
mod stages;
mod subjects;

use server::Server;
use std::process::Command;

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// Frames a second.
const RATE: f64 = 48_000.0;

fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["bare", frames] => subjects::bare(frames.parse()?),
        ["ours", frames] => subjects::ours(frames.parse()?),
        ["probe", subject, frames, notes] => {
            println!("{}", serde_json::to_string(&probe::probe(subject, frames, notes.parse()?)?)?);
            Ok(())
        }
        rest => all(rest.first().map_or(Ok(200), |notes| notes.parse())?),
    }
}

/// Starts a server and measures everything, each in a process of its own that finds the server by its environment.
fn all(notes: usize) -> Outcome<()> {
    let server = Server::start()?;
    println!("{notes} notes each; a server at 64 frames of 48000 a second");
    for frames in [64, 128, 256] {
        let measured = ["bare", "ours"].map(|subject| {
            let mut probe = Command::new(std::env::current_exe()?);
            probe.args(["probe", subject, &frames.to_string(), &notes.to_string()]);
            let told = server.within(&mut probe).output()?;
            let complaint = || String::from_utf8_lossy(&told.stderr).into_owned();
            serde_json::from_slice(&told.stdout).map_err(|_| complaint().into())
        });
        let [bare, ours]: [Outcome<probe::Measured>; 2] = measured;
        stages::tell(frames, &bare?, &ours?);
    }
    Ok(())
}
