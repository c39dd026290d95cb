//! What devices there are, without opening any.

use super::{midi_in, stream};

/// Devices by name.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// MIDI inputs, by the names that settings remember.
    pub midi_inputs: Vec<String>,
    /// Sound outputs, by the names that the system gives them.
    pub sound_outputs: Vec<String>,
}

/// Looks for devices, now; where there are none, or no system for them, the lists are empty.
pub fn find() -> Found {
    Found { midi_inputs: midi_in::input_names(), sound_outputs: stream::output_names() }
}
