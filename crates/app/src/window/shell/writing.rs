//! Writing a song: its text is edited in memory, read at once, planned, and kept.

mod heard;
mod paste;
mod sounding;

use super::Shell;
use crate::document::{Source, Step};
use crate::storage::{free_path, write_whole};
use practice::{Mode, SessionCommand};
use song::edit::{Change, Clip, Field, Place, apply};
use song::forms::FORMS;
use ui::{Chosen, Page, Writing, WritingCommand};

/// What a new song's file is called until the song has a title.
const NEW: &str = "new-song";

/// The shell's side of writing.
#[derive(Debug, Default)]
pub(super) struct Table {
    /// The song as it is now, while its page is shown.
    writing: Option<Writing>,
    /// The bars that were copied last.
    clip: Option<Clip>,
    /// The chart that was pasted last, until its key is confirmed.
    pasted: Option<paste::Chart>,
    /// What was typed and is to be heard.
    ear: sounding::Ear,
}

impl Table {
    /// What the page shows.
    pub fn shown(&self) -> Option<&Writing> {
        self.writing.as_ref()
    }

    /// Another song is opened: what was not certain in a chart was of this one.
    pub fn turn(&mut self) {
        self.pasted = None;
    }
}

impl Shell {
    /// The page of writing follows the text.
    pub(super) fn write_down(&mut self) {
        self.sound_what_is_typed();
        if self.view.page != Page::Writing {
            self.table.writing = None;
            return;
        }
        let Some(text) = self.document.text() else { return };
        let clip = self.table.clip.as_ref().map(Clip::bars);
        let writing = match self.table.writing.take() {
            Some(writing) if writing.text == text => Some(writing),
            before => {
                let told = before.and_then(|writing| writing.told);
                Writing::of(text).map(|writing| Writing { told, ..writing })
            }
        };
        self.table.writing = writing.map(|writing| {
            let pasted = self.table.pasted.as_ref().and_then(|chart| chart.shown(&writing));
            Writing { clip, pasted, ..writing }
        });
    }

    /// Carries out what the page of writing asks for.
    pub(super) fn carry_out_writing(&mut self, command: WritingCommand) {
        match command {
            WritingCommand::Change(changes) => self.write_changes(&changes),
            WritingCommand::Choose(chosen) => {
                self.document.pause();
                self.go_to_chosen(chosen);
            }
            WritingCommand::Hear => {
                self.ask_session(SessionCommand::SetMode(Mode::Listen));
                self.go_to_chosen(self.view.writing.chosen);
                self.ask_session(SessionCommand::Start);
            }
            WritingCommand::HearPlace(place) => {
                self.ask_session(SessionCommand::SetMode(Mode::Listen));
                self.go_to_chosen(self.view.writing.chosen);
                let bars = self.document.song().and_then(|song| heard::bars_of(&song.bars, place));
                self.ask_session(bars.map_or(SessionCommand::Start, SessionCommand::StartIn));
            }
            WritingCommand::Copy { section, from, to } => {
                let clip = self.document.text().and_then(|text| Clip::of(text, section, from, to).ok());
                if let Some(clip) = &clip {
                    // What repeats the bar before is written out in it.
                    self.ctx.copy_text(clip.bars());
                }
                self.table.clip = clip.or(self.table.clip.take());
            }
            WritingCommand::Double { section, from, to } => {
                let clip = self.document.text().and_then(|text| Clip::of(text, section, from, to).ok());
                if let Some(clip) = clip {
                    self.write_changes(&[Change::PasteBars { section, at: to, clip }]);
                }
            }
            WritingCommand::Paste { section, at, text } => self.paste(section, at, &text),
            WritingCommand::KeyOfPasted(key) => self.key_of_pasted(key),
            WritingCommand::New(form) => self.new_song(form),
            WritingCommand::Duplicate => self.duplicate(),
            WritingCommand::Tell(told) => self.say_of_writing(told),
            WritingCommand::Line(_) | WritingCommand::Find(_) | WritingCommand::Side(_) => {}
        }
    }

