//! The whole song simpler or fuller, by a level.

use super::Shell;
use voicing::{Level, Settings};

impl Shell {
    /// What the player brings with the song fuller by a level, or simpler: from what it is now, the song's own level where
    /// nothing was asked for. It stays as it is at the end.
    pub(super) fn by_a_level(&self, fuller: bool) -> Settings {
        let player = *self.document.player();
        let of_song = self.document.song().map_or(Level::MIDDLE.number(), |song| song.level);
        let now = player.level.map_or(of_song, Level::number);
        let next = if fuller { now + 1 } else { now.saturating_sub(1) };
        Settings { level: Level::new(next).or(player.level), ..player }
    }
}
