//! Everything a frame shows, by reference. Views read it and change nothing.

use crate::{Sheet, ViewState};
use practice::SessionView;
use theory::Key;
use voicing::{Part, Settings};

/// Everything a frame shows.
#[derive(Clone, Copy, Debug)]
pub struct Model<'a> {
    /// The part of the song, in the key of the night, or on [`crate::Page::Room`] that of [`crate::exercise`]; `None`
    /// while it is being read and planned for the first time. After a mistake it is the last good one.
    pub part: Option<&'a Part>,
    /// The part arranged as a page, made with [`Sheet::new`] when the part changed.
    pub sheet: Option<&'a Sheet>,
    /// The key the song is written in, to tell it from that of the night.
    pub written_key: Option<Key>,
    /// Mistakes and warnings of the song file as it is on disk now.
    pub diagnostics: &'a [song::Diagnostic],
    /// What the player is doing.
    pub session: &'a SessionView,
    /// MIDI and sound.
    pub devices: &'a Devices,
    /// Songs there are to open.
    pub songs: &'a [SongEntry],
    /// The player's reach and keyboard.
    pub settings: &'a Settings,
    /// What is shown.
    pub view: &'a ViewState,
}

/// MIDI and sound as the player needs to know them.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Devices {
    /// The MIDI inputs found, by name.
    pub midi_ports: Vec<String>,
    /// The one that is listened to.
    pub midi_port: Option<String>,
    /// The sound device, if one is open.
    pub sound: Option<String>,
    /// How loud, 0 to 1.
    pub volume: f32,
    /// One quiet line: no MIDI, no sound, a lost device, a file that could not be saved.
    pub message: Option<String>,
}

/// A song that can be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SongEntry {
    /// Its title.
    pub title: String,
    /// Key, meter and tempo, or whatever else tells it from others, in a few words.
    pub detail: String,
    /// Where it comes from.
    pub kind: SongKind,
    /// Whether it is the one that is open.
    pub open: bool,
}

/// Where a song of the list comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SongKind {
    /// Comes with the program.
    Demo,
    /// Opened before.
    Recent,
}