    /// Makes edits as one step.
    pub(super) fn write_changes(&mut self, changes: &[Change]) {
        match self.document.change(changes) {
            Ok(Some(step)) => {
                self.keep_written(step);
                self.table.ear.take_in(changes);
                self.name_file(changes);
            }
            Ok(None) => self.say_of_writing("The song has not been read yet.".to_owned()),
            Err(error) => self.say_of_writing(format!("That cannot be done: {error}.")),
        }
        self.write_down();
    }

    /// A new song's file is called after its title as soon as it has one; every other keeps the name it was given.
    fn name_file(&mut self, changes: &[Change]) {
        let title = changes.iter().rev().find_map(|change| match change {
            Change::Field { place: Place::Song, field: Field::Title(title) } => Some(title),
            _ => None,
        });
        let Some(name) = title.map(|title| super::dropped::name_of(title)).filter(|name| !name.is_empty())
        else {
            return;
        };
        let (Source::File(path), Some(songs)) = (self.document.source(), self.cabinet.songs()) else {
            return;
        };
        if path.parent() == Some(songs) && is_unnamed(path) && !name.starts_with(NEW) {
            self.move_file(free_path(songs, &name));
        }
    }

    /// A new song in a file of its own, from a pattern.
    fn new_song(&mut self, form: usize) {
        let Some(form) = FORMS.get(form) else { return };
        self.go_on_in(NEW, &form.text("New song"));
    }

    /// The song as it is now goes on in a file of its own.
    fn duplicate(&mut self) {
        let Some(text) = self.document.text() else { return };
        let title = self.document.song().map_or("New song", |song| song.title.as_str());
        let title = Change::Field { place: Place::Song, field: Field::Title(format!("{title} (copy)")) };
        let copy = apply(text, &title).map_or_else(|_| text.to_owned(), |edited| edited.text);
        // What was practised of one is not practised of the other.
        let copy = song::with_id(&copy, &crate::document::new_identity()).unwrap_or(copy);
        let name = self.document.source().file_name();
        self.go_on_in(&name, &copy);
    }

    fn go_on_in(&mut self, name: &str, text: &str) {
        let Some(songs) = self.cabinet.songs() else {
            self.told = Some("There is no folder for songs.".to_owned());
            return;
        };
        let path = free_path(songs, name);
        match write_whole(&path, text.as_bytes()) {
            Ok(()) => {
                self.open(Source::File(path));
                self.view.writing = ui::WritingView::default();
                self.view.page = Page::Writing;
            }
            Err(error) => self.told = Some(format!("{} cannot be written: {error}.", path.display())),
        }
    }

    /// Has a step kept and planned.
    fn keep_written(&mut self, step: Step) {
        let told = self.keep_step(step);
        self.say_of_writing(told.trim_start().to_owned());
    }

    fn say_of_writing(&mut self, told: String) {
        let told = Some(told).filter(|told| !told.is_empty());
        match &mut self.table.writing {
            Some(writing) => writing.told = told,
            None => self.told = told.or(self.told.take()),
        }
    }

    /// The session stands where one writes, so that the keyboard shows that chord and listening begins there.
    fn go_to_chosen(&mut self, chosen: Chosen) {
        let (Some(section), Some(song)) = (chosen.section(), self.document.song()) else { return };
        let bar = chosen.bars().map_or(0, |bars| bars.start);
        let pass = chosen.pass().unwrap_or(1);
        let here = |played: &song::PlayedBar| {
            let written = played.written_bar.or(played.in_place_of);
            played.section == section && played.pass == pass && written == Some(bar)
        };
        if let Some(at) = song.bars.iter().position(here) {
            self.ask_session(SessionCommand::GoToBar(at));
        }
    }
}

/// Whether a file has the name of a new song still: `new-song.json`, `new-song-2.json`.
fn is_unnamed(path: &std::path::Path) -> bool {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let rest = stem.strip_prefix(NEW).map(|rest| rest.trim_start_matches('-'));
    rest.is_some_and(|rest| rest.chars().all(|c| c.is_ascii_digit()))
}

#[cfg(test)]
mod tests;
