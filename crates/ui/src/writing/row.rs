//! A row of the chart: printed, and while one types in it as text, with what helps.

use super::pieces::{self, TEXT};
use super::printed::{self, Cell, MARGIN};
use super::text_line::{TextLine, type_in};
use super::{Chosen, Writing, WritingCommand, help, keys};
use crate::Command;
use crate::stage::Stage;
use egui::{Id, Rect, Ui, pos2};
use song::edit::{Change, Place};

/// Where a row is typed, in egui's memory.
pub(crate) fn id(section: usize, row: usize) -> Id {
    Id::unique(("typed row", section, row))
}

/// A row as the page asks for it.
pub(crate) struct RowPiece {
    pub section: usize,
    pub row: usize,
    pub text: bool,
    pub open: bool,
    pub per_quarter: f32,
}

/// Draws a row.
pub(crate) fn show(
    ui: &mut Ui,
    rect: Rect,
    stage: &mut Stage<'_>,
    writing: &Writing,
    piece: &RowPiece,
    cells: &mut Vec<Cell>,
) {
    let printed = Rect::from_min_size(rect.min, egui::vec2(rect.width(), pieces::printed(stage)));
    printed::show(ui, printed, stage, writing, (piece.section, piece.row), piece.per_quarter, cells);
    if !piece.text {
        return;
    }
    let left = rect.left() + stage.px(MARGIN - 6.0);
    let line = Rect::from_min_max(
        pos2(left, printed.bottom()),
        pos2(rect.right() - stage.px(22.0), printed.bottom() + stage.px(TEXT)),
    );
    let below = Rect::from_min_max(pos2(left, line.bottom()), rect.max);
    if writing.source(piece.section) == Some(piece.section) {
        typed(ui, line, below, stage, writing, piece);
    } else {
        of_another(ui, line, stage, writing, piece.section);
    }
}

/// Opens the row of what was chosen, with the cursor at its first bar.
pub(crate) fn open(ui: &Ui, writing: &Writing, chosen: Chosen) {
    let Place::Bar { section, bar, .. } = chosen.place else { return };
    let Some(row) = writing.row_of(section, bar).filter(|_| writing.source(section) == Some(section)) else {
        return;
    };
    let text = &writing.rows[section][row];
    type_in(ui, id(section, row), start_of(&text.text, (bar - text.first) as usize));
}

/// The place, in characters, where a bar of a row begins.
fn start_of(text: &str, bar: usize) -> usize {
    let mut bars = text.split('|');
    let before: usize = bars.by_ref().take(bar).map(|bar| bar.chars().count() + 1).sum();
    let lead = bars.next().map_or(0, |bar| bar.chars().take_while(|c| c.is_whitespace()).count());
    before + lead
}

fn typed(ui: &mut Ui, rect: Rect, below: Rect, stage: &mut Stage<'_>, writing: &Writing, piece: &RowPiece) {
    let (section, row) = (piece.section, piece.row);
    let of = &writing.rows[section][row];
    let id = id(section, row);
    let focused = ui.memory(|memory| memory.has_focus(id));
    let mut text = of.text.clone();
    let mut helps = help::Help::of(ui, id, writing, (section, row), focused);
    // Whatever a key does, the line is drawn: what is not drawn loses the focus.
    let left = focused && keys::row(ui, stage, writing, (section, row), &mut helps);
    if let Some((whole, at)) = helps.taken.take() {
        // A completion was taken with the keyboard.
        change(stage, section, row, whole.clone());
        text = whole;
        type_in(ui, id, at);
    }
    let name = format!("Row {} of {}", row + 1, writing.song.sections[section].name);
    let marks: Vec<_> = of.marks.iter().filter(|mark| !helps.is_half_typed(mark)).cloned().collect();
    let line =
        TextLine { id, name: &name, hint: "", size: 20.0, marks: &marks, takes_tab: helps.completes() };
    let out = line.show(ui, rect, stage, &mut text);
    if left {
        return;
    }
    if out.changed {
        change(stage, section, row, text);
    }
    if let Some(cursor) = out.cursor() {
        follow(stage, writing, (section, row), cursor, out.changed);
    }
    if piece.open {
        help::show(ui, below, stage, writing, (section, row), &helps);
    }
    if out.focused {
        help::remember(ui, id, out.selected);
    }
}

/// A row typed over.
pub(crate) fn change(stage: &mut Stage<'_>, section: usize, row: usize, text: String) {
    let change = Change::Row { section, row, text };
    stage.out.push(Command::Writing(WritingCommand::Change(vec![change])));
}

/// The bar where one types is the one that is chosen.
fn follow(
    stage: &mut Stage<'_>,
    writing: &Writing,
    (section, row): (usize, usize),
    cursor: usize,
    changed: bool,
) {
    let of = &writing.rows[section][row];
    let Some(before) = of.text.get(..cursor).filter(|_| !changed) else { return };
    let bar = of.first + before.matches('|').count() as u32;
    let chosen = stage.model.view.writing.chosen;
    let there = chosen.section() == Some(section) && chosen.bars().is_some_and(|bars| bars.contains(&bar));
    if !there && !stage.out.iter().any(|command| matches!(command, Command::Writing(_))) {
        let pass = chosen.pass().filter(|_| chosen.section() == Some(section));
        let place = Place::Bar { section, bar, pass, beat: None };
        stage.out.push(Command::Writing(WritingCommand::Choose(place.into())));
    }
}

/// The bars of a section that is like another are typed there, or made its own.
fn of_another(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing, section: usize) {
    let Some(source) = writing.source(section) else { return };
    let name = &writing.song.sections[source].name;
    let at = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(22.0));
    let said = format!("Its bars are those of {name}.");
    let drawn = stage.text(ui, at, &said, 15.0, stage.palette.quiet);
    let size = stage.px(15.0);
    let mut x = drawn.right() + stage.px(18.0);
    let words = [
        (format!("write in {name}"), WritingCommand::Choose(Chosen::bar(source, 0))),
        ("give it bars of its own".to_owned(), WritingCommand::Change(vec![Change::OwnBars { section }])),
    ];
    for (text, command) in words {
        let word = crate::plain::Word::new(&text, size);
        let response = stage.offering(ui, pos2(x, at.y), &word, Command::Writing(command));
        x = response.rect.right() + stage.px(12.0);
    }
}
