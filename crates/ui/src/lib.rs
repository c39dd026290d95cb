//! The window: every view and widget, on egui alone, so that window tests need no window.
//!
//! Conventions: views take a [`Model`] by reference and return [`Command`]s; they hold no state but what egui keeps
//! (focus, scrolling). Bars and slots count from 0 in the code and from 1 on the screen. The right hand is round, the
//! left hand square, wherever they are drawn. One scale, that of the window, sets all sizes.
//!
//! This crate opens no file and no device, asks no clock, and draws nothing while nothing changes.
//!
//! ```
//! use ui::{Command, Theme, ViewState};
//! let mut view = ViewState::default();
//! view.apply(&Command::Theme(Theme::Night));
//! assert_eq!(view.theme, Theme::Night);
//! ```
#![forbid(unsafe_code)]

mod ask;
mod bar_in_hand;
mod bar_names;
mod chart;
mod choice;
mod choice_keys;
mod choice_panel;
mod command;
mod controls;
mod devices;
mod early_late;
mod exercise;
mod exercise_chords;
mod exercise_part;
mod exercise_run;
mod file_strip;
mod files;
mod fonts;
mod key_marks;
mod keyboard;
pub mod keys;
mod keys_page;
mod laps;
mod layout;
mod menus;
mod mistakes;
mod model;
mod page_keys;
mod pages;
mod paper;
mod paper_files;
mod paper_keys;
mod paper_page;
mod pedal_line;
mod plain;
mod practice;
mod reasons;
mod results;
mod room;
mod room_choice;
mod room_choices;
mod room_chords;
mod room_even;
pub mod room_keys;
mod room_map;
mod room_run;
mod room_scale;
mod room_words;
mod settings;
mod settings_devices;
mod settings_part;
mod settings_playing;
mod settings_screen;
mod sheet;
mod show;
mod songs;
mod stage;
mod strikes;
mod take_entry;
mod takes;
mod tap_view;
mod theme;
mod timing;
mod versions;
mod view_state;
mod whole_lines;
mod writing;

pub use bar_names::place_name;
pub use choice::{Choices, Way};
pub use command::{Command, Question};
pub use devices::{Devices, Instrument, Touch, Voice};
pub use exercise::{exercise, octaves_on};
pub use exercise_chords::of_song as chords_of_song;
pub use files::{FileQuestion, Files, FilesCommand, VersionEntry, VersionRow};
pub use fonts::fonts;
pub use model::{Model, SongEntry, SongKind};
pub use paper::{
    Paper, PaperChoice, PaperCommand, PaperFace, PaperFile, PaperMark, PaperPage, PaperSize, SheetKind,
};
pub use practice::{
    DayShown, ItemShown, NowShown, PRACTICE_KEYS, Practice, PracticeCommand, SetShown, SetSongShown,
    SongShown, Trigger, TriggerDeed,
};
pub use reasons::sentence;
pub use room_choice::{Drill, Motion, Room, Subject};
pub use sheet::Sheet;
pub use show::{install, show};
pub use take_entry::{TakeDeed, TakeEntry};
pub use tap_view::{TapDeed, TapTo, TapView, Tapping};
pub use theme::{Keys, Palette, Theme, key_mark};
pub use view_state::{KeyboardView, Labels, Page, Tab, ViewState};
pub use writing::{
    Chosen, NewLine, PastedChart, Pen, Scope, Side, SideCommand, Taps, Topic, WRITING_KEYS, Writing,
    WritingCommand, WritingView, WrittenRow,
};
