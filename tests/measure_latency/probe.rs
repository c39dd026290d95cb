//! Plays notes to a program and finds out how long each stage of their way took.

use super::recorded::{Onset, Recorded, record};
use super::server::Ends;
use super::subjects::nanos;
use super::{Outcome, RATE};
use app::devices::Setup;
use midir::os::unix::VirtualOutput;
use serde::{Deserialize, Serialize};
use sound::{Bus, ClickKind, Event, EventKind, Key, SampleRate, Source, Velocity, offline};
use std::collections::HashMap;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::{sleep, spawn};
use std::time::{Duration, Instant};

/// Has a damper, and a period of a millisecond.
const KEY: u8 = 84;
const VELOCITY: u8 = 110;
/// No message is on its way for so long.
const FAR: u64 = 100_000_000;

/// Milliseconds, one for each note that was heard.
#[derive(Debug, Default, Deserialize, Serialize)]
pub struct Measured {
    /// From the message that was sent to the sound that was recorded.
    pub whole: Vec<f64>,
    /// To the program.
    pub message: Vec<f64>,
    /// Within the program until the block was asked for that holds the sound; of the bare one alone.
    pub waited: Vec<f64>,
    /// From a frame that was asked for to its recording.
    pub device: Vec<f64>,
    /// Until the string is as loud as is taken for a sound; of ours alone.
    pub string: Vec<f64>,
    /// What is left of the whole without the message and the string; of ours alone.
    pub between: Vec<f64>,
    /// How much later than at the earliest blocks are asked for; of ours alone.
    pub late: Vec<f64>,
    /// Notes whose message did not arrive.
    pub lost: usize,
    /// Notes that were not recorded, though the message arrived.
    pub unheard: usize,
}

/// Measures one program at one size of blocks.
pub fn probe(subject: &str, frames: &str, notes: usize) -> Outcome<Measured> {
    let mut port =
        midir::MidiOutput::new("probe")?.create_virtual("keys").map_err(|error| error.to_string())?;
    let mut program = Command::new(std::env::current_exe()?);
    // Its input stays open for as long as it is to run.
    program.args([subject, frames]).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut program = Ends(program.spawn()?);
    let lines = BufReader::new(program.0.stdout.take().ok_or("no output")?).lines();
    let told = spawn(move || lines.map_while(Result::ok).collect::<Vec<String>>());
    let recorded = Arc::new(Mutex::new(Recorded::default()));
    let stream = record(&recorded)?;
    // Long enough for it to find sound and keyboard.
    sleep(Duration::from_secs(5));
    connect(program.0.id())?;
    sleep(Duration::from_secs(1));
    let mut sent = Vec::with_capacity(notes);
    let start = Instant::now();
    for note in 0..notes {
        // All over the blocks: steps of 0.37 ms.
        let at = start + Duration::from_micros(300_000 * note as u64 + 370 * (note as u64 % 97));
        sleep(at.saturating_duration_since(Instant::now()));
        sent.push(nanos(Instant::now()));
        port.send(&[0x90, KEY, VELOCITY])?;
        sleep(Duration::from_millis(30));
        port.send(&[0x80, KEY, 0])?;
        sleep(Duration::from_millis(120));
        // Asks our program for a click on a frame of its own choice.
        port.send(&[0xb0, 67, 1])?;
    }
    sleep(Duration::from_millis(500));
    drop(stream);
    drop(program);
    let told = Told::of(&told.join().map_err(|_| "the program's lines are lost")?);
    let recorded = recorded.lock().map_err(|error| error.to_string())?;
    Ok(measured(&sent, &told, &recorded))
}

/// What the program told: moments by their names, and how late its blocks are as a rule.
#[derive(Default)]
struct Told(HashMap<String, Vec<u64>>);

impl Told {
    fn of(lines: &[String]) -> Told {
        let mut told = Told::default();
        for (what, at) in lines.iter().filter_map(|line| line.split_once(' ')) {
            told.0.entry(what.to_owned()).or_default().extend(at.parse::<u64>());
        }
        told
    }

    fn all(&self, what: &str) -> &[u64] {
        self.0.get(what).map_or(&[], Vec::as_slice)
    }

    /// The first of its kind after a moment.
    fn after(&self, what: &str, at: u64) -> Option<u64> {
        self.all(what).iter().copied().find(|&told| (at..at + FAR).contains(&told))
    }
}

fn measured(sent: &[u64], told: &Told, recorded: &Recorded) -> Measured {
    let ms = |from: u64, to: u64| (to as f64 - from as f64) / 1e6;
    let mut measured = Measured::default();
    let ours = !told.all("click").is_empty();
    for &at in sent {
        let Some(struck) = told.after("struck", at) else {
            measured.lost += 1;
            continue;
        };
        measured.message.push(ms(at, struck));
        let Some(onset) = recorded.sound_after(at) else {
            measured.unheard += 1;
            continue;
        };
        measured.whole.push(ms(at, onset.at));
        if ours {
            let string = begins(NOTE, onset);
            measured.string.push(string);
            measured.between.push(ms(struck, onset.at) - string);
        } else if let Some(asked) = told.after("asked", struck) {
            measured.waited.push(ms(struck, asked));
            measured.device.push(ms(asked, onset.at));
        }
    }
    for &click in told.all("click") {
        let onset = recorded.sound_after(click);
        measured.device.extend(onset.map(|onset| ms(click, onset.at) - begins(CLICK, onset)));
    }
    measured.late = told.all("late").iter().map(|&nanos| ms(0, nanos)).collect();
    measured
}

const CLICK: fn() -> EventKind = || EventKind::Click(ClickKind::Accent);
const NOTE: fn() -> EventKind = || {
    let (key, velocity) = (Key::new(KEY).expect("a key"), Velocity::clamped(VELOCITY));
    EventKind::NoteOn { key, velocity, source: Source::FIRST }
};

/// How many milliseconds a sound of ours takes to become as loud as was taken for one.
fn begins(kind: fn() -> EventKind, onset: Onset) -> f64 {
    let master = EventKind::Gain { bus: Bus::Master, gain: Setup::default().gains[Bus::Master.index()] };
    let events = [(0, master), (4800, kind())].map(|(frame, kind)| Event { frame, kind });
    let samples = offline::render(SampleRate::DEFAULT, &events, 9600, 2);
    // Its left side is what is recorded.
    let loud = samples.iter().step_by(2).skip(4800).position(|sample| sample.abs() > onset.least);
    loud.map_or(f64::NAN, |frames| frames as f64 * 1000.0 / RATE)
}

/// Leads a program's sound into this one's recording, instead of the silence that is recorded else.
fn connect(program: u32) -> Outcome<()> {
    let list = Command::new("jack_lsp").stderr(Stdio::null()).output()?.stdout;
    let ports: Vec<String> = String::from_utf8_lossy(&list).lines().map(str::to_owned).collect();
    let find = |process: u32, kind: &str| {
        let of = |port: &&String| {
            port.contains(&format!(".P.{process}.")) || port.contains(&format!(".C.{process}."))
        };
        ports.iter().filter(of).find(|port| port.contains(kind)).cloned()
    };
    let (from, to) = (find(program, ":out_"), find(std::process::id(), ":in_"));
    let (Some(from), Some(to)) = (from, to) else {
        return Err(format!("ports are missing: {ports:?}").into());
    };
    Command::new("jack_connect").args([from, to]).stdout(Stdio::null()).stderr(Stdio::null()).status()?;
    Ok(())
}
