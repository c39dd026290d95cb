//! Why an edit cannot be made.

/// Why an edit cannot be made; says what to do instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The text is no JSON, so there is nowhere to put anything.
    #[error("the file has a mistake in its JSON; mend that first")]
    NotJson,
    /// There is no such section.
    #[error("the song has no section {0}; it has {1}")]
    NoSection(usize, usize),
    /// There is no such bar.
    #[error("the section has no bar {0}; it has {1}")]
    NoBar(u32, u32),
    /// A stretch of bars without a bar.
    #[error("no bar is chosen; choose at least one")]
    NoBars,
    /// There is no such row.
    #[error("the section has no row {0}; it has {1}")]
    NoRow(usize, usize),
    /// The section plays the bars of another.
    #[error("this section takes its bars from “{0}”: change them there, or give it bars of its own")]
    BarsOfAnother(String),
    /// The last bar or section cannot be taken away.
    #[error("a {0} is left with nothing; take the whole {0} away, or write something first")]
    Last(&'static str),
    /// Two sections may not have one name.
    #[error("there is a section “{0}” already; give this one another name")]
    NameTaken(String),
    /// A section without a name cannot be named in the order.
    #[error("a section needs a name")]
    NoName,
    /// What cannot be said at this place.
    #[error("{field} cannot be set for {place}; set it for {instead}")]
    NotHere {
        /// What was to be set.
        field: &'static str,
        /// Where.
        place: &'static str,
        /// Where it can be.
        instead: &'static str,
    },
    /// Other sections play the bars of the one to be taken away.
    #[error("“{0}” plays the bars of this section; give it bars of its own first")]
    BarsNeeded(String),
    /// It cannot be read.
    #[error("{0}")]
    Unreadable(String),
    /// There is no such exception.
    #[error("the section has no exception {0}")]
    NoException(usize),
    /// There is no such goal.
    #[error("the song has no goal {0}; it has {1}")]
    NoGoal(usize, usize),
    /// What was to be taken out is not said there.
    #[error("nothing is set for just this place; what holds here is said for more than it, or by default")]
    NothingSet,
    /// In this pass several bars give way together.
    #[error("in this pass this bar gives way with others to the bars of exception {0}; change those")]
    PutIn(usize),
}
