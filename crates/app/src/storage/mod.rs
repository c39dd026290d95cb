//! Files: where they lie, written whole or not at all.

mod atomic;
mod calendar;
mod demo;
mod places;
mod practice_history;
mod practice_record;
mod practice_settings;
mod saving;
mod set_list;
mod settings;
mod song_file;
mod takes;
mod verdict;
mod versions;

pub use atomic::write_whole;
pub use calendar::{date_text, date_words, day_of, now, weekday_words};
pub use demo::{DEMOS, Demo};
pub use places::Places;
pub use practice_history::{History, Remembered};
pub use practice_record::to_document;
pub use practice_settings::{FeedbackWord, PracticeSettings, TriggerWord};
pub use saving::{SAVE_EVERY, Saved, Saving, TRY_EVERY};
pub use set_list::{SetList, SetSong, is_set, read_set, set_follows};
pub use settings::{
    Between, Click, ClickBars, Instrument, Keyboard, Labels, Loaded, MOST_DELAY_MS, Midi, Room, Settings,
    Theme, Touch,
};
pub use song_file::{SongText, free_path, free_path_of, may_be_written, read_song, read_within};
pub use takes::{SavedTake, delete_take, keep_take, list_takes, save_take, takes_follow};
pub use verdict::Verdict;
pub use versions::{Unsaved, Version, VersionKind, Versions};

#[cfg(test)]
pub use practice_record::tests::record as test_pass;
