//! Qualities and extensions: what stands behind the degree of a chord, and the notes it asks for.

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

impl Quality {
    /// All of them.
    pub const ALL: [Quality; 7] = [
        Quality::Major,
        Quality::Minor,
        Quality::Diminished,
        Quality::Augmented,
        Quality::Sus2,
        Quality::Sus4,
        Quality::NoThird,
    ];

    /// As a chart writes it: `M`, `m`, `dim`, `aug`, `sus2`, `sus4`, `no3`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Quality::Major => "M",
            Quality::Minor => "m",
            Quality::Diminished => "dim",
            Quality::Augmented => "aug",
            Quality::Sus2 => "sus2",
            Quality::Sus4 => "sus4",
            Quality::NoThird => "no3",
        }
    }

    /// In plain words: `major`, `suspended second`, `no third` …
    pub const fn name(self) -> &'static str {
        match self {
            Quality::Major => "major",
            Quality::Minor => "minor",
            Quality::Diminished => "diminished",
            Quality::Augmented => "augmented",
            Quality::Sus2 => "suspended second",
            Quality::Sus4 => "suspended fourth",
            Quality::NoThird => "no third",
        }
    }

    /// The quality of a chart's sign; `-` `°` `+` are read as well.
    pub(crate) fn named(text: &str) -> Option<Quality> {
        match text {
            "-" => Some(Quality::Minor),
            "°" => Some(Quality::Diminished),
            "+" => Some(Quality::Augmented),
            _ => Self::ALL.into_iter().find(|quality| quality.symbol() == text),
        }
    }

    /// Members and their semitones above the root.
    pub(crate) const fn members(self) -> &'static [(u8, u8)] {
        match self {
            Quality::Major => &[(1, 0), (3, 4), (5, 7)],
            Quality::Minor => &[(1, 0), (3, 3), (5, 7)],
            Quality::Diminished => &[(1, 0), (3, 3), (5, 6)],
            Quality::Augmented => &[(1, 0), (3, 4), (5, 8)],
            Quality::Sus2 => &[(1, 0), (2, 2), (5, 7)],
            Quality::Sus4 => &[(1, 0), (4, 5), (5, 7)],
            Quality::NoThird => &[(1, 0), (5, 7)],
        }
    }
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

impl Extension {
    /// All of them, in the order in which the song format lists them.
    pub const ALL: [Extension; 12] = [
        Extension::Sixth,
        Extension::Seventh,
        Extension::MajorSeventh,
        Extension::DiminishedSeventh,
        Extension::Ninth,
        Extension::MajorNinth,
        Extension::AddNinth,
        Extension::AddFourth,
        Extension::Eleventh,
        Extension::Thirteenth,
        Extension::SeventhFlatNinth,
        Extension::SeventhSharpNinth,
    ];

    /// As a chart writes it between the brackets.
    pub const fn symbol(self) -> &'static str {
        match self {
            Extension::Sixth => "6",
            Extension::Seventh => "7",
            Extension::MajorSeventh => "maj7",
            Extension::DiminishedSeventh => "dim7",
            Extension::Ninth => "9",
            Extension::MajorNinth => "maj9",
            Extension::AddNinth => "add9",
            Extension::AddFourth => "add4",
            Extension::Eleventh => "11",
            Extension::Thirteenth => "13",
            Extension::SeventhFlatNinth => "7b9",
            Extension::SeventhSharpNinth => "7#9",
        }
    }

    /// The extension of a chart's sign; ♭ and ♯ are read as well.
    pub(crate) fn named(text: &str) -> Option<Extension> {
        let text = text.replace('♭', "b").replace('♯', "#");
        Self::ALL.into_iter().find(|extension| extension.symbol() == text)
    }

    /// The members it adds and their semitones above the root. Intervals are the same over every quality: 7 is a
    /// minor seventh, 6 and 13 major, 9 major, 4 and 11 perfect. The thirteenth comes without the eleventh, which
    /// would lie a semitone from the octave of a major third (common practice, no source).
    pub(crate) const fn members(self) -> &'static [(u8, u8)] {
        match self {
            Extension::Sixth => &[(6, 9)],
            Extension::Seventh => &[(7, 10)],
            Extension::MajorSeventh => &[(7, 11)],
            Extension::DiminishedSeventh => &[(7, 9)],
            Extension::Ninth => &[(7, 10), (9, 14)],
            Extension::MajorNinth => &[(7, 11), (9, 14)],
            Extension::AddNinth => &[(9, 14)],
            Extension::AddFourth => &[(4, 5)],
            Extension::Eleventh => &[(7, 10), (9, 14), (11, 17)],
            Extension::Thirteenth => &[(7, 10), (9, 14), (13, 21)],
            Extension::SeventhFlatNinth => &[(7, 10), (9, 13)],
            Extension::SeventhSharpNinth => &[(7, 10), (9, 15)],
        }
    }

    /// The same with the other seventh.
    pub(crate) const fn sibling(self) -> Option<Extension> {
        match self {
            Extension::Seventh => Some(Extension::MajorSeventh),
            Extension::MajorSeventh | Extension::DiminishedSeventh => Some(Extension::Seventh),
            Extension::Ninth => Some(Extension::MajorNinth),
            Extension::MajorNinth => Some(Extension::Ninth),
            _ => None,
        }
    }
}
