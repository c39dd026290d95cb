//! The song's file: kept without being asked for, put together with what other programs write, brought back.

use super::{Shell, waker};
use crate::document::{Found, Source, Step};
use crate::storage::{Places, Saved, SongText, Unsaved, free_path, may_be_written};
use crate::window::dialog::Wanted;
use crate::window::earlier;
use crate::window::keeper::Order;
use crate::window::song_keeper::{Earlier, Moved, SongOrder, SongTold};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use ui::{Command, FileQuestion, FilesCommand, Page};

/// The shell's side of files.
#[derive(Default)]
pub(super) struct Cabinet {
    /// The folder for copies of songs that are to stay as they are, and for new ones.
    songs: Option<PathBuf>,
    /// The folder for sheets and files for other programs on a system without dialogs.
    exports: Option<PathBuf>,
    /// Earlier versions of the open song, and the text that they were compared with.
    earlier: Option<Vec<Earlier>>,
    compared: Option<String>,
    looked_at: Option<usize>,
    gone: bool,
    shown: ui::Files,
    /// Takes that wait for the song they were dropped with.
    pub takes: Vec<PathBuf>,
    /// The song's file is on its way to another place: nothing is written into it meanwhile.
    moving: Option<PathBuf>,
}

impl Cabinet {
    pub fn new(places: Option<&Places>) -> Cabinet {
        Cabinet {
            songs: places.map(Places::songs),
            exports: places.map(Places::exports),
            ..Cabinet::default()
        }
    }

    /// What the pages show.
    pub fn shown(&self) -> &ui::Files {
        &self.shown
    }

    /// Where sheets and files for other programs go when the player cannot be asked.
    pub fn exports(&self) -> Option<&Path> {
        self.exports.as_deref()
    }

    /// The folder for songs of the program's own.
    pub fn songs(&self) -> Option<&Path> {
        self.songs.as_deref()
    }
}

impl Shell {
    /// Has a step written and planned; what is to be said about that, if anything.
    pub(super) fn keep_step(&mut self, _: Step) -> String {
        let told = self.find_a_place();
        let job = self.document.stepped();
        self.reader.ask(job);
        self.write_song();
        told
    }

    /// A song that is to stay as it is goes on as a copy.
    fn find_a_place(&mut self) -> String {
        let source = self.document.source().clone();
        match &source {
            // What is in the window belongs into its file, even if that cannot be written just now.
            Source::File(path) if self.document.was_written() || may_be_written(path) || !path.exists() => {
                String::new()
            }
            _ => self.go_on_in_a_copy(&source.file_name()),
        }
    }

    fn go_on_in_a_copy(&mut self, name: &str) -> String {
        let Some(folder) = &self.cabinet.songs else {
            return " It cannot be kept: there is no folder for songs.".to_owned();
        };
        let path = free_path(folder, name);
        let told = format!(" {name} stays as it is; you go on in a copy, {}.", path.display());
        self.document.goes_on_in(path);
        self.cabinet.forget();
        told
    }

    /// Has the text written, unless it is in the file or on its way.
    fn write_song(&mut self) {
        if let Some(song) = self.document.to_write() {
            self.keeper.ask(Order::Song(SongOrder::Write(song)));
        }
    }

    /// Once a frame: what is to be written is, and the pages follow.
    pub(super) fn look_after_the_file(&mut self) {
        if self.document.was_opened() {
            self.cabinet.forget();
            if let (Source::File(path), Some(text)) = (self.document.source(), self.document.text()) {
                let order = SongOrder::Opened(path.clone(), text.to_owned());
                self.keeper.ask(Order::Song(order));
            }
        }
        self.write_song();
        if self.view.page == Page::Versions
            && self.cabinet.earlier.is_none()
            && !self.cabinet.asked_for_versions()
        {
            self.list_versions();
        }
        self.describe_file();
    }

    fn list_versions(&mut self) {
        self.cabinet.compared = Some(String::new());
        match self.document.source() {
            Source::File(path) => self.keeper.ask(Order::Song(SongOrder::Versions(path.clone()))),
            Source::Demo(_) => self.cabinet.earlier = Some(Vec::new()),
        }
    }

    fn describe_file(&mut self) {
        let asks = match self.document.clash() {
            Some(clash) => Some(FileQuestion::Clash(clash.places.clone())),
            None => self.cabinet.gone.then_some(FileQuestion::Gone),
        };
        self.cabinet.shown.asks = asks;
        let Some(text) = self.document.text().filter(|_| self.view.page == Page::Versions) else { return };
        if self.cabinet.compared.as_deref() == Some(text) || self.cabinet.earlier.is_none() {
            return;
        }
        let text = text.to_owned();
        if let Some(earlier) = &mut self.cabinet.earlier {
            let had = earlier.first().is_some_and(earlier::is_present);
            if had {
                earlier.remove(0);
            }
            let present = earlier::present(earlier, &text);
            // What is looked at stays what it is.
            let (before, after) = (usize::from(had), usize::from(present.is_some()));
            self.cabinet.looked_at = self.cabinet.looked_at.map(|at| (at + after).saturating_sub(before));
            earlier.splice(0..0, present);
        }
        let earlier = self.cabinet.earlier.as_deref().unwrap_or_default();
        self.cabinet.shown.versions = Some(earlier::entries(earlier, &text));
        let looked_at = self.cabinet.looked_at.and_then(|at| Some((at, earlier.get(at)?)));
        self.cabinet.shown.looked_at = looked_at.map(|(at, one)| (at, earlier::rows(&one.text, &text)));
        self.cabinet.compared = Some(text);
    }

