//! The keyboard is pulled out in the middle of a run and plugged in again: the run goes on, and the take has both halves.

use super::alone;
use crate::support::have;
use crate::support::keyboard::held_keys;
use crate::support::screen::Screen;
use crate::support::sound_server::SoundServer;
use crate::support::told::Told;
use crate::support::window::Window;

/// Four bars of 4/4 at 60: sixteen seconds.
const SONG: &str = r#"{ "format": 1, "title": "Loose Plug", "key": "C major", "tempo": 60,
  "sections": [ { "name": "Only", "bars": ["1 | 4 | 5 | 1"] } ] }"#;

#[test]
fn a_keyboard_pulled_out_in_mid_bar_and_plugged_in_again_ends_no_run() {
    let _alone = alone();
    if !have("the run with a keyboard that is pulled out", &["Xvfb", "xdotool", "jackd", "jack_wait"]) {
        return;
    }
    let files = tempfile::tempdir().unwrap();
    let (song, take) = (files.path().join("song.json"), files.path().join("take.mid"));
    std::fs::write(&song, SONG).unwrap();
    std::fs::write(&take, held_keys()).unwrap();
    let (server, screen) = (SoundServer::new(), Screen::new(1280, 800));
    let window = Window::open(&screen, Some(&song), |command| server.put_into(command));
    window.wait_for_text("Loose Plug");
    let keyboard = || {
        let keyboard = Told::start(&server, env!("CARGO_BIN_EXE_send_midi"), &[take.to_str().unwrap()]);
        keyboard.wait_for("ready", 1);
        keyboard
    };
    // Before the first look nothing is said.
    window.wait_for_text("No MIDI");
    let first = keyboard();
    window.wait_until_gone("No MIDI");
    screen.focus("Loose Plug");
    screen.press(&["2", "space"]);
    window.wait_for_first_bar_line(1000.0);
    // Two of its keys stay down; then it is gone in the middle of a bar.
    let after = |quarters: f64| {
        let bar_line = window.wait_for_first_bar_line(1000.0);
        while crate::support::process::micros() < bar_line + (quarters * 1_000_000.0) as u64 {
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
    };
    after(0.5);
    first.go();
    after(1.5);
    drop(first);
    window.wait_for_text("was unplugged");
    let second = keyboard();
    window.wait_until_gone("was unplugged");
    second.go();
    let saved = window.wait_for_take();
    let take = exchange::read_midi(&std::fs::read(saved).unwrap()).unwrap();
    let notes = take.notes();
    assert_eq!(notes.len(), 8, "four keys before and four after: {notes:?}");
    let lifted = notes.iter().filter(|note| note.end.is_some()).count();
    assert!(lifted >= 6, "what was down when it went is let go of: {notes:?}");
}
