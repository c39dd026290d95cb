//! The whole song simpler or fuller, by a level.

use super::Shell;
use voicing::{Level, Settings};

impl Shell {
    /// What the player brings with the song fuller by a level, or simpler: from what it is now, the song's own level where
    /// nothing was asked for. It stays as it is at the end.
    pub(super) fn by_a_level(&self, fuller: bool) -> Settings {
        let player = *self.document.player();
        let of_song = || self.document.song().and_then(|song| Level::new(song.level));
        let now = player.level.or_else(of_song).unwrap_or(Level::MIDDLE);
        let next = if fuller { now.fuller() } else { now.simpler() };
        Settings { level: next.or(player.level), ..player }
    }
}
