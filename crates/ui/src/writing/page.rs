//! The page of typed rows.

use super::pieces::{self, Kind, Piece};
use super::printed::{self, Cell, MARGIN};
use super::row::RowPiece;
use super::{Chosen, NewLine, Writing, WritingCommand, find, heading, keys, line, order, row};
use crate::plain::Word;
use crate::reasons::notes;
use crate::stage::Stage;
use crate::{Command, fonts, plain};
use egui::{Key, Modifiers, Rect, ScrollArea, Sense, Stroke, Ui, UiBuilder, pos2, vec2};
use song::edit::{Change, Place};

/// Units.
const HEAD: f32 = 38.0;
const FOOT: f32 = 30.0;
/// What is higher is typed in.
const LOW: f32 = 100.0;

/// Draws the chart to be written.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    stage.card(ui, rect);
    let Some(writing) = stage.model.writing else {
        let at = pos2(rect.left() + stage.px(24.0), rect.top() + stage.px(40.0));
        if notes::alone(stage) {
            return notes::nothing_here(ui, Rect::from_min_max(at, rect.max), stage, notes::NOTHING_TO_WRITE);
        }
        let words = "The file cannot be read as a song; mend it in a text editor, or write a new one.";
        stage.text(ui, at, words, 16.0, stage.palette.quiet);
        return;
    };
    window_keys(ui, stage, writing);
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), stage.px(HEAD)));
    let foot = Rect::from_min_max(pos2(rect.left(), rect.bottom() - stage.px(FOOT)), rect.max);
    let page =
        Rect::from_min_max(pos2(rect.left(), head.bottom()), pos2(rect.right() - stage.px(3.0), foot.top()));
    match &stage.model.view.writing.find {
        Some(wanted) => find::show(ui, head, stage, writing, &wanted.clone()),
        None if writing.pasted.is_some() => pasted(ui, head, stage, writing),
        None => order::show(ui, head, stage, writing),
    }
    ui.scope_builder(UiBuilder::new().max_rect(page), |ui| rows(ui, page, stage, writing));
    told(ui, foot, stage, writing);
}

/// The key that the letters of a pasted chart were read in, to be confirmed, or another; and how much in it is not certain.
fn pasted(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing) {
    let Some(chart) = &writing.pasted else { return };
    let at = pos2(rect.left() + stage.px(18.0), rect.top() + stage.px(25.0));
    let marked = |doubt: &&song::paste::Doubt| doubt.place.as_ref().is_some_and(|place| place.bars.is_some());
    let begun = match (chart.doubts.len(), chart.doubts.iter().filter(marked).count()) {
        (0, _) => String::new(),
        (n, 0) => format!("{n} not certain: see the song’s note"),
        (n, marked) if n == marked => format!("{n} not certain: marked ?"),
        (n, marked) => format!("{n} not certain: {marked} marked ?, all in the song’s note"),
    };
    let letters = if chart.keys.is_empty() { "" } else { "Letters, read in" };
    let begun =
        [begun.as_str(), letters].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(". ");
    let drawn = stage.text(ui, at, &begun, 15.0, stage.palette.ink);
    let mut x = drawn.right() + stage.px(12.0);
    for key in &chart.keys {
        let text = key.pretty();
        let name = format!("Letters in {text}");
        let word = Word::new(&text, stage.px(15.0)).named(&name).chosen(*key == chart.key);
        let command = WritingCommand::KeyOfPasted(Some(*key));
        x = stage.offering(ui, pos2(x, at.y), &word, Command::Writing(command)).rect.right() + stage.px(10.0);
    }
    let name = if chart.keys.is_empty() { "It is right" } else { "The key is right" };
    let word = Word::new("so it is", stage.px(15.0)).named(name).strong();
    stage.offering(
        ui,
        pos2(x + stage.px(10.0), at.y),
        &word,
        Command::Writing(WritingCommand::KeyOfPasted(None)),
    );
}

