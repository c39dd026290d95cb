//! What the window can say about the devices.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use sound::SampleRate;

/// A copy of the state of the devices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Status {
    /// Every MIDI input there is, and every chosen one that is missing.
    pub midi: Vec<MidiPort>,
    /// The sound device in use; nothing while everything runs silently.
    pub sound: Option<SoundStatus>,
    /// Every sound output there is beside the system's own, and the chosen one where it is missing.
    pub sound_outputs: Vec<SoundOutput>,
    /// One quiet line about MIDI, if there is anything to say.
    pub midi_message: Option<String>,
    /// One quiet line about sound, if there is anything to say.
    pub sound_message: Option<String>,
    /// The bank that plays, by its own name; nothing while it is the built-in piano.
    pub instrument: Option<String>,
    /// The names of the presets of the bank that plays, in the order of its file; none while it is the built-in piano.
    pub presets: Arc<[String]>,
    /// Which of them plays.
    pub preset: Option<usize>,
    /// SoundFont 2 banks in the usual folders, as of the last [`Devices::look`](super::Devices::look).
    pub banks: Arc<[PathBuf]>,
    /// One line about the instrument, if there is anything to say.
    pub instrument_message: Option<String>,
    /// Events that found a full ring since the start; note-offs are never among them.
    pub missed: u64,
}

impl Status {
    /// Whether any keyboard is being listened to.
    pub fn hears_a_keyboard(&self) -> bool {
        self.midi.iter().any(|port| port.open)
    }

    /// The messages that there are, MIDI first, then sound and the instrument.
    pub fn messages(&self) -> impl Iterator<Item = &str> {
        let all = self.midi_message.iter().chain(&self.sound_message).chain(&self.instrument_message);
        all.map(String::as_str)
    }
}

/// One MIDI input.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MidiPort {
    /// Its name, without the numbers that change each time it is plugged in: remember this.
    pub name: String,
    /// Whether the player wants to hear it.
    pub chosen: bool,
    /// Whether it is being listened to.
    pub open: bool,
}

/// One sound output that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SoundOutput {
    /// Its name: remember this.
    pub name: String,
    /// Whether the player wants this one; where none is chosen, it is the system's own.
    pub chosen: bool,
    /// Whether it plays. A chosen one that does not is missing, or cannot be opened.
    pub open: bool,
}

/// A sound device in use.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundStatus {
    /// Its name as the system gives it.
    pub name: String,
    /// Its sample rate.
    pub rate: SampleRate,
    /// Its channels: a single one gets both sides mixed; with more than two, sound goes to the first two and the others are
    /// silent.
    pub channels: u16,
    /// Frames in a block as asked for; nothing where the device chose by itself.
    pub buffer: Option<u32>,
}

/// Where the device threads write and the window reads.
pub(super) struct StatusBoard {
    status: Mutex<Status>,
    on_change: Box<dyn Fn() + Send + Sync>,
}

impl std::fmt::Debug for StatusBoard {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("StatusBoard").field("status", &self.status).finish_non_exhaustive()
    }
}

impl StatusBoard {
    pub(super) fn new(on_change: impl Fn() + Send + Sync + 'static) -> StatusBoard {
        StatusBoard { status: Mutex::default(), on_change: Box::new(on_change) }
    }

    pub(super) fn read(&self) -> Status {
        self.status.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Changes the status; tells the window only if it then differs.
    pub(super) fn change(&self, change: impl FnOnce(&mut Status)) {
        let changed = {
            let mut status = self.status.lock().unwrap_or_else(PoisonError::into_inner);
            let before = status.clone();
            change(&mut status);
            *status != before
        };
        if changed {
            (self.on_change)();
        }
    }
}
