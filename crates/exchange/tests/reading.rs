//! Files made byte by byte, after Standard MIDI Files 1.0 (MIDI Manufacturers Association).

use exchange::{ExchangeError, MidiFile, read_midi};
use practice::ChartTime;
use theory::Hand;

fn file(format: u8, division: [u8; 2], tracks: &[&[u8]]) -> Vec<u8> {
    let mut bytes = b"MThd\0\0\0\x06\0".to_vec();
    bytes.extend([format, 0, tracks.len() as u8]);
    bytes.extend(division);
    for track in tracks {
        bytes.extend(b"MTrk");
        bytes.extend((track.len() as u32 + 4).to_be_bytes());
        bytes.extend(*track);
        bytes.extend([0, 0xFF, 0x2F, 0]);
    }
    bytes
}

/// 480 ticks a quarter.
const DIVISION: [u8; 2] = [0x01, 0xE0];
/// Variable-length 480.
const QUARTER: [u8; 2] = [0x83, 0x60];

fn named(name: &str, rest: &[u8]) -> Vec<u8> {
    let mut track = vec![0, 0xFF, 0x03, name.len() as u8];
    track.extend(name.bytes());
    track.extend(rest);
    track
}

fn onsets(file: &MidiFile) -> Vec<(i64, u8, Option<i64>)> {
    file.notes()
        .iter()
        .map(|n| (n.at.micros() / 1000, n.key.number(), n.end.map(|e| e.micros() / 1000)))
        .collect()
}

#[test]
fn running_status_and_notes_ended_by_velocity_nought() {
    let mut track = vec![0, 0x90, 60, 80];
    track.extend(QUARTER);
    track.extend([60, 0, 0, 64, 80]); // running status: 60 off, then 64 on
    track.extend(QUARTER);
    track.extend([0x80, 64, 64]);
    let file = read_midi(&file(0, DIVISION, &[&track])).unwrap();
    assert_eq!(
        onsets(&file),
        [(0, 60, Some(500)), (500, 64, Some(1000))],
        "120 a minute unless the file says otherwise"
    );
}

#[test]
fn a_tempo_of_one_track_moves_the_notes_of_another() {
    let mut clock = vec![0, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40]; // 1,000,000 µs
    clock.extend(QUARTER);
    clock.extend([0xFF, 0x51, 3, 0x07, 0xA1, 0x20]); // 500,000 µs
    let mut notes = vec![];
    notes.extend(QUARTER);
    notes.extend([0x90, 60, 80]);
    notes.extend(QUARTER);
    notes.extend([60, 0]);
    let file = read_midi(&file(1, DIVISION, &[&clock, &named("Take", &notes)])).unwrap();
    assert_eq!(onsets(&file), [(1000, 60, Some(1500))]);
    assert_eq!(file.track_names(), ["", "Take"]);
}

#[test]
fn tracks_named_right_and_left_are_the_hands() {
    let note = |key: u8| [0, 0x90, key, 80];
    let tracks = [
        named("RIGHT hand", &note(40)),
        named("piano, left", &note(80)),
        named("strings", &note(60)),
        named("", &note(61)),
    ];
    let file = read_midi(&file(1, DIVISION, &tracks.each_ref().map(|t| &t[..]))).unwrap();
    let hands: Vec<(u8, Hand)> = file.expected().notes.iter().map(|n| (n.key.number(), n.hand)).collect();
    assert_eq!(hands, [(40, Hand::Right), (80, Hand::Left)]);
}

#[test]
fn without_named_tracks_the_hands_meet_at_middle_c() {
    let file = read_midi(&file(0, DIVISION, &[&[0, 0x90, 59, 80, 0, 60, 80]])).unwrap();
    let hands: Vec<Hand> = file.expected().notes.iter().map(|n| n.hand).collect();
    assert_eq!(hands, [Hand::Left, Hand::Right]);
}

#[test]
fn percussion_is_left_out() {
    let file = read_midi(&file(0, DIVISION, &[&[0, 0x99, 38, 80, 0, 0x90, 60, 80]])).unwrap();
    assert_eq!(onsets(&file), [(0, 60, None)]);
}

