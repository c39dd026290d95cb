//! Files: where they lie, written whole or not at all.

mod atomic;
mod demo;
mod places;
mod settings;
mod takes;

pub use atomic::write_whole;
pub use demo::{DEMOS, Demo};
pub use places::Places;
pub use settings::{Keyboard, Labels, Loaded, Midi, Settings, Theme};
pub use takes::save_take;