    /// The file of the open song holds another text.
    pub(super) fn file_changed(&mut self, text: String) {
        if self.document.text().is_none() {
            return self.change_document(crate::document::Change::OnDisk(Some(text)));
        }
        self.cabinet.gone = false;
        let found = self.document.found(text);
        self.after_finding(found);
    }

    fn after_finding(&mut self, found: Found) {
        match found {
            Found::Known => {}
            Found::Taken(job) => self.reader.ask(job),
            Found::Merged(job) => {
                self.reader.ask(job);
                let name = self.document.source().file_name();
                self.say_of_choice(format!(
                    "{name} was changed by another program while you wrote; both changes are in it."
                ));
            }
            // The strip says it and asks.
            Found::Asked => self.told = None,
        }
        self.write_song();
    }

    /// What the keeper has to tell of a song.
    pub(super) fn hear_of_song(&mut self, told: SongTold) {
        match told {
            SongTold::Saved(saved) => self.hear_of_saving(saved),
            SongTold::Unsaved(path, unsaved) if self.is_open(&path) => self.recover(unsaved),
            SongTold::Versions(path, earlier) if self.is_open(&path) => {
                self.cabinet.earlier = Some(earlier);
                self.cabinet.compared = None;
            }
            SongTold::Copied(told) => self.told = Some(told),
            SongTold::Moved(moved) => self.hear_of_moving(moved),
            SongTold::Unsaved(..) | SongTold::Versions(..) => {}
        }
    }

    /// Has the song's file moved, with its versions and what is undone in it.
    pub(super) fn move_file(&mut self, to: PathBuf) {
        let Source::File(from) = self.document.source().clone() else { return };
        if self.cabinet.moving.is_none() {
            self.write_song();
            self.cabinet.moving = Some(from.clone());
            self.keeper.ask(Order::Song(SongOrder::Move(from, to)));
        }
    }

    fn hear_of_moving(&mut self, moved: Moved) {
        let Moved { from, to, saved, done } = moved;
        self.cabinet.moving = None;
        saved.into_iter().for_each(|saved| self.hear_of_saving(saved));
        match done {
            Ok(()) => {
                self.keeper.ask(Order::Song(SongOrder::MoveWasTold(from.clone())));
                for known in self.settings.recent.iter_mut().chain(&mut self.settings.aside) {
                    if *known == from {
                        known.clone_from(&to);
                    }
                }
                self.keeper.ask(Order::List);
                self.set_follows(&from, &to);
                if let Some(job) = self.document.moved(&from, to) {
                    self.reader.ask(job);
                }
                self.list_songs();
            }
            Err(error) => {
                let name = from.file_name().unwrap_or(from.as_os_str()).to_string_lossy().into_owned();
                let why = match error.kind() {
                    ErrorKind::AlreadyExists => "there is a file of that name already".to_owned(),
                    _ => error.to_string(),
                };
                self.told = Some(format!("{name} stays where it is: {why}."));
            }
        }
        self.write_song();
    }

    fn is_open(&self, path: &Path) -> bool {
        *self.document.source() == Source::File(path.to_owned())
    }

    fn recover(&mut self, unsaved: Unsaved) {
        if let Found::Merged(job) = self.document.recover(unsaved) {
            self.reader.ask(job);
            self.told = Some("What you wrote the last time and was not in the file yet goes on.".to_owned());
            self.write_song();
        }
    }

    fn hear_of_saving(&mut self, saved: Saved) {
        match saved {
            Saved::Written { song, again } => {
                self.document.written(&song);
                if again {
                    self.told = Some(format!("{} is written now.", name(&song)));
                }
                if self.is_open(&song.path) {
                    self.cabinet.gone = false;
                    self.cabinet.earlier = None;
                    self.cabinet.compared = None;
                }
            }
            Saved::Changed { song, theirs } if self.is_open(&song.path) => {
                self.document.not_written(&song);
                self.file_changed(theirs);
            }
            Saved::Changed { song, .. } => {
                self.told = Some(format!(
                    "{} was changed by another program; what you wrote is among its earlier versions.",
                    name(&song)
                ));
            }
            Saved::Waiting { song, error, only_in_memory } => {
                self.hear_of_waiting(&song, &error, only_in_memory)
            }
        }
    }

