//! MusicXML 4.0 (W3C Music Notation Community Group), plain and compressed, out and in.
//!
//! Out goes the two-hand part as it is played, on a grand staff ([`write()`], [`write_compressed`]); in come lead sheets
//! ([`read`]), whose chords become numbers.

mod about;
mod attributes;
mod barline;
mod container;
mod direction;
mod endings;
mod form;
mod harmony;
mod kind;
mod layout;
mod measure;
mod merge;
mod note;
mod own;
mod read;
mod symbol;
mod tree;
mod value;
mod words;
mod write;
mod xml;

pub use read::{looks_like, read};
pub use write::{write, write_compressed};
