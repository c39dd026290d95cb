//! The takes as the window has them: the list, the one that is open, the one that is heard.

use super::take_file::Opened;
use crate::storage::SavedTake;
use practice::Lap;
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
        let entry = |take: &SavedTake| entry(take, open, self.heard.as_deref());
        self.entries = self.saved.iter().map(entry).collect();
    }
}

fn entry(take: &SavedTake, open: Option<&Path>, heard: Option<&Path>) -> TakeEntry {
    TakeEntry {
        song: take.verdict.song.clone(),
        when: take.verdict.when(),
        how: take.verdict.how(),
        result: take.verdict.result(),
        kept: take.verdict.kept,
        open: open == Some(&take.file),
        heard: heard == Some(&take.file),
    }
}
