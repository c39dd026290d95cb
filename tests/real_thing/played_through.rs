//! A take through real MIDI: the score in the window is the offline score of that take, and its notes are heard.

use super::alone;
use crate::program::call;
use crate::support::have;
use crate::support::process::Ends;
use crate::support::screen::Screen;
use crate::support::sound_server::{RATE, SoundServer};
use crate::support::window::Window;
use practice::{ChartTime, Hands, PlayedNote, Speed, Take};
use serde_json::Value;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{ChildStdin, Command, Stdio};
use theory::MidiKey;

/// Four bars of 4/4 at 100: a bar lasts 2400 ms and is counted in once. Both hands, two chords a bar.
const SONG: &str = r#"{ "format": 1, "title": "Test Lock", "key": "C major", "tempo": 100,
  "right": { "notes": 2 },
  "sections": [ { "name": "Only", "bars": ["1 5 | 6 4 | 1 5/7 | 1"] } ] }"#;
const COUNT_IN_MS: u32 = 2400;
const QUARTER_MS: f64 = 600.0;
/// The player of the take lags behind by this much, all through.
const LAG_MS: f64 = 30.0;

#[test]
fn a_take_is_scored_the_same_in_the_window_and_offline_and_is_heard() {
    let _alone = alone();
    if !have(
        "the run of the whole program",
        &["Xvfb", "xdotool", "jackd", "jack_wait", "jack_lsp", "jack_rec"],
    ) {
        return;
    }
    let files = tempfile::tempdir().unwrap();
    let song = files.path().join("song.json");
    std::fs::write(&song, SONG).unwrap();
    let notes = notes_with_planted_mistakes(&song);
    let take_file = files.path().join("take.mid");
    let take = Take::new(notes.clone(), Speed::FULL, Hands::Both, None);
    std::fs::write(&take_file, exchange::write_take(&take)).unwrap();

    let (server, screen) = (SoundServer::new(), Screen::new(1280, 800));
    let window = Window::open(&screen, Some(&song), |command| server.put_into(command));
    window.wait_for_text("Test Lock");
    server.wait_for_sound_of(window.process());
    // The window says so while it hears no keyboard, and before the first look it says nothing.
    window.wait_for_text("No MIDI");
    let (_keyboard, mut go) = keyboard(&server, &take_file);
    window.wait_until_gone("No MIDI");
    screen.focus("Test Lock");
    // Play along, without the click, so that after the count-in only the notes of the take are heard.
    screen.press(&["2", "c"]);
    window.wait_for_text("Start");
    let recording = server.record(window.process(), 18);
    screen.press(&["space"]);
    let first_bar_line = window.wait_for_first_bar_line(QUARTER_MS);
    writeln!(go, "{}", first_bar_line + (LAG_MS * 1000.0) as u64).unwrap();

    let saved = window.wait_for_take();
    // How it went.
    screen.press(&["F5"]);
    let shown = window.wait_for_text("of them in time");
    let (song, saved) = (song.display().to_string(), saved.display().to_string());
    let offline = call(&["score", &song, &saved, "--json"]).json();
    assert_shows(&shown, &offline);
    assert_eq!(offline["played"], notes.len(), "every note of the other process arrived: {shown}");
    let matched = offline["matched"].as_u64().unwrap();
    // One was left out and one was a wrong key. The one that came late came late by less than counts, with the lag.
    assert_eq!(matched, notes.len() as u64 - 1, "{offline}");
    let lag = offline["median_ms"].as_f64().unwrap();
    // Under load the other process wakes late now and then; never is anything early.
    assert!((LAG_MS - 1.0..LAG_MS + 25.0).contains(&lag), "the lag of {LAG_MS} ms is measured as {lag}");
    assert_heard(&recording.samples(), &notes);
    screen.press(&["ctrl+q"]);
    window.ended();
}

/// The part's own notes; one is left out, one is a semitone off, one comes 80 ms late.
fn notes_with_planted_mistakes(song: &Path) -> Vec<PlayedNote> {
    let part = call(&["part", &song.display().to_string(), "--json"]).json();
    let events = part["events"].as_array().unwrap();
    assert!(events.len() >= 24, "seven chords, two keys in each hand, of which some are held over");
    let mut notes: Vec<PlayedNote> = events.iter().map(note).collect();
    notes[9].at = notes[9].at + ChartTime::from_ms(80.0);
    notes[14].key = MidiKey::new(notes[14].key.number() + 1).unwrap();
    notes.remove(20);
    notes
}