/// Keys of the page, wherever one types in it.
fn window_keys(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing) {
    // Undo and redo are those of the song, not of one line.
    keys::pressed(ui, Modifiers::COMMAND, Key::Z);
    keys::pressed(ui, Modifiers::COMMAND, Key::Y);
    if keys::pressed(ui, Modifiers::COMMAND, Key::F) {
        find::begin(ui, stage);
    }
    if keys::pressed(ui, Modifiers::COMMAND | Modifiers::SHIFT, Key::P) {
        order::open(ui, writing);
    }
    into_the_rows(ui, stage, writing);
    if writing.song.sections.is_empty() && stage.model.view.writing.line.is_none() {
        line::begin(ui, stage, NewLine { section: 0, row: 0 });
    }
}

/// From nowhere, or from a line that is typed anew, keys lead into the rows.
fn into_the_rows(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let focused = ui.memory(|memory| memory.focused());
    if focused.is_some_and(|id| id != line::id()) {
        return;
    }
    if keys::ends(ui, stage, writing) {
        if focused.is_some() {
            line::leave(ui, stage);
        }
        return;
    }
    let pressed = |key| keys::pressed(ui, Modifiers::NONE, key);
    if focused.is_none() && (pressed(Key::ArrowDown) || pressed(Key::ArrowUp)) {
        match stage.model.view.writing.chosen.bars() {
            Some(_) => row::open(ui, writing, stage.model.view.writing.chosen),
            None => keys::first(ui, stage, writing),
        }
    }
}

fn rows(ui: &mut Ui, page: Rect, stage: &mut Stage<'_>, writing: &Writing) {
    let view = stage.model.view.writing.clone();
    let all = pieces::pieces(stage, writing, &view);
    let area = ScrollArea::vertical().id_salt("written chart").auto_shrink([false, false]);
    let per_quarter = printed::per_quarter(stage, writing, page.width());
    area.show_viewport(ui, |ui, viewport| {
        let high: f32 = all.iter().map(|piece| piece.height).sum();
        let (_, space) = ui.allocate_space(vec2(page.width(), high + stage.px(40.0)));
        let mut cells: Vec<Cell> = Vec::new();
        let mut top = space.top();
        let mut shown = Vec::new();
        for piece in &all {
            let place = Rect::from_min_size(pos2(space.left(), top), vec2(space.width(), piece.height));
            top += piece.height;
            follow(ui, stage, writing, piece, place);
            let seen = place.bottom() - space.top() >= viewport.top()
                && place.top() - space.top() <= viewport.bottom();
            // What one types in is drawn wherever it is, so that it keeps the focus.
            if seen || matches!(piece.kind, Kind::Row { open: true, .. } | Kind::Line(_) | Kind::Heading) {
                draw(ui, place, stage, writing, piece, per_quarter, &mut cells);
                shown.push((piece.section, place));
            }
        }
        carried(ui, stage, writing, &cells);
        carried_section(ui, stage, writing, &shown);
        let end = Rect::from_min_max(pos2(space.left(), top), space.max);
        begin_line(ui, end, stage, writing);
        cut(ui, page, stage, &shown);
    });
}

/// A row that the edges of the page cut is covered until it is scrolled to; one that is typed in is not cut.
fn cut(ui: &Ui, page: Rect, stage: &Stage<'_>, shown: &[(usize, Rect)]) {
    for (_, place) in shown {
        let (above, below) = (page.top() - place.top(), place.bottom() - page.bottom());
        let low = place.height() < stage.px(LOW) && page.intersects(*place);
        if low && above.max(below) > stage.px(8.0) {
            let cover = place.intersect(page).expand2(vec2(0.0, 1.0)).shrink2(vec2(2.0, 0.0));
            ui.painter().rect_filled(cover, 0.0, stage.palette.page);
        }
    }
}

