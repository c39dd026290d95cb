//! A new song: from a pattern of common forms, or as a copy of the one that is open.

use super::WritingCommand;
use crate::keys::{Ask, written};
use crate::menus::keyed;
use crate::page_keys::{COPY, FORM_KEYS};
use crate::pages::{frame, heading, say};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Rect, ScrollArea, Ui, UiBuilder};
use song::forms::FORMS;

/// Up to the keys, in units.
const WIDE: f32 = 560.0;

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "A new song");
    ui.scope_builder(UiBuilder::new().max_rect(body), |ui| {
        ScrollArea::vertical().id_salt("new song").auto_shrink([false, false]).show(ui, |ui| {
            let wide = stage.px(WIDE);
            heading(ui, stage, "Begin with");
            for (number, form) in FORMS.iter().enumerate() {
                let text = format!("{}: {}", form.name, form.says);
                let key = FORM_KEYS.get(number).map_or("", |(_, key)| key);
                let form = keyed(ui, stage, (&text, key), None, wide);
                // So that the arrows choose among the forms, and Enter takes one.
                if number == 0 && ui.memory(|memory| memory.focused().is_none()) {
                    form.request_focus();
                }
                if form.clicked() {
                    stage.out.push(Command::Writing(WritingCommand::New(number)));
                }
            }
            heading(ui, stage, "Or");
            if keyed(ui, stage, ("a copy of the song that is open", COPY), None, wide).clicked() {
                stage.out.push(Command::Writing(WritingCommand::Duplicate));
            }
            if keyed(ui, stage, ("a song or a chart from a file", &written(Ask::OpenFile)), None, wide).clicked() {
                stage.out.push(Command::OpenFile);
            }
            ui.add_space(stage.px(10.0));
            let words = "A chart from an e-mail: begin with Empty and paste it (Ctrl+V). Letters become numbers in the key \
                         that you choose.";
            say(ui, words, fonts::sans(stage.px(14.5)), stage.palette.quiet);
        });
    });
}
