//! Earlier versions of the song: when, what was changed, one to look at, and the way back.

use crate::page_keys::BRING_BACK;
use crate::pages::{frame, say};
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, FilesCommand, VersionEntry, VersionRow, fonts};
use egui::{Label, Rect, RichText, ScrollArea, Stroke, Ui, UiBuilder, pos2, vec2};

/// The list's share of the page.
const LIST: f32 = 0.52;

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "How the song was");
    let middle = body.left() + LIST * body.width();
    let list = Rect::from_min_max(body.min, pos2(middle - stage.px(24.0), body.bottom()));
    let page = Rect::from_min_max(pos2(middle, body.top()), body.max);
    ui.scope_builder(UiBuilder::new().max_rect(list), |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        ScrollArea::vertical().id_salt("versions").auto_shrink([false, false]).show(ui, |ui| all(ui, stage));
    });
    if let Some((at, rows)) = &stage.model.files.looked_at {
        ui.painter().vline(middle - stage.px(12.0), body.y_range(), Stroke::new(1.0, stage.palette.rule));
        ui.scope_builder(UiBuilder::new().max_rect(page), |ui| one(ui, stage, *at, rows));
    }
}

fn all(ui: &mut Ui, stage: &mut Stage<'_>) {
    let Some(versions) = &stage.model.files.versions else { return };
    let quiet = fonts::sans(stage.px(14.5));
    if versions.is_empty() {
        let text = "The song is as it was found. From the first change on, every few minutes of work are a version here.";
        return say(ui, text, fonts::sans(stage.px(17.0)), stage.palette.ink);
    }
    for (index, version) in versions.iter().enumerate() {
        let (_, line) = ui.allocate_space(vec2(ui.available_width(), stage.px(34.0)));
        if ui.is_rect_visible(line) {
            ui.push_id(index, |ui| entry(ui, line, stage, index, version));
        }
    }
    ui.add_space(stage.px(14.0));
    let text = "↑ ↓ look at one after the other. What is saved within two minutes is one version. Older ones grow fewer; \
                the song as it was found stays.";
    say(ui, text, quiet, stage.palette.quiet);
}

fn entry(ui: &mut Ui, line: Rect, stage: &mut Stage<'_>, index: usize, version: &VersionEntry) {
    let at = pos2(line.left() + stage.px(8.0), line.top() + stage.px(23.0));
    let looked_at = stage.model.files.looked_at.as_ref().is_some_and(|(at, _)| *at == index);
    let now = if version.now { ", as it is now" } else { "" };
    let name = format!("Look at the version of {}: {}{now}", version.when, version.what);
    let word = Word::new(&version.when, stage.px(16.0)).named(&name).strong();
    let word = if looked_at { word.chosen(true) } else { word };
    let command = Command::Files(FilesCommand::Look((!looked_at).then_some(index)));
    let end = stage.offering(ui, at, &word, command).rect.right();
    let x = (end + stage.px(14.0)).max(line.left() + stage.px(192.0));
    let text = if version.now { format!("as it is now: {}", version.what) } else { version.what.clone() };
    let font = fonts::sans(stage.px(15.0));
    let text = plain::elided(ui.painter(), &text, &font, line.right() - x);
    plain::baseline(ui.painter(), pos2(x, at.y), &text, font, stage.palette.quiet);
}

fn one(ui: &mut Ui, stage: &mut Stage<'_>, at: usize, rows: &[VersionRow]) {
    let versions = stage.model.files.versions.as_deref().unwrap_or_default();
    let Some(version) = versions.get(at) else { return };
    let (_, head) = ui.allocate_space(vec2(ui.available_width(), stage.px(34.0)));
    let place = pos2(head.left() + stage.px(8.0), head.top() + stage.px(23.0));
    if version.now {
        stage.text(ui, place, "the song as it is now", 16.0, stage.palette.quiet);
    } else {
        let name =
            format!("Bring back the version of {} ({BRING_BACK}); undo takes it back (Ctrl+Z)", version.when);
        let word = Word::new("bring it back", stage.px(17.0)).named(&name).strong();
        let quiet = stage.palette.quiet;
        let end = stage.offering(ui, place, &word, Command::Files(FilesCommand::BringBack(at))).rect.right();
        let end = stage.text(ui, pos2(end, place.y), BRING_BACK, 13.5, quiet).right();
        let at = pos2(end + stage.px(26.0), place.y);
        stage.text(ui, at, "a line beside it: not so any more", 14.5, quiet);
    }
    ScrollArea::vertical().id_salt("version").auto_shrink([false, false]).show(ui, |ui| {
        rows.iter().for_each(|row| line(ui, stage, row));
    });
}

fn line(ui: &mut Ui, stage: &Stage<'_>, row: &VersionRow) {
    let (font, gap) = if row.heading {
        (fonts::serif(stage.px(18.0)), stage.px(10.0))
    } else {
        (fonts::sans(stage.px(16.0)), 0.0)
    };
    ui.add_space(gap);
    let color = if row.differs || row.heading { stage.palette.ink } else { stage.palette.quiet };
    let response = ui
        .horizontal(|ui| {
            ui.add_space(stage.px(14.0));
            ui.add(Label::new(RichText::new(&row.text).font(font).color(color)).wrap())
        })
        .inner;
    if row.differs {
        let x = response.rect.left() - stage.px(8.0);
        ui.painter().vline(x, response.rect.y_range(), Stroke::new(stage.px(3.0), stage.palette.ink));
    }
}
