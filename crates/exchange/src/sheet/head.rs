//! The head of a sheet: title, key, meter, tempo, form, and what the coach says about the whole song.

use super::flow::{Chunk, Frame, text};
use super::form::{order, places};
use super::page::{Ink, Role};
use super::words::Type;
use super::{Face, Kind};
use song::{Feel, PlayedBar, Quarters};
use voicing::Part;

/// The head of a sheet.
pub(crate) fn head(part: &Part, kind: Kind, frame: Frame) -> Vec<Chunk> {
    let (left, right) = (frame.left, frame.right);
    let mut chunks =
        text(&part.title, Type::new(Face::Serif, 23.0, Ink::Black), Role::Title, left, right, 0.0);
    let facts = Type::new(Face::Sans, 10.5, Ink::Black);
    chunks.extend(text(&facts_of(part).join("  ·  "), facts, Role::Text, left, right, 3.0));
    let quiet = Type::new(Face::Sans, 9.5, Ink::Quiet);
    let form = order(part, &places(part));
    if !form.is_empty() {
        chunks.extend(text(&format!("Form: {form}"), quiet, Role::Text, left, right, 2.0));
    }
    if kind != Kind::Chart {
        chunks.extend(text(&hands(part), quiet, Role::Text, left, right, 1.0));
    }
    if let Some(note) = &part.note {
        let how = Type::new(Face::Italic, 10.0, Ink::Black);
        chunks.extend(text(note, how, Role::Text, left, right, 4.0));
    }
    chunks
}

/// A short remark at the foot of a sheet.
pub(crate) fn remark(said: &str, frame: Frame) -> Vec<Chunk> {
    let how = Type::new(Face::Sans, 8.5, Ink::Quiet);
    text(said, how, Role::Text, frame.left, frame.right, 12.0)
}

/// Key, meter, tempo and the manner.
fn facts_of(part: &Part) -> Vec<String> {
    let mut facts = vec![key(part)];
    if let Some(bar) = main_bar(part) {
        facts.push(bar.meter.to_string());
        facts.push(tempo(bar));
        facts.extend((bar.feel == Feel::Swing).then(|| "swing".to_owned()));
        facts.extend(bar.bass.then(|| "with a bass player".to_owned()));
        facts.extend(bar.pedal.then(|| "pedal".to_owned()));
    }
    facts.extend(
        part.count_in.map(|bars| format!("{bars} bar{} counted in", if bars == 1 { "" } else { "s" })),
    );
    facts
}

/// `D major`, or where it was moved `E♭ major (written in D major)`.
fn key(part: &Part) -> String {
    let written = part.bars.iter().find(|bar| bar.played.key == part.key).map(|bar| bar.played.written_key);
    match written.filter(|written| *written != part.key) {
        Some(written) => format!("{} (written in {})", part.key.pretty(), written.pretty()),
        None => part.key.pretty(),
    }
}

/// The first bar that has no meter of its own, else the first.
pub(crate) fn main_bar(part: &Part) -> Option<&PlayedBar> {
    let usual = part.bars.iter().find(|bar| !bar.played.own_meter);
    usual.or(part.bars.first()).map(|bar| &bar.played)
}

/// `♩ = 72`: what is counted, and how many in a minute.
pub(crate) fn tempo(bar: &PlayedBar) -> String {
    let beats = bar.quarters_per_minute / bar.beat.length.to_f64();
    let number = format!("{beats:.1}");
    let number = number.strip_suffix(".0").unwrap_or(&number);
    let beat = bar.beat.length;
    if beat == Quarters::new(1, 1) {
        format!("♩ = {number}")
    } else if beat == Quarters::new(3, 2) {
        format!("♩. = {number}")
    } else if beat == Quarters::EIGHTH {
        format!("♪ = {number}")
    } else {
        format!("{number} beats a minute")
    }
}

fn hands(part: &Part) -> String {
    let (right, left) = (part.settings.reach, part.settings.left_reach);
    let reach = if right == left {
        format!("reach a{} {}", article(right.white_keys()), right.white_keys())
    } else {
        format!("reach {} right, {} left", right.white_keys(), left.white_keys())
    };
    format!("Right hand: round marks. Left hand: square marks. Fingers from the thumb, 1, to 5; {reach}.")
}

fn article(word: &str) -> &'static str {
    if word.starts_with(['e', 'o']) { "n" } else { "" }
}
