//! What is shown of practice.

use super::{SetShown, Trigger, TriggerDeed};
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
    /// The set list in hand.
    pub set: Option<SetShown>,
}

/// An item of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemShown {
    /// What it is.
    pub text: String,
    /// In a set the song that it is of.
    pub song: Option<String>,
    /// For how long, in minutes.
    pub minutes: f64,
    /// It is a rest.
    pub is_rest: bool,
}

/// What is in hand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct NowShown {
    /// What is played, in a few words, and how: `bar 9: the bar is uneven; right hand, 60 %`.
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
    /// It is of another song than what was played before: it is counted in in a moment.
    pub turns: bool,
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

impl NowShown {
    /// What is played, and how; nothing where no bars are played.
    pub(crate) fn what_and_how(&self) -> (&str, &str) {
        let how = self.text.rsplit_once("; ").filter(|(_, how)| how.ends_with('%'));
        how.unwrap_or((&self.text, ""))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_it_is_played_stands_behind_what_is_played() {
        let parts = |text: &str| {
            let now = NowShown { text: text.into(), ..NowShown::default() };
            let (what, how) = now.what_and_how();
            (what.to_owned(), how.to_owned())
        };
        let both = ("bar 9: it is the left hand; always late".to_owned(), "right hand, 60 %".to_owned());
        assert_eq!(parts("bar 9: it is the left hand; always late; right hand, 60 %"), both);
        assert_eq!(parts("rest"), ("rest".to_owned(), String::new()));
    }
}
