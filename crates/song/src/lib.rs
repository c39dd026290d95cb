//! The song file: reading with places, all mistakes at once, saving with its layout; and the song unfolded into the
//! bars as they are played.
//!
//! Conventions: bars, sections and slots are indexed from 0; passes and the numbers a musician writes count from 1.
//! Musical time is exact, in quarter notes ([`Quarters`]).
//!
//! This crate does not choose voicings and knows nothing of milliseconds, files or devices.
#![forbid(unsafe_code)]

mod hands;
mod model;
mod played;
mod time;

pub use hands::{Figure, FigureNote, FigurePlace, FigureSign, HandStyle, Hold, LeftShape, Restart, Tones};
pub use model::*;
pub use played::{PlayedBar, PlayedSong, Slot, SlotKind, SlotSource};
pub use time::{Beat, Feel, Meter, Quarters, Tempo};
