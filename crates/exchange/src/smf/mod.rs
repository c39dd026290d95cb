//! Standard MIDI files (Standard MIDI Files 1.0, MIDI Manufacturers Association).

mod bars;
mod file;
mod mark;
mod read;
mod tempo_map;
mod write;

pub use file::{MidiFile, MidiNote};
pub use read::read_midi;
pub use write::write_take;
