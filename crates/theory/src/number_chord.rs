//! Chords as number charts write them: a degree, a quality, an extension, a degree under a slash.

use crate::Degree;

/// What is written behind the degree. Without one, the key gives the triad.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Quality {
    Major,
    Minor,
    Diminished,
    Augmented,
    Sus2,
    Sus4,
    NoThird,
}

/// What is written in brackets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Extension {
    Sixth,
    Seventh,
    MajorSeventh,
    DiminishedSeventh,
    Ninth,
    MajorNinth,
    AddNinth,
    AddFourth,
    Eleventh,
    Thirteenth,
    SeventhFlatNinth,
    SeventhSharpNinth,
}

/// A chord as written on a number chart, not yet in a key: `5(7)`, `1/4`, `b7`, `5sus4`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NumberChord {
    /// The degree of the root.
    pub root: Degree,
    /// The quality, if written.
    pub quality: Option<Quality>,
    /// The extension, if written.
    pub extension: Option<Extension>,
    /// The degree under the slash, of the key, which the left hand takes.
    pub under: Option<Degree>,
}

/// Why a text is no chord.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct ParseChordError {
    /// Characters (not bytes) from the start of the text to the mistake.
    pub at: usize,
    /// How many characters are wrong (at least 1).
    pub length: usize,
    /// What is wrong and what would be right, for a musician.
    pub message: String,
}
