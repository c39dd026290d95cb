//! The song's file: earlier versions of it, and what the player is to decide about it.

/// What a control asks for that has to do with files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FilesCommand {
    /// Look at one of [`Files::versions`] by its place, or at none.
    Look(Option<usize>),
    /// Put that one in place of the song as it is; undo takes it back.
    BringBack(usize),
    /// What was written here is to be in the file.
    KeepMine,
    /// What is in the file goes on.
    TakeTheirs,
    /// Write the file anew where it was.
    WriteAnew,
    /// Put a song of the list aside, by its place in [`crate::Model::songs`].
    SetAside(usize),
    /// Put it among the others again.
    TakeUp(usize),
    /// Copy the song and its takes into a folder that the player chooses.
    CopyWithTakes,
    /// Keep the song's file at a place that the player chooses.
    KeepElsewhere,
}

/// The song's file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Files {
    /// Earlier versions, the newest first; `None` while they are being read.
    pub versions: Option<Vec<VersionEntry>>,
    /// The one that is looked at: its place, and the song as it was, row by row.
    pub looked_at: Option<(usize, Vec<VersionRow>)>,
    /// What the player has to decide.
    pub asks: Option<FileQuestion>,
}

/// An earlier version of the song.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VersionEntry {
    /// When it was saved: `today, 21:04`.
    pub when: String,
    /// What was changed then, in a player's words; or what the version is.
    pub what: String,
    /// It is the song as it is now.
    pub now: bool,
}

/// A line of an earlier version.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VersionRow {
    /// A section's name, a row of bars, or what is said of the whole song.
    pub text: String,
    /// A section's name.
    pub heading: bool,
    /// It is not like that now.
    pub differs: bool,
}

/// What the player has to decide about the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileQuestion {
    /// Another program changed the file where the player did: these places.
    Clash(Vec<String>),
    /// The file is gone.
    Gone,
}
