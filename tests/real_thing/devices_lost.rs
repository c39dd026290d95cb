//! The devices come and go while the program runs: it says so once, goes on, and takes them up again.

use super::alone;
use crate::support::have;
use crate::support::process::{Ends, wait_for};
use crate::support::sound_server::SoundServer;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::{Arc, Mutex};

const NEEDED: [&str; 3] = ["jackd", "jack_wait", "jack_lsp"];
const LOST: &str = "message The sound device was lost";

#[test]
fn a_keyboard_is_heard_when_it_is_plugged_in_and_again_after_it_was_pulled_out() {
    let _alone = alone();
    if !have("the run with a keyboard that comes and goes", &NEEDED) {
        return;
    }
    let files = tempfile::tempdir().unwrap();
    let take = files.path().join("take.mid");
    std::fs::write(&take, held_keys()).unwrap();
    let server = SoundServer::new();
    let hearing = Told::start(&server, env!("CARGO_BIN_EXE_hear_devices"), &[]);
    hearing.wait_for("stream device", 1);
    for round in 1..=2 {
        let keyboard = Told::start(&server, env!("CARGO_BIN_EXE_send_midi"), &[take.to_str().unwrap()]);
        hearing.wait_for("midi test keyboard:keys", round);
        keyboard.go();
        hearing.wait_for("down ", 4 * round);
        // It ends with two keys down: they are lifted for it.
        drop(keyboard);
        hearing.wait_for("all up", round);
        hearing.wait_for("midi none", round);
    }
    assert_eq!(hearing.count("message test keyboard:keys was unplugged"), 2, "{:#?}", hearing.lines());
    assert_eq!(hearing.count("down "), 8);
}

#[test]
fn a_sound_server_that_dies_is_told_once_and_taken_up_again() {
    let _alone = alone();
    if !have("the run with a sound server that dies", &NEEDED) {
        return;
    }
    let mut server = SoundServer::new();
    let hearing = Told::start(&server, env!("CARGO_BIN_EXE_hear_devices"), &[]);
    hearing.wait_for("stream device", 1);
    server.die();
    hearing.wait_for(LOST, 1);
    hearing.wait_for("stream silent", 2);
    server.start();
    hearing.wait_for("stream device", 2);
    assert_eq!(hearing.count(LOST), 1, "{:#?}", hearing.lines());
    let frames: Vec<u64> = hearing.lines().iter().filter_map(|line| first_frame(line)).collect();
    assert!(frames.is_sorted(), "frames go on counting: {frames:?}");
}

#[test]
fn a_chosen_output_that_is_missing_is_told_once_and_taken_when_it_is_there() {
    let _alone = alone();
    if !have("the run with a chosen sound output", &NEEDED) {
        return;
    }
    let server = SoundServer::new();
    let hearing = Told::start(&server, env!("CARGO_BIN_EXE_hear_devices"), &["128", "Stage box"]);
    hearing.wait_for("message Stage box is not there; the system's own sound output plays", 1);
    hearing.wait_for("stream device", 1);
    assert_eq!(hearing.count("sound Stage box"), 0);
    server.add_output("Stage box");
    hearing.wait_for("sound Stage box", 1);
    hearing.wait_for("stream device", 2);
    assert_eq!(hearing.count("message Stage box"), 1, "{:#?}", hearing.lines());
    assert_eq!(hearing.count(LOST), 0, "nothing was lost: {:#?}", hearing.lines());
}

#[test]
fn without_any_device_a_silent_clock_runs_and_both_are_said_once() {
    let _alone = alone();
    let hearing = Told::start_in(&mut without_devices());
    hearing.wait_for("stream silent", 1);
    hearing.wait_for("message No MIDI", 1);
    hearing.wait_for("message No sound", 1);
    assert_eq!(hearing.count("stream device"), 0);
    assert_eq!(hearing.count("message "), 2, "{:#?}", hearing.lines());
}

fn without_devices() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hear_devices"));
    command
        .env("JACK_DEFAULT_SERVER", "no-such-server")
        .env("JACK_NO_START_SERVER", "1")
        .env("ALSA_CONFIG_PATH", Path::new("/dev/null"))
        .env("PULSE_SERVER", "unix:/nonexistent");
    command
}

/// A program that tells what it does, line by line.
struct Told {
    _program: Ends,
    input: Mutex<ChildStdin>,
    lines: Arc<Mutex<Vec<String>>>,
}

impl Told {
    fn start(server: &SoundServer, program: &str, arguments: &[&str]) -> Told {
        let mut command = Command::new(program);
        command.args(arguments);
        server.put_into(&mut command);
        Told::start_in(&mut command)
    }

    fn start_in(command: &mut Command) -> Told {
        let mut child: Child =
            command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let (input, output) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        let lines = Arc::new(Mutex::new(Vec::new()));
        let told = Arc::clone(&lines);
        std::thread::spawn(move || {
            for line in BufReader::new(output).lines().map_while(Result::ok) {
                told.lock().unwrap().push(line);
            }
        });
        Told { _program: Ends(child), input: Mutex::new(input), lines }
    }

    fn go(&self) {
        self.input.lock().unwrap().write_all(b"go\n").unwrap();
    }

    fn lines(&self) -> Vec<String> {
        self.lines.lock().unwrap().clone()
    }

    fn count(&self, beginning: &str) -> usize {
        self.lines().iter().filter(|line| line.starts_with(beginning)).count()
    }

    fn wait_for(&self, beginning: &str, times: usize) {
        wait_for(&format!("{times} lines {beginning:?}"), 30, || {
            (self.count(beginning) >= times).then_some(())
        });
    }
}

/// The frame in `stream device from frame N in blocks of M`.
fn first_frame(line: &str) -> Option<u64> {
    line.strip_prefix("stream ")?.split(' ').nth(3)?.parse().ok()
}

/// Four keys one after the other, of which the last two stay down for ten minutes: a standard MIDI file of format 0 with
/// 500 ticks a quarter at 120 a minute, so that a tick is a millisecond (Standard MIDI Files 1.0).
fn held_keys() -> Vec<u8> {
    let long = [0xa4, 0xcf, 0x40];
    let events: [(&[u8], [u8; 3]); 8] = [
        (&[0], [0x90, 60, 90]),
        (&[50], [0x80, 60, 0]),
        (&[50], [0x90, 64, 90]),
        (&[50], [0x80, 64, 0]),
        (&[50], [0x90, 67, 90]),
        (&[50], [0x90, 72, 90]),
        (&long, [0x80, 67, 0]),
        (&[0], [0x80, 72, 0]),
    ];
    let mut track: Vec<u8> = events.iter().flat_map(|(delta, message)| [*delta, message].concat()).collect();
    track.extend([0, 0xff, 0x2f, 0]);
    let mut file = b"MThd\0\0\0\x06\0\0\0\x01\x01\xf4MTrk".to_vec();
    file.extend((track.len() as u32).to_be_bytes());
    file.extend(track);
    file
}
