//! What can be asked for while practising.

use practice::history::Guess;
use practice::learn::Feedback;
use theory::MidiKey;

/// What the player asks for. All of it is carried out by the application.
#[derive(Clone, Debug, PartialEq)]
pub enum PracticeCommand {
    /// So many minutes there are.
    Minutes(u16),
    /// The same as it was typed: `20`.
    MinutesTyped(String),
    /// The day it is played, in days since 1 January 1970; `None`: there is no date.
    By(Option<i64>),
    /// The same as it was typed: `2026-12-06`; nothing typed: there is no date.
    ByTyped(String),
    /// Begin with the plan that is shown.
    Begin,
    /// The item in hand once more from its beginning; the pass under way is given up.
    Again,
    /// The next item.
    Next,
    /// The item before.
    Before,
    /// No more for now; what was played counts.
    Stop,
    /// Go to an item, by its place.
    GoTo(usize),
    /// Move an item that is not done to another place.
    Move {
        /// From.
        from: usize,
        /// To.
        to: usize,
    },
    /// When marks are shown.
    Feedback(Feedback),
    /// Whether "how did that go?" is asked before the verdict is shown.
    AskMe(bool),
    /// The answer to that.
    Guess(Guess),
    /// Play from memory: help fades after clean passes and comes back after others.
    FromMemory(bool),
    /// What was said is read; the caution of today is not shown again.
    Read,
    /// What a pedal or a key of the keyboard means; `None`: nothing any more.
    Trigger(TriggerDeed, Option<Trigger>),
    /// The next key or pedal that is played becomes this.
    LearnTrigger(TriggerDeed),
    /// Write the history as JSON into a file that the player names.
    Export,
    /// Delete what is remembered of this song.
    DeleteSong,
    /// Delete all that is remembered.
    DeleteAll,
    /// Let the player choose a set list.
    OpenSet,
    /// The song of the set so many places on (negative: back), in its key of the night.
    SetSong(isize),
    /// A song of the set by its place, in its key of the night.
    SetSongAt(usize),
    /// All of the set is practised, or the open song alone.
    Whole(bool),
    /// The page of readiness shows all songs of the set, or the open one.
    ReadyOfSet(bool),
    /// Read the file of the set once more.
    ReadSet,
    /// From the end of this song of the set into the beginning of the next.
    SetJoin,
    /// No set any more.
    CloseSet,
}

/// What can be asked for from the keyboard or a pedal, while the hands are there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TriggerDeed {
    /// Once more.
    Again,
    /// The next item.
    Next,
    /// Stop, or go on.
    Stop,
}

/// A key or a pedal that means something.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Trigger {
    /// A key; it is then not played.
    Key(MidiKey),
    /// A pedal by its controller: 66 sostenuto, 67 soft (MIDI 1.0); the sustain pedal, 64, is left to the music.
    Pedal(u8),
}

impl TriggerDeed {
    /// All of them.
    pub const ALL: [TriggerDeed; 3] = [TriggerDeed::Again, TriggerDeed::Next, TriggerDeed::Stop];

    /// For a musician.
    pub const fn text(self) -> &'static str {
        match self {
            TriggerDeed::Again => "again",
            TriggerDeed::Next => "next",
            TriggerDeed::Stop => "stop",
        }
    }
}

impl Trigger {
    /// For a musician.
    pub fn text(self) -> String {
        match self {
            Trigger::Key(key) => format!("key {}", key.pitch()),
            Trigger::Pedal(66) => "middle pedal".to_owned(),
            Trigger::Pedal(67) => "left pedal".to_owned(),
            Trigger::Pedal(number) => format!("pedal {number}"),
        }
    }
}
