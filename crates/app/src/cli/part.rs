//! `overhand part`: both hands, chord by chord, as a musician reads it.

use super::part_json::{self, PartJson};
use super::table::wrapped;
use super::{Answer, Form, Player, song_file};
use practice::Hands;
use song::{Quarters, Slot, SlotKind};
use std::path::Path;
use theory::Hand;
use voicing::{Part, PartBar, PartChord, Shape};

/// How wide a line may be.
const WIDTH: usize = 100;

/// The part of a song.
pub fn answer(song: &Path, player: &Player, form: Form) -> Answer {
    let (part, warnings) = match song_file::part(song, player) {
        Ok(part) => part,
        Err(answer) => return answer,
    };
    let hands = player.hands();
    let answer =
        if form.json { Answer::json(&PartJson::new(&part, hands)) } else { Answer::done(text(&part, hands)) };
    answer.telling(warnings)
}

/// The part in words. A pass that goes as an earlier one is named, not printed again.
pub fn text(part: &Part, hands: Hands) -> String {
    let mut out = heading(part);
    let columns = Columns::of(part);
    let passes = passes(part);
    let bodies: Vec<String> = passes.iter().map(|pass| body(part, pass.clone(), hands, &columns)).collect();
    for (index, pass) in passes.iter().enumerate() {
        out += &format!("\n{}", title(part, pass));
        match (0..index).find(|&earlier| bodies[earlier] == bodies[index]) {
            Some(earlier) => out += &format!(": as {}\n", bar_numbers(&passes[earlier])),
            None => out += &format!("\n{}", bodies[index]),
        }
    }
    out
}

fn heading(part: &Part) -> String {
    // A bar with a meter of its own, in front of the first one, says nothing of the song's.
    let usual = part.bars.iter().find(|bar| !bar.played.own_meter);
    let tempo = usual.or(part.bars.first()).map(|bar| {
        let beats = bar.played.quarters_per_minute / bar.played.beat.length.to_f64();
        format!(", {} beats a minute in {}", round(beats), bar.played.meter)
    });
    format!(
        "{}\n{}{}; {}, keyboard {}{}\n",
        part.title,
        part.key,
        tempo.unwrap_or_default(),
        reach(part),
        part_json::keys(part),
        proof(part)
    )
}

fn reach(part: &Part) -> String {
    let (right, left) = (part.settings.reach.semitones(), part.settings.left_reach.semitones());
    if right == left {
        format!("reach {right} semitones")
    } else {
        format!("reach {right} semitones right and {left} left")
    }
}

/// Said only where the plan is not proven to be the cheapest.
fn proof(part: &Part) -> String {
    match part.proof.gap {
        0 => String::new(),
        gap => format!("; another plan may cost up to {gap} of its {} points less", part.proof.cost),
    }
}

/// Runs of bars of one pass of one place.
fn passes(part: &Part) -> Vec<std::ops::Range<usize>> {
    let mut passes: Vec<std::ops::Range<usize>> = Vec::new();
    for index in 0..part.bars.len() {
        let place = |bar: usize| (part.bars[bar].played.place, part.bars[bar].played.pass);
        match passes.last_mut() {
            Some(pass) if place(pass.start) == place(index) => pass.end = index + 1,
            _ => passes.push(index..index + 1),
        }
    }
    passes
}

fn title(part: &Part, pass: &std::ops::Range<usize>) -> String {
    let bar = &part.bars[pass.start].played;
    let section = part.sections.get(bar.section).map_or("", String::as_str);
    let of = if bar.passes > 1 { format!(", pass {} of {}", bar.pass, bar.passes) } else { String::new() };
    format!("{section}{of}, {}", bar_numbers(pass))
}

fn bar_numbers(pass: &std::ops::Range<usize>) -> String {
    if pass.len() == 1 {
        format!("bar {}", pass.start + 1)
    } else {
        format!("bars {}-{}", pass.start + 1, pass.end)
    }
}

fn body(part: &Part, pass: std::ops::Range<usize>, hands: Hands, columns: &Columns) -> String {
    let mut out = String::new();
    let mut key = part.key;
    for bar in &part.bars[pass] {
        if bar.played.key != key {
            key = bar.played.key;
            out += &format!("    in {key}\n");
        }
        out += &bar_text(bar, hands, columns);
    }
    out
}

fn bar_text(bar: &PartBar, hands: Hands, columns: &Columns) -> String {
    if bar.played.slots.iter().all(|slot| slot.continued && matches!(slot.kind, SlotKind::Rest)) {
        return notes_text(bar, hands, columns);
    }
    let mut out = format!("  {:>2}  {}\n", bar.played.bar_in_section, chart_line(bar));
    for (slot, chord) in bar.played.slots.iter().zip(&bar.chords) {
        out += &chord_text(bar, slot, chord, hands, columns);
    }
    out
}

