//! The takes as the window has them: the list, the one that is open, the one that is heard.

use super::take_file::Opened;
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
    open: Option<(PathBuf, String, Vec<Lap>)>,
    heard: Option<PathBuf>,
}

impl Takes {
    /// These are there now.
    pub fn are(&mut self, saved: Vec<SavedTake>) {
        self.saved = saved;
        self.describe();
    }

    /// This one is shown.
    pub fn show(&mut self, opened: &Opened) {
        self.open = Some((opened.file.clone(), opened.name.clone(), vec![opened.lap.clone()]));
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

    /// The take that is shown: its name, and itself as a run of one lap.
    pub fn open(&self) -> Option<(&str, &[Lap])> {
        self.open.as_ref().map(|(_, name, laps)| (name.as_str(), laps.as_slice()))
    }

    fn describe(&mut self) {
        let open = self.open.as_ref().map(|(file, ..)| file.as_path());
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

fn entry(take: &SavedTake, when: String, open: Option<&Path>, heard: Option<&Path>) -> TakeEntry {
    TakeEntry {
        song: take.verdict.song.clone(),
        when,
        how: take.verdict.how(),
        result: take.verdict.result(),
        kept: take.verdict.kept,
        open: open == Some(&take.file),
        heard: heard == Some(&take.file),
    }
}
