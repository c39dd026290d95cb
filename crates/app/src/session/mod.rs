//! The session: what the player is doing, on a thread of its own, so that it goes on while the window is hidden.

mod clock;
mod frames;
mod keyboards;
mod pedal;
mod sounds;
mod stand;
mod tapping;
mod triggers;
mod worker;

pub use clock::Clock;
pub use sounds::{event_of, take_source};
pub use stand::{Change, Place, Sounding, Stand};
pub use tapping::Tapping;
pub use worker::{Ends, Listener, Running, Shared};
