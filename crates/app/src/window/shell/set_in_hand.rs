//! The set: its songs in order, each in its key of the night.

use super::{Shell, practising::SetInHand};
use crate::document::{self, Source};
use crate::storage;
use crate::window::keeper::Order;
use crate::window::practice_keeper::PracticeOrder;
use practice::history::{About, Purpose};
use practice::learn::Excerpt;
use practice::{Mode, SessionCommand};
use std::path::Path;

impl Shell {
    /// Opens a set list with its first song.
    pub(super) fn open_set(&mut self, path: &Path) {
        match storage::read_set(path) {
            Ok(set) => {
                if let Some(day) = set.day {
                    self.practice.by = Some(day);
                }
                let path = path.to_path_buf();
                self.practice.set = Some(SetInHand { path, list: set, at: 0, compared: true });
                self.turn_the_set(0);
            }
            Err(told) => self.practice.shown.told = Some(told),
        }
        self.practice.show();
    }

    /// So many songs on in the set, in the key of the night.
    pub(super) fn turn_the_set(&mut self, by: isize) {
        let Some(set) = &mut self.practice.set else { return };
        let last = set.list.songs.len().saturating_sub(1);
        set.at = set.at.saturating_add_signed(by).min(last);
        let song = set.list.songs[set.at].clone();
        self.show_the_set();
        let page = self.view.page;
        self.open(Source::File(song.path));
        self.view.page = page;
        if let Some(key) = song.key {
            self.change_document(document::Change::Key(key));
        }
    }

    /// At the start the set of the last time is there: where the song that is open is one of it, it is in its key of the
    /// night.
    pub(super) fn compare_the_set(&mut self) {
        let Some(set) = self.practice.set.as_mut().filter(|set| !set.compared) else { return };
        set.compared = true;
        let open = self.document.source().to_remember();
        let found = set.list.songs.iter().position(|song| song.path == open);
        if let Some(at) = found {
            set.at = at;
            if let Some(key) = set.list.songs[at].key {
                self.change_document(document::Change::Key(key));
            }
        }
        self.show_the_set();
    }

    /// No set any more.
    pub(super) fn close_set(&mut self) {
        (self.practice.set, self.practice.shown.set) = (None, None);
    }

    fn show_the_set(&mut self) {
        let Some(set) = &self.practice.set else { return };
        let songs = set.list.songs.iter().map(name).collect();
        self.practice.shown.set = Some((set.list.title.clone(), songs, set.at));
    }

    pub(super) fn ask_for_join(&mut self) {
        let next = self.practice.set.as_ref().and_then(|set| set.list.songs.get(set.at + 1)).cloned();
        match (next, self.document.part().cloned()) {
            (Some(next), Some(part)) => {
                let player = *self.document.player();
                self.keeper.ask(Order::Practice(PracticeOrder::Join(part, next, player)));
            }
            _ => self.practice.shown.told = Some("This is the last song of the set.".to_owned()),
        }
    }

    pub(super) fn play_join(&mut self, excerpt: Excerpt) {
        self.ask_session(SessionCommand::Stop);
        self.put_on_the_stand(Some(excerpt), About { purpose: Purpose::Join, ..About::default() });
        for command in [
            SessionCommand::SetMode(Mode::PlayAlong),
            SessionCommand::SetLoop(None),
            SessionCommand::GoToBar(0),
            SessionCommand::Start,
        ] {
            self.ask_session(command);
        }
    }
}

/// How a song of a set is called: its file, and its key of the night.
pub(super) fn name(song: &storage::SetSong) -> String {
    let file = song.path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    song.key.map_or(file.clone(), |key| format!("{file}, in {}", key.pretty()))
}
