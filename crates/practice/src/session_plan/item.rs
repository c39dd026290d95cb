//! What a session consists of.

use crate::LoopBars;
use crate::learn::Reason;
use theory::Key;

/// A session: items in the order in which they are to be played.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SessionPlan {
    /// The items.
    pub items: Vec<PlanItem>,
}

/// One item.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanItem {
    /// What is done.
    pub task: Task,
    /// For how long, in minutes.
    pub minutes: f64,
}

/// What is done. Songs count from 0, in the order of the set.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// The scale of a key, both hands.
    Scale(Key),
    /// The chords of a key.
    Chords(Key),
    /// The song once slowly, to hear which bars are hard.
    Survey {
        /// Which.
        song: usize,
    },
    /// A hard bar, up its ladder.
    Drill {
        /// Of which song.
        song: usize,
        /// The bar.
        bar: usize,
        /// Why it is hard, as far as is known.
        reason: Option<Reason>,
    },
    /// A bar that the coach has set as a goal, or whatever turns out to be hardest once the song was heard.
    Hardest {
        /// Of which song.
        song: usize,
    },
    /// A bar that was learned: is it still there?
    AskAgain {
        /// Of which song.
        song: usize,
        /// The bar.
        bar: usize,
    },
    /// From one section into the next.
    Join {
        /// Of which song.
        song: usize,
        /// The last bar of the one and the first of the other.
        bars: LoopBars,
    },
    /// From the end of a song into the beginning of the next.
    SongJoin {
        /// The song that ends; the next one follows.
        song: usize,
    },
    /// The song from beginning to end.
    RunThrough {
        /// Which.
        song: usize,
    },
    /// Nothing for some minutes.
    Rest,
}

impl Task {
    /// The song it is about.
    pub fn song(&self) -> Option<usize> {
        match self {
            Task::Scale(_) | Task::Chords(_) | Task::Rest => None,
            Task::Survey { song }
            | Task::Drill { song, .. }
            | Task::Hardest { song }
            | Task::AskAgain { song, .. }
            | Task::Join { song, .. }
            | Task::SongJoin { song }
            | Task::RunThrough { song } => Some(*song),
        }
    }

    /// For a musician; bars count from 1. In a set the song is named by whoever shows this.
    pub fn text(&self) -> String {
        match self {
            Task::Scale(key) => format!("the scale of {}, both hands", key.pretty()),
            Task::Chords(key) => format!("the chords of {}", key.pretty()),
            Task::Survey { .. } => "the song once slowly, to hear which bars are hard".into(),
            Task::Drill { bar, reason, .. } => {
                let why = reason.map_or_else(String::new, |reason| format!(": {}", reason.text()));
                format!("bar {}{why}", bar + 1)
            }
            Task::Hardest { .. } => "what turns out to be hardest".into(),
            Task::AskAgain { bar, .. } => format!("bar {}: is it still there?", bar + 1),
            Task::Join { bars, .. } => {
                format!("the join from bar {} into bar {}", bars.from() + 1, bars.to() + 1)
            }
            Task::SongJoin { .. } => "from its end into the next song".into(),
            Task::RunThrough { .. } => "from beginning to end".into(),
            Task::Rest => "rest".into(),
        }
    }
}

impl SessionPlan {
    /// Minutes altogether.
    pub fn minutes(&self) -> f64 {
        self.items.iter().map(|item| item.minutes).sum()
    }
}
