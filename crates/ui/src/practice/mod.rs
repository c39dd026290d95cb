//! Practice: what is played next, how ready the songs are, how it went over the days; and what can be asked of it.
//!
//! The application decides and remembers; these are the plain values it shows and the commands it takes.

mod command;
pub(crate) mod days;
pub(crate) mod hard;
pub(crate) mod in_room;
pub(crate) mod keys;
pub(crate) mod line;
pub(crate) mod memory;
pub(crate) mod on_stage;
pub(crate) mod panel;
pub(crate) mod plan_list;
pub(crate) mod ready;
pub(crate) mod set;
pub(crate) mod set_ready;
mod set_shown;
mod shown;

pub use command::{PracticeCommand, Trigger, TriggerDeed};
pub use keys::PRACTICE_KEYS;
pub use set_shown::{DayShown, SetShown, SetSongShown};
pub use shown::{ItemShown, NowShown, Practice, SongShown};
