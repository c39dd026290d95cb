//! One frame of the window.

use crate::stage::Stage;
use crate::{
    Command, Model, Page, Theme, bar_in_hand, chart, controls, keyboard, keys, layout, mistakes, reasons,
    theme,
};
use egui::Ui;

/// Sets the typefaces and the look of egui's own widgets. Call it once, before the first frame.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(crate::fonts());
    for (dark, of) in [(egui::Theme::Light, Theme::Day), (egui::Theme::Dark, Theme::Night)] {
        ctx.set_visuals_of(dark, theme::visuals(of));
    }
}

/// Draws a frame over the whole of `ui` and returns what the player asked for in it, in order.
pub fn show(ui: &mut Ui, model: &Model<'_>) -> Vec<Command> {
    let window = ui.max_rect();
    let mut stage = Stage::new(*model, window.size());
    style(ui, &stage);
    ui.painter().rect_filled(window, 0.0, stage.palette.ground);
    let mut asked = Vec::new();
    keys::handle(ui, model, &mut asked);
    stage.out = asked;
    match model.view.page {
        Page::Song => song(ui, &mut stage),
        _ => song(ui, &mut stage),
    }
    stage.out
}

/// egui's own widgets in the colours and sizes of this window.
fn style(ui: &mut Ui, stage: &Stage<'_>) {
    let visuals = theme::visuals(stage.model.view.theme);
    let style = ui.style_mut();
    style.visuals = visuals;
    style.override_font_id = Some(crate::fonts::sans(16.0 * stage.unit));
    style.spacing.slider_width = stage.px(200.0);
    style.spacing.scroll = egui::style::ScrollStyle::thin();
}

fn song(ui: &mut Ui, stage: &mut Stage<'_>) {
    let lines = mistakes::lines(stage.model.diagnostics.len());
    let page = layout::song_page(ui.max_rect(), stage.unit, lines);
    controls::show(ui, page.controls, stage);
    if let Some(strip) = page.strip {
        mistakes::strip(ui, strip, stage);
    }
    chart::show(ui, page.chart, stage);
    reasons::show(ui, page.reasons, stage);
    bar_in_hand::show(ui, page.bar, stage);
    keyboard::show(ui, page.keyboard, stage);
}
