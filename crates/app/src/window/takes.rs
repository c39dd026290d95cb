//! The takes as the window has them: the list, the one that is open, the one that is heard.

use super::take_file::{Opened, Purpose};
use crate::storage::SavedTake;
use practice::Lap;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use ui::TakeEntry;

/// The takes.
#[derive(Default)]
pub struct Takes {
    saved: Vec<SavedTake>,
    entries: Vec<TakeEntry>,
    open: Option<OpenTakes>,
    heard: Option<PathBuf>,
}

/// Takes that are shown: one, or several of a learner side by side.
struct OpenTakes {
    files: Vec<PathBuf>,
    names: Vec<String>,
    laps: Vec<Lap>,
}

impl Takes {
    /// These are there now.
    pub fn are(&mut self, saved: Vec<SavedTake>) {
        self.saved = saved;
        self.describe();
    }

    /// This one is shown, in place of others or beside them.
    pub fn show(&mut self, opened: &Opened) {
        let open = self.open.take().filter(|_| opened.purpose == Purpose::SeeBeside);
        let mut open =
            open.unwrap_or_else(|| OpenTakes { files: Vec::new(), names: Vec::new(), laps: Vec::new() });
        open.files.push(opened.file.clone());
        open.names.push(opened.name.clone());
        open.laps.push(opened.lap.clone());
        self.open = Some(open);
        self.describe();
    }

    /// None of them is shown any more.
    pub fn close(&mut self) {
        if self.open.take().is_some() {
            self.describe();
        }
    }

    /// This one is heard, or none.
    pub fn hear(&mut self, file: Option<PathBuf>) {
        if self.heard != file {
            self.heard = file;
            self.describe();
        }
    }

    /// One of the list.
    pub fn get(&self, index: usize) -> Option<&SavedTake> {
        self.saved.get(index)
    }

    /// What the list shows.
    pub fn entries(&self) -> &[TakeEntry] {
        &self.entries
    }

    /// The takes that are shown, as the laps of a run, and the name of the one of them that is in hand, else of the last.
    pub fn open(&self, lap: Option<usize>) -> Option<(&str, &[Lap])> {
        let open = self.open.as_ref()?;
        let name = lap.and_then(|lap| open.names.get(lap)).or(open.names.last())?;
        Some((name.as_str(), open.laps.as_slice()))
    }

    fn describe(&mut self) {
        let open = self.open.as_ref().map_or(&[][..], |open| open.files.as_slice());
        let minutes: Vec<String> = self.saved.iter().map(|take| take.verdict.when()).collect();
        let mut times: HashMap<&str, u32> = HashMap::new();
        minutes.iter().for_each(|minute| *times.entry(minute).or_default() += 1);
        let entry = |(take, minute): (&SavedTake, &String)| {
            // Laps of a loop end in the same minute.
            let alone = times.get(minute.as_str()) == Some(&1);
            let when = if alone { minute.clone() } else { take.verdict.when_exactly() };
            entry(take, when, open, self.heard.as_deref())
        };
        self.entries = self.saved.iter().zip(&minutes).map(entry).collect();
    }
}

fn entry(take: &SavedTake, when: String, open: &[PathBuf], heard: Option<&Path>) -> TakeEntry {
    TakeEntry {
        song: take.verdict.song.clone(),
        when,
        how: take.verdict.how(),
        result: take.verdict.result(),
        kept: take.verdict.kept,
        open: open.contains(&take.file),
        heard: heard == Some(&take.file),
    }
}
