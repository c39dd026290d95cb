//! What the player changes of the plan: the day, the order.

use super::Shell;
use crate::storage;

impl Shell {
    /// The day it is played; `None`: there is none.
    pub(super) fn be_ready_by(&mut self, day: Option<i64>) {
        self.practice.by = day;
        if !self.practice.shown.running {
            self.plan_again();
        }
    }

    /// The same as it was typed; what is no day, or over, is told and changes nothing.
    pub(super) fn be_ready_by_typed(&mut self, text: &str) {
        let text = text.trim();
        if text.is_empty() {
            return self.be_ready_by(None);
        }
        match storage::day_of(text) {
            Some(day) if day >= storage::now().date() => self.be_ready_by(Some(day)),
            Some(_) => self.practice.shown.told = Some(format!("{text} is over; write a day to come.")),
            None => self.practice.shown.told = Some(format!("\"{text}\" is no day; write 2026-12-06.")),
        }
    }

    /// Moves an item that is not done. Where that changes what is in hand, the new one is set up.
    pub(super) fn move_item(&mut self, from: usize, to: usize) {
        let at = self.practice.sitting.at();
        match from == at || to == at {
            true => self.step(|sitting| sitting.reorder(from, to)),
            false => self.practice.sitting.reorder(from, to),
        }
    }
}
