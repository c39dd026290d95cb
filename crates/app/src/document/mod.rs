//! The document: the song that is open, its part, and what is wrong with it.

mod edits;
mod identity;
mod keeping;
mod reader;
mod source;

pub use edits::Step;
pub use identity::new_identity;
pub use keeping::{Clash, Found};
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
    /// Why the file could not be read when it was looked at last.
    unreadable: Option<String>,
    /// The text with all that was done to it, once it has been read.
    draft: Option<song::edit::Draft>,
    /// What is known of the file.
    keeping: keeping::Keeping,
    /// What was done to songs that were open before: it can be undone as long as the window is open.
    shelf: Vec<(Source, song::edit::Draft)>,
    /// What is planned is all that can be had of a text with mistakes.
    in_part: bool,
    /// The text was read just now, for the first time since the song was opened.
    opened: bool,
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
    /// The file holds this now; nothing where it cannot be read as text.
    OnDisk(Option<String>),
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
            unreadable: None,
            draft: None,
            keeping: keeping::Keeping::default(),
            shelf: Vec::new(),
            in_part: false,
            opened: false,
        };
        let job = document.job();
        (document, job)
    }

    /// Carries out a change; gives the job for the reader, if there is one.
    pub fn apply(&mut self, change: Change) -> Option<Job> {
        match change {
            Change::Open(source) if self.source == source => {
                // Opened once more it is looked at once more.
                self.generation += 1;
                return Some(self.job_of_file());
            }
            Change::Open(source) => self.turn_to(source),
            Change::Key(key) => self.key = Some(key),
            Change::Player(player) => self.player = player,
            Change::OnDisk(Some(text)) if self.draft.is_some() => {
                return match self.found(text) {
                    Found::Taken(job) | Found::Merged(job) => Some(job),
                    Found::Known | Found::Asked => None,
                };
            }
            Change::OnDisk(_) => {
                self.generation += 1;
                return Some(self.job_of_file());
            }
            Change::Read(outcome) => return self.take_in(outcome),
        }
        Some(self.next_job())
    }

    fn turn_to(&mut self, source: Source) {
        let left = std::mem::replace(&mut self.source, source);
        if let Some(draft) = self.draft.take() {
            self.shelf.push((left, draft));
        }
        self.key = None;
        self.planned = None;
        self.in_part = false;
        self.diagnostics.clear();
        self.trouble = None;
        self.unreadable = None;
        self.keeping = keeping::Keeping::default();
    }

    fn take_in(&mut self, outcome: Outcome) -> Option<Job> {
        if outcome.generation != self.generation {
            return None;
        }
        match &outcome.text {
            None => self.unreadable = outcome.trouble,
            Some(_) => self.trouble = outcome.trouble,
        }
        if let (true, Some(draft), Some(text)) = (outcome.of_file, &self.draft, &outcome.text)
            && draft.text() != &**text
        {
            let job = self.apply(Change::OnDisk(Some(text.to_string())));
            // What was planned is what is in the file; here it is another.
            return job.or_else(|| Some(self.next_job()));
        }
        self.diagnostics = outcome.diagnostics;
        if let Some(planned) = outcome.planned {
            self.in_part = self.diagnostics.iter().any(song::Diagnostic::is_error);
            self.planned = Some(planned);
        }
        if let Some(text) = outcome.text.filter(|_| outcome.of_file && self.draft.is_none()) {
            self.begin(text.to_string());
        }
        None
    }

    /// The text of a song that was opened just now.
    fn begin(&mut self, text: String) {
        self.opened = true;
        self.keeping = keeping::Keeping::of(Some(text.clone()));
        let before = self.shelf.iter().position(|(source, _)| *source == self.source);
        let mut draft = before.map_or_else(Default::default, |at| self.shelf.remove(at).1);
        if before.is_none() {
            draft = song::edit::Draft::new(text).known_as(new_identity());
        } else if draft.text() != text {
            draft.replace(text, "a change outside the program");
        }
        self.draft = Some(draft);
    }

    fn next_job(&mut self) -> Job {
        self.generation += 1;
        self.job()
    }

    /// The song was opened and its text is here now: told once.
    pub fn was_opened(&mut self) -> bool {
        std::mem::take(&mut self.opened)
    }

    /// The text as it is here is read and planned; the file's own, as long as that was not read.
    fn job(&self) -> Job {
        let text = self.draft.as_ref().map(|draft| Arc::from(draft.text()));
        let job = self.job_of_file();
        Job { text, own: job.own || self.keeping.own, ..job }
    }

    /// The file is looked at, whatever the text is here.
    fn job_of_file(&self) -> Job {
        Job {
            generation: self.generation,
            source: self.source.clone(),
            text: None,
            // Without a part that was whole, as much of it as there is.
            own: self.planned.is_none() || self.in_part,
            key: self.key,
            player: self.player,
        }
    }

    /// The part is all that can be had of a text with mistakes, rather than that of an earlier one without.
    pub fn is_in_part(&self) -> bool {
        self.in_part
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
        self.unreadable.as_deref().or(self.trouble.as_deref())
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
        let job = document.apply(Change::OnDisk(Some(std::fs::read_to_string(&path).unwrap()))).unwrap();
        document.apply(Change::Read(run(&job)));
        assert_eq!(document.part(), Some(&good));
        assert!(document.diagnostics().iter().any(song::Diagnostic::is_error));
        std::fs::remove_file(&path).unwrap();
        let job = document.apply(Change::OnDisk(None)).unwrap();
        document.apply(Change::Read(run(&job)));
        assert_eq!(document.part(), Some(&good));
        assert!(document.trouble().is_some());
    }

    #[test]
    fn a_song_with_a_mistake_is_opened_as_far_as_it_goes() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.json");
        std::fs::write(&path, DEMOS[0].text.replace("1/4 | 1/5", "1/4 | 1/9")).unwrap();
        let (mut document, job) = Document::new(Source::File(path.clone()), Settings::default());
        document.apply(Change::Read(run(&job)));
        assert!(document.diagnostics().iter().any(song::Diagnostic::is_error));
        let bars = document.part().expect("the other bars").bars.len();
        assert!(document.is_in_part(), "and can be written in and pinned as it is");
        // It goes to another key like any other.
        let job = document.apply(Change::Key("Eb major".parse().unwrap())).unwrap();
        document.apply(Change::Read(run(&job)));
        assert_eq!(document.part().unwrap().key.to_string(), "Eb major");
        std::fs::write(&path, DEMOS[0].text).unwrap();
        let job = document.apply(Change::OnDisk(Some(DEMOS[0].text.to_owned()))).unwrap();
        document.apply(Change::Read(run(&job)));
        assert!(document.diagnostics().iter().all(|told| !told.is_error()));
        assert!(document.part().unwrap().bars.len() >= bars);
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
