//! What is shown of a set list.

use practice::learn::Ready;

/// A set list in hand.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SetShown {
    /// What it is called.
    pub title: String,
    /// Its songs in order.
    pub songs: Vec<SetSongShown>,
    /// Which of them is open.
    pub at: Option<usize>,
    /// All of it is practised, and not the open song alone.
    pub whole: bool,
    /// All its songs were read, as far as they can be.
    pub is_read: bool,
    /// The player has asked for a join: it is on the stand.
    pub joins: bool,
    /// Why the set list itself cannot be read.
    pub trouble: Option<String>,
    /// The page of readiness shows all its songs, and not the open one.
    pub ready_of_set: bool,
    /// The days until it is played; none where there is no day.
    pub days: Vec<DayShown>,
}

/// A song of a set.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct SetSongShown {
    /// Its title, with the key of the night.
    pub name: String,
    /// How ready it is; `None` as long as nothing was heard of it.
    pub ready: Option<Ready>,
    /// It was read.
    pub is_read: bool,
    /// Why it cannot be read.
    pub trouble: Option<String>,
}

/// A day until a set is played.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct DayShown {
    /// What it is called: `Saturday 5 December`.
    pub name: String,
    /// About so many minutes.
    pub minutes: f64,
    /// Song by song what there is to do; nothing where the day is free.
    pub songs: Vec<(String, String)>,
}

impl SetShown {
    /// The song after the one that is open.
    pub fn next(&self) -> Option<&SetSongShown> {
        self.songs.get(self.at.map_or(0, |at| at + 1))
    }
}
