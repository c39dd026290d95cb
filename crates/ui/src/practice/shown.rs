//! What is shown of practice.

use super::{Trigger, TriggerDeed};
use practice::history::{Help, Marks};
use practice::learn::{Feedback, HardBar, PracticeDay, Readiness};

/// Everything that is shown of practice; made anew when something of it changes, not for each frame.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Practice {
    /// "I have so many minutes."
    pub minutes: u16,
    /// The day it is played, in days since 1 January 1970, and how it is called ("Saturday 5 December").
    pub by: Option<(i64, String)>,
    /// The same day as it is typed: `2026-12-05`; empty where there is none.
    pub by_typed: String,
    /// Today, in the same days.
    pub today: i64,
    /// The plan: what is done, what is in hand, what comes.
    pub items: Vec<ItemShown>,
    /// The place of the item in hand; as many as there are items once all are done.
    pub at: usize,
    /// The player has begun and not stopped: what is in hand is set up.
    pub running: bool,
    /// What is in hand.
    pub now: NowShown,
    /// The song that is open, as far as history tells of it; `None` while that is being read.
    pub song: Option<SongShown>,
    /// When marks are shown.
    pub feedback: Feedback,
    /// Whether "how did that go?" is asked.
    pub asks: bool,
    /// Whether it is played from memory.
    pub from_memory: bool,
    /// What means something on the keyboard, beside what it means.
    pub triggers: Vec<(TriggerDeed, Option<Trigger>)>,
    /// The next key or pedal becomes this.
    pub learning: Option<TriggerDeed>,
    /// What there is to tell: what a drill came to, what could not be read. Goes with [`super::PracticeCommand::Read`].
    pub told: Option<String>,
    /// A word about hands and ears that has not been acknowledged today.
    pub caution: Option<&'static str>,
    /// The set: titles with their keys of the night, and which song is open.
    pub set: Option<(String, Vec<String>, usize)>,
}

/// An item of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemShown {
    /// What it is; in a set with its song.
    pub text: String,
    /// For how long, in minutes.
    pub minutes: f64,
    /// It is a rest.
    pub is_rest: bool,
}

/// What is in hand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct NowShown {
    /// What is played, in a few words: `bar 9, right hand, 60 %`.
    pub text: String,
    /// Minutes left of the item.
    pub minutes_left: f64,
    /// How much help is on the screen.
    pub help: Help,
    /// When the marks of this pass are shown.
    pub marks: Marks,
    /// A pass is over, and the player is asked how it went: its verdict is not shown yet.
    pub asked: bool,
    /// Which bars of the part on the stand are only led in and out: not the bar that is worked on.
    pub lead: Vec<usize>,
    /// It is played in the room of scales and chords.
    pub warm_up: bool,
}

/// A song, as far as history tells of it. Bars are those of the song as played.
#[derive(Clone, Debug, PartialEq)]
pub struct SongShown {
    /// Its title.
    pub title: String,
    /// How ready it is.
    pub ready: Readiness,
    /// Its hard bars, the hardest first, with reasons.
    pub hard: Vec<HardBar>,
    /// The days on which it was practised, oldest first.
    pub days: Vec<PracticeDay>,
    /// Progress in plain words.
    pub progress: Vec<String>,
    /// How many passes history remembers, and how many of their bars are no longer in the song.
    pub passes: usize,
    /// As said.
    pub elsewhere: usize,
}