fn draw(
    ui: &mut Ui,
    place: Rect,
    stage: &mut Stage<'_>,
    writing: &Writing,
    piece: &Piece,
    per_quarter: f32,
    cells: &mut Vec<Cell>,
) {
    match piece.kind {
        Kind::Heading => heading::show(ui, place, stage, writing, piece.section),
        Kind::Line(new) => line::show(ui, place, stage, writing, new),
        Kind::Row { row, first, text, open } => {
            if first {
                margin(ui, place, stage, writing, piece.section);
            }
            let of = RowPiece { section: piece.section, row, text, open, per_quarter };
            row::show(ui, place, stage, writing, &of, cells);
        }
        Kind::Empty => {
            margin(ui, place, stage, writing, piece.section);
            let at = pos2(place.left() + stage.px(MARGIN + 4.0), place.top() + stage.px(24.0));
            let word = Word::new("write its first row", stage.px(15.0));
            if stage.model.view.writing.line.is_none() && word.show(ui, at, stage.palette).clicked() {
                line::begin(ui, stage, NewLine { section: piece.section, row: 0 });
            }
        }
    }
}

/// The section's name, to be typed over or dragged to another place.
fn margin(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing, section: usize) {
    let written = &writing.song.sections[section];
    let sizes = [17.0, 15.5, 14.0].map(|size| stage.px(size));
    let (name, font) =
        plain::fitted(ui.painter(), &written.name, fonts::italic, &sizes, stage.px(MARGIN - 30.0));
    let high = rect.height().min(pieces::printed(stage));
    let at = pos2(rect.left() + stage.px(18.0), rect.top() + 0.5 * high);
    let said = format!("Section {}", written.name);
    let chosen = stage.model.view.writing.chosen.section() == Some(section);
    let word = Word::new(&name, stage.px(17.0)).font(font).named(&said);
    let word = if chosen { word.strong() } else { word };
    let response = word.show(ui, at, stage.palette).interact(Sense::click_and_drag());
    if response.clicked() {
        stage.out.push(Command::Writing(WritingCommand::Choose(Place::Section(section).into())));
        super::text_line::type_in(ui, heading::id(section), usize::MAX);
    }
    if response.drag_started() {
        ui.data_mut(|data| data.insert_temp(section_id(), Some(section)));
    }
    let passes = writing.passes(section);
    let mut y = at.y + stage.px(17.0);
    if passes > 1 {
        stage.text(ui, pos2(at.x, y), &format!("{passes} times"), 13.0, stage.palette.quiet);
        y += stage.px(15.0);
    }
    if let Some(like) = written.like {
        let text = format!("like {}", writing.song.sections[like.value].name);
        let font = fonts::sans(stage.px(13.0));
        let text = plain::elided(ui.painter(), &text, &font, stage.px(MARGIN - 30.0));
        stage.text(ui, pos2(at.x, y), &text, 13.0, stage.palette.quiet);
    }
}

fn section_id() -> egui::Id {
    egui::Id::unique("section that is carried")
}

/// Bars that are dragged go where they are let go.
fn carried(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, cells: &[Cell]) {
    let id = printed::carried_id();
    let Some((section, from, to)) = ui.data(|data| data.get_temp::<Option<(usize, u32, u32)>>(id)).flatten()
    else {
        return;
    };
    let (pointer, down) = ui.input(|input| (input.pointer.latest_pos(), input.pointer.any_down()));
    let own = |cell: &&Cell| writing.source(cell.section) == Some(cell.section);
    let under = pointer
        .and_then(|at| cells.iter().filter(own).find(|cell| cell.rect.contains(at)).map(|cell| (cell, at)));
    if let Some((cell, at)) = under {
        let front = at.x < cell.rect.center().x;
        let x = if front { cell.rect.left() } else { cell.rect.right() };
        ui.painter().vline(x, cell.rect.y_range(), Stroke::new(stage.px(3.0), stage.palette.ink));
        ui.set_cursor_icon(egui::CursorIcon::Grabbing);
        let into_bar = cell.bar + u32::from(!front);
        let moves = cell.section != section || into_bar < from || into_bar > to;
        if !down && moves {
            keys::change(stage, Change::MoveBars { section, from, to, into: cell.section, at: into_bar });
            let shift = if cell.section == section && into_bar > from { to - from } else { 0 };
            let first = into_bar - shift;
            let last = (to - from > 1).then_some(first + to - from - 1);
            let chosen = Chosen { last, ..Chosen::bar(cell.section, first) };
            stage.out.push(Command::Writing(WritingCommand::Choose(chosen)));
        }
    }
    if !down {
        ui.data_mut(|data| data.insert_temp(id, None::<(usize, u32, u32)>));
    }
}

