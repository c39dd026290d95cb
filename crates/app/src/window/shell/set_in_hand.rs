//! The set: its songs in order, each in its key of the night; read one after the other, planned as a whole, turned by the
//! player or by the plan.

use super::Shell;
use super::practising::Repertoire;
use crate::document::{self, Source};
use crate::storage::{self, SetList, SetSong};
use crate::window::keeper::Order;
use crate::window::playing::Playing;
use crate::window::practice_keeper::{Known, OfSet, PracticeOrder};
use practice::Hands;
use practice::history::{About, Purpose};
use std::path::{Path, PathBuf, absolute};
use std::sync::Arc;
use std::time::Instant;
use voicing::Part;

/// A set list in hand.
#[derive(Debug)]
pub struct SetInHand {
    /// Its file.
    pub path: PathBuf,
    /// Its songs, or why they cannot be read.
    list: Result<SetList, String>,
    /// Which of them is open.
    pub at: Option<usize>,
    /// The file of the open song that was compared with its songs.
    compared: Option<PathBuf>,
    /// The part that was open when another key was asked for: another part is waited for.
    left: Option<Arc<Part>>,
    /// So many of its songs were read, for this player; the next one is being read.
    read: usize,
    player: Option<voicing::Settings>,
    reading: bool,
    /// What cannot be read, by places.
    pub troubles: Vec<Option<String>>,
    /// The player has asked to begin before all were read.
    begins: bool,
    /// How ready all songs are is shown, and not how ready the open one is.
    pub ready_of_set: bool,
}

impl SetInHand {
    /// A set list from its file, whether it can be read or not.
    pub fn remembered(path: &Path) -> SetInHand {
        let path = absolute(path).unwrap_or_else(|_| path.to_owned());
        let list = storage::read_set(&path);
        let songs = list.as_ref().map_or(0, |list| list.songs.len());
        SetInHand {
            path,
            list,
            at: None,
            compared: None,
            left: None,
            read: 0,
            player: None,
            reading: false,
            troubles: vec![None; songs],
            begins: false,
            ready_of_set: true,
        }
    }

    /// Its songs; none where it cannot be read.
    pub fn songs(&self) -> &[SetSong] {
        self.list.as_ref().map_or(&[], |list| &list.songs)
    }

    /// What it is called.
    pub fn title(&self) -> String {
        let file = || self.path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        self.list.as_ref().map_or_else(|_| file(), |list| list.title.clone())
    }

    /// Why it cannot be read.
    pub fn trouble(&self) -> Option<&str> {
        self.list.as_ref().err().map(String::as_str)
    }

    /// Whether all its songs were read, as far as they can be.
    pub fn is_read(&self) -> bool {
        self.read == self.songs().len()
    }
}

impl Shell {
    /// Opens a set list with its first song.
    pub(super) fn open_set(&mut self, path: &Path) {
        let set = SetInHand::remembered(path);
        if let Err(told) = &set.list {
            self.practice.shown.told = Some(told.clone());
            self.told = Some(told.clone());
            return self.practice.show();
        }
        self.take_in_hand(set);
        self.turn_to(0);
        if self.view.page != ui::Page::Stage {
            self.view.page = ui::Page::Practice;
        }
        self.practice.show();
    }

    fn take_in_hand(&mut self, set: SetInHand) {
        self.pause();
        let day = set.list.as_ref().ok().and_then(|list| list.day);
        let desk = &mut self.practice;
        desk.by = day.or(desk.by);
        desk.songs =
            Repertoire { set: vec![None; set.songs().len()], whole: true, open: desk.songs.open.take() };
        desk.sitting = practice::session_plan::Sitting::new(Default::default());
        desk.set = Some(set);
    }

    /// No set any more.
    pub(super) fn close_set(&mut self) {
        self.pause();
        let desk = &mut self.practice;
        desk.set = None;
        (desk.songs.set, desk.songs.whole) = (Vec::new(), false);
        self.plan_again();
    }

    /// A song's file went to another place: the set in hand names it there from now on.
    pub(super) fn set_follows(&mut self, from: &Path, to: &Path) {
        let Some(set) = &mut self.practice.set else { return };
        if !set.songs().iter().any(|song| song.path == from) {
            return;
        }
        match storage::set_follows(&set.path, from, to) {
            Ok(list) => {
                set.list = Ok(list);
                if set.compared.as_deref() == Some(from) {
                    set.compared = Some(to.to_owned());
                }
                self.read_the_set_again();
            }
            Err(why) => {
                self.told =
                    Some(format!("The set list {} still names the song's old place: {why}.", set.title()));
            }
        }
    }

