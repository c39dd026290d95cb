//! Everything a frame shows, by reference. Views read it and change nothing.

use crate::Files;
use crate::{Choices, Devices, Sheet, TakeEntry, TapView, ViewState, Writing};
use practice::{Lap, SessionView};
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
    /// The name of the song file.
    pub file: &'a str,
    /// Mistakes and warnings of it as it is on disk now.
    pub diagnostics: &'a [song::Diagnostic],
    /// What the player is doing.
    pub session: &'a SessionView,
    /// The passes that the results are of: those of the last run, or a take that was opened.
    pub laps: &'a [Lap],
    /// The takes there are, those of one song together.
    pub takes: &'a [TakeEntry],
    /// Which of them is open, if the results are not those of the last run: its name.
    pub take: Option<&'a str>,
    /// The place in the song, in quarters, that a take which is heard again has come to.
    pub replay: Option<f64>,
    /// Other ways to hold the chord in hand.
    pub choices: &'a Choices,
    /// The song as it is written, on [`crate::Page::Writing`].
    pub writing: Option<&'a Writing>,
    /// The song's file: earlier versions, and what the player is to decide.
    pub files: &'a Files,
    /// The sheet to print, on [`crate::Page::Paper`].
    pub paper: &'a crate::Paper,
    /// What is practised, and how ready the song is.
    pub practice: &'a crate::Practice,
    /// Taps to a click and to a light.
    pub taps: &'a TapView,
    /// MIDI and sound.
    pub devices: &'a Devices,
    /// Songs there are to open.
    pub songs: &'a [SongEntry],
    /// The player's reach and keyboard.
    pub settings: &'a Settings,
    /// What is shown.
    pub view: &'a ViewState,
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
    /// Put aside by the player.
    Aside,
}