/// A bar of a MIDI file, which has no chart: what is struck, beat by beat.
fn notes_text(bar: &PartBar, hands: Hands, columns: &Columns) -> String {
    let meter = if bar.played.own_meter { format!("{}: ", bar.played.meter) } else { String::new() };
    let mut out = String::new();
    for (slot, chord) in bar.played.slots.iter().zip(&bar.chords) {
        let strikes = |hand: &Hand| hands.has(*hand) && !chord.hand(*hand).notes.is_empty();
        let striking: Vec<Hand> = Hand::BOTH.into_iter().filter(strikes).collect();
        if !striking.is_empty() {
            let beat = slot.start.to_f64() / bar.played.beat.length.to_f64() + 1.0;
            // What is played just before a beat is not on it.
            out += &format!("        beat {}\n", round((100.0 * beat + 1e-6).floor() / 100.0));
        }
        out.extend(striking.into_iter().map(|hand| hand_text(chord.hand(hand), hand, "", columns)));
    }
    let nothing = if out.is_empty() { "nothing is struck" } else { "" };
    let head = format!("  {:>2}  {meter}{nothing}", bar.played.bar_in_section);
    format!("{}\n{out}", head.trim_end())
}

/// The bar as a chart has it, with its meter where that is its own.
fn chart_line(bar: &PartBar) -> String {
    let slots: Vec<String> = bar.played.slots.iter().map(chart_item).collect();
    let meter = if bar.played.own_meter { format!("{}: ", bar.played.meter) } else { String::new() };
    format!("{meter}{}", slots.join(" "))
}

fn chart_item(slot: &Slot) -> String {
    let dots = ".".repeat(usize::from(slot.dots));
    match &slot.kind {
        SlotKind::Chord { push, diamond, .. } => {
            let push = if *push { "^" } else { "" };
            if *diamond {
                format!("<{push}{}>{dots}", slot.symbol)
            } else {
                format!("{push}{}{dots}", slot.symbol)
            }
        }
        SlotKind::Tie { .. } => format!("~{dots}"),
        SlotKind::Rest => format!("N{dots}"),
    }
}

fn chord_text(bar: &PartBar, slot: &Slot, chord: &PartChord, hands: Hands, columns: &Columns) -> String {
    let lasts = beats(slot.length, bar.played.beat.length);
    let about = why(chord, None);
    let head = format!("        {}, {lasts}", part_json::name(slot));
    let margin = columns.margin();
    let lines = wrapped(&about, WIDTH - margin);
    let first = lines.first().map_or("", String::as_str);
    let mut out = format!("{}\n", format!("{head:margin$}{first}").trim_end());
    for line in lines.iter().skip(1) {
        out += &format!("{:margin$}{line}\n", "");
    }
    for hand in Hand::BOTH.into_iter().filter(|&hand| hands.has(hand)) {
        out += &hand_text(chord.hand(hand), hand, &why(chord, Some(hand)), columns);
    }
    out
}

fn why(chord: &PartChord, hand: Option<Hand>) -> String {
    let about = chord.why.iter().filter(|reason| reason.hand == hand);
    about.map(voicing::Reason::text).collect::<Vec<_>>().join(" ")
}

fn hand_text(shape: &Shape, hand: Hand, why: &str, columns: &Columns) -> String {
    let (notes, fingers) = (notes(shape), fingers(shape));
    let start = format!(
        "          {:<5}  {notes:<n$}  {fingers:<f$}  ",
        hand.name(),
        n = columns.notes,
        f = columns.fingers
    );
    let margin = columns.margin();
    let lines = wrapped(why, WIDTH - margin);
    let first = lines.first().map_or("", String::as_str);
    let mut out = format!("{}\n", format!("{start}{first}").trim_end());
    for line in lines.iter().skip(1) {
        out += &format!("{:margin$}{line}\n", "");
    }
    out
}

fn notes(shape: &Shape) -> String {
    if shape.notes.is_empty() {
        return "rests".to_owned();
    }
    let names: Vec<String> = shape.notes.iter().map(|note| note.pitch.to_string()).collect();
    names.join(" ") + if shape.rolled { " rolled" } else { "" }
}

fn fingers(shape: &Shape) -> String {
    shape.notes.iter().map(voicing::HeldNote::finger_text).collect::<Vec<_>>().join(" ")
}

/// How wide the columns of notes and fingers are, all through the song.
struct Columns {
    notes: usize,
    fingers: usize,
}

impl Columns {
    fn of(part: &Part) -> Columns {
        let shapes = || part.bars.iter().flat_map(|bar| &bar.chords).flat_map(|c| [&c.right, &c.left]);
        Columns {
            notes: shapes().map(|shape| notes(shape).chars().count()).max().unwrap_or(0),
            fingers: shapes().map(|shape| fingers(shape).chars().count()).max().unwrap_or(0),
        }
    }

    fn margin(&self) -> usize {
        10 + 5 + 2 + self.notes + 2 + self.fingers + 2
    }
}

/// A length counted in beats: `1 beat`, `2 beats`, `1.5 beats`.
fn beats(length: Quarters, beat: Quarters) -> String {
    let beats = length.to_f64() / beat.to_f64();
    format!("{} beat{}", round(beats), if beats == 1.0 { "" } else { "s" })
}

/// A number with at most two decimals and no trailing zeros.
pub fn round(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
