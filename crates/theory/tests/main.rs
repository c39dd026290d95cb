//! The crate against reference data (origin in `tests/reference/README.md` at the top), tables of the trade, and
//! properties that hold in every key.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise, helpers included")]

mod chord_names;
mod chords;
mod fingers;
mod keys;
mod mistakes;
mod modes;
mod notation;
mod pitches;
mod reference;
mod texts;
