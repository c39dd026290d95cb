//! The document: the song that is open, its part, and what is wrong with it.

mod edits;
mod reader;
mod source;

pub use edits::Step;
pub use reader::{Job, Outcome, Planned, Reader, Report, run};
pub use source::Source;

use std::sync::Arc;
use theory::Key;
use voicing::{Part, Settings};

/// The song that is open. It changes in [`Document::apply`] alone; what has to be read and planned then comes back from
/// another thread with the generation it was asked for, and what is stale by then is dropped.
#[derive(Clone, Debug)]
pub struct Document {
    source: Source,
    key: Option<Key>,
    player: Settings,
    generation: u64,
    planned: Option<Planned>,
    diagnostics: Vec<song::Diagnostic>,
    trouble: Option<String>,
    /// The text with all that was done to it, once it has been read.
    draft: Option<song::edit::Draft>,
    /// So many texts are on their way to the file; what is there meanwhile is older than the draft.
    writing: u32,
}

/// What can happen to the document.
#[derive(Clone, Debug)]
pub enum Change {
    /// Another song is opened.
    Open(Source),
    /// It is to be played in another key.
    Key(Key),
    /// Another player: reach or keyboard.
    Player(Settings),
    /// The file changed on disk.
    OnDisk,
    /// What was asked for has been read and planned.
    Read(Outcome),
}

impl Document {
    /// A document and the first job for the reader.
    pub fn new(source: Source, player: Settings) -> (Document, Job) {
        let document = Document {
            source,
            key: None,
            player,
            generation: 1,
            planned: None,
            diagnostics: Vec::new(),
            trouble: None,
            draft: None,
            writing: 0,
        };
        let job = document.job();
        (document, job)
    }

    /// Carries out a change; gives the job for the reader, if there is one.
    pub fn apply(&mut self, change: Change) -> Option<Job> {
        match change {
            Change::Open(source) => {
                let same = self.source == source;
                self.source = source;
                if !same {
                    self.key = None;
                    self.planned = None;
                    self.diagnostics.clear();
                    self.draft = None;
                    self.writing = 0;
                }
            }
            Change::Key(key) => self.key = Some(key),
            Change::Player(player) => self.player = player,
            Change::OnDisk if self.writing > 0 => return None,
            Change::OnDisk => {}
            Change::Read(outcome) => {
                self.take_in(outcome);
                return None;
            }
        }
        self.generation += 1;
        Some(self.job())
    }

    fn take_in(&mut self, outcome: Outcome) {
        if outcome.generation != self.generation {
            return;
        }
        match (&mut self.draft, outcome.text) {
            (Some(draft), Some(text)) if draft.text() != &*text => {
                draft.replace(text.to_string(), "a change outside the program");
            }
            (None, Some(text)) => self.draft = Some(song::edit::Draft::new(text.to_string())),
            _ => {}
        }
        self.diagnostics = outcome.diagnostics;
        self.trouble = outcome.trouble;
        if let Some(planned) = outcome.planned {
            self.planned = Some(planned);
        }
    }

    fn job(&self) -> Job {
        let text = self.draft.as_ref().filter(|_| self.writing > 0).map(|draft| Arc::from(draft.text()));
        Job {
            generation: self.generation,
            source: self.source.clone(),
            text,
            key: self.key,
            player: self.player,
        }
    }

    /// Where it comes from.
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// The last good part.
    pub fn part(&self) -> Option<&Arc<Part>> {
        self.planned.as_ref().map(|planned| &planned.part)
    }

    /// The song it was planned from, in its written key.
    pub fn song(&self) -> Option<&Arc<song::PlayedSong>> {
        self.planned.as_ref().map(|planned| &planned.song)
    }

    /// That part arranged as a page.
    pub fn sheet(&self) -> Option<&ui::Sheet> {
        self.planned.as_ref().map(|planned| &*planned.sheet)
    }

    /// The key the song is written in.
    pub fn written_key(&self) -> Option<Key> {
        self.planned.as_ref().map(|planned| planned.written_key)
    }

    /// Mistakes and warnings of the file as it is now.
    pub fn diagnostics(&self) -> &[song::Diagnostic] {
        &self.diagnostics
    }

    /// Why the file could not be opened.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// For which player it is planned.
    pub fn player(&self) -> &Settings {
        &self.player
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::DEMOS;

    fn demo() -> (Document, Job) {
        Document::new(Source::Demo(DEMOS[0]), Settings::default())
    }

    #[test]
    fn a_part_that_was_asked_for_before_the_last_change_is_dropped() {
        let (mut document, first) = demo();
        let second = document.apply(Change::Key("Eb major".parse().unwrap())).unwrap();
        document.apply(Change::Read(run(&second)));
        document.apply(Change::Read(run(&first)));
        assert_eq!(document.part().unwrap().key.to_string(), "Eb major");
        assert_eq!(document.written_key().unwrap().to_string(), "D major");
    }

    #[test]
    fn a_mistake_keeps_the_last_good_part() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.json");
        std::fs::write(&path, DEMOS[0].text).unwrap();
        let (mut document, job) = Document::new(Source::File(path.clone()), Settings::default());
        document.apply(Change::Read(run(&job)));
        let good = document.part().unwrap().clone();
        std::fs::write(&path, DEMOS[0].text.replace("\"D major\"", "\"H major\"")).unwrap();
        let job = document.apply(Change::OnDisk).unwrap();
        document.apply(Change::Read(run(&job)));
        assert_eq!(document.part(), Some(&good));
        assert!(document.diagnostics().iter().any(song::Diagnostic::is_error));
        std::fs::remove_file(&path).unwrap();
        let job = document.apply(Change::OnDisk).unwrap();
        document.apply(Change::Read(run(&job)));
        assert_eq!(document.part(), Some(&good));
        assert!(document.trouble().is_some());
    }

    #[test]
    fn another_song_starts_in_its_own_key() {
        let (mut document, _) = demo();
        document.apply(Change::Key("Eb major".parse().unwrap()));
        let job = document.apply(Change::Open(Source::Demo(DEMOS[1]))).unwrap();
        assert_eq!(job.key, None);
        assert!(document.part().is_none());
    }
}
