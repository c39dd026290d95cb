//! The keys of a row that are more than writing: to other rows, new rows, bars moved, completions.

use super::clipboard::{self, Marked};
use super::help::{self, Help};
use super::text_line::{small, type_in};
use super::{Chosen, NewLine, Writing, WritingCommand, heading, line, row};
use crate::stage::Stage;
use crate::{Command, fonts, plain};
use egui::{Event, Key, Modifiers, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use song::edit::{Change, Place};

/// The keys of the page of writing, for the page of keys and the README.
pub const WRITING_KEYS: [(&str, &str); 13] = [
    ("Enter", "a new row; in the middle of one: break it here"),
    ("Tab", "take the completion; Ctrl+Space: the next one"),
    ("↑ ↓", "the row above, below; with Shift: choose their bars"),
    ("Alt+← Alt+→", "move the chosen bars"),
    ("Alt+↑ Alt+↓", "move the section"),
    ("Ctrl+D", "the chosen bars or the section once more"),
    ("Ctrl+X Ctrl+C Ctrl+V", "cut, copy, paste, with what is pinned"),
    ("Ctrl+F", "find; Enter: the next place"),
    ("Ctrl+Home Ctrl+End", "the first row, the last row"),
    ("Backspace", "at the beginning of a row: join it to the one before"),
    ("Ctrl+Backspace", "in a heading: take the section away"),
    ("Ctrl+Shift+P", "the order of the sections"),
    ("Ctrl+1 2 3 4 5", "at the side: settings, passes, hands, notes, goals"),
];

/// The keys of the page, where nothing else is shown beside it.
pub(crate) fn list(ui: &mut Ui, stage: &Stage<'_>) {
    ui.add_space(stage.px(14.0));
    for (key, words) in WRITING_KEYS {
        let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(38.0)));
        let at = pos2(rect.left() + stage.px(2.0), rect.top() + stage.px(15.0));
        let key_font = fonts::bold(stage.px(13.5));
        let first = plain::baseline(ui.painter(), at, key, key_font, stage.palette.quiet);
        let below = pos2(at.x, at.y + stage.px(16.0));
        let second = small(ui, below, stage, words, rect.width());
        let response = ui.interact(first.union(second), ui.scope_id().with(("key", key)), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{key}: {words}")));
    }
}

/// Handles the keys of the row where one types. Returns whether the row is left in this frame.
pub(crate) fn row(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    (section, row): (usize, usize),
    help: &mut Help,
) -> bool {
    let text = &writing.rows[section][row].text;
    let at = help.selected.map_or(0, |(_, to)| to.min(text.len()));
    let none = help.selected.is_none_or(|(from, to)| from == to);
    if bars(ui, stage, writing, (section, row), help) {
        return true;
    }
    if help.completes() {
        if pressed(ui, Modifiers::NONE, Key::Tab) {
            help.take(text);
            return false;
        }
        if pressed(ui, Modifiers::COMMAND, Key::Space) {
            help::point_on(ui, row::id(section, row), help);
        }
    }
    if pressed(ui, Modifiers::NONE, Key::Enter) {
        enter(ui, stage, writing, (section, row), at);
        return true;
    }
    if none && at == 0 && pressed(ui, Modifiers::NONE, Key::Backspace) {
        return join_before(ui, stage, writing, (section, row));
    }
    if none && at == text.len() && pressed(ui, Modifiers::NONE, Key::Delete) {
        if row + 1 < writing.rows[section].len() {
            change(stage, Change::JoinRow { section, row });
        }
        return true;
    }
    for (key, ahead) in [(Key::ArrowUp, false), (Key::ArrowDown, true)] {
        if pressed(ui, Modifiers::NONE, key) {
            let column = text[..at].chars().count();
            walk(ui, stage, writing, (section, Some(row)), ahead, column);
            return true;
        }
    }
    ends(ui, stage, writing)
}

