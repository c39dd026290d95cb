//! The sections in playing order, in one line: chosen by a click, moved by a drag, typed over as names.

use super::text_line::{TextLine, type_in};
use super::{Writing, WritingCommand, heading, keys};
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Id, Key, Modifiers, Rect, Sense, Stroke, Ui, pos2};
use song::edit::{Change, Place};

fn id() -> Id {
    Id::unique("typed order")
}

/// Opens the order to be typed over.
pub(crate) fn open(ui: &Ui, writing: &Writing) {
    ui.data_mut(|data| data.insert_temp(id(), text_of(writing)));
    type_in(ui, id(), usize::MAX);
}

/// Draws the line.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing) {
    match ui.data(|data| data.get_temp::<String>(id())) {
        Some(text) => typed(ui, rect, stage, writing, text),
        None => words(ui, rect, stage, writing),
    }
}

fn typed(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing, mut text: String) {
    let leaves = keys::pressed(ui, Modifiers::NONE, Key::Enter);
    let line = TextLine {
        id: id(),
        name: "Order of the sections",
        hint: "Intro, Verse, Chorus x2",
        size: 17.0,
        marks: &[],
        takes_tab: false,
    };
    let out = line.show(ui, rect.shrink2(egui::vec2(stage.px(14.0), stage.px(3.0))), stage, &mut text);
    if out.changed {
        ui.data_mut(|data| data.insert_temp(id(), text.clone()));
    }
    if leaves || out.response.lost_focus() {
        ui.data_mut(|data| data.remove::<String>(id()));
        match read(writing, &text) {
            Ok(order) if order != writing.song.playing_order() => {
                let as_written = order.iter().copied().eq(0..writing.song.sections.len());
                keys::change(stage, Change::Order((!as_written).then_some(order)));
            }
            Ok(_) => {}
            Err(name) => stage.out.push(Command::Writing(WritingCommand::Tell(format!(
                "There is no section {name}; the order is as it was."
            )))),
        }
    }
}

fn words(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing) {
    let font = fonts::italic(stage.px(15.0));
    let order = writing.song.playing_order();
    let mut at = pos2(rect.left() + stage.px(18.0), rect.top() + stage.px(25.0));
    let right = rect.right() - stage.px(90.0);
    let mut places: Vec<Rect> = Vec::new();
    let here = stage.model.view.writing.chosen.section();
    let mut dragged = None;
    for (place, section) in order.iter().enumerate() {
        let name = &writing.song.sections[*section].name;
        let wide = plain::width(ui.painter(), name, &font);
        if at.x + wide > right {
            plain::baseline(ui.painter(), at, "…", font.clone(), stage.palette.quiet);
            break;
        }
        let said = format!("Place {} of the order, {name}", place + 1);
        let mut word = Word::new(name, stage.px(15.0)).font(font.clone()).named(&said);
        if here == Some(*section) {
            word = word.chosen(true);
        }
        let response = word.show(ui, at, stage.palette).interact(Sense::click_and_drag());
        if response.clicked() {
            let chosen = Place::Section(*section).into();
            stage.out.push(Command::Writing(WritingCommand::Choose(chosen)));
            type_in(ui, heading::id(*section), usize::MAX);
        }
        if response.dragged() || response.drag_stopped() {
            dragged = Some((place, response.drag_stopped()));
        }
        places.push(response.rect);
        at.x += wide + stage.px(16.0);
    }
    if let Some((from, done)) = dragged {
        carry(ui, stage, &order, &places, from, done);
    }
    let text = "order";
    let x = rect.right() - stage.px(20.0) - plain::width(ui.painter(), text, &fonts::sans(stage.px(15.0)));
    let word = Word::new(text, stage.px(15.0)).named("Type the order (Ctrl+Shift+P)");
    if word.show(ui, pos2(x, at.y), stage.palette).clicked() {
        open(ui, writing);
    }
}

/// A place of the order follows the mouse and goes where it is let go.
fn carry(ui: &Ui, stage: &mut Stage<'_>, order: &[usize], places: &[Rect], from: usize, done: bool) {
    let Some(pointer) = ui.ctx().pointer_latest_pos() else { return };
    let to = places.iter().filter(|place| place.center().x < pointer.x).count();
    let x = places.get(to).map_or_else(|| places[places.len() - 1].right(), |place| place.left());
    let y = places[0].y_range();
    ui.painter().vline(x, y, Stroke::new(stage.px(3.0), stage.palette.ink));
    if done && to != from && to != from + 1 {
        let mut order = order.to_vec();
        let section = order.remove(from);
        order.insert(if to > from { to - 1 } else { to }, section);
        keys::change(stage, Change::Order(Some(order)));
    }
}

fn text_of(writing: &Writing) -> String {
    let names = writing.song.playing_order().into_iter().map(|at| writing.song.sections[at].name.as_str());
    names.collect::<Vec<_>>().join(", ")
}

/// Names, or beginnings of names that only one section has; `x2` for twice. What is no section is the error.
pub(crate) fn read(writing: &Writing, text: &str) -> Result<Vec<usize>, String> {
    let mut order = Vec::new();
    for part in text.split(',').map(str::trim).filter(|part| !part.is_empty()) {
        let heading = song::typing::heading(part).ok_or_else(|| part.to_owned())?;
        let section = named(writing, &heading.name).ok_or(heading.name)?;
        order.extend(std::iter::repeat_n(section, heading.passes.unwrap_or(1) as usize));
    }
    if order.is_empty() { Ok((0..writing.song.sections.len()).collect()) } else { Ok(order) }
}

fn named(writing: &Writing, name: &str) -> Option<usize> {
    let lower = name.to_lowercase();
    let names = || writing.song.sections.iter().map(|section| section.name.to_lowercase()).enumerate();
    let mut begins = names().filter(|(_, name)| name.starts_with(&lower)).map(|(at, _)| at);
    names().find(|(_, name)| *name == lower).map(|(at, _)| at).or_else(|| {
        let first = begins.next()?;
        begins.next().is_none().then_some(first)
    })
}