    /// A song cannot be written just now.
    fn hear_of_waiting(&mut self, song: &SongText, error: &std::io::Error, only_in_memory: bool) {
        let open = self.is_open(&song.path);
        let shut = matches!(error.kind(), ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem);
        let in_copies = self.cabinet.songs().is_some_and(|songs| song.path.parent() == Some(songs));
        if open && shut && !in_copies && !self.document.was_written() {
            self.keeper.ask(Order::Song(SongOrder::GiveUp(song.path.clone())));
            let copied = self.go_on_in_a_copy(&name(song));
            let job = self.document.stepped();
            self.reader.ask(job);
            self.write_song();
            self.told = Some(format!("{} may not be written into.{copied}", name(song)));
            return;
        }
        self.cabinet.gone = open && error.kind() == ErrorKind::NotFound;
        let kept = if only_in_memory {
            "What you write is only in this window: leave it open until there is room."
        } else {
            "What you write is kept safe and goes into it as soon as that can be."
        };
        self.say_of_choice(format!("{} {}. {kept}", name(song), cannot(error)));
    }

    /// Carries out what has to do with files.
    pub(super) fn carry_out_files(&mut self, command: FilesCommand) {
        match command {
            FilesCommand::Look(at) => {
                self.cabinet.looked_at = at;
                self.cabinet.compared = None;
            }
            FilesCommand::BringBack(at) => self.bring_back(at),
            FilesCommand::KeepMine => {
                self.document.keep_mine();
                self.write_song();
                self.told =
                    Some("Yours is in the file now; the other text is among the versions.".to_owned());
            }
            FilesCommand::TakeTheirs => self.take_theirs(),
            FilesCommand::WriteAnew => {
                self.document.write_anew();
                self.cabinet.gone = false;
                self.told = None;
                self.write_song();
            }
            FilesCommand::SetAside(index) => self.set_aside(index, true),
            FilesCommand::TakeUp(index) => self.set_aside(index, false),
            FilesCommand::CopyWithTakes => self.dialog.ask(Wanted::FolderForTakes, waker(&self.ctx)),
            FilesCommand::KeepElsewhere => match self.document.source() {
                Source::File(_) => {
                    let name = self.document.source().file_name();
                    self.dialog.ask_with_name(Wanted::PlaceForSong, &name, waker(&self.ctx));
                }
                Source::Demo(_) => {
                    self.told = Some("A demo song is a file of yours from the first change on.".to_owned());
                }
            },
        }
    }

    /// Puts a song of the list aside, or takes it up again.
    fn set_aside(&mut self, index: usize, aside: bool) {
        let Some(Source::File(path)) = self.library.source(index).cloned() else { return };
        let mut settings = self.settings.clone();
        settings.aside.retain(|known| *known != path);
        if aside {
            settings.aside.insert(0, path);
        } else if !settings.recent.contains(&path) {
            settings.recent.push(path);
        }
        self.settings = settings;
        self.keeper.ask(Order::Settings(self.settings.clone()));
        self.list_songs();
    }

    fn bring_back(&mut self, at: usize) {
        let version = self.cabinet.earlier.as_ref().and_then(|earlier| earlier.get(at)).cloned();
        let Some(version) = version else { return };
        let when = earlier::when(version.at);
        if let Some(step) = self.document.bring_back(version.text, &when) {
            let told = self.keep_step(step);
            self.told = Some(format!("The song is as it was {when}; Ctrl+Z takes that back.{told}"));
            self.view.page = Page::Song;
        }
    }

    fn take_theirs(&mut self) {
        let Source::File(path) = self.document.source().clone() else { return };
        if let Some((mine, step)) = self.document.take_theirs() {
            self.keeper.ask(Order::Song(SongOrder::PutAside(path, mine)));
            self.keep_step(step);
            self.told = Some(
                "The text of the file goes on; yours is among the versions, and Ctrl+Z brings it back."
                    .to_owned(),
            );
        }
    }

    /// The pages of files follow a command.
    pub(super) fn follow_the_file(&mut self, command: &Command) {
        if matches!(command, Command::Show(Page::Writing)) {
            // It is there from its first frame on.
            self.write_down();
        }
        if matches!(command, Command::Show(Page::Versions)) {
            self.cabinet.earlier = None;
            self.cabinet.compared = None;
            self.cabinet.looked_at = None;
            self.cabinet.shown.looked_at = None;
        }
    }
}

impl Cabinet {
    /// Another song is open.
    fn forget(&mut self) {
        self.earlier = None;
        self.compared = None;
        self.looked_at = None;
        self.gone = false;
        self.shown = ui::Files::default();
    }

    fn asked_for_versions(&self) -> bool {
        self.compared.as_deref() == Some("")
    }
}

fn name(song: &SongText) -> String {
    song.path.file_name().unwrap_or(song.path.as_os_str()).to_string_lossy().into_owned()
}

fn cannot(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "is not there any more: moved, deleted, or its disk is away".to_owned(),
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "could not be written, for the disk is full; make room".to_owned()
        }
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "may not be written into any more".to_owned()
        }
        ErrorKind::InvalidData => {
            "holds no text any more; another program wrote something else into it".to_owned()
        }
        _ => format!("could not be written ({error})"),
    }
}

#[cfg(test)]
mod tests;