/// Keys about whole bars: chosen over rows, moved, doubled, cut and pasted.
fn bars(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    (section, row): (usize, usize),
    help: &Help,
) -> bool {
    let of = &writing.rows[section][row];
    let chosen = stage.model.view.writing.chosen;
    let several = chosen.last.is_some() && chosen.section() == Some(section);
    let in_text = |at: usize| of.first + of.text.get(..at).map_or(0, |text| text.matches('|').count() as u32);
    let bars = match (several, chosen.bars(), help.selected) {
        (true, Some(bars), _) => bars,
        (_, _, Some((from, to))) => in_text(from)..in_text(to) + 1,
        (_, chosen, None) => chosen.unwrap_or(of.first..of.first + 1),
    };
    for (key, ahead) in [(Key::ArrowUp, false), (Key::ArrowDown, true)] {
        if pressed(ui, Modifiers::SHIFT, key) {
            extend(stage, writing, (section, row), chosen, ahead);
            return true;
        }
        if pressed(ui, Modifiers::ALT, key) {
            heading::carry(ui, stage, writing, section, ahead);
            return true;
        }
    }
    for (key, ahead) in [(Key::ArrowLeft, false), (Key::ArrowRight, true)] {
        if pressed(ui, Modifiers::ALT, key) {
            carry(ui, stage, writing, section, bars, ahead);
            return true;
        }
    }
    if pressed(ui, Modifiers::COMMAND, Key::D) {
        let double = WritingCommand::Double { section, from: bars.start, to: bars.end };
        stage.out.push(Command::Writing(double));
        return true;
    }
    let marked = Marked { section, row, bars, several };
    let out = clipboard::copied_or_cut(ui, stage, writing, &marked, help);
    out || clipboard::pasted(ui, stage, writing, &marked, help)
}

/// The text of bars of a section.
pub(crate) fn text_of(writing: &Writing, section: usize, bars: std::ops::Range<u32>) -> String {
    let all = bars.filter_map(|bar| writing.bar_text(section, bar));
    all.collect::<Vec<_>>().join(" | ")
}

/// Bars go one bar on or back, and stay chosen.
fn carry(
    ui: &Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    section: usize,
    bars: std::ops::Range<u32>,
    ahead: bool,
) {
    let count = writing.rows[section].last().map_or(0, |row| row.first + row.bars);
    if if ahead { bars.end >= count } else { bars.start == 0 } {
        return;
    }
    let at = if ahead { bars.end + 1 } else { bars.start - 1 };
    change(stage, Change::MoveBars { section, from: bars.start, to: bars.end, into: section, at });
    let first = if ahead { bars.start + 1 } else { bars.start - 1 };
    let last = (bars.len() > 1).then_some(first + bars.len() as u32 - 1);
    let chosen = Chosen { last, ..Chosen::bar(section, first) };
    stage.out.push(Command::Writing(WritingCommand::Choose(chosen)));
    row::open(ui, writing, Chosen::bar(section, first));
}

/// Chooses whole rows, one more or one less.
fn extend(
    stage: &mut Stage<'_>,
    writing: &Writing,
    (section, row): (usize, usize),
    chosen: Chosen,
    ahead: bool,
) {
    let rows = &writing.rows[section];
    let from = chosen.bars().filter(|_| chosen.last.is_some()).map_or(rows[row].first, |bars| bars.start);
    let end = |row: usize| rows[row].first + rows[row].bars - 1;
    let now = chosen.last.and_then(|last| writing.row_of(section, last));
    let last = match (now, ahead) {
        (None, _) => end(row),
        (Some(now), true) => end((now + 1).min(rows.len() - 1)),
        (Some(now), false) => end(now.saturating_sub(1).max(writing.row_of(section, from).unwrap_or(0))),
    };
    let chosen = Chosen { last: Some(last), ..Chosen::bar(section, from) };
    stage.out.push(Command::Writing(WritingCommand::Choose(chosen)));
}

/// A new row behind, in front, or out of the second part of this one.
fn enter(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, (section, row): (usize, usize), at: usize) {
    let of = &writing.rows[section][row];
    let (before, behind) = of.text.split_at(at);
    if behind.trim().is_empty() || before.trim().is_empty() {
        let new = if behind.trim().is_empty() { row + 1 } else { row };
        return line::begin(ui, stage, NewLine { section, row: new });
    }
    let number = before.matches('|').count() as u32;
    // The bar one is in begins the new row, unless it begins this one.
    let bar = of.first + number.max(1);
    if bar < of.first + of.bars {
        change(stage, Change::BreakRow { section, bar });
        stage.out.push(Command::Writing(WritingCommand::Choose(Chosen::bar(section, bar))));
        type_in(ui, row::id(section, row + 1), 0);
    }
}

