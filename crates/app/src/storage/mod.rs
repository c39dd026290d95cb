//! Files: where they lie, written whole or not at all.

mod atomic;
mod demo;
mod places;
mod settings;
mod song_file;
mod takes;
mod verdict;

pub use atomic::write_whole;
pub use demo::{DEMOS, Demo};
pub use places::Places;
pub use settings::{
    Between, Click, ClickBars, Instrument, Keyboard, Labels, Loaded, MOST_DELAY_MS, Midi, Room, Settings,
    Theme, Touch,
};
pub use song_file::{SongText, free_path, may_be_written, write_song};
pub use takes::{SavedTake, delete_take, keep_take, list_takes, save_take};
pub use verdict::Verdict;
