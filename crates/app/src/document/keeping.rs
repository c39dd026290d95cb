//! The text and its file: what is in it, what is on its way there, and what happens when another program writes into it.

use super::{Document, Job, Source, Step};
use crate::storage::{SongText, Unsaved};

/// Both wrote something else at one place: the player has to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Clash {
    /// What is in the file.
    pub theirs: String,
    /// Where both say something else, in a player's words.
    pub places: Vec<String>,
}

/// What came of another text in the file.
#[derive(Clone, Debug)]
pub enum Found {
    /// Nothing that was not known.
    Known,
    /// Nothing was unsaved here: the text of the file goes on, one step further.
    Taken(Job),
    /// What was done on both sides is put together, one step further; it is still to be written.
    Merged(Job),
    /// Both wrote at one place: nothing is written until the player chose.
    Asked,
}

/// What is known of the file.
#[derive(Clone, Debug, Default)]
pub(super) struct Keeping {
    /// What is in it.
    base: Option<String>,
    /// What is on its way there, by the numbers of the orders.
    asked: Vec<(u64, String)>,
    orders: u64,
    written: bool,
    clash: Option<Clash>,
    /// What was last kept beside the file while the player is asked.
    held: Option<String>,
    /// The text is one that was written here, not one that another program left.
    pub own: bool,
}

impl Keeping {
    /// Of a file that was read.
    pub fn of(base: Option<String>) -> Keeping {
        Keeping { base, ..Keeping::default() }
    }
}

/// The name of a step that another program made.
const OUTSIDE: &str = "a change outside the program";

impl Document {
    /// What is to be written now, if anything: the text as it is, unless it is in the file or on its way. While the player
    /// is asked it is only kept safe.
    pub fn to_write(&mut self) -> Option<SongText> {
        let Source::File(path) = &self.source else { return None };
        let text = self.draft.as_ref()?.text();
        let keeping = &mut self.keeping;
        let held = keeping.clash.is_some();
        let known = if held {
            keeping.held.as_deref()
        } else {
            keeping.asked.last().map(|(_, text)| text.as_str()).or(keeping.base.as_deref())
        };
        if known == Some(text) {
            return None;
        }
        keeping.orders += 1;
        let song = SongText {
            path: path.clone(),
            was: keeping.base.clone(),
            text: text.to_owned(),
            number: keeping.orders,
            held,
        };
        if held {
            keeping.held = Some(song.text.clone());
        } else {
            keeping.asked.push((song.number, song.text.clone()));
        }
        Some(song)
    }

    /// The song goes on in another file, which is still to be written: its own is to stay as it is.
    pub fn goes_on_in(&mut self, path: std::path::PathBuf) {
        self.source = Source::File(path);
        let (own, orders) = (self.keeping.own, self.keeping.orders);
        self.keeping = Keeping { own, orders, ..Keeping::default() };
    }

    /// Its file went to another place, with what is in it and on its way there; so did what was done to a song that was
    /// open before.
    pub fn moved(&mut self, from: &std::path::Path, to: std::path::PathBuf) -> Option<Job> {
        let was = Source::File(from.to_owned());
        for (source, _) in &mut self.shelf {
            if *source == was {
                *source = Source::File(to.clone());
            }
        }
        if self.source != was {
            return None;
        }
        self.source = Source::File(to);
        self.unreadable = None;
        Some(self.next_job())
    }

    /// Something was written into its file since it was opened.
    pub fn was_written(&self) -> bool {
        self.keeping.written
    }

    /// A text arrived in its file.
    pub fn written(&mut self, song: &SongText) {
        if self.source == Source::File(song.path.clone()) {
            self.keeping.asked.retain(|(number, _)| *number > song.number);
            self.keeping.base = Some(song.text.clone());
            self.keeping.written = true;
        }
    }

    /// A text was not written, for another one is in the file.
    pub fn not_written(&mut self, song: &SongText) {
        self.keeping.asked.retain(|(number, _)| *number > song.number);
    }

    /// The file of the open song holds this text.
    pub fn found(&mut self, theirs: String) -> Found {
        let Some(draft) = &mut self.draft else { return Found::Known };
        self.unreadable = None;
        let keeping = &mut self.keeping;
        let on_its_way = keeping.asked.iter().any(|(_, text)| *text == theirs);
        if keeping.base.as_ref() == Some(&theirs) || on_its_way || draft.text() == theirs {
            if !on_its_way {
                keeping.base = Some(theirs);
                keeping.clash = None;
            }
            return Found::Known;
        }
        let mine = draft.text();
        let merged = song::merge(keeping.base.as_deref().unwrap_or_default(), mine, &theirs);
        match merged {
            Ok(both) => {
                let unsaved = both != theirs;
                keeping.own = unsaved && keeping.own;
                draft.replace(both, OUTSIDE);
                keeping.base = Some(theirs);
                keeping.asked.clear();
                keeping.clash = None;
                if unsaved { Found::Merged(self.next_job()) } else { Found::Taken(self.next_job()) }
            }
            Err(clash) => {
                keeping.asked.clear();
                keeping.held = None;
                keeping.clash = Some(Clash { theirs, places: clash.places });
                Found::Asked
            }
        }
    }

    /// What was written here on another evening and never came into the file.
    pub fn recover(&mut self, unsaved: Unsaved) -> Found {
        let Some(draft) = &mut self.draft else { return Found::Known };
        let theirs = draft.text().to_owned();
        if unsaved.text == theirs || self.keeping.base.as_ref() != Some(&theirs) {
            return Found::Known;
        }
        draft.replace(unsaved.text, "what was not in the file yet");
        self.keeping.base = unsaved.base.or(Some(String::new()));
        self.keeping.own = true;
        match self.found(theirs) {
            // The file is as it was when that was written; or the player is asked, and sees what is at stake.
            Found::Known | Found::Asked => Found::Merged(self.next_job()),
            other => other,
        }
    }

    /// What the player is asked, if anything.
    pub fn clash(&self) -> Option<&Clash> {
        self.keeping.clash.as_ref()
    }

    /// Mine is to be in the file; theirs stays among the versions. [`Document::to_write`] then has it.
    pub fn keep_mine(&mut self) {
        if let Some(clash) = self.keeping.clash.take() {
            self.keeping.base = Some(clash.theirs);
            self.keeping.held = None;
        }
    }

    /// Theirs goes on, as a step that undo takes back; gives mine, which stays among the versions.
    pub fn take_theirs(&mut self) -> Option<(String, Step)> {
        let clash = self.keeping.clash.take()?;
        let draft = self.draft.as_mut()?;
        let was = draft.text().to_owned();
        draft.replace(clash.theirs.clone(), "the text of the file");
        self.keeping.base = Some(clash.theirs.clone());
        self.keeping.held = None;
        let step = Step { name: "the text of the file".to_owned(), was: was.clone(), text: clash.theirs };
        Some((was, step))
    }

    /// The file is gone and is to be written anew, at the place where it was.
    pub fn write_anew(&mut self) {
        self.keeping.base = None;
        self.keeping.asked.clear();
    }

    /// An earlier version in place of the text, as a step that undo takes back.
    pub fn bring_back(&mut self, text: String, when: &str) -> Option<Step> {
        let draft = self.draft.as_mut()?;
        let (was, name) = (draft.text().to_owned(), format!("the version of {when}"));
        draft.replace(text.clone(), &name);
        Some(Step { name, was, text })
    }
}

#[cfg(test)]
#[path = "keeping_tests.rs"]
mod tests;
