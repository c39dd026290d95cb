//! Edits of a song's text: one plain value each, undone to the byte.
//!
//! A file written by hand keeps its layout and the order of its fields: what an edit does not mean to change stays as it
//! is, and what it puts in is laid out like its neighbours. Songs with mistakes can be edited as long as they are JSON.
//!
//! ```
//! use song::edit::{Change, apply};
//! let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "sections": [
//!   { "name": "Verse", "passes": 2, "bars": ["1 | 4 | 5"], "except": [ { "pass": 2, "bar": 3, "bars": "6" } ] } ] }"#;
//! let edited = apply(text, &Change::InsertBars { section: 0, at: 1, text: "2".into() }).unwrap();
//! assert!(edited.text.contains(r#""bars": ["1 | 2 | 4 | 5"], "except": [ { "pass": 2, "bar": 4, "bars": "6" } ]"#));
//! assert_eq!(edited.undo.apply(&edited.text), text);
//! ```
//!
//! This module does not read the song: an edit may leave a mistake in it, which [`crate::read`] tells.

pub(crate) mod align;
mod bars;
mod change;
mod clip;
mod document;
mod error;
mod exceptions;
mod goals;
mod history;
mod layout;
mod name;
mod pin;
mod renumber;
mod rows;
mod said;
mod sections;
mod selection;
mod settings;
pub(crate) mod tree;

pub use change::{Change, Field, HandField, Place};
pub use clip::Clip;
pub use error::EditError;
pub use history::Draft;
pub use pin::{Scope, pin, place_of};
pub use said::{Said, exceptions_about, said};

use crate::Edit;
use document::Document;

/// A text after an edit, and the way there and back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edited {
    /// The new text.
    pub text: String,
    /// What was done to the old text, in bytes.
    pub done: Edit,
    /// What makes the old text of the new one, byte for byte.
    pub undo: Edit,
}

impl Edited {
    /// The way from one text to another, and back.
    ///
    /// ```
    /// let edited = song::edit::Edited::between("1 | 4", "1 | 5 | 4".into());
    /// assert_eq!(edited.done, song::Edit { span: (4, 4), text: "5 | ".into() });
    /// assert_eq!(edited.undo.apply(&edited.text), "1 | 4");
    /// ```
    pub fn between(old: &str, text: String) -> Edited {
        let ahead: usize =
            old.chars().zip(text.chars()).take_while(|(a, b)| a == b).map(|(a, _)| a.len_utf8()).sum();
        let (rest, new) = (&old[ahead..], &text[ahead..]);
        let behind = rest.chars().rev().zip(new.chars().rev()).take_while(|(a, b)| a == b);
        let behind: usize = behind.map(|(a, _)| a.len_utf8()).sum();
        let (gone, put_in) = (&rest[..rest.len() - behind], &new[..new.len() - behind]);
        let done = Edit { span: (ahead, ahead + gone.len()), text: put_in.into() };
        let undo = Edit { span: (ahead, ahead + put_in.len()), text: gone.into() };
        Edited { text, done, undo }
    }
}

/// Makes an edit.
///
/// # Errors
/// What cannot be done, in words for the player; the text is then as it was.
pub fn apply(text: &str, change: &Change) -> Result<Edited, EditError> {
    apply_all(text, std::slice::from_ref(change))
}

/// Makes several edits in one step; all or none.
///
/// # Errors
/// The first that cannot be done.
pub fn apply_all(text: &str, changes: &[Change]) -> Result<Edited, EditError> {
    let mut document = Document::parse(text)?;
    for change in changes {
        make(&mut document, change)?;
    }
    Ok(Edited::between(text, document.print()))
}

fn make(document: &mut Document, change: &Change) -> Result<(), EditError> {
    match change {
        Change::Row { section, row, text } => bars::set_row(document, *section, *row, text),
        Change::InsertRow { section, row, text } => bars::insert_row(document, *section, *row, text),
        Change::RemoveRow { section, row } => bars::remove_row(document, *section, *row),
        Change::BreakRow { section, bar } => bars::break_row(document, *section, *bar),
        Change::JoinRow { section, row } => bars::join_row(document, *section, *row),
        Change::Bar { section, bar, pass: None, text } => bars::set_bar(document, *section, *bar, text),
        Change::Bar { section, bar, pass: Some(pass), text } => {
            exceptions::set_bar(document, *section, *bar, *pass, text)
        }
        Change::PutIn { section, exception, text } => {
            exceptions::set_put_in(document, *section, *exception, text)
        }
        Change::InsertBars { section, at, text } => bars::insert(document, *section, *at, text),
        Change::PasteBars { section, at, clip } => clip::paste(document, *section, *at, clip),
        Change::RemoveBars { section, from, to } => bars::remove(document, *section, *from, *to),
        Change::MoveBars { section, from, to, into, at } => {
            bars::carry(document, (*section, *from, *to), (*into, *at))
        }
        Change::InsertSection { at, name, rows } => sections::insert(document, *at, name, rows),
        Change::LikeSection { section, name } => sections::like(document, *section, name),
        Change::CopySection { section, name } => sections::copy(document, *section, name),
        Change::OwnBars { section } => sections::own(document, *section),
        Change::RemoveSection { section } => sections::remove(document, *section),
        Change::MoveSection { section, to } => sections::carry(document, *section, *to),
        Change::RenameSection { section, name } => sections::rename(document, *section, name),
        Change::Order(order) => sections::set_order(document, order.as_deref()),
        Change::Field { place, field } => settings::set_field(document, *place, field),
        Change::Hand { place, hand, field } => settings::set_hand(document, *place, *hand, field),
        Change::RemoveException { section, exception } => {
            exceptions::remove(document.section_mut(*section)?, *exception)
        }
        Change::Goal { at, goal } => goals::set(document, *at, goal.as_ref()),
    }
}
