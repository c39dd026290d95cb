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
mod chart;
mod command;
mod controls;
mod early_late;
mod exercise;
mod fonts;
mod key_marks;
mod keyboard;
pub mod keys;
mod layout;
mod menus;
mod mistakes;
mod model;
mod pages;
mod plain;
mod reasons;
mod results;
mod room;
mod room_chords;
mod room_scale;
mod settings;
mod sheet;
mod show;
mod stage;
mod strikes;
mod theme;
mod view_state;

pub use command::{Command, Question};
pub use exercise::exercise;
pub use fonts::fonts;
pub use model::{Devices, Model, SongEntry, SongKind};
pub use sheet::Sheet;
pub use show::{install, show};
pub use theme::{Keys, Palette, Theme, key_mark};
pub use view_state::{KeyboardView, Labels, Page, Room, Subject, ViewState};
