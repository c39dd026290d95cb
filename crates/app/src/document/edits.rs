//! Changes of the song's text: each is a step that can be undone to the byte.

use super::{Document, Job};
use song::edit::{Change, EditError};

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
    /// Makes edits as one step. Nothing is read or written yet: [`Document::to_write`] says where to.
    ///
    /// # Errors
    /// The first that cannot be made; nothing is changed then.
    pub fn edit(&mut self, changes: &[Change], name: &str) -> Result<Option<Step>, EditError> {
        let Some(draft) = &mut self.draft else { return Ok(None) };
        let was = draft.text().to_owned();
        draft.apply_all(changes, name)?;
        Ok(Some(Step { name: name.to_owned(), was, text: draft.text().to_owned() }))
    }

    /// Makes edits as one step, named after the first; typing in one place goes on being one step.
    ///
    /// # Errors
    /// The first that cannot be made; nothing is changed then.
    pub fn change(&mut self, changes: &[Change]) -> Result<Option<Step>, EditError> {
        let Some(first) = changes.first() else { return Ok(None) };
        let Some(draft) = self.draft.as_mut().filter(|_| changes.len() == 1) else {
            return self.edit(changes, &first.name());
        };
        let was = draft.text().to_owned();
        draft.apply(first)?;
        Ok(Some(Step { name: first.name(), was, text: draft.text().to_owned() }))
    }

    /// What is typed from now on is a step of its own.
    pub fn pause(&mut self) {
        if let Some(draft) = &mut self.draft {
            draft.pause();
        }
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

    /// A step was made: the text is read and planned as it is here, whatever is in the file.
    pub fn stepped(&mut self) -> Job {
        self.keeping.own = true;
        self.next_job()
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
