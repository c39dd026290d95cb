//! The two-hand part: which keys each hand takes at each chord, with which fingers, on which beat, and why.
//!
//! Conventions: shapes list their notes from the lowest up. Times are in quarter notes from the first bar line; a first
//! push lies below zero. Costs are whole numbers without unit; the table in [`Costs`] says what each is for.
//!
//! This crate knows no milliseconds and no devices.
#![forbid(unsafe_code)]

mod part;
mod reason;

pub use part::{Event, HeldNote, KeyRange, Part, PartBar, PartChord, Reach, Role, Settings, Shape};
pub use reason::{Claim, Reason};