    /// The file of the set once more: it may be there again, or be another.
    pub(super) fn read_the_list_again(&mut self) {
        let Some(path) = self.practice.set.as_ref().map(|set| set.path.clone()) else { return };
        let set = SetInHand::remembered(&path);
        self.practice.shown.told = set.trouble().map(str::to_owned);
        self.take_in_hand(set);
        self.compare_the_set();
    }

    /// The whole set is practised, or the open song alone.
    pub(super) fn practise_the_whole(&mut self, on: bool) {
        let on = on && self.practice.set.as_ref().is_some_and(|set| !set.songs().is_empty());
        if self.practice.songs.whole == on {
            return;
        }
        self.pause();
        self.practice.songs.whole = on;
        self.practice.sitting = practice::session_plan::Sitting::new(Default::default());
        self.plan_again();
    }

    pub(super) fn show_ready_of_set(&mut self, on: bool) {
        if let Some(set) = &mut self.practice.set {
            set.ready_of_set = on;
        }
    }

    /// So many songs on in the set.
    pub(super) fn turn_the_set(&mut self, by: isize) {
        let Some(set) = &self.practice.set else { return };
        let last = set.songs().len().saturating_sub(1);
        self.go_to_song(set.at.map_or(0, |at| at.saturating_add_signed(by).min(last)));
    }

    /// The player goes to a song of the set: a plan that is under way waits until it is begun again.
    pub(super) fn go_to_song(&mut self, place: usize) {
        self.pause();
        self.turn_to(place);
    }

    fn pause(&mut self) {
        if self.practice.shown.running {
            self.stop_practising();
        }
    }

    /// Opens a song of the set in its key of the night, unless it is open. The page stays.
    fn turn_to(&mut self, place: usize) {
        let open = self.document.source().to_remember();
        let part = self.document.part().cloned();
        let Some(set) = &mut self.practice.set else { return };
        let Some(song) = set.songs().get(place).cloned() else { return };
        let is_here = open == song.path && part.is_some();
        (set.at, set.compared, set.left) = (Some(place), Some(song.path.clone()), None);
        if !is_here {
            let page = self.view.page;
            self.open(Source::File(song.path));
            self.view.page = page;
        }
        let written = self.document.written_key().filter(|_| is_here);
        self.move_to(song.key.or(written));
    }

    /// Another key is asked for, if that is one; its part comes later.
    fn move_to(&mut self, key: Option<theory::Key>) {
        let part = self.document.part().cloned();
        let Some(key) = key.filter(|key| part.as_ref().is_none_or(|part| part.key != *key)) else { return };
        if let Some(set) = &mut self.practice.set {
            set.left = part;
        }
        self.change_document(document::Change::Key(key));
    }

    /// Once a frame: the song that is open is compared with those of the set, and one after the other they are read.
    pub(super) fn look_after_the_set(&mut self) {
        self.compare_the_set();
        self.look_after_the_turn();
        self.read_on();
    }

    /// Whichever way a song of the set was opened, it is in its key of the night.
    fn compare_the_set(&mut self) {
        let open = self.document.source().to_remember();
        let Some(set) = &mut self.practice.set else { return };
        if set.compared.as_ref() == Some(&open) {
            return;
        }
        set.at = set.songs().iter().position(|song| song.path == open);
        let key = set.at.and_then(|at| set.songs()[at].key);
        (set.compared, set.left) = (Some(open), None);
        self.move_to(key);
        self.practice.show();
    }

    /// A song that the plan has turned to and that cannot be read after all is passed by.
    fn look_after_the_turn(&mut self) {
        let desk = &mut self.practice;
        if !desk.shown.running || !desk.songs.whole || self.document.part().is_some() {
            return;
        }
        let Some(set) = &mut desk.set else { return };
        let Some(place) = set.at else { return };
        let mistake = || self.document.diagnostics().iter().find(|told| told.is_error());
        let why = self.document.trouble().map(str::to_owned);
        let Some(why) = why.or_else(|| mistake().map(|told| told.message.clone())) else { return };
        desk.songs.set[place] = None;
        let told = format!("{why} The plan goes on without this song.");
        (set.troubles[place], desk.shown.told) = (Some(why), Some(told));
        self.set_up();
        self.practice.show();
    }

