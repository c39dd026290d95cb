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

/// The whole part, bar by bar: what each hand lies on with its fingers, then what it strikes in the bar, by the place in
/// its shape (1 is the lowest) and `~` before a neighbour with its finger. A pass that goes as an earlier one is named.
pub fn page(part: &Part) -> String {
    let mut out = format!("{}, {}\n", part.title, part.key);
    let place = |bar: usize| {
        let played = &part.bars[bar].played;
        (played.place, played.pass)
    };
    let mut passes: Vec<(String, String)> = Vec::new();
    let mut start = 0;
    for end in 1..=part.bars.len() {
        if end < part.bars.len() && place(start) == place(end) {
            continue;
        }
        let name = format!("{} (bars {}-{end})", part.sections[part.bars[start].played.section], start + 1);
        let text: String = (start..end).map(|bar| bar_text(part, bar)).collect();
        match passes.iter().find(|(_, other)| *other == text) {
            Some((earlier, _)) => writeln!(out, "\n{name}: as {earlier}").unwrap(),
            None => write!(out, "\n{name}\n{text}").unwrap(),
        }
        passes.push((name, text));
        start = end;
    }
    out
}

fn bar_text(part: &Part, bar: usize) -> String {
    let here = &part.bars[bar];
    let mut out = String::new();
    for (slot, chord) in here.played.slots.iter().zip(&here.chords) {
        let name = match &slot.kind {
            song::SlotKind::Chord { chord, .. } => chord.name(),
            song::SlotKind::Tie { .. } => "~".into(),
            song::SlotKind::Rest => "N".into(),
        };
        let number = here.played.bar_in_section;
        writeln!(out, "{number:>3} {name:<8} {} | {}", shape(&chord.left), shape(&chord.right)).unwrap();
    }
    for hand in [Hand::Left, Hand::Right] {
        let struck: Vec<&Event> = part.events.iter().filter(|e| e.hand == hand && e.bar == bar).collect();
        let mut line = String::new();
        for together in struck.chunk_by(|a, b| a.start == b.start) {
            let at = (together[0].start - here.played.start).to_f64();
            let notes: Vec<String> = together
                .iter()
                .map(|e| match e.role {
                    Role::Passing => format!("~{}/{}", e.pitch, e.finger.number()),
                    Role::Chord => (e.place + 1).to_string(),
                })
                .collect();
            write!(line, "  {:.2}:{}", at, notes.join("")).unwrap();
        }
        if !line.is_empty() {
            writeln!(out, "      {:<5}{line}", hand.name()).unwrap();
        }
    }
    out
}
