//! The songs there are to open: opened before, put aside, and those that come with the program.

use crate::keys::Ask;
use crate::menus::entry;
use crate::pages::{frame, heading, say};
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, FilesCommand, SongEntry, SongKind, fonts};
use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Songs");
    ui.scope_builder(UiBuilder::new().max_rect(body), |ui| {
        ScrollArea::vertical().id_salt("songs").auto_shrink([false, false]).show(ui, |ui| {
            for (kind, title) in [
                (SongKind::Recent, "Opened before"),
                (SongKind::Aside, "Put aside"),
                (SongKind::Demo, "Demo songs, all invented"),
            ] {
                let songs = stage.model.songs;
                if songs.iter().any(|song| song.kind == kind) {
                    heading(ui, stage, title);
                }
                for (index, song) in songs.iter().enumerate().filter(|(_, s)| s.kind == kind) {
                    // Two files may have one title.
                    ui.push_id(index, |ui| line(ui, stage, index, song));
                }
            }
            heading(ui, stage, "Another one");
            if entry(ui, stage, "a new song", Some(Ask::NewSong), None).clicked() {
                stage.out.push(Command::Show(crate::Page::NewSong));
            }
            if entry(ui, stage, "open a song file", Some(Ask::OpenFile), None).clicked() {
                stage.out.push(Command::OpenFile);
            }
            let text = "Or drop a file on the window: a song, a chart as text, a score, takes. Songs stay where you keep them.";
            say(ui, text, fonts::sans(stage.px(14.5)), stage.palette.quiet);
        });
    });
}

fn line(ui: &mut Ui, stage: &mut Stage<'_>, index: usize, song: &SongEntry) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(38.0)));
    let at = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(26.0));
    let room = rect.width() - stage.px(430.0);
    let font = fonts::serif(stage.px(21.0));
    let text = plain::elided(ui.painter(), &song.title, &font, room);
    let name = format!("Open {}", song.title);
    let word = Word::new(&text, stage.px(21.0)).font(font).named(&name).strong();
    let word = if song.open { word.chosen(true) } else { word };
    let response = word.show(ui, at, stage.palette);
    if response.clicked() {
        stage.out.push(Command::OpenSong(index));
    }
    let x = (response.rect.right() + stage.px(16.0)).max(rect.left() + stage.px(330.0).min(room));
    let end = rect.right() - stage.px(130.0);
    let detail = plain::elided(ui.painter(), &song.detail, &fonts::sans(stage.px(15.5)), end - x);
    stage.text(ui, pos2(x, at.y), &detail, 15.5, stage.palette.quiet);
    let (text, command) = match song.kind {
        SongKind::Recent => ("put aside", FilesCommand::SetAside(index)),
        SongKind::Aside => ("take up again", FilesCommand::TakeUp(index)),
        SongKind::Demo => return,
    };
    let name = format!("{}: {}", crate::reasons::capital(text), song.title);
    let word = Word::new(text, stage.px(15.5)).named(&name);
    stage.offering(ui, pos2(end + stage.px(14.0), at.y), &word, Command::Files(command));
}
