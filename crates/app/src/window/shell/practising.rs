//! Practising: what is played next is set up, what was played is taken in.

use super::Shell;
use ui::{Practice, PracticeCommand};

/// What is practised.
#[derive(Debug, Default)]
pub(super) struct Desk {
    shown: Practice,
}

impl Desk {
    /// What is shown of it.
    pub fn shown(&self) -> &Practice {
        &self.shown
    }
}

impl Shell {
    /// Takes in what there is to take in.
    pub(super) fn look_after_practice(&mut self) {}

    /// Carries out what the player asked for.
    pub(super) fn carry_out_practice(&mut self, _command: PracticeCommand) {}
}
