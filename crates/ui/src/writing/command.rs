//! What the page of writing can ask for.

use super::{Chosen, NewLine, WritingView};
use song::edit::Change;

/// What the page of writing asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum WritingCommand {
    /// Edits of the song as one step; typing in one place goes on being one step.
    Change(Vec<Change>),
    /// Another place is chosen. What is typed from then on is a step of its own.
    Choose(Chosen),
    /// A line is typed anew here, or no longer.
    Line(Option<NewLine>),
    /// Bars are copied, with what is said about them.
    Copy {
        /// Their section.
        section: usize,
        /// The first.
        from: u32,
        /// The one behind the last.
        to: u32,
    },
    /// Bars once more behind themselves, with what is said about them.
    Double {
        /// Their section.
        section: usize,
        /// The first.
        from: u32,
        /// The one behind the last.
        to: u32,
    },
    /// Text of bars or of a whole chart is put in.
    Paste {
        /// The section.
        section: usize,
        /// In front of this bar.
        at: u32,
        /// What is pasted.
        text: String,
    },
    /// The chart that was pasted last is in this key, or in the one it was read in.
    KeyOfPasted(Option<theory::Key>),
    /// A new song from one of [`song::forms::FORMS`], by its place there.
    New(usize),
    /// The song goes on as a copy of itself, and what it was stays.
    Duplicate,
    /// Something is to be said.
    Tell(String),
    /// Listen from the chosen bar on.
    Hear,
    /// Listen to a place once, and no further.
    HearPlace(song::edit::Place),
    /// What is looked for, or nothing any more.
    Find(Option<String>),
    /// What the side column asks for of itself.
    Side(super::SideCommand),
}

impl WritingView {
    /// Carries out what concerns the view alone.
    pub(crate) fn apply(&mut self, command: &WritingCommand) {
        match command {
            WritingCommand::Choose(chosen) => (self.chosen, self.line) = (*chosen, None),
            WritingCommand::Line(line) => self.line = *line,
            WritingCommand::Find(find) => self.find.clone_from(find),
            WritingCommand::Side(command) => self.side.apply(command),
            _ => {}
        }
    }
}
