//! Changes of the song's text: each is a step that can be undone to the byte.

use super::{Document, Job, Source};
use song::edit::{Change, EditError};
use std::path::PathBuf;

/// A change of the text that is still to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What was done, in a word.
    pub name: String,
    /// The text before it.
    pub was: String,
    /// The text now.
    pub text: String,
}

impl Document {
    /// Makes edits as one step. Nothing is read or written yet: [`Document::written_to`] says where to.
    ///
    /// # Errors
    /// The first that cannot be made; nothing is changed then.
    pub fn edit(&mut self, changes: &[Change], name: &str) -> Result<Option<Step>, EditError> {
        let Some(draft) = &mut self.draft else { return Ok(None) };
        let was = draft.text().to_owned();
        draft.apply_all(changes, name)?;
        Ok(Some(Step { name: name.to_owned(), was, text: draft.text().to_owned() }))
    }

    /// Takes the last step back.
    pub fn undo(&mut self) -> Option<Step> {
        self.walk(song::edit::Draft::undo)
    }

    /// Makes the step taken back again.
    pub fn redo(&mut self) -> Option<Step> {
        self.walk(song::edit::Draft::redo)
    }

    fn walk(&mut self, way: impl FnOnce(&mut song::edit::Draft) -> Option<String>) -> Option<Step> {
        let draft = self.draft.as_mut()?;
        let was = draft.text().to_owned();
        let name = way(draft)?;
        Some(Step { name, was, text: draft.text().to_owned() })
    }

    /// The text is on its way to a file: it is read and planned from memory until [`Document::written`].
    pub fn written_to(&mut self, path: PathBuf) -> Job {
        self.source = Source::File(path);
        self.writing += 1;
        self.generation += 1;
        self.job()
    }

    /// One text arrived in its file, or could not.
    pub fn written(&mut self) {
        self.writing = self.writing.saturating_sub(1);
    }

    /// The text as it is now, if the song has been read.
    pub fn text(&self) -> Option<&str> {
        self.draft.as_ref().map(song::edit::Draft::text)
    }

    /// What undo would take back.
    pub fn can_undo(&self) -> Option<&str> {
        self.draft.as_ref()?.can_undo()
    }

    /// What redo would do again.
    pub fn can_redo(&self) -> Option<&str> {
        self.draft.as_ref()?.can_redo()
    }
}
