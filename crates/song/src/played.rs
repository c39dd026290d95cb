//! The song unfolded: every bar as it is played, in order.

use crate::{Beat, Feel, HandStyle, Meter, Quarters};
use theory::{Chord, Key};

/// The song as it is played, bar after bar.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedSong {
    /// The title.
    pub title: String,
    /// The key it is in: as written, or that of the night.
    pub key: Key,
    /// The key it is written in. [`PlayedSong::moved_by`] is the way from there.
    pub written_key: Key,
    /// How full the song as a whole is played, 1 to 5: its own level, or 3. Sections may have others.
    pub level: u8,
    /// The sections as written, by name; `PlayedBar::section` indexes them.
    pub sections: Vec<String>,
    /// What the coach says about the whole song.
    pub note: Option<String>,
    /// What the coach says about each section; as many as `sections`.
    pub words: Vec<SectionWords>,
    /// All bars in playing order.
    pub bars: Vec<PlayedBar>,
}

/// Words that belong to a whole section.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct SectionWords {
    /// Free text.
    pub note: Option<String>,
    /// Words to listen for.
    pub cue: Option<String>,
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
    /// For a bar that an exception put in: the written bar, from 0, whose place it takes, if it takes one.
    pub in_place_of: Option<u32>,
    /// Index of the printed row (line of `bars`) it stands in, from 0. A bar put in stands in the row of the bar
    /// it takes the place of.
    pub row: u32,
    /// Whether an exception changes anything about it in this pass.
    pub differs: bool,
    /// Its meter.
    pub meter: Meter,
    /// Whether the meter is written in front of this bar alone.
    pub own_meter: bool,
    /// What is counted.
    pub beat: Beat,
    /// Into how many parts a click divides the beat, where the music asks for other parts than the beat has of itself.
    pub beat_parts: Option<std::num::NonZeroU8>,
    /// Quarters a minute.
    pub quarters_per_minute: f64,
    /// The key its numbers are read in.
    pub key: Key,
    /// That key as the song is written, before it was moved to the key of the night.
    pub written_key: Key,
    /// The bar as the chart writes it, `3/4: 1.. 5.`; for `%` the bar it repeats. With section and meter it tells
    /// the bar apart from others.
    pub text: String,
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
    /// The coach's words for this bar in this pass; those of the section are in [`PlayedSong::words`].
    pub note: Option<String>,
    /// Words to listen for in this bar in this pass.
    pub cue: Option<String>,
}

impl PlayedBar {
    /// How early a push comes: an eighth, as the bar's feel has it. The second eighth of a swung quarter falls on the last
    /// third of it.
    pub fn push(&self) -> Quarters {
        if self.is_swung() { Quarters::new(1, 3) } else { Quarters::EIGHTH }
    }

    /// Whether its eighths go two to one: it asks for swing, and its beats are quarters or halves.
    pub fn is_swung(&self) -> bool {
        self.feel == Feel::Swing && self.meter.lower() <= 4
    }
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
    /// Bytes of the song file: start and end. For a bar repeated with `%`, that sign.
    pub span: (usize, usize),
}

/// What stands in a slot.
#[derive(Clone, Debug, PartialEq)]
pub enum SlotKind {
    /// A chord.
    Chord {
        /// The chord in the key of its bar.
        chord: Chord,
        /// Struck an eighth early.
        push: bool,
        /// Struck once and left to ring.
        diamond: bool,
    },
    /// `~`: what sounded goes on; nothing is struck.
    Tie {
        /// What goes on, in the key that it was read in.
        sounding: Chord,
    },
    /// `N`.
    Rest,
}

/// A part of a bar with one chord, tie or rest.
///
/// Where an exception with a `beat` begins in the middle of a chord, the chord is two slots: the second has
/// `continued` set and the same source, and is no new chord to the eye; hands whose keys do not change go on.
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
    /// The chord as written, without dots and marks; for `~` the chord that sounds on; `N` for a rest.
    pub symbol: String,
    /// The chord of the slot before goes on, in another manner.
    pub continued: bool,
    /// How the right hand plays it.
    pub right: HandStyle,
    /// How the left hand plays it.
    pub left: HandStyle,
    /// Where it was written.
    pub source: SlotSource,
}
