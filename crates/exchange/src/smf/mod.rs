//! Standard MIDI files (Standard MIDI Files 1.0, MIDI Manufacturers Association).

mod bars;
mod chart;
mod file;
mod grid;
mod mark;
mod notes;
mod outline;
mod part;
mod read;
mod tempo_map;
mod write;

pub use chart::chart;
pub use file::{MidiFile, MidiNote};
pub use grid::in_note_values;
pub use notes::notes_part;
pub use part::write_part;
pub use read::{looks_like_midi, read_midi};
pub use write::write_take;
