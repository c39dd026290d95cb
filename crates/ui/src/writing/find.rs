//! Find: a chord in numbers or by its name, a section, a word.

use super::text_line::{TextLine, small, type_in};
use super::{Chosen, Writing, WritingCommand, keys, row, side_keys};
use crate::Command;
use crate::stage::Stage;
use egui::{Id, Key, Modifiers, Rect, Ui, pos2};
use song::edit::Place;
use song::{PlayedBar, SlotKind};

fn id() -> Id {
    Id::unique("what is looked for")
}

/// Begins to look for something.
pub(crate) fn begin(ui: &Ui, stage: &mut Stage<'_>) {
    stage.out.push(Command::Writing(WritingCommand::Find(Some(String::new()))));
    type_in(ui, id(), 0);
}

/// Draws the field, and goes to the next place as one types or asks for it.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing, wanted: &str) {
    let mut text = wanted.to_owned();
    let focused = ui.memory(|memory| memory.has_focus(id()));
    if !side_keys::was_typing(ui) && keys::pressed(ui, Modifiers::NONE, Key::Escape) {
        stage.out.push(Command::Writing(WritingCommand::Find(None)));
        if let Some(bars) = stage.model.view.writing.chosen.bars() {
            let section = stage.model.view.writing.chosen.section().unwrap_or(0);
            row::open(ui, writing, Chosen::bar(section, bars.start));
        }
        return;
    }
    let at = pos2(rect.left() + stage.px(18.0), rect.top() + stage.px(25.0));
    small(
        ui,
        at,
        stage,
        "Find. Enter: the next place.  Shift+Enter: the one before.  Esc: done.",
        stage.px(520.0),
    );
    let next = focused && keys::pressed(ui, Modifiers::NONE, Key::Enter);
    let back = focused && keys::pressed(ui, Modifiers::SHIFT, Key::Enter);
    let line = TextLine {
        id: id(),
        name: "Find",
        hint: "a chord, a section, a word",
        size: 17.0,
        marks: &[],
        takes_tab: false,
    };
    let place = Rect::from_min_max(
        pos2(rect.right() - stage.px(300.0), rect.top() + stage.px(3.0)),
        pos2(rect.right() - stage.px(14.0), rect.bottom() - stage.px(3.0)),
    );
    let typed = line.show(ui, place, stage, &mut text).changed;
    if typed {
        stage.out.push(Command::Writing(WritingCommand::Find(Some(text.clone()))));
    }
    if !(typed || next || back) || text.trim().is_empty() {
        return;
    }
    match found(writing, text.trim(), stage.model.view.writing.chosen, next, back) {
        Some(chosen) => stage.out.push(Command::Writing(WritingCommand::Choose(chosen))),
        None => stage
            .out
            .push(Command::Writing(WritingCommand::Tell(format!("There is no “{}” here.", text.trim())))),
    }
}

/// The next place at or behind the chosen one, round and round.
pub(crate) fn found(writing: &Writing, text: &str, from: Chosen, next: bool, back: bool) -> Option<Chosen> {
    let all = places(writing, text);
    let key = |chosen: &Chosen| (chosen.section(), chosen.bars().map(|bars| bars.start));
    let here = key(&from);
    if back {
        return all.iter().rev().find(|place| key(place) < here).or(all.last()).copied();
    }
    let ahead = |place: &&Chosen| if next { key(place) > here } else { key(place) >= here };
    all.iter().find(ahead).or(all.first()).copied()
}

fn places(writing: &Writing, text: &str) -> Vec<Chosen> {
    let lower = text.to_lowercase();
    let mut all = Vec::new();
    for (number, section) in writing.song.sections.iter().enumerate() {
        let words = [Some(&section.name), section.note.as_ref(), section.cue.as_ref()];
        if words.into_iter().flatten().any(|words| words.to_lowercase().contains(&lower)) {
            all.push(Place::Section(number).into());
        }
        let bars =
            writing.as_written(number).filter(|bar| holds(bar, text)).filter_map(|bar| bar.written_bar);
        all.extend(bars.map(|bar| Chosen::bar(number, bar)));
    }
    all
}

fn holds(bar: &PlayedBar, text: &str) -> bool {
    let named = bar.slots.iter().any(|slot| match &slot.kind {
        SlotKind::Chord { chord, .. } => {
            slot.symbol == text || chord.name() == text || chord.pretty_name() == text
        }
        _ => false,
    });
    named || text.len() > 1 && bar.text.contains(text)
}
