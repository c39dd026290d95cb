//! What a player played.

use crate::{ChartTime, Hands, LoopBars, Speed};
use theory::MidiKey;

/// One note that was played, in the time of the song.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlayedNote {
    /// When its key went down.
    pub at: ChartTime,
    /// How long it was held; `None` if it never came up.
    pub length: Option<ChartTime>,
    /// Its key.
    pub key: MidiKey,
    /// How hard, 1 to 127.
    pub velocity: u8,
}

/// A take: the notes of one pass through the song or a loop, with what it was played to. Its notes are kept in chart
/// time on a grid that a standard MIDI file holds exactly, so that a take that was saved is scored to the same result.
#[derive(Clone, Debug, PartialEq)]
pub struct Take {
    /// All notes by time, then by key.
    pub notes: Vec<PlayedNote>,
    /// How fast it was played.
    pub speed: Speed,
    /// Which hands the player had.
    pub hands: Hands,
    /// The bars that were played; `None` for the whole song.
    pub bars: Option<LoopBars>,
}
