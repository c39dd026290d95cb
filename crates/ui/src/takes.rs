//! Takes that are kept: seen, heard again, kept or deleted.

use crate::menus::keyed;
use crate::page_keys::{COPY, OTHER_TAKE};
use crate::pages::{frame, heading, say};
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, FilesCommand, TakeDeed, TakeEntry, fonts};
use egui::{Pos2, Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

/// Units.
const LINE: f32 = 34.0;
const RESULT: f32 = 676.0;
const DEEDS: f32 = 836.0;
/// Where what can be done with a take stands, from there on.
const HEAR_WITH: f32 = 55.0;
const KEEP: f32 = 175.0;
const DELETE: f32 = 233.0;
/// Up to the keys of the lines under the takes.
const WIDE: f32 = 400.0;

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Takes");
    let foot = stage.px(60.0);
    let list = Rect::from_min_max(body.min, body.max - vec2(0.0, foot));
    ui.scope_builder(UiBuilder::new().max_rect(list), |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        ScrollArea::vertical().id_salt("takes").auto_shrink([false, false]).show(ui, |ui| {
            all(ui, stage);
        });
    });
    let foot = Rect::from_min_max(pos2(body.left(), body.bottom() - foot), body.max);
    ui.scope_builder(UiBuilder::new().max_rect(foot), |ui| {
        if keyed(ui, stage, ("open a take recorded elsewhere", OTHER_TAKE), None, stage.px(WIDE)).clicked() {
            stage.out.push(Command::OpenTakeFile);
        }
        if keyed(ui, stage, ("copy the song and its takes into a folder", COPY), None, stage.px(WIDE))
            .clicked()
        {
            stage.out.push(Command::Files(FilesCommand::CopyWithTakes));
        }
    });
}

fn all(ui: &mut Ui, stage: &mut Stage<'_>) {
    let takes = stage.model.takes;
    if takes.is_empty() {
        let text = "Every time you play along, what you played is kept here with how it went. Nothing was played along yet.";
        return say(ui, text, fonts::sans(stage.px(17.0)), stage.palette.ink);
    }
    let mut song = None;
    for (index, take) in takes.iter().enumerate() {
        if song.replace(&take.song) != Some(&take.song) {
            heading(ui, stage, &take.song);
        }
        // What is scrolled out of sight takes its room and nothing else.
        let (_, line) = ui.allocate_space(vec2(ui.available_width(), stage.px(LINE)));
        if ui.is_rect_visible(line) {
            // Two takes may be told in the same words.
            ui.push_id(index, |ui| one(ui, line, stage, index, take));
        }
    }
    ui.add_space(stage.px(14.0));
    let text = "The newest 200 are kept, and as many more as you say.";
    say(ui, text, fonts::sans(stage.px(14.0)), stage.palette.quiet);
}

fn one(ui: &mut Ui, line: Rect, stage: &mut Stage<'_>, index: usize, take: &TakeEntry) {
    let y = line.top() + stage.px(23.0);
    let size = stage.px(16.0);
    let about = format!("{} of {}, {}", take.when, take.song, take.result);
    let name = format!("Show how the take of {about} went");
    let word = Word::new(&take.when, size).named(&name).strong();
    let word = if take.open { word.chosen(true) } else { word };
    let at = pos2(line.left() + stage.px(8.0), y);
    let end = stage.offering(ui, at, &word, Command::Take(index, TakeDeed::Open)).rect.right();
    let x = (end + stage.px(14.0)).max(line.left() + stage.px(190.0));
    let font = fonts::sans(stage.px(15.0));
    let room = line.left() + stage.px(RESULT - 14.0) - x;
    let how = plain::elided(ui.painter(), &take.how, &font, room);
    plain::baseline(ui.painter(), pos2(x, y), &how, font.clone(), stage.palette.quiet);
    let at = pos2(line.left() + stage.px(RESULT), y);
    plain::baseline(ui.painter(), at, &take.result, font, stage.palette.ink);
    deeds(ui, line, stage, index, take, &about);
}

fn deeds(ui: &mut Ui, line: Rect, stage: &mut Stage<'_>, index: usize, take: &TakeEntry, about: &str) {
    let unit = stage.unit;
    let at = |x: f32| pos2(line.left() + unit * (DEEDS + x), line.top() + unit * 23.0);
    let hear = if take.heard { ("stop", Command::StopReplay) } else { ("hear", deed(index, TakeDeed::Hear)) };
    offer(ui, at(0.0), stage, hear.0, about, Some(hear.1));
    let command = deed(index, TakeDeed::HearWithPart);
    offer(ui, at(HEAR_WITH), stage, "with the part", about, Some(command));
    let (text, command) = if take.kept {
        ("kept", deed(index, TakeDeed::LetGo))
    } else {
        ("keep", deed(index, TakeDeed::Keep))
    };
    offer(ui, at(KEEP), stage, text, about, Some(command));
    // Deleting asks once more, in the same place.
    let id = ui.scope_id().with("take to delete");
    let asked = ui.data(|d| d.get_temp::<String>(id)).is_some_and(|asked| asked == about);
    if asked {
        if offer(ui, at(DELETE), stage, "delete it", about, Some(deed(index, TakeDeed::Delete))) {
            ui.data_mut(|d| d.remove::<String>(id));
        }
    } else if offer(ui, at(DELETE), stage, "delete", about, None) {
        ui.data_mut(|d| d.insert_temp(id, about.to_owned()));
    }
}

fn deed(index: usize, deed: TakeDeed) -> Command {
    Command::Take(index, deed)
}

/// A word at a place; says whether it was clicked.
fn offer(
    ui: &mut Ui,
    at: Pos2,
    stage: &mut Stage<'_>,
    text: &str,
    about: &str,
    command: Option<Command>,
) -> bool {
    let name = format!("{}: the take of {about}", crate::reasons::capital(text));
    let word = Word::new(text, stage.px(15.5)).named(&name);
    let word = if text == "kept" { word.chosen(true) } else { word };
    let response = word.show(ui, at, stage.palette);
    if response.clicked() {
        stage.out.extend(command);
    }
    response.clicked()
}
