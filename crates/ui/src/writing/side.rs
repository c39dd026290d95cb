//! What is set on the chosen place, beside the chart: opened by topic, nothing shown until it is asked for.

mod cell;
pub(crate) mod field;
mod goals;
mod grid;
mod hands;
mod head;
mod holds;
pub(crate) mod keys;
mod line;
mod notes;
mod passes;
mod settings;
mod state;
mod taps;

pub use cell::Pen;
pub(crate) use settings::key_named;
pub use state::{Scope, Side, SideCommand, Topic};
pub use taps::Taps;

use super::Writing;
use super::text_line::type_in;
use crate::stage::Stage;
use crate::whole_lines;
use egui::{Rect, ScrollArea, Ui, UiBuilder, vec2};
use song::edit::Place;

/// Draws the column.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let Some(writing) = stage.model.writing else { return };
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(3.0));
        head::show(ui, stage, writing);
        let open = stage.model.view.writing.side.topic;
        if keys::opened(ui, open) {
            back_to_the_row(ui, stage, writing);
        }
        let Some(topic) = open else {
            let list = |ui: &mut Ui, stage: &mut Stage<'_>| super::keys::list(ui, stage);
            return whole_lines::column(ui, stage, "keys of writing", list);
        };
        ui.add_space(stage.px(4.0));
        ScrollArea::vertical().id_salt(("side", topic)).auto_shrink([false, false]).show(ui, |ui| {
            // Clear of the scroll bar.
            ui.set_max_width(ui.available_width() - stage.px(10.0));
            match topic {
                Topic::Settings => settings::show(ui, stage, writing),
                Topic::Passes => passes::show(ui, stage, writing),
                Topic::Hands => hands::show(ui, stage, writing),
                Topic::Notes => notes::show(ui, stage, writing),
                Topic::Goals => goals::show(ui, stage, writing),
            }
        });
    });
}

/// Where a topic is closed, one goes on typing where one was.
fn back_to_the_row(ui: &Ui, stage: &Stage<'_>, writing: &Writing) {
    let view = &stage.model.view.writing;
    match view.chosen.place {
        _ if view.line.is_some() => type_in(ui, super::line::id(), usize::MAX),
        Place::Section(section) => type_in(ui, super::heading::id(section), usize::MAX),
        _ => super::row::open(ui, writing, view.chosen),
    }
}
