//! What of a plan is not played from a song: scales and chords, in their own room; a rest. Its time goes by.

use super::Shell;
use practice::session_plan::{Outcome, Task};
use std::time::{Duration, Instant};
use theory::Key;
use ui::{Page, Subject};

/// So often it is looked how much time has gone by.
const LOOK: Duration = Duration::from_secs(1);

impl Shell {
    /// Opens the room on the scale or the chords of a key.
    pub(super) fn warm_up(&mut self, key: Key, subject: Subject) {
        self.view.room = self.view.room.with_scale(key.into()).with_subject(subject);
        self.view.page = Page::Room;
        self.practice.since = Some(Instant::now());
        self.turn_the_stand();
    }

    /// A rest begins.
    pub(super) fn rest(&mut self) {
        self.practice.since = Some(Instant::now());
    }

    /// Back from the room, before something else is set up.
    pub(super) fn leave_the_room(&mut self) {
        let warmed = self.practice.since.take().is_some() && self.is_warming_up();
        if (warmed || self.practice.shown().now.warm_up) && self.view.page == Page::Room {
            self.view.page = Page::Practice;
            self.turn_the_stand();
        }
    }

    /// Whether what is in hand is played in the room.
    pub(super) fn is_warming_up(&self) -> bool {
        let item = self.practice.sitting.item().filter(|_| self.practice.shown().running);
        item.is_some_and(|item| matches!(item.task, Task::Scale(_) | Task::Chords(_)))
    }

    /// A rest, and what is played in the room, is over when its time is; time on other pages is no warm-up.
    pub(super) fn let_time_pass(&mut self) {
        let Some(since) = self.practice.since else { return };
        self.ctx.request_repaint_after(LOOK);
        let gone = since.elapsed();
        if gone < LOOK {
            return;
        }
        self.practice.since = Some(Instant::now());
        if self.is_warming_up() && self.view.page != Page::Room {
            return;
        }
        if self.practice.sitting.waited(gone.as_secs_f64()) == Outcome::Done {
            self.set_up();
        }
        self.practice.show();
    }
}