    /// The songs are read one at a time, so that other things to do come between them.
    fn read_on(&mut self) {
        let player = *self.document.player();
        let Some(set) = &mut self.practice.set else { return };
        if set.player != Some(player) {
            (set.player, set.read, set.reading) = (Some(player), 0, false);
        }
        if set.reading {
            return;
        }
        if let Some(song) = set.songs().get(set.read).cloned() {
            set.reading = true;
            self.keeper.ask(Order::Practice(PracticeOrder::RecallOfSet(OfSet { song, player })));
        }
    }

    /// What is known of the songs is asked for anew.
    pub(super) fn read_the_set_again(&mut self) {
        if let Some(set) = &mut self.practice.set {
            set.player = None;
        }
        self.practice.songs.set.fill(None);
    }

    /// A song of the set was read; once all are, they can be planned.
    pub(super) fn hear_of_set(&mut self, of_set: OfSet, known: Result<Box<Known>, String>) {
        let desk = &mut self.practice;
        let Some(set) = &mut desk.set else { return };
        let place = set.read;
        if set.songs().get(place) != Some(&of_set.song) || set.player != Some(of_set.player) {
            return;
        }
        (set.read, set.reading) = (place + 1, false);
        set.troubles[place] = known.as_ref().err().cloned();
        // The open song is known with all that was changed of it.
        if set.at != Some(place) || desk.songs.set[place].is_none() {
            desk.songs.set[place] = known.ok().map(|known| *known);
        }
        if set.is_read() && desk.songs.whole && !desk.shown.running {
            let begins = std::mem::take(&mut set.begins);
            self.plan_again();
            if begins {
                self.begin_practising();
            }
        }
    }

    pub(super) fn is_set_read(&self) -> bool {
        self.practice.set.as_ref().is_some_and(SetInHand::is_read)
    }

    /// Begun before its songs are read, a set begins as soon as they are.
    pub(super) fn waits_for_the_set(&mut self) -> bool {
        let waits = self.practice.songs.whole && !self.is_set_read();
        if let Some(set) = &mut self.practice.set {
            set.begins = waits;
        }
        waits
    }

    /// The song of what is in hand is opened, or of what comes after a rest; whether it is open.
    pub(super) fn turn_to_what_is_in_hand(&mut self) -> bool {
        if !self.practice.songs.whole {
            return true;
        }
        let Some(place) = self.practice.song_in_hand() else { return true };
        if self.practice.open_of_set() != Some(place) {
            self.turn_to(place);
            self.practice.turned = Some(Instant::now());
        }
        let left = self.practice.set.as_ref().and_then(|set| set.left.clone());
        self.document.part().is_some_and(|part| left.is_none_or(|left| !Arc::ptr_eq(part, &left)))
    }

    /// From the end of the open song into the next one of the set, when the player asks for it.
    pub(super) fn ask_for_join(&mut self) {
        let Some(place) = self.practice.open_of_set() else {
            self.practice.shown.told = Some("Go to a song of the set first.".to_owned());
            return;
        };
        self.pause();
        let joins = self.play_join(place, About { purpose: Purpose::Join, ..About::default() });
        self.practice.joins = joins;
        if !joins {
            let told = match self.is_set_read() {
                true => "No song that can be read comes after this one in the set.",
                false => "The songs of the set are being read; try once more in a moment.",
            };
            self.practice.shown.told = Some(told.to_owned());
        }
    }

    /// The end of a song and the beginning of the next go on the stand; whether there are such songs.
    pub(super) fn play_join(&mut self, place: usize, about: About) -> bool {
        let day = self.practice.today();
        let songs = &self.practice.songs;
        let Some((ends, begins)) = songs.join(place) else { return false };
        let speed = songs.speed_of_join(ends, begins, day);
        let of = |known: &Known| (known.source.clone(), known.part.clone());
        let join = Playing::join(of(ends), of(begins));
        self.ask_session(practice::SessionCommand::Stop);
        self.put_on_the_stand(Some(join), about);
        self.play_it(Hands::Both, speed);
        true
    }
}

#[cfg(test)]
mod tests;
