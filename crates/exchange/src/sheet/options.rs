//! What a sheet may be asked for.

/// Which sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Kind {
    /// The chart alone, large.
    #[default]
    Chart,
    /// The chart with both hands under each chord: note names, fingers, figures.
    Hands,
    /// For a lesson: the scale of the key, a keyboard picture of each new shape, and the reasons.
    Lesson,
}

/// The paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches (ANSI/ASME Y14.1).
    Letter,
}

/// How chords are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Naming {
    /// Degrees of the key: `5/7`.
    Numbers,
    /// Letters: `A/C♯`.
    Letters,
    /// Degrees, with letters under them.
    #[default]
    Both,
}

/// What becomes of a section that goes round several times.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Passes {
    /// Each section once, with how often it is played and what differs in which pass.
    #[default]
    Folded,
    /// Every pass of every place in the song's order in full.
    WrittenOut,
}

/// All that a sheet may be asked for. The key and the player are those of the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct SheetOptions {
    /// Which sheet.
    pub kind: Kind,
    /// The paper.
    pub paper: Paper,
    /// Numbers, letters or both.
    pub naming: Naming,
    /// Passes folded or written out.
    pub passes: Passes,
}

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 3] = [Kind::Chart, Kind::Hands, Kind::Lesson];

    /// In a word: `chart`, `hands`, `lesson`.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Chart => "chart",
            Kind::Hands => "hands",
            Kind::Lesson => "lesson",
        }
    }
}

impl Paper {
    /// Both.
    pub const ALL: [Paper; 2] = [Paper::A4, Paper::Letter];

    /// `A4` or `Letter`.
    pub const fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "Letter",
        }
    }

    /// Width and height in points (1/72 inch).
    ///
    /// ```
    /// assert_eq!(exchange::sheet::Paper::Letter.size(), (612.0, 792.0));
    /// ```
    pub const fn size(self) -> (f32, f32) {
        match self {
            Paper::A4 => (595.276, 841.89),
            Paper::Letter => (612.0, 792.0),
        }
    }
}

impl Naming {
    /// All of them.
    pub const ALL: [Naming; 3] = [Naming::Numbers, Naming::Letters, Naming::Both];

    /// In a word: `numbers`, `letters`, `both`.
    pub const fn name(self) -> &'static str {
        match self {
            Naming::Numbers => "numbers",
            Naming::Letters => "letters",
            Naming::Both => "both",
        }
    }
}

impl Passes {
    /// Both.
    pub const ALL: [Passes; 2] = [Passes::Folded, Passes::WrittenOut];

    /// In words: `folded`, `written out`.
    pub const fn name(self) -> &'static str {
        match self {
            Passes::Folded => "folded",
            Passes::WrittenOut => "written out",
        }
    }
}
