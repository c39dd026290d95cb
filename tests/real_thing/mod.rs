//! The program as a player has it: a real window, real MIDI from another process, real sound that is recorded. One test
//! at a time, after all others.

mod clipboard;
#[cfg(feature = "midi-jack")]
mod devices_lost;
#[cfg(feature = "midi-jack")]
mod keyboards;
#[cfg(feature = "midi-jack")]
mod played_through;
#[cfg(feature = "midi-jack")]
mod pulled_out;
mod window_alone;

use std::sync::{Mutex, MutexGuard, PoisonError};

/// One test at a time, however many threads the harness has.
fn alone() -> MutexGuard<'static, ()> {
    static ONE: Mutex<()> = Mutex::new(());
    // A test that failed has nothing left behind that matters to the next.
    ONE.lock().unwrap_or_else(PoisonError::into_inner)
}
