//! A played song as text that one can read through.

use song::{HandStyle, Hold, PlayedBar, PlayedSong, Slot, SlotKind, Song};

/// A song of one key and tempo around the given fields, without a mistake.
pub fn song(fields: &str) -> Song {
    let text = format!(r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72, {fields} }}"#);
    let told = song::read(&text).diagnostics;
    song::read(&text).sound().unwrap_or_else(|_| panic!("{told:#?}"))
}

/// The mistakes and warnings of such a song.
pub fn told(fields: &str) -> Vec<String> {
    let text = format!(r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72, {fields} }}"#);
    song::read(&text).diagnostics.iter().map(|d| d.to_string()).collect()
}

/// One line a bar: `Verse 2/4.1 @14 3/4: 1(2) 5(1)`; a star marks a bar that an exception changes.
pub fn bars(played: &PlayedSong) -> String {
    played.bars.iter().map(|b| format!("{}\n", bar(b, played))).collect()
}

fn bar(bar: &PlayedBar, played: &PlayedSong) -> String {
    let slots: Vec<String> = bar.slots.iter().map(slot).collect();
    format!(
        "{} {}/{}.{}{} @{} {}{} {}",
        played.sections[bar.section],
        bar.pass,
        bar.passes,
        bar.bar_in_section,
        if bar.differs { "*" } else { "" },
        bar.start.to_f64(),
        bar.meter,
        if bar.own_meter { ":" } else { "" },
        slots.join(" ")
    )
}

/// A slot: its chord with the signs of the chart and its quarters.
pub fn slot(slot: &Slot) -> String {
    let sign = match &slot.kind {
        SlotKind::Chord { push: true, diamond: true, .. } => "<^",
        SlotKind::Chord { push: true, .. } => "^",
        SlotKind::Chord { diamond: true, .. } => "<",
        SlotKind::Chord { .. } if slot.continued => "..",
        SlotKind::Tie { .. } => "~",
        _ => "",
    };
    format!("{sign}{}({})", slot.symbol, slot.length.to_f64())
}

/// A hand: what it holds, its figure, where, and how it begins again.
pub fn hand(style: &HandStyle) -> String {
    let hold = match &style.hold {
        Hold::Notes(n) => format!("{n} notes"),
        Hold::Shape(shape) => shape.name().to_string(),
        Hold::Tones(tones) => format!("tones {tones}"),
    };
    let near = style.near.map(|near| format!(" near {near}")).unwrap_or_default();
    format!("{hold}, {}{near}, {:?}", style.figure.text, style.restart)
}

/// The right hand at a bar and slot, counted from 0.
pub fn right(played: &PlayedSong, bar: usize, slot: usize) -> String {
    hand(&played.bars[bar].slots[slot].right)
}

/// The left hand at a bar and slot, counted from 0.
pub fn left(played: &PlayedSong, bar: usize, slot: usize) -> String {
    hand(&played.bars[bar].slots[slot].left)
}