fn note(event: &Value) -> PlayedNote {
    PlayedNote {
        at: ChartTime::from_ms(event["start_ms"].as_f64().unwrap()),
        length: Some(ChartTime::from_ms(600.0)),
        key: MidiKey::new(event["midi"].as_u64().unwrap() as u8).unwrap(),
        velocity: 80,
    }
}

/// The second process, connected to the program and waiting for a line.
fn keyboard(server: &SoundServer, take: &Path) -> (Ends, ChildStdin) {
    let mut sender = Command::new(env!("CARGO_BIN_EXE_send_midi"));
    sender.arg(take).stdin(Stdio::piped()).stdout(Stdio::piped());
    server.put_into(&mut sender);
    let mut sender = sender.spawn().unwrap();
    let mut ready = String::new();
    BufReader::new(sender.stdout.take().unwrap()).read_line(&mut ready).unwrap();
    assert_eq!(ready, "ready\n");
    let go = sender.stdin.take().unwrap();
    (Ends(sender), go)
}

/// What the window says, recomputed from the offline score.
fn assert_shows(shown: &str, offline: &Value) {
    let number = |name: &str| offline[name].as_u64().unwrap();
    let in_time = offline["notes"].as_array().unwrap().iter().filter(|n| n["in_time"] == true).count();
    let rounded = |name: &str| offline[name].as_f64().unwrap().abs().round();
    let lines = [
        format!("{} of {} notes", number("matched"), number("expected")),
        format!("{in_time} of them in time."),
        format!("Steadily {} ms behind", rounded("median_ms")),
        format!("{} ms either way", rounded("spread_ms")),
    ];
    for line in lines {
        assert!(shown.contains(&line), "{line:?} is not in the window:\n{shown}");
    }
    assert!(shown.contains(&format!("{} key", number("extra"))), "{shown}");
}

/// Each key of the take sounds at its fundamental, far above silence. What is heard first is a beat of the count-in: the
/// first, or a later one where a busy machine swallowed it.
fn assert_heard(samples: &[f32], notes: &[PlayedNote]) {
    let first = samples.iter().position(|sample| sample.abs() > 0.005).expect("something is heard");
    let beats = 0..4u32;
    let silent: Vec<String> = beats
        .map_while(|beat| {
            let ms = f64::from(COUNT_IN_MS) - f64::from(beat) * QUARTER_MS;
            silent_key(samples, first + in_samples(ms), notes)
        })
        .collect();
    assert!(silent.len() < 4, "{silent:?}");
}

/// The first key that is not heard, if the first bar line is at a sample.
fn silent_key(samples: &[f32], bar_line: usize, notes: &[PlayedNote]) -> Option<String> {
    // Below all that sounds, so that it is nobody's overtone.
    let never_played = MidiKey::new(notes.iter().map(|note| note.key.number()).min().unwrap() - 4).unwrap();
    notes.iter().find_map(|note| {
        let start = bar_line + in_samples(note.at.ms() + 100.0);
        let Some(stretch) = samples.get(start..start + 19_200) else {
            return Some(format!("key {}: the recording ends before it", note.key.number()));
        };
        let (sounding, nothing) = (strength(stretch, note.key), strength(stretch, never_played));
        let heard = sounding > 0.000_05 && sounding > 3.0 * nothing;
        let told = || format!("key {}: {sounding}, and {nothing} where nobody played", note.key.number());
        (!heard).then(told)
    })
}

fn in_samples(ms: f64) -> usize {
    (ms * f64::from(RATE) / 1000.0) as usize
}

/// The amplitude at the fundamental of a key, A4 = 440 Hz (one term of a Fourier transform under a Hann window).
fn strength(samples: &[f32], key: MidiKey) -> f64 {
    let hertz = 440.0 * ((f64::from(key.number()) - 69.0) / 12.0).exp2();
    let length = samples.len() as f64;
    let (mut real, mut imaginary) = (0.0, 0.0);
    for (at, &sample) in samples.iter().enumerate() {
        let at = at as f64;
        let weight = 1.0 - (std::f64::consts::TAU * at / length).cos();
        let turn = std::f64::consts::TAU * hertz * at / f64::from(RATE);
        real += f64::from(sample) * weight * turn.cos();
        imaginary += f64::from(sample) * weight * turn.sin();
    }
    2.0 * real.hypot(imaginary) / length
}
