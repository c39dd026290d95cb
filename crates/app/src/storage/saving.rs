//! Songs on their way to the disk: soon, never over what another program wrote, and again until it is done.
//!
//! A text that was asked to be written is in its file half a second later at most, or kept safe beside the versions where
//! the file cannot be written. Nothing here waits: the time is an argument, and [`Saving::next`] says when to come again.

use super::atomic::{replace, sweep};
use super::versions::{Unsaved, VersionKind, Versions, now_ms};
use super::{Places, SongText, read_song};
use std::collections::HashMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Texts that come one after the other are written so often.
pub const SAVE_EVERY: Duration = Duration::from_millis(500);
/// What could not be written is tried again so often.
pub const TRY_EVERY: Duration = Duration::from_secs(2);

/// What came of a text.
#[derive(Debug)]
pub enum Saved {
    /// It is in the file; `again` after it could not be for a while.
    Written {
        /// The text.
        song: SongText,
        /// It could not be written before.
        again: bool,
    },
    /// Something else is in the file than was read, and it was left alone. What was to be written is kept safe.
    Changed {
        /// The text.
        song: SongText,
        /// What is in the file.
        theirs: String,
    },
    /// It cannot be written just now; it is kept safe and tried again. Told once for each reason.
    Waiting {
        /// The text.
        song: SongText,
        /// Why.
        error: std::io::Error,
        /// Not even beside the versions could it be kept.
        only_in_memory: bool,
    },
}

/// Writes bytes whole or not at all, in a folder that is there.
type Write = Box<dyn FnMut(&Path, &[u8]) -> std::io::Result<()> + Send>;

/// All songs that are on their way.
pub struct Saving {
    places: Option<Places>,
    songs: HashMap<PathBuf, Song>,
    /// Where files went that were carried away, until that was told: what is asked for their old place goes there.
    carried: HashMap<PathBuf, PathBuf>,
    write: Write,
}

/// One song.
struct Song {
    versions: Option<Versions>,
    waiting: Option<SongText>,
    /// What this window wrote last: nobody else is in the file while it is there.
    written: Option<String>,
    /// Not before then.
    next: Instant,
    failing: Option<ErrorKind>,
}

impl Saving {
    /// With versions in these places, or with none.
    pub fn new(places: Option<Places>) -> Saving {
        Saving::with(places, Box::new(replace))
    }

    fn with(places: Option<Places>, write: Write) -> Saving {
        Saving { places, songs: HashMap::new(), carried: HashMap::new(), write }
    }

    /// A song was opened with a text. Gives what was written into it before and never came into the file.
    pub fn opened(&mut self, path: &Path, text: &str, now: Instant) -> Option<Unsaved> {
        sweep(path);
        let places = self.places.clone();
        let versions = self.song(path, now).versions.clone()?;
        versions.follow(&places?, text);
        let unsaved = versions.unsaved()?;
        if unsaved.text == text {
            versions.forget_unsaved();
            return None;
        }
        Some(unsaved)
    }

    /// Takes in a text that is to be in its file, in place of one of the same song that still waits.
    pub fn ask(&mut self, mut text: SongText, now: Instant) {
        while let Some(to) = self.carried.get(&text.path) {
            text.path.clone_from(to);
        }
        let song = self.song(&text.path, now);
        let was = match song.waiting.take() {
            // The one that waited was never in the file.
            Some(waiting) if text.was.as_ref() == Some(&waiting.text) => waiting.was,
            _ => text.was,
        };
        song.waiting = Some(SongText { was, ..text });
    }

    /// What waits for this file goes elsewhere.
    pub fn give_up(&mut self, path: &Path) {
        if let Some(song) = self.songs.remove(path)
            && let Some(versions) = song.versions
        {
            versions.forget_unsaved();
        }
    }

    /// The song's file goes to another place, with its versions; what waits for it is written first. Told is what came of
    /// that, and why the file stays where it is, if it does.
    pub fn carry(&mut self, from: &Path, to: &Path, now: Instant) -> (Option<Saved>, std::io::Result<()>) {
        let waits = self.songs.get(from).is_some_and(|song| song.waiting.is_some());
        let saved = if waits { self.save(from, now) } else { None };
        if waits && !matches!(saved, Some(Saved::Written { .. })) {
            // One trouble at a time: the file is moved when it can be written again, and somebody asks.
            return (saved, Err(ErrorKind::ResourceBusy.into()));
        }
        (saved, self.carried(from, to, now))
    }

    /// Whoever asks knows where this file went: what is asked for its old place from now on is of another song.
    pub fn told_of_carrying(&mut self, from: &Path) {
        self.carried.remove(from);
    }

    fn carried(&mut self, from: &Path, to: &Path, now: Instant) -> std::io::Result<()> {
        if to.exists() {
            return Err(ErrorKind::AlreadyExists.into());
        }
        let text = std::fs::read_to_string(from)?;
        match std::fs::rename(from, to) {
            // To another disk it is copied, and taken away here once it is there.
            Err(error) if error.kind() == ErrorKind::CrossesDevices => {
                replace(to, text.as_bytes())?;
                std::fs::remove_file(from)?;
            }
            moved => moved?,
        }
        let before = self.songs.remove(from);
        self.carried.remove(to);
        self.carried.insert(from.to_owned(), to.to_owned());
        let song = self.song(to, now);
        song.written = before.and_then(|before| before.written);
        if let (Some(versions), Some(places)) = (song.versions.clone(), self.places.clone()) {
            versions.follow(&places, &text);
        }
        Ok(())
    }

    /// When there is something to do, if anything waits.
    pub fn next(&self) -> Option<Instant> {
        self.songs.values().filter(|song| song.waiting.is_some()).map(|song| song.next).min()
    }

