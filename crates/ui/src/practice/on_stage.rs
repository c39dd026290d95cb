//! The chart alone, as large as the window allows, for the stage.

use super::PracticeCommand;
use crate::keys::Ask;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, chart, fonts};
use egui::{Rect, Ui, pos2};

/// Units.
const EDGE: f32 = 14.0;
const LINE: f32 = 30.0;

/// Draws it over the whole window: a line with the title and the next song, and the chart.
pub(crate) fn show(ui: &mut Ui, window: Rect, stage: &mut Stage<'_>) {
    let inner = window.shrink(stage.px(EDGE));
    heading(ui, inner, stage);
    let page = Rect::from_min_max(pos2(inner.left(), inner.top() + stage.px(LINE)), inner.max);
    let own = stage.unit;
    stage.unit = chart::largest(ui, page, stage);
    chart::show(ui, page, stage);
    stage.unit = own;
}

fn heading(ui: &mut Ui, inner: Rect, stage: &mut Stage<'_>) {
    let y = inner.top() + stage.px(18.0);
    let (small, quiet) = (fonts::sans(stage.px(15.0)), stage.palette.quiet);
    let back = Word::new("back", stage.px(15.0)).asks(Ask::Back);
    let mut right = inner.right() - stage.px(6.0) - plain::width(ui.painter(), "back", &small);
    stage.asking(ui, pos2(right, y), &back, Ask::Back);
    if let Some(next) = next(stage) {
        let room = 0.45 * inner.width();
        let text = plain::elided(ui.painter(), &format!("next: {next}"), &small, room);
        right -= stage.px(26.0) + plain::width(ui.painter(), &text, &small);
        let name = format!("Next song: {next} (Enter)");
        let word = Word::new(&text, stage.px(15.0)).named(&name);
        stage.offering(ui, pos2(right, y), &word, Command::Practice(PracticeCommand::SetSong(1)));
    }
    let Some(part) = stage.model.part else { return };
    let left = inner.left() + stage.px(8.0);
    let title_font = fonts::serif(stage.px(18.0));
    let title = plain::elided(
        ui.painter(),
        &part.title,
        &title_font,
        right - stage.px(140.0).min(0.4 * right) - left,
    );
    let title = plain::baseline(ui.painter(), pos2(left, y), &title, title_font, stage.palette.ink);
    let key = format!("in {}", part.key.pretty());
    plain::baseline(ui.painter(), pos2(title.right() + stage.px(14.0), y), &key, small, quiet);
}

/// The song after this one in the set.
fn next(stage: &Stage<'_>) -> Option<String> {
    stage.model.practice.set.as_ref()?.next().map(|song| song.name.clone())
}
