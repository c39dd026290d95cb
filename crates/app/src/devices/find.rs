//! What devices there are, without opening any.

use std::path::PathBuf;

use super::{banks, midi_in, outputs};

/// Devices by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// MIDI inputs, by the names that settings remember.
    pub midi_inputs: Vec<String>,
    /// Frames a second and channels of the system's own sound output, if there is one.
    pub system_output: Option<(u32, u16)>,
    /// Sound outputs beside the system's own, by the names that settings remember.
    pub sound_outputs: Vec<String>,
    /// SoundFont 2 banks in the usual folders.
    pub banks: Vec<PathBuf>,
}

/// Looks for devices, now; where there are none, or no system for them, the lists are empty.
pub fn find() -> Found {
    Found {
        midi_inputs: midi_in::input_names(),
        system_output: outputs::system_output(),
        sound_outputs: outputs::output_names(),
        banks: banks::find_banks(),
    }
}
