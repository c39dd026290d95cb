//! Playing from memory with little help: the names of the sections, or nothing.

use crate::fonts;
use crate::pages::say;
use crate::stage::Stage;
use egui::{Rect, Ui, UiBuilder, vec2};
use practice::history::Help;

/// Draws what is left in place of the chart.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, help: Help) {
    stage.card(ui, rect);
    let inner = rect.shrink2(vec2(stage.px(40.0), stage.px(30.0)));
    ui.scope_builder(UiBuilder::new().max_rect(inner), |ui| {
        let Some(part) = stage.model.part.filter(|_| help == Help::Sections) else { return };
        let here = stage.model.session.position.bar;
        for (name, bars) in practice::learn::sections(part) {
            let color = if bars.contains(here) { stage.palette.ink } else { stage.palette.quiet };
            say(ui, &name, fonts::serif(stage.px(26.0)), color);
        }
    });
    let at = inner.left_bottom();
    let said = "From memory. A pass that is not clean brings some help back.";
    stage.text(ui, at, said, 15.0, stage.palette.quiet);
}
