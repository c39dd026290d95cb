//! The song unfolded: every bar as it is played, in order.

use crate::{Beat, Feel, HandStyle, Meter, Quarters};
use theory::{Chord, Key};

/// The song as it is played, bar after bar.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedSong {
    /// The title.
    pub title: String,
    /// The key it is written in, or that of the night.
    pub key: Key,
    /// The sections as written, by name; `PlayedBar::section` indexes them.
    pub sections: Vec<String>,
    /// All bars in playing order.
    pub bars: Vec<PlayedBar>,
}

/// One bar as it is played.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedBar {
    /// Index of the section in [`PlayedSong::sections`].
    pub section: usize,
    /// Index in the song's order (the same section may come back).
    pub place: usize,
    /// The pass at this place, from 1, and of how many.
    pub pass: u32,
    /// How many passes this place has.
    pub passes: u32,
    /// The bar in the pass as played, from 1.
    pub bar_in_section: u32,
    /// The bar as written in the section, from 0, if it is not one that an exception put in.
    pub written_bar: Option<u32>,
    /// Index of the printed row (line of `bars`) it stands in, from 0.
    pub row: u32,
    /// Its meter.
    pub meter: Meter,
    /// Whether the meter is written in front of this bar alone.
    pub own_meter: bool,
    /// What is counted.
    pub beat: Beat,
    /// Quarters a minute.
    pub quarters_per_minute: f64,
    /// The key its numbers are read in.
    pub key: Key,
    /// Where it starts in the song.
    pub start: Quarters,
    /// What it holds, in order; the lengths add up to the bar.
    pub slots: Vec<Slot>,
    /// Straight or swung.
    pub feel: Feel,
    /// 1 to 5.
    pub level: u8,
    /// A bass player plays along.
    pub bass: bool,
    /// The part carries pedal marks.
    pub pedal: bool,
    /// The coach's words for it.
    pub note: Option<String>,
    /// Words to listen for.
    pub cue: Option<String>,
}

/// Where a slot was written, so that equal places are voiced alike and a note finds its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SlotSource {
    /// The section, of the song as written, whose text holds it.
    pub section: usize,
    /// The exception that wrote it, if one did (index in the section's list, inherited ones first).
    pub exception: Option<usize>,
    /// The bar in that text, from 0.
    pub bar: u32,
    /// The slot in that bar, from 0.
    pub slot: u32,
    /// Bytes of the song file: start and end.
    pub span: (usize, usize),
}

/// What stands in a slot.
#[derive(Clone, Debug, PartialEq)]
pub enum SlotKind {
    /// A chord; `push`: an eighth early; `diamond`: struck once, rings.
    Chord { chord: Chord, push: bool, diamond: bool },
    /// `~`: what sounded goes on, and what that is (with the key it was read in); nothing is struck.
    Tie { sounding: Chord },
    /// `N`.
    Rest,
}

/// A part of a bar with one chord, tie or rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Slot {
    /// Where it starts in the bar.
    pub start: Quarters,
    /// How long it is.
    pub length: Quarters,
    /// Dots written after it; 0 if none.
    pub dots: u8,
    /// What it is.
    pub kind: SlotKind,
    /// How the right hand plays it.
    pub right: HandStyle,
    /// How the left hand plays it.
    pub left: HandStyle,
    /// Where it was written.
    pub source: SlotSource,
}
