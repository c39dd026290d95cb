//! Files that go between programs: bytes in, values out, and back.
//!
//! Conventions: times read from a standard MIDI file are whole microseconds by the file's own tempo map
//! ([`practice::ChartTime`]); a track is a hand if its name has `right` or `left` in it, in any case.
//!
//! ```
//! use exchange::{read_midi, write_take};
//! use practice::{ChartTime, Hands, PlayedNote, Speed, Take};
//! let note = PlayedNote {
//!     at: ChartTime::from_ms(500.0), length: None, key: theory::MidiKey::MIDDLE_C, velocity: 80,
//! };
//! let take = Take::new(vec![note], Speed::FULL, Hands::Right, None);
//! let file = read_midi(&write_take(&take)).expect("what was written can be read");
//! assert_eq!(file.take().expect("it says that this program wrote it").notes[0].at, note.at);
//! ```
//!
//! This crate opens no files and knows no screens and no devices.
#![forbid(unsafe_code)]

mod chart;
mod error;
pub mod musicxml;
pub mod sheet;
mod smf;

pub use chart::{Figures, Imported};
pub use error::ExchangeError;
pub use smf::{
    MidiFile, MidiNote, chart as midi_chart, in_note_values, looks_like_midi, notes_part, read_midi,
    write_part, write_take,
};
