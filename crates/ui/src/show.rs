//! One frame of the window.

use crate::{Command, Model, Theme, fonts, keys, theme};

/// Sets the typefaces and the look of egui's own widgets. Call it once, before the first frame.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts::fonts());
    for (dark, of) in [(egui::Theme::Light, Theme::Day), (egui::Theme::Dark, Theme::Night)] {
        ctx.set_visuals_of(dark, theme::visuals(of));
    }
}

/// Draws a frame and returns what the player asked for in it, in order.
pub fn show(ui: &mut egui::Ui, model: &Model<'_>) -> Vec<Command> {
    let mut commands = Vec::new();
    keys::handle(ui, model, &mut commands);
    commands
}
