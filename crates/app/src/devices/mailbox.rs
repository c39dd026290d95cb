//! Hands one value to a thread that must not wait.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

/// A place for one value. The giver may wait a moment; the taker never does, nor does it free anything: it swaps what it
/// has for what is new, and the giver throws the old one away later.
#[derive(Debug)]
pub(super) struct Mailbox<T> {
    fresh: AtomicBool,
    slot: Mutex<Option<T>>,
}

impl<T> Mailbox<T> {
    pub(super) fn empty() -> Mailbox<T> {
        Mailbox { fresh: AtomicBool::new(false), slot: Mutex::new(None) }
    }

    /// Leaves a value, in place of one that was not taken or was given back.
    pub(super) fn give(&self, value: T) {
        *self.slot.lock().unwrap_or_else(PoisonError::into_inner) = Some(value);
        self.fresh.store(true, Ordering::Release);
    }

    /// Swaps `held` for a new value, if there is one and nobody is just leaving another. True if it did.
    pub(super) fn swap(&self, held: &mut Option<T>) -> bool {
        if !self.fresh.load(Ordering::Acquire) {
            return false;
        }
        let Ok(mut slot) = self.slot.try_lock() else { return false };
        self.fresh.store(false, Ordering::Relaxed);
        std::mem::swap(held, &mut slot);
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gives_the_newest_once_and_takes_the_old_one_back() {
        let mailbox = Mailbox::empty();
        let mut held = Some("first");
        assert!(!mailbox.swap(&mut held), "nothing there yet");
        mailbox.give("second");
        mailbox.give("third");
        assert!(mailbox.swap(&mut held));
        assert_eq!(held, Some("third"));
        assert!(!mailbox.swap(&mut held), "what was given back is not handed out again");
        assert_eq!(held, Some("third"));
    }
}
