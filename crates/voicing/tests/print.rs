//! A part in a few readable lines: what each hand holds, and what it strikes.

use std::fmt::Write;
use theory::Hand;
use voicing::{Event, Part, Role, Settings, Shape};

/// The part of a song text in its written key, for an octave's reach on 88 keys.
pub fn part_of(text: &str) -> Part {
    let reading = song::read(text);
    let song = reading.sound().unwrap_or_else(|_| panic!("the song has mistakes")).play();
    voicing::plan(&song, song.key, &Settings::default()).unwrap()
}

/// A song of one section: `head` holds further fields of the song, each with a comma behind it.
pub fn song_text(key: &str, head: &str, bars: &str) -> String {
    format!(
        r#"{{ "format": 1, "title": "Test", "key": "{key}", "tempo": 90, {head}
             "sections": [ {{ "name": "A", "bars": ["{bars}"] }} ] }}"#
    )
}

/// Chord by chord: `1.1 D: D3/5 A3/1 | F#4/1 A4/3 D5/5 inv 1`.
pub fn shapes(part: &Part) -> String {
    let mut out = String::new();
    for (number, bar) in part.bars.iter().enumerate() {
        for (index, (slot, chord)) in bar.played.slots.iter().zip(&bar.chords).enumerate() {
            let name = match &slot.kind {
                song::SlotKind::Chord { chord, .. } => chord.name(),
                song::SlotKind::Tie { .. } => "~".into(),
                song::SlotKind::Rest => "N".into(),
            };
            let (left, right) = (shape(&chord.left), shape(&chord.right));
            writeln!(out, "{}.{} {name}: {left} | {right}", number + 1, index + 1).unwrap();
        }
    }
    out
}

fn shape(shape: &Shape) -> String {
    let notes: Vec<String> =
        shape.notes.iter().map(|n| format!("{}/{}", n.pitch, n.finger.number())).collect();
    let rolled = if shape.rolled { " rolled" } else { "" };
    format!("{}{rolled}", if notes.is_empty() { "-".into() } else { notes.join(" ") })
}

/// One hand's strikes: start, then the notes struck there with their lengths; `~` marks a neighbour.
pub fn strikes(part: &Part, hand: Hand) -> String {
    let mut out = String::new();
    let events: Vec<&Event> = part.events.iter().filter(|e| e.hand == hand).collect();
    for together in events.chunk_by(|a, b| a.start == b.start) {
        let notes: Vec<String> = together
            .iter()
            .map(|e| {
                let passing = if e.role == Role::Passing { "~" } else { "" };
                format!("{passing}{}:{}/{}", e.pitch, e.length.to_f64(), e.finger.number())
            })
            .collect();
        writeln!(out, "{} {}", together[0].start.to_f64(), notes.join(" ")).unwrap();
    }
    out
}
