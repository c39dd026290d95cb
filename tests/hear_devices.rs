//! Opens the devices without a window and tells what they do: for trying out a keyboard, and for tests.
//!
//! `hear_devices [BUFFER [OUTPUT]]` prints a line for each change of the status (`sound`, `midi`, `message`), each stream
//! (`stream`) and each key (`down`, `up`); what is played sounds. It ends when its standard input does. With `HEAR_COUNTS`
//! in its environment keys are not told one by one, but twice a second: `heard DOWN UP HELD LOST`.
#![allow(clippy::print_stdout)]

use std::collections::BTreeSet;
use std::io::{Read, stdin};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use app::devices::{self, ClockFeed, Input, InputKind, Setup, SoundChoice, Status};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let buffer = arguments.next().and_then(|frames| frames.parse().ok());
    let output = arguments.next().map_or(SoundChoice::System, SoundChoice::Named);
    let setup = Setup { buffer: buffer.unwrap_or(Setup::default().buffer), output, ..Setup::default() };
    let ended = Arc::new(AtomicBool::new(false));
    let until = Arc::clone(&ended);
    thread::spawn(move || {
        // However the input ends, so does the program.
        let _ = stdin().read_to_end(&mut Vec::new());
        until.store(true, Ordering::Relaxed);
    });
    let start = Instant::now();
    let mut handles = devices::open(setup, || {});
    let (mut shown, mut stream) = (Status::default(), 0);
    let mut counts = std::env::var_os("HEAR_COUNTS").map(|_| Counts::default());
    while !ended.load(Ordering::Relaxed) {
        handles.inbox.wait(Duration::from_millis(20));
        while let Some(input) = handles.inbox.next_input() {
            match &mut counts {
                Some(counts) => counts.count(&input),
                None => tell_input(&input, start),
            }
        }
        if let Some(counts) = &mut counts {
            counts.tell(handles.inbox.missed());
        }
        tell_stream(&mut handles.clock, &mut stream);
        let status = handles.devices.status();
        tell_changes(&shown, &status);
        shown = status;
    }
}

#[derive(Default)]
struct Counts {
    down: u64,
    up: u64,
    held: BTreeSet<u8>,
    told: Option<Instant>,
}

impl Counts {
    fn count(&mut self, input: &Input) {
        match input.kind {
            InputKind::KeyDown { key, .. } => {
                self.down += 1;
                self.held.insert(key.midi());
            }
            InputKind::KeyUp { key } => {
                self.up += 1;
                self.held.remove(&key.midi());
            }
            InputKind::AllUp => self.held.clear(),
            _ => {}
        }
    }

    fn tell(&mut self, missed: u64) {
        if self.told.is_none_or(|last| last.elapsed() > Duration::from_millis(500)) {
            self.told = Some(Instant::now());
            println!("heard {} {} {} {missed}", self.down, self.up, self.held.len());
        }
    }
}

fn tell_input(input: &Input, start: Instant) {
    let at = (input.at - start).as_secs_f64() * 1000.0;
    match input.kind {
        InputKind::KeyDown { key, velocity } => println!("down {} {} {at:.3}", key.midi(), velocity.get()),
        InputKind::KeyUp { key } => println!("up {} {at:.3}", key.midi()),
        InputKind::Sustain { value } => println!("pedal {value} {at:.3}"),
        InputKind::Sostenuto { value } => println!("sostenuto {value} {at:.3}"),
        InputKind::UnaCorda { value } => println!("una corda {value} {at:.3}"),
        InputKind::AllUp => println!("all up {at:.3}"),
    }
}

fn tell_stream(clock: &mut ClockFeed, stream: &mut u32) {
    if let Some(pair) = clock.latest()
        && pair.generation != *stream
    {
        *stream = pair.generation;
        let kind = if pair.heard { "device" } else { "silent" };
        println!("stream {kind} from frame {} in blocks of {}", pair.frame, pair.frames);
    }
}

fn tell_changes(before: &Status, now: &Status) {
    if before.sound != now.sound {
        println!("sound {}", now.sound.as_ref().map_or("none", |sound| &sound.name));
    }
    if before.midi != now.midi {
        let open: Vec<&str> =
            now.midi.iter().filter(|port| port.open).map(|port| port.name.as_str()).collect();
        println!("midi {}", if open.is_empty() { "none".to_owned() } else { open.join(", ") });
    }
    for message in now.messages().filter(|message| before.messages().all(|old| old != *message)) {
        println!("message {message}");
    }
}
