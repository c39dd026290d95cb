//! Passes that are over: kept as takes, and remembered.

use super::Shell;
use crate::session::Listener;
use crate::window::keeper::Order;
use crate::window::playing::OnStand;
use crate::window::practice_keeper::PracticeOrder;
use practice::Lap;
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, PoisonError};

/// What the session thread tells the window, also while that is hidden and draws no frames.
pub(super) struct Window {
    pub ctx: egui::Context,
    pub keeper: Sender<Order>,
    pub song: Arc<Mutex<OnStand>>,
}

impl Listener for Window {
    fn changed(&self) {
        self.ctx.request_repaint();
    }

    fn finished(&self, lap: Lap) {
        // Nothing to look back on, and no reason to push an older take out.
        if lap.take.notes.is_empty() {
            return;
        }
        let playing = self.song.lock().unwrap_or_else(PoisonError::into_inner).of(&lap);
        // What was on the stand before the first song has no notes.
        let Some(playing) = playing else { return };
        // The keeper ends only after the session thread. A stretch of a song is remembered, and no take of the song.
        if let Some(song) = playing.whole_song() {
            let _ = self.keeper.send(Order::Take(lap.clone(), song.source.clone()));
        }
        let _ = self.keeper.send(Order::Practice(PracticeOrder::Passed(lap, playing)));
    }
}

impl Shell {
    /// Whoever is told of passes; none while the keeper is gone.
    pub(super) fn listener(&self) -> Option<Window> {
        Some(Window { ctx: self.ctx.clone(), keeper: self.keeper.line()?, song: self.song.clone() })
    }

    /// Passes that are over and were not told yet, before something else goes on the stand.
    pub(super) fn hand_over_passes(&self) {
        let now = self.session.clock().now();
        let finished = self.session.stand().finished(now);
        if let Some(listener) = self.listener() {
            finished.into_iter().for_each(|lap| listener.finished(lap));
        }
    }
}
