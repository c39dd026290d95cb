//! From bars with chords, as other programs write them, to a song in numbers.

mod bar;
mod blocks;
mod build;
mod fold;

pub(crate) use build::imported;

use song::letters::LetterChord;
use song::{Feel, Meter, Quarters};
use theory::Key;

/// What one chord symbol says.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Symbol {
    /// The chord; `None` where there is to be none.
    pub chord: Option<LetterChord>,
    /// What of it the song format cannot say, as a sentence.
    pub unsaid: Option<String>,
    /// It is struck an eighth early; it is struck once and left to ring.
    pub push: bool,
    pub diamond: bool,
}

/// What a coach says, where the file tells it from other words.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Coach {
    /// About the section that begins with a bar.
    pub section_note: Option<String>,
    pub section_cue: Option<String>,
    /// What to listen for in the bar.
    pub cue: Option<String>,
}

/// A bar as written.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SheetBar {
    /// How long it is.
    pub length: Quarters,
    /// The meter it stands in; it may be shorter or longer.
    pub meter: Meter,
    pub key: Key,
    /// Quarters a minute.
    pub tempo: Option<f64>,
    pub feel: Feel,
    /// Its chords by place.
    pub harmony: Vec<(Quarters, Symbol)>,
    /// The section that begins with it.
    pub section: Option<String>,
    /// The pass that it is an ending for, where it begins one.
    pub ending: Option<u32>,
    /// Words that stand over it.
    pub words: Vec<String>,
    /// Chord symbols that are kept in these words alone.
    pub noted: usize,
    pub coach: Coach,
}

/// What was read, before it is put into numbers.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Sheet {
    pub title: String,
    /// Free text of the song.
    pub notes: Vec<String>,
    pub bars: Vec<SheetBar>,
    /// Bars in playing order.
    pub order: Vec<usize>,
    /// What was not understood.
    pub told: Vec<String>,
    /// This program wrote it: its words are the coach's, and need not be told.
    pub ours: bool,
}

/// A song read from another program's file.
///
/// ```
/// # fn bytes() -> Vec<u8> {
/// #     let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
/// #       "sections": [ { "name": "Intro", "bars": ["1 | 5/7 | 6 | 4"] } ] }"#;
/// #     let song = song::read(text).sound().unwrap().play();
/// #     let part = voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap();
/// #     exchange::musicxml::write(&part)
/// # }
/// let imported = exchange::musicxml::read(&bytes(), "a title where the file has none").unwrap();
/// assert_eq!(imported.song.sections[0].bars.as_ref().unwrap(), &["1 | 5/7 | 6 | 4"]);
/// assert_eq!((imported.figures.chords, imported.figures.simplified), (4, 0));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// The song, without mistakes. [`song::file::Song::to_text`] writes it.
    pub song: song::file::Song,
    /// What it could not place or say, each with its bar; the song keeps it as notes too.
    pub told: Vec<String>,
    /// How much came over.
    pub figures: Figures,
}

/// How much of a file came over, counted as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Figures {
    /// Bars.
    pub bars: usize,
    /// Bars in playing order.
    pub bars_played: usize,
    /// Chord symbols.
    pub chords: usize,
    /// Of these: moved, because several stood at one place, or between all beats.
    pub moved: usize,
    /// Of these: with a part that number charts cannot say.
    pub simplified: usize,
    /// Beside these: kept as notes alone, because another chord stands there, or the bar is never played.
    pub noted: usize,
}