/// A section that is dragged by its name goes in front of the one it is let go on, or behind when it comes from above.
fn carried_section(ui: &Ui, stage: &mut Stage<'_>, _writing: &Writing, shown: &[(usize, Rect)]) {
    let Some(section) = ui.data(|data| data.get_temp::<Option<usize>>(section_id())).flatten() else {
        return;
    };
    let (pointer, down) = ui.input(|input| (input.pointer.latest_pos(), input.pointer.any_down()));
    let under = pointer.and_then(|at| shown.iter().find(|(_, rect)| rect.y_range().contains(at.y)));
    if let Some((to, _)) = under.filter(|(to, _)| *to != section) {
        let whole = shown.iter().filter(|(other, _)| other == to).map(|(_, rect)| *rect);
        let whole = whole.reduce(|a, b| a.union(b)).unwrap_or(Rect::NOTHING);
        let y = if *to < section { whole.top() } else { whole.bottom() - stage.px(6.0) };
        ui.painter().hline(whole.x_range(), y, Stroke::new(stage.px(3.0), stage.palette.ink));
        if !down {
            keys::change(stage, Change::MoveSection { section, to: *to });
            stage.out.push(Command::Writing(WritingCommand::Choose(Place::Section(*to).into())));
        }
    }
    if !down {
        ui.data_mut(|data| data.insert_temp(section_id(), None::<usize>));
    }
}

/// Brings what was just chosen into view, and there is a cursor in it.
fn follow(ui: &Ui, stage: &Stage<'_>, _writing: &Writing, piece: &Piece, place: Rect) {
    let view = &stage.model.view.writing;
    let here = matches!(piece.kind, Kind::Row { open: true, .. } | Kind::Line(_) | Kind::Heading);
    if !here {
        return;
    }
    let id = egui::Id::unique("written place seen last");
    let state = format!("{:?}{:?}", view.chosen, view.line);
    if ui.data(|data| data.get_temp::<String>(id)).as_ref() != Some(&state) {
        ui.data_mut(|data| data.insert_temp(id, state));
        ui.scroll_to_rect(place, None);
    }
}

/// Below the last section one goes on writing.
fn begin_line(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing) {
    if stage.model.view.writing.line.is_some() {
        return;
    }
    let Some(section) = writing.song.sections.len().checked_sub(1) else { return };
    let at = pos2(rect.left() + stage.px(MARGIN + 4.0), rect.top() + stage.px(26.0));
    let word = Word::new("go on writing here", stage.px(15.0)).named("A new line at the end of the song");
    if word.show(ui, at, stage.palette).clicked() {
        line::begin(ui, stage, NewLine { section, row: usize::MAX });
    }
}

/// What is to be said, or a mistake that stands in no row.
fn told(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing) {
    let at = pos2(rect.left() + stage.px(18.0), rect.bottom() - stage.px(10.0));
    // That a song just begun has no sections yet is no mistake.
    let begun = !writing.song.sections.is_empty();
    let wrong = writing.elsewhere.iter().find(|diagnostic| begun && diagnostic.is_error());
    let said = writing.told.clone().or_else(|| Some(crate::reasons::capital(&wrong?.in_song())));
    let Some(said) = said else { return };
    let font = fonts::sans(stage.px(14.5));
    let shown = plain::elided(ui.painter(), &said, &font, rect.width() - stage.px(36.0));
    let drawn = plain::baseline(ui.painter(), at, &shown, font, stage.palette.ink);
    let response = ui.interact(drawn, ui.scope_id().with("what is said"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &said));
    response.on_hover_text(&said);
}
