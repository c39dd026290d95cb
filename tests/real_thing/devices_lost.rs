//! The devices come and go while the program runs: it says so once, goes on, and takes them up again.

use super::alone;
use crate::support::have;
use crate::support::keyboard::held_keys;
use crate::support::sound_server::SoundServer;
use crate::support::told::Told;
use std::path::Path;
use std::process::Command;

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
fn a_sound_server_that_stands_still_is_told_once_and_taken_up_again() {
    let _alone = alone();
    if !have("the run with a sound server that stands still", &NEEDED) {
        return;
    }
    let server = SoundServer::new();
    let hearing = Told::start(&server, env!("CARGO_BIN_EXE_hear_devices"), &[]);
    hearing.wait_for("stream device", 1);
    // Nothing is said and nothing fails: callbacks just come no more.
    server.stand_still();
    hearing.wait_for(LOST, 1);
    hearing.wait_for("stream silent", 2);
    server.go_on();
    hearing.wait_for("stream device", 2);
    assert_eq!(hearing.count(LOST), 1, "{:#?}", hearing.lines());
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

/// The frame in `stream device from frame N in blocks of M`.
fn first_frame(line: &str) -> Option<u64> {
    line.strip_prefix("stream ")?.split(' ').nth(3)?.parse().ok()
}