fn join_before(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, (section, row): (usize, usize)) -> bool {
    let rows = &writing.rows[section];
    let empty = rows[row].text.trim().is_empty();
    if empty && rows.len() > 1 {
        change(stage, Change::RemoveRow { section, row });
    } else if row > 0 {
        change(stage, Change::JoinRow { section, row: row - 1 });
    } else {
        return true;
    }
    let to = row.saturating_sub(1);
    let bar = rows[to].first + rows[to].bars.saturating_sub(1);
    stage.out.push(Command::Writing(WritingCommand::Choose(Chosen::bar(section, bar))));
    type_in(ui, row::id(section, to), rows[to].text.chars().count());
    true
}

/// To the line above or below, whatever it is. `from` is a section and a row of it, or its heading.
pub(crate) fn walk(
    ui: &Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    from: (usize, Option<usize>),
    ahead: bool,
    column: usize,
) {
    let rows = |section: usize| {
        let own = writing.source(section) == Some(section);
        if own { writing.rows[section].len() } else { 0 }
    };
    let to = match (from, ahead) {
        ((section, Some(row)), true) if row + 1 < rows(section) => (section, Some(row + 1)),
        ((section, None), true) if rows(section) > 0 => (section, Some(0)),
        ((section, _), true) => (section + 1, None),
        ((section, Some(0)), false) => (section, None),
        ((section, Some(row)), false) => (section, Some(row - 1)),
        ((0, None), false) => return,
        ((section, None), false) => (section - 1, rows(section - 1).checked_sub(1)),
    };
    go(ui, stage, writing, to, column);
}

fn go(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, to: (usize, Option<usize>), column: usize) {
    if to.0 >= writing.song.sections.len() {
        return;
    }
    let chosen = match to {
        (section, Some(row)) => {
            let of = &writing.rows[section][row];
            let before: String = of.text.chars().take(column).collect();
            type_in(ui, row::id(section, row), column);
            Chosen::bar(section, of.first + before.matches('|').count() as u32)
        }
        (section, None) => {
            type_in(ui, heading::id(section), usize::MAX);
            Place::Section(section).into()
        }
    };
    stage.out.push(Command::Writing(WritingCommand::Choose(chosen)));
}

/// To the first and the last row of the song.
pub(crate) fn ends(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing) -> bool {
    if pressed(ui, Modifiers::COMMAND, Key::Home) {
        first(ui, stage, writing);
    } else if pressed(ui, Modifiers::COMMAND, Key::End) {
        let last = (0..writing.song.sections.len()).rev().find(|section| has_rows(writing, *section));
        if let Some(section) = last {
            go(ui, stage, writing, (section, Some(writing.rows[section].len() - 1)), 0);
        }
    } else {
        return false;
    }
    true
}

/// To the first row of the song.
pub(crate) fn first(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let first = (0..writing.song.sections.len()).find(|section| has_rows(writing, *section));
    if let Some(section) = first {
        go(ui, stage, writing, (section, Some(0)), 0);
    }
}

fn has_rows(writing: &Writing, section: usize) -> bool {
    writing.source(section) == Some(section) && !writing.rows[section].is_empty()
}

/// Whether a key was pressed in this frame; nobody else takes it then.
pub(crate) fn pressed(ui: &Ui, modifiers: Modifiers, key: Key) -> bool {
    ui.input_mut(|input| {
        let wanted = |event: &Event| {
            matches!(event, Event::Key { key: other, pressed: true, modifiers: with, .. }
                if *other == key && with.matches_exact(modifiers))
        };
        let before = input.events.len();
        input.events.retain(|event| !wanted(event));
        input.events.len() < before
    })
}

pub(crate) fn happens(ui: &Ui, wanted: &Event) -> bool {
    ui.input(|input| input.events.contains(wanted))
}

pub(crate) fn consume(ui: &Ui, gone: impl Fn(&Event) -> bool) {
    ui.input_mut(|input| input.events.retain(|event| !gone(event)));
}

/// One edit.
pub(crate) fn change(stage: &mut Stage<'_>, change: Change) {
    stage.out.push(Command::Writing(WritingCommand::Change(vec![change])));
}
