//! Pages that open on demand: mistakes, the first start; and what all of them are made of.

use crate::keys::Ask;
use crate::menus::entry;
use crate::plain::Word;
use crate::stage::Stage;
use crate::{Command, Page, fonts, mistakes, plain};
use egui::{Label, Rect, RichText, Ui, UiBuilder, pos2, vec2};

/// A page's frame: a title, the way back, and the room for the rest.
pub(crate) fn frame(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, title: &str) -> Rect {
    stage.card(ui, rect);
    let inner = rect.shrink2(vec2(stage.px(40.0), stage.px(20.0)));
    let y = inner.top() + stage.px(30.0);
    plain::baseline(
        ui.painter(),
        pos2(inner.left(), y),
        title,
        fonts::serif(stage.px(28.0)),
        stage.palette.ink,
    );
    let text = "back to the song";
    let font = fonts::sans(stage.px(16.0));
    let x = inner.right() - plain::width(ui.painter(), text, &font);
    let word = Word::new(text, stage.px(16.0)).asks(Ask::Back);
    stage.asking(ui, pos2(x, y), &word, Ask::Back);
    Rect::from_min_max(pos2(inner.left(), y + stage.px(30.0)), inner.max)
}

/// Text in a page.
pub(crate) fn say(ui: &mut Ui, text: &str, font: egui::FontId, color: egui::Color32) {
    ui.add(Label::new(RichText::new(text).font(font).color(color)).wrap());
}

/// A small heading in a page.
pub(crate) fn heading(ui: &mut Ui, stage: &Stage<'_>, text: &str) {
    ui.add_space(stage.px(10.0));
    say(ui, text, fonts::italic(stage.px(17.0)), stage.palette.quiet);
    ui.add_space(stage.px(2.0));
}

/// All mistakes of the file.
pub(crate) fn all_mistakes(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "What is wrong in the song file");
    mistakes::page(ui, body, stage);
}

/// The first start: playing within a minute.
pub(crate) fn first_start(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    stage.card(ui, rect);
    let wide = rect.width().min(stage.px(720.0));
    let high = (rect.height() - stage.px(24.0)).min(stage.px(470.0));
    let column = Rect::from_center_size(rect.center(), vec2(wide, high));
    let palette = stage.palette;
    let small = fonts::sans(stage.px(17.0));
    ui.scope_builder(UiBuilder::new().max_rect(column), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(9.0);
        say(ui, "Two bars, right hand, slowly", fonts::serif(stage.px(34.0)), palette.ink);
        ui.add_space(stage.px(6.0));
        for (number, text) in FIRST_STEPS.iter().enumerate() {
            step(ui, stage, number + 1, text);
        }
        ui.add_space(stage.px(10.0));
        begin(ui, stage);
        ui.add_space(stage.px(16.0));
        say(ui, &keyboard_words(stage), small.clone(), palette.quiet);
        ui.add_space(stage.px(8.0));
        for (text, ask, page) in
            [("another song", Ask::Songs, Page::Songs), ("scales and chords", Ask::Room, Page::Room)]
        {
            if entry(ui, stage, text, Some(ask), None).clicked() {
                stage.out.push(Command::Show(page));
            }
        }
    });
}

const FIRST_STEPS: [&str; 3] = [
    "The keys to strike are marked on the keyboard: round marks for the right hand, with the finger on them.",
    "Strike them. The song waits for you; a wrong key gets a cross and does no harm.",
    "The program plays the left hand for you. When the two bars go well, choose Play along, or both hands.",
];

fn step(ui: &mut Ui, stage: &Stage<'_>, number: usize, text: &str) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = stage.px(12.0);
        say(ui, &number.to_string(), fonts::serif(stage.px(24.0)), stage.palette.ink);
        say(ui, text, fonts::sans(stage.px(18.0)), stage.palette.ink);
    });
}

fn begin(ui: &mut Ui, stage: &mut Stage<'_>) {
    let (_, rect) = ui.allocate_space(vec2(stage.px(160.0), stage.px(48.0)));
    let at = pos2(rect.left() + stage.px(2.0), rect.top() + stage.px(32.0));
    let word = Word::new("Begin", stage.px(26.0)).font(fonts::serif(stage.px(26.0)));
    let word = word.chosen(true).asks(Ask::StartStop);
    stage.offering(ui, at, &word, Command::Begin);
    stage.text(ui, pos2(rect.left() + stage.px(110.0), at.y), "Space", 15.0, stage.palette.quiet);
}

fn keyboard_words(stage: &Stage<'_>) -> String {
    match &stage.model.devices.midi_port {
        Some(port) => format!("Listening to {port}. You can also click on the keys on the screen."),
        None => "No MIDI keyboard yet: plug one in at any time. Until then click on the keys on the screen, or press \
                 F2 and play on the letters."
            .into(),
    }
}