    /// Writes what is due.
    pub fn work(&mut self, now: Instant) -> Vec<Saved> {
        let due = |song: &Song| song.waiting.is_some() && song.next <= now;
        let paths: Vec<PathBuf> =
            self.songs.iter().filter(|(_, song)| due(song)).map(|(path, _)| path.clone()).collect();
        paths.iter().filter_map(|path| self.save(path, now)).collect()
    }

    /// Writes all that waits, now: the window is closing. What cannot be written is kept safe.
    pub fn finish(&mut self, now: Instant) -> Vec<Saved> {
        self.songs.values_mut().for_each(|song| song.next = now);
        self.work(now)
    }

    fn song(&mut self, path: &Path, now: Instant) -> &mut Song {
        let places = &self.places;
        self.songs.entry(path.to_owned()).or_insert_with(|| Song {
            versions: places.as_ref().map(|places| Versions::of(places, path)),
            waiting: None,
            written: None,
            next: now,
            failing: None,
        })
    }

    fn save(&mut self, path: &Path, now: Instant) -> Option<Saved> {
        let here = self.songs.get_mut(path)?;
        let text = here.waiting.take()?;
        here.next = now + SAVE_EVERY;
        if text.held {
            // Told already: the player is being asked.
            let _ = here.keep(&text);
            return None;
        }
        // Between looking and writing no other window of this player comes in.
        let _alone = here.versions.as_ref().and_then(Versions::alone);
        let there = match there(path) {
            Ok(there) => there,
            Err(error) => return here.wait(text, error, now),
        };
        let known = |there: &[u8]| {
            let is = |text: &Option<String>| text.as_ref().is_some_and(|text| text.as_bytes() == there);
            // What is longer than a song may be was not read whole.
            let whole = there.len() <= song::limits::FILE_BYTES;
            whole && (is(&text.was) || is(&here.written) || there == text.text.as_bytes())
        };
        match &there {
            Some(there) if !known(there) => {
                let theirs = std::str::from_utf8(there).map(str::to_owned);
                return match theirs {
                    Ok(theirs) => Some(here.leave(text, theirs)),
                    Err(error) => here.wait(text, std::io::Error::new(ErrorKind::InvalidData, error), now),
                };
            }
            // A new song goes to its place; one that is gone is not put where somebody took it away.
            None if text.was.is_some() => return here.wait(text, ErrorKind::NotFound.into(), now),
            Some(there) => here.remember(there, path),
            None => {}
        }
        let written = if there.is_none() {
            // Its folder may be the first of its kind.
            path.parent().map_or(Ok(()), std::fs::create_dir_all)
        } else {
            protected(path)
        };
        let written = written.and_then(|()| (self.write)(path, text.text.as_bytes()));
        match written {
            Ok(()) => Some(here.done(text)),
            Err(error) => here.wait(text, error, now),
        }
    }
}

impl Song {
    fn done(&mut self, text: SongText) -> Saved {
        self.written = Some(text.text.clone());
        let again = self.failing.take().is_some();
        if let Some(versions) = &self.versions {
            // The song itself is safe; a version that could not be kept is one that is not there.
            let _ = versions.add(&text.text, VersionKind::Saved, now_ms());
            versions.forget_unsaved();
        }
        Saved::Written { song: text, again }
    }

    /// The file has something else in it.
    fn leave(&mut self, text: SongText, theirs: String) -> Saved {
        let _ = self.keep(&text);
        if let Some(versions) = &self.versions {
            // What was written here first, so that the newest is what is in the file. As above.
            let _ = versions.add(&text.text, VersionKind::Mine, now_ms());
            let _ = versions.add(&theirs, VersionKind::Outside, now_ms());
        }
        Saved::Changed { song: text, theirs }
    }

    /// It cannot be written now.
    fn wait(&mut self, text: SongText, error: std::io::Error, now: Instant) -> Option<Saved> {
        let kept = self.keep(&text);
        let song = text.clone();
        self.waiting = Some(text);
        self.next = now + TRY_EVERY;
        let told = self.failing.replace(error.kind()) == Some(error.kind());
        (!told).then_some(Saved::Waiting { song, error, only_in_memory: !kept })
    }

    fn keep(&self, text: &SongText) -> bool {
        let unsaved = Unsaved { base: text.was.clone(), text: text.text.clone() };
        self.versions.as_ref().is_some_and(|versions| versions.keep_unsaved(&unsaved).is_ok())
    }

    /// What is in the file is a version before something else is.
    fn remember(&mut self, there: &[u8], path: &Path) {
        let Some(versions) =
            self.versions.as_ref().filter(|_| self.written.as_deref().map(str::as_bytes) != Some(there))
        else {
            return;
        };
        let Ok(text) = std::str::from_utf8(there) else { return };
        let first = versions.list().is_empty();
        let kind = if first { VersionKind::Found } else { VersionKind::Outside };
        // As above.
        let _ = versions.add(text, kind, modified(path));
    }
}

fn there(path: &Path) -> std::io::Result<Option<Vec<u8>>> {
    match read_song(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// A write-protected file could be replaced all the same; that is not what the protection is for.
fn protected(path: &Path) -> std::io::Result<()> {
    let protected = std::fs::metadata(path)?.permissions().readonly();
    if protected { Err(ErrorKind::ReadOnlyFilesystem.into()) } else { Ok(()) }
}

fn modified(path: &Path) -> u64 {
    let time = std::fs::metadata(path).and_then(|about| about.modified()).ok();
    let since = time.and_then(|time| time.duration_since(std::time::UNIX_EPOCH).ok());
    since.and_then(|since| u64::try_from(since.as_millis()).ok()).unwrap_or_else(now_ms)
}

#[cfg(test)]
#[path = "saving_tests.rs"]
mod tests;
