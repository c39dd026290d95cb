//! Keyboards as other programs make them: several at once, renamed, and one that sends without end.

use super::alone;
use crate::support::have;
use crate::support::keyboard::held_keys;
use crate::support::process::wait_for;
use crate::support::sound_server::SoundServer;
use crate::support::told::Told;
use std::process::Command;

const NEEDED: [&str; 2] = ["jackd", "jack_wait"];
const SEND: &str = env!("CARGO_BIN_EXE_send_midi");
const HEAR: &str = env!("CARGO_BIN_EXE_hear_devices");

#[test]
fn two_keyboards_play_at_once_and_one_that_goes_leaves_the_other_its_keys() {
    let _alone = alone();
    if !have("the run with two keyboards", &NEEDED) {
        return;
    }
    let files = tempfile::tempdir().unwrap();
    let take = files.path().join("take.mid");
    std::fs::write(&take, held_keys()).unwrap();
    let (server, take) = (SoundServer::new(), take.to_str().unwrap());
    let hearing = Told::start(&server, HEAR, &[]);
    hearing.wait_for("stream device", 1);
    let upper = Told::start(&server, SEND, &[take, "upper"]);
    let lower = Told::start(&server, SEND, &[take, "lower"]);
    wait_for("both keyboards", 30, || {
        let now = hearing.newest("midi ").unwrap_or_default();
        (now.contains("upper:keys") && now.contains("lower:keys")).then_some(())
    });
    upper.go();
    lower.go();
    hearing.wait_for("down ", 8);
    drop(upper);
    hearing.wait_for("message upper:keys was unplugged", 1);
    assert_eq!(hearing.count("all up"), 1, "only the one that went lets go: {:#?}", hearing.lines());
    assert_eq!(hearing.newest("midi ").as_deref(), Some("lower:keys"));
    drop(lower);
    hearing.wait_for("all up", 2);
}

#[test]
fn a_port_with_a_new_name_is_heard_under_it() {
    let _alone = alone();
    if !have("the run with a port that is renamed", &NEEDED) {
        return;
    }
    let server = SoundServer::new();
    let hearing = Told::start(&server, HEAR, &[]);
    hearing.wait_for("stream device", 1);
    for (name, seconds) in [("old name", "1"), ("new name", "1")] {
        let keyboard = Told::start(&server, SEND, &[seconds, name]);
        hearing.wait_for(&format!("midi {name}:keys"), 1);
        let before = hearing.count("down ");
        keyboard.go();
        hearing.wait_for("down ", before + 100);
    }
}

/// For a few seconds through a real server; the whole minute is held by a test beside the reader of the messages.
#[test]
fn ten_thousand_messages_a_second_are_taken_in_and_leave_no_key_down() {
    let _alone = alone();
    if !have("the run with a flood of messages", &NEEDED) {
        return;
    }
    let server = SoundServer::new();
    let mut hear = Command::new(HEAR);
    server.put_into(hear.env("HEAR_COUNTS", "1"));
    let hearing = Told::start_in(&mut hear);
    hearing.wait_for("stream device", 1);
    let keyboard = Told::start(&server, SEND, &["6"]);
    hearing.wait_for("midi test keyboard:keys", 1);
    keyboard.go();
    hearing.wait_for("message test keyboard:keys was unplugged", 1);
    let counts = |line: String| -> Vec<u64> { line.split(' ').map(|count| count.parse().unwrap()).collect() };
    let told = hearing.count("heard ");
    hearing.wait_for("heard ", told + 2);
    let [down, up, held, missed] = counts(hearing.newest("heard ").unwrap())[..] else {
        panic!("four counts");
    };
    // On a busy machine the server itself drops whole periods with what is in them.
    assert!(down + missed > 24_000 && up > 24_000, "{down} down, {up} up, {missed} missed, of 30000 each");
    assert_eq!((held, missed), (0, 0), "keys down, and notes without room");
    assert_eq!(hearing.count("message The sound device was lost"), 0, "{:#?}", hearing.lines());
}
