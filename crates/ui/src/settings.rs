//! Settings, on pages that open on demand.

use crate::keys::{Ask, written};
use crate::menus::entry;
use crate::pages::{frame, heading, say};
use crate::plain::Word;
use crate::stage::Stage;
use crate::{Command, Tab, fonts, plain, settings_devices, settings_part, settings_playing, settings_screen};
use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

/// A column of a page of settings.
pub(crate) type Column = fn(&mut Ui, &mut Stage<'_>);

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Settings");
    tabs(ui, rect, stage);
    let columns: &[Column] = match stage.model.view.tab {
        Tab::Playing => &settings_playing::COLUMNS,
        Tab::Part => &settings_part::COLUMNS,
        Tab::Devices => &settings_devices::COLUMNS,
        Tab::Screen => &settings_screen::COLUMNS,
    };
    let wide = (body.width() - stage.px(60.0)) / 3.0;
    for (index, column) in columns.iter().enumerate() {
        let left = body.left() + index as f32 * (wide + stage.px(30.0));
        let place = Rect::from_min_size(pos2(left, body.top()), vec2(wide, body.height()));
        ui.scope_builder(UiBuilder::new().max_rect(place), |ui| {
            ui.spacing_mut().item_spacing.y = stage.px(1.0);
            let id = ("settings", stage.model.view.tab, index);
            ScrollArea::vertical().id_salt(id).auto_shrink([false, false]).show(ui, |ui| column(ui, stage));
        });
    }
}

/// The pages of the settings, beside the title.
fn tabs(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let mut at = pos2(rect.left() + stage.px(240.0), rect.top() + stage.px(50.0));
    for (text, tab) in [
        ("playing", Tab::Playing),
        ("the part", Tab::Part),
        ("sound and keyboard", Tab::Devices),
        ("screen", Tab::Screen),
    ] {
        let name = format!("Settings: {text}");
        let chosen = stage.model.view.tab == tab;
        let word = Word::new(text, stage.px(18.0)).named(&name).chosen(chosen);
        at.x = stage.offering(ui, at, &word, Command::Tab(tab)).rect.right() + stage.px(26.0);
    }
}

/// One of several, of which one is chosen.
pub(crate) fn choose(ui: &mut Ui, stage: &mut Stage<'_>, text: &str, chosen: bool, command: Command) {
    if entry(ui, stage, text, None, Some(chosen)).clicked() {
        stage.out.push(command);
    }
}

/// One of several under a heading, by whose name it is told apart from words like it.
pub(crate) fn choose_of(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    of: &str,
    text: &str,
    chosen: bool,
    command: Command,
) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
    let at = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(20.0));
    let name = format!("{of}: {text}");
    let size = stage.px(16.0);
    let shown = plain::elided(ui.painter(), text, &fonts::sans(size), rect.width() - stage.px(16.0));
    let word = Word::new(&shown, size).named(&name).chosen(chosen);
    stage.offering(ui, at, &word, command);
}

/// On or off.
pub(crate) fn toggle(ui: &mut Ui, stage: &mut Stage<'_>, text: &str, ask: Ask, on: bool, command: Command) {
    if entry(ui, stage, text, Some(ask), Some(on)).clicked() {
        stage.out.push(command);
    }
}

/// A heading over a choice that a key also walks through: the key stands at the end of the line.
pub(crate) fn heading_with_key(ui: &mut Ui, stage: &Stage<'_>, text: &str, asks: &[Ask]) {
    heading(ui, stage, text);
    let line = ui.min_rect();
    let end = pos2(
        line.left() + ui.available_width().min(stage.px(230.0)) - stage.px(8.0),
        line.bottom() - stage.px(7.0),
    );
    let key = asks.iter().map(|ask| written(*ask)).collect::<Vec<_>>().join(" ");
    plain::baseline_right(ui.painter(), end, &key, fonts::sans(stage.px(13.5)), stage.palette.quiet);
}

/// Quiet words under a choice.
pub(crate) fn remark(ui: &mut Ui, stage: &Stage<'_>, text: &str) {
    say(ui, text, fonts::sans(stage.px(14.0)), stage.palette.quiet);
}
