//! The song file: reading with places, all mistakes at once, saving with its layout; and the song unfolded into the
//! bars as they are played. Songs are written with [`edit`] (every edit undone to the byte), [`typing`] (help in a row),
//! [`letters`] (chords by letter) and [`paste`] (charts that people send).
//!
//! ```
//! let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
//!   "sections": [ { "name": "Intro", "bars": ["3/4: 1.. 5. | 6"] } ] }"#;
//! let song = song::read(text).sound().unwrap();
//! let played = song.play();
//! assert_eq!(played.bars.len(), 2);
//! assert_eq!(played.bars[1].start, song::Quarters::new(3, 1));
//! ```
//!
//! Conventions: bars, sections and slots are indexed from 0; passes and the numbers a musician writes count from 1.
//! Musical time is exact, in quarter notes ([`Quarters`]). Places are bytes of the file ([`Span`]).
//!
//! This crate does not choose voicings and knows nothing of milliseconds, files or devices.
#![forbid(unsafe_code)]

mod chart;
mod check;
mod diagnostic;
pub mod edit;
mod exception;
mod figure;
pub mod file;
pub mod forms;
mod goal;
mod hands;
mod identity;
mod json;
pub mod letters;
pub mod limits;
mod merge;
mod model;
mod page;
pub mod paste;
mod play;
mod played;
mod read;
mod report;
mod save;
mod section_key;
mod selector;
mod song_place;
mod spanned;
mod time;
mod transpose;
pub mod typing;

pub use chart::{BarContent, ChartBar, ChartError, Item, ItemKind, parse_line, print_line};
pub use diagnostic::{Diagnostic, Reading, Severity, Span};
pub use exception::{Exception, PutIn};
pub use figure::FigureError;
pub use goal::{Day, Goal};
pub use hands::{
    ChordShape, Figure, FigureNote, FigurePlace, FigureSign, HandSettings, HandStyle, Hold, LeftShape,
    Restart, Tones, Written,
};
pub use identity::{Fingerprint, realign};
pub use merge::{Clash, difference, merge};
pub use model::{Row, Section, Settings, Song};
pub use page::PageSection;
pub use played::{PlayedBar, PlayedSong, SectionWords, Slot, SlotKind, SlotSource, Unlike};
pub use read::{read, read_bytes};
pub use save::{Edit, SaveError, Step, set_field, with_id};
pub use section_key::SectionKey;
pub use selector::{Choice, Selector};
pub use song_place::SongPlace;
pub use spanned::Spanned;
pub use time::{Beat, Feel, Meter, Quarters, Tempo};
pub use transpose::OtherMode;