#[test]
fn bars_come_from_the_meters() {
    let mut track = vec![0, 0xFF, 0x58, 4, 3, 2, 24, 8]; // 3/4
    track.extend([0x8B, 0x20]); // 1440 ticks: a bar later
    track.extend([0xFF, 0x58, 4, 6, 3, 36, 8]); // 6/8
    track.extend([0x8B, 0x20]);
    track.extend([0x90, 60, 80]);
    let expected = read_midi(&file(0, DIVISION, &[&track])).unwrap().expected();
    let bars: Vec<(f64, f64, f64)> =
        expected.bars.iter().map(|b| (b.start.ms(), b.end.ms(), b.beat_ms)).collect();
    assert_eq!(bars, [(0.0, 1500.0, 500.0), (1500.0, 3000.0, 750.0), (3000.0, 4500.0, 750.0)]);
    assert_eq!(expected.notes[0].bar, 2);
    assert_eq!(expected.notes[0].start, song::Quarters::new(6, 1));
}

#[test]
fn a_meter_within_a_bar_cuts_that_bar_short() {
    let mut track = vec![];
    track.extend(QUARTER);
    track.extend([0xFF, 0x58, 4, 3, 2, 24, 8]);
    track.extend(QUARTER);
    track.extend([0x90, 60, 80]);
    let expected = read_midi(&file(0, DIVISION, &[&track])).unwrap().expected();
    let bars: Vec<(f64, f64)> = expected.bars.iter().map(|b| (b.start.ms(), b.end.ms())).collect();
    assert_eq!(bars, [(0.0, 500.0), (500.0, 2000.0)]);
}

/// 4/4 at 120 until its third beat, from there on at 60: the windows of the rule are reckoned from the beat that holds. A
/// lone note of a beat of 500 ms is counted within 125 ms, of one of 1000 ms within 150.
#[test]
fn a_tempo_that_changes_within_a_bar_holds_for_the_windows_from_there_on() {
    let mut track = vec![0, 0x90, 60, 80];
    track.extend([0x87, 0x40]); // 960 ticks: two quarters
    track.extend([0xFF, 0x51, 3, 0x0F, 0x42, 0x40, 0, 0x90, 62, 80]);
    let file = read_midi(&file(0, DIVISION, &[&track])).unwrap();
    let expected = file.expected();
    let bar = &expected.bars[0];
    assert_eq!((bar.beat_ms, &bar.changes[..]), (500.0, &[(ChartTime::from_ms(1000.0), 1000.0)][..]));
    assert_eq!(bar.end, ChartTime::from_ms(3000.0));
    let score = practice::score(&expected, &[], &practice::ScoreOptions::default());
    let windows: Vec<f64> = score.notes.iter().map(|n| n.window.ms()).collect();
    assert_eq!(windows, [125.0, 150.0]);
}

#[test]
fn a_division_in_frames_of_a_second_is_read() {
    let file = read_midi(&file(0, [0xE7, 40], &[&[0x87, 0x68, 0x90, 60, 80]])).unwrap(); // 25 frames of 40 ticks; 1000 ticks
    assert_eq!(file.notes()[0].at, ChartTime::from_ms(1000.0));
}

#[test]
fn what_cannot_be_read_is_refused_with_what_to_do() {
    let refused = |bytes: &[u8]| read_midi(bytes).unwrap_err().to_string();
    assert!(refused(b"").contains("export it again as a .mid file"));
    assert!(refused(b"{ \"title\": \"a song\" }").contains("no standard MIDI file"));
    assert!(matches!(read_midi(b"RIFF....WAVE"), Err(ExchangeError::NotMidi(_))));
    assert_eq!(read_midi(&file(2, DIVISION, &[&[]])), Err(ExchangeError::Patterns));
    assert_eq!(read_midi(&file(0, [0, 0], &[&[]])), Err(ExchangeError::NoDivision));
    let long = [0xFF, 0xFF, 0xFF, 0x7F, 0x90, 60, 80];
    assert!(matches!(read_midi(&file(0, [0, 1], &[&long])), Err(ExchangeError::TooLong(_))));
}

#[test]
fn a_file_without_notes_is_an_empty_take() {
    let file = read_midi(&file(1, DIVISION, &[&[]])).unwrap();
    assert!(file.notes().is_empty() && file.expected().notes.is_empty());
}
