//! A take that is kept, as the list shows it.

/// A take that is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeEntry {
    /// The title of its song.
    pub song: String,
    /// When it was played, as `25 Nov 2026, 18:40`.
    pub when: String,
    /// How: speed, key, hands, bars.
    pub how: String,
    /// How it went: `140 of 150 notes`.
    pub result: String,
    /// Whether the player wants it kept; others go when there are too many.
    pub kept: bool,
    /// Whether its result is shown.
    pub open: bool,
    /// Whether it is being heard.
    pub heard: bool,
}

/// What can be done with a take of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TakeDeed {
    /// Show how it went.
    Open,
    /// Hear it again, alone.
    Hear,
    /// Hear it together with the part.
    HearWithPart,
    /// Keep it for good.
    Keep,
    /// No longer keep it for good.
    LetGo,
    /// Delete it.
    Delete,
}
