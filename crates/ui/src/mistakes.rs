//! Mistakes of the song file: each with its place and what would be right, while the last good state stays.

use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, Model, Page, fonts};
use egui::{Label, Rect, RichText, ScrollArea, Ui, UiBuilder, pos2, vec2};
use song::Diagnostic;

/// The strip shows so many at most.
const SHOWN: usize = 2;

/// How many lines the strip needs: on the pages of the song, while the file has mistakes.
pub(crate) fn lines(model: &Model<'_>, page: Page) -> usize {
    let wrong = model.diagnostics.iter().any(Diagnostic::is_error);
    if wrong && matches!(page, Page::Song | Page::Results) { model.diagnostics.len().min(SHOWN) } else { 0 }
}

/// The first mistakes, in a strip over the chart.
pub(crate) fn strip(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    stage.card(ui, rect);
    let edge = Rect::from_min_size(rect.min, vec2(stage.px(4.0), rect.height()));
    ui.painter().rect_filled(edge, 0.0, stage.palette.ink);
    let all = stage.model.diagnostics;
    let more = if all.len() > SHOWN { format!("all {} of them", all.len()) } else { "in full".into() };
    let font = fonts::sans(stage.px(15.0));
    let room = rect.width() - stage.px(60.0) - plain::width(ui.painter(), &more, &font);
    let mut y = rect.top() + stage.px(24.0);
    for diagnostic in all.iter().take(SHOWN) {
        let text = told(diagnostic, stage.model.file);
        let text = plain::elided(ui.painter(), &text, &font, room);
        let top = pos2(rect.left() + stage.px(18.0), y - stage.px(15.0));
        let place = Rect::from_min_size(top, vec2(room, stage.px(20.0)));
        let label = Label::new(RichText::new(text).font(font.clone()).color(stage.palette.ink)).extend();
        ui.scope_builder(UiBuilder::new().max_rect(place), |ui| ui.add(label));
        y += stage.px(24.0);
    }
    let word = Word::new(&more, stage.px(15.0)).named("All mistakes of the song file");
    let at = pos2(
        rect.right() - stage.px(18.0) - plain::width(ui.painter(), &more, &font),
        rect.top() + stage.px(24.0),
    );
    stage.offering(ui, at, &word, Command::Show(Page::Mistakes));
}

/// All of them, on a page.
pub(crate) fn page(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ScrollArea::vertical().id_salt("mistakes").auto_shrink([false, false]).show(ui, |ui| {
            let file = RichText::new(stage.model.file).font(fonts::italic(stage.px(17.0)));
            ui.add(Label::new(file.color(stage.palette.quiet)));
            ui.add_space(stage.px(12.0));
            for diagnostic in stage.model.diagnostics {
                one(ui, stage, diagnostic);
            }
        });
    });
}

/// With its place in the song, for whoever writes here, and in the file, for whoever has it in an editor.
fn told(diagnostic: &Diagnostic, file: &str) -> String {
    let told = diagnostic.in_file(file).to_string();
    diagnostic.place.as_ref().map_or(told.clone(), |place| format!("{place}, {told}"))
}

fn one(ui: &mut Ui, stage: &Stage<'_>, diagnostic: &Diagnostic) {
    let palette = stage.palette;
    let kind = if diagnostic.is_error() { "" } else { ", worth a look" };
    let line = format!("line {}, column {}", diagnostic.line, diagnostic.column);
    let place = match &diagnostic.place {
        Some(place) => format!("{place}{kind} ({line} of the file)"),
        None => format!("{line} of the file{kind}"),
    };
    ui.add(Label::new(RichText::new(place).font(fonts::sans(stage.px(14.0))).color(palette.quiet)));
    let message = crate::reasons::capital(&diagnostic.message);
    ui.add(Label::new(RichText::new(message).font(fonts::sans(stage.px(17.0))).color(palette.ink)).wrap());
    if let Some(hint) = &diagnostic.hint {
        let hint = crate::reasons::capital(hint);
        ui.add(Label::new(RichText::new(hint).font(fonts::italic(stage.px(17.0))).color(palette.ink)).wrap());
    }
    ui.add_space(stage.px(16.0));
}
