//! The window without any sound or MIDI device.

use super::alone;
use crate::program::top;
use crate::support::have;
use crate::support::process::wait_for;
use crate::support::screen::Screen;
use crate::support::window::Window;
use std::path::PathBuf;
use std::time::Duration;

fn copy_of_the_ballad(folder: &tempfile::TempDir) -> PathBuf {
    let path = folder.path().join("ballad.json");
    std::fs::copy(top().join("demo-songs/lanterns-at-the-lock.json"), &path).unwrap();
    path
}

/// No server: sound and MIDI find nothing, whatever the machine has.
pub(super) fn without_devices(command: &mut std::process::Command) {
    command.env("JACK_DEFAULT_SERVER", "none-here").env("JACK_NO_START_SERVER", "1");
    command.env("ALSA_CONFIG_PATH", "/nonexistent").env("PULSE_SERVER", "unix:/nonexistent");
}

#[test]
fn a_song_is_stepped_through_with_the_space_bar() {
    let _alone = alone();
    if !have("stepping through a song", &["Xvfb", "xdotool"]) {
        return;
    }
    let (screen, files) = (Screen::new(1280, 800), tempfile::tempdir().unwrap());
    let window = Window::open(&screen, Some(&copy_of_the_ballad(&files)), without_devices);
    let shown = window.wait_for_text("Intro, bar 1");
    assert!(shown.contains("Right hand") && shown.contains("Left hand"), "{shown}");
    screen.focus("Lanterns");
    screen.press(&["space", "space", "space"]);
    window.wait_for_text("Intro, bar 3");
}

#[test]
fn a_song_file_is_read_again_when_it_changes_and_a_mistake_keeps_the_last_good_state() {
    let _alone = alone();
    if !have("reading a changed song", &["Xvfb", "xdotool"]) {
        return;
    }
    let (screen, files) = (Screen::new(1280, 800), tempfile::tempdir().unwrap());
    let path = copy_of_the_ballad(&files);
    let window = Window::open(&screen, Some(&path), without_devices);
    window.wait_for_text("Lanterns at the Lock");
    let song = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, song.replace("Lanterns at the Lock", "Lanterns Relit")).unwrap();
    window.wait_for_text("Lanterns Relit");
    std::fs::write(&path, song.replace("4... 5.", "4.. 5.")).unwrap();
    let shown = window.wait_for_text("4 beats");
    assert!(shown.contains("Lanterns Relit"), "the last good state stays: {shown}");
    let line = song.lines().position(|line| line.contains("4... 5.")).unwrap() + 1;
    assert!(shown.contains(&format!("{line}:")), "the mistake is shown with its place: {shown}");
}

#[test]
fn nothing_is_drawn_while_nothing_changes() {
    let _alone = alone();
    if !have("counting frames", &["Xvfb", "xdotool"]) {
        return;
    }
    let (screen, files) = (Screen::new(1280, 800), tempfile::tempdir().unwrap());
    let window = Window::open(&screen, Some(&copy_of_the_ballad(&files)), without_devices);
    window.wait_for_text("No sound");
    let frames = || std::fs::read_to_string(window.home().join("frames")).unwrap();
    // The last of what is found at the start, such as fonts and devices, is drawn by then.
    let still = wait_for("rest", 30, || {
        let before = frames();
        std::thread::sleep(Duration::from_secs(2));
        (frames() == before).then_some(before)
    });
    std::thread::sleep(Duration::from_secs(3));
    assert_eq!(frames(), still, "frames drawn while nothing changed");
    screen.focus("Lanterns");
    screen.press(&["Right"]);
    wait_for("a frame for a key", 10, || (frames() != still).then_some(()));
}

#[test]
fn the_window_comes_back_as_it_was_left() {
    let _alone = alone();
    if !have("opening a window twice", &["Xvfb", "xdotool"]) {
        return;
    }
    let screen = Screen::new(1280, 800);
    let window = Window::open(&screen, Some(&top().join("demo-songs/heron-waltz.json")), without_devices);
    window.wait_for_text("Heron Waltz");
    screen.focus("Heron");
    screen.press(&["d", "ctrl+q"]);
    let home = window.ended();
    let settings = std::fs::read_to_string(home.path().join("settings.json")).unwrap();
    assert!(settings.contains("\"theme\": \"night\""), "{settings}");
    let again = Window::open_in(home, &screen, None, without_devices);
    again.wait_for_text("Heron Waltz");
}
