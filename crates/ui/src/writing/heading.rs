//! The heading of a section, typed over: its name and how often it is played; and the section moved as a whole.

use super::pieces::TEXT;
use super::printed::MARGIN;
use super::text_line::{TextLine, small, type_in};
use super::{Chosen, NewLine, Writing, WritingCommand, keys, line};
use crate::Command;
use crate::stage::Stage;
use egui::{Id, Key, Modifiers, Rect, Ui, pos2};
use song::edit::{Change, Field, Place};
use song::typing::{self, Heading};

/// Where a heading is typed, in egui's memory.
pub(crate) fn id(section: usize) -> Id {
    Id::unique(("typed heading", section))
}

/// A heading as it stands in the song.
pub(crate) fn of(writing: &Writing, section: usize) -> Heading {
    let written = &writing.song.sections[section];
    let like = written.like.map(|like| writing.song.sections[like.value].name.clone());
    Heading { name: written.name.clone(), like, passes: written.passes }
}

/// Draws it.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing, section: usize) {
    let id = id(section);
    let left = rect.left() + stage.px(MARGIN - 6.0);
    let right = rect.right() - stage.px(22.0);
    let line = Rect::from_min_max(pos2(left, rect.top()), pos2(right, rect.top() + stage.px(TEXT)));
    let written = of(writing, section).to_string();
    let mut text = ui.data(|data| data.get_temp::<String>(id)).unwrap_or_else(|| written.clone());
    let focused = ui.memory(|memory| memory.has_focus(id));
    if focused && pressed(ui, stage, writing, section, &text) {
        return;
    }
    let name = format!("Heading of {}", writing.song.sections[section].name);
    let typed =
        TextLine { id, name: &name, hint: "the section's name", size: 20.0, marks: &[], takes_tab: false };
    let out = typed.show(ui, line, stage, &mut text);
    if out.changed {
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
    }
    if out.response.lost_focus() {
        commit(ui, stage, writing, section, &text);
    }
    let at = pos2(left + stage.px(8.0), line.bottom() + stage.px(19.0));
    small(ui, at, stage, "A name, and how often: Verse x4.  Enter: to its rows.", right - left);
}

/// The keys of a heading. Returns whether it is left.
fn pressed(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize, text: &str) -> bool {
    for (key, ahead) in [(Key::ArrowUp, false), (Key::ArrowDown, true)] {
        if keys::pressed(ui, Modifiers::NONE, key) {
            commit(ui, stage, writing, section, text);
            keys::walk(ui, stage, writing, (section, None), ahead, 0);
            return true;
        }
        if keys::pressed(ui, Modifiers::ALT, key) {
            carry(ui, stage, writing, section, ahead);
            return true;
        }
    }
    if keys::pressed(ui, Modifiers::NONE, Key::Enter) {
        commit(ui, stage, writing, section, text);
        let own = writing.source(section) == Some(section);
        match writing.rows[section].is_empty() || !own {
            true => line::begin(ui, stage, NewLine { section, row: writing.rows[section].len() }),
            false => keys::walk(ui, stage, writing, (section, None), true, 0),
        }
        return true;
    }
    if keys::pressed(ui, Modifiers::COMMAND, Key::D) {
        double(stage, writing, section);
        return true;
    }
    if keys::pressed(ui, Modifiers::COMMAND, Key::Backspace) {
        keys::change(stage, Change::RemoveSection { section });
        let left = Place::Section(section.saturating_sub(1));
        stage.out.push(Command::Writing(WritingCommand::Choose(left.into())));
        return true;
    }
    keys::ends(ui, stage, writing)
}

/// The section once more, behind itself, under a name of its own.
pub(crate) fn double(stage: &mut Stage<'_>, writing: &Writing, section: usize) {
    let name = free_name(writing, &writing.song.sections[section].name);
    keys::change(stage, Change::CopySection { section, name });
    stage.out.push(Command::Writing(WritingCommand::Choose(Place::Section(section + 1).into())));
}

/// A name that no section has: `Verse 2`.
pub(crate) fn free_name(writing: &Writing, name: &str) -> String {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
    let taken = |name: &str| writing.song.sections.iter().any(|section| section.name == name);
    let mut names = (2..).map(|number| format!("{stem} {number}"));
    names.find(|name| !taken(name)).expect("the numbers go on")
}

/// Moves a section one place on or back.
pub(crate) fn carry(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize, ahead: bool) {
    let to = if ahead { section + 1 } else { section.wrapping_sub(1) };
    if to >= writing.song.sections.len() {
        return;
    }
    keys::change(stage, Change::MoveSection { section, to });
    let chosen = stage.model.view.writing.chosen;
    let place = match chosen.place {
        Place::Bar { bar, pass, beat, .. } => Place::Bar { section: to, bar, pass, beat },
        _ => Place::Section(to),
    };
    stage.out.push(Command::Writing(WritingCommand::Choose(Chosen { place, ..chosen })));
    match place {
        Place::Bar { bar, .. } => {
            let row = writing.row_of(section, bar).unwrap_or(0);
            type_in(ui, super::row::id(to, row), 0);
        }
        _ => type_in(ui, id(to), usize::MAX),
    }
}

/// Writes down what was typed, where it is another name or number.
fn commit(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize, text: &str) {
    ui.data_mut(|data| data.remove::<String>(id(section)));
    let old = of(writing, section);
    let Some(new) = typing::heading(text).filter(|new| *new != old) else { return };
    let mut changes = Vec::new();
    if new.name != old.name {
        changes.push(Change::RenameSection { section, name: new.name });
    }
    if new.passes != old.passes {
        changes.push(Change::Field { place: Place::Section(section), field: Field::Passes(new.passes) });
    }
    if !changes.is_empty() {
        stage.out.push(Command::Writing(WritingCommand::Change(changes)));
    }
}
