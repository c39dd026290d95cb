//! The sheet to print: what is chosen for it, and its pages as they will come out of the printer.
//!
//! The pages are made elsewhere and come here as placed text and shapes, in points (1/72 inch) from the upper left corner.

/// Which sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum SheetKind {
    /// The chart alone, large.
    #[default]
    Chart,
    /// The chart with both hands under each chord.
    Hands,
    /// Scale, keyboard pictures and reasons.
    Lesson,
}

/// The paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum PaperSize {
    /// 210 by 297 mm.
    #[default]
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// What is chosen for a sheet. The key is that of the night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct PaperChoice {
    /// Which sheet.
    pub kind: SheetKind,
    /// The paper.
    pub size: PaperSize,
    /// Numbers, letters or both.
    pub labels: crate::Labels,
    /// Every pass in full, rather than what differs in each.
    pub written_out: bool,
}

/// What the page of the sheet asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaperCommand {
    /// Another sheet.
    Choose(PaperChoice),
    /// Show this page of it, from 0.
    Turn(usize),
    /// Write it to a file that the player names.
    Save(PaperFile),
    /// Stop what is being written; nothing of it stays.
    Stop,
}

/// As what a sheet, or what it is of, is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaperFile {
    /// One document.
    Pdf,
    /// A drawing for each page.
    Svg,
    /// The part as a standard MIDI file.
    Midi,
    /// The part as a score.
    MusicXml,
    /// The part as a score, compressed.
    CompressedMusicXml,
    /// The part as sound, with the hands, speed, bars and click that are set.
    Wav,
    /// The same, smaller and without loss.
    Flac,
}

impl PaperFile {
    /// The ending of its files.
    pub const fn ending(self) -> &'static str {
        match self {
            PaperFile::Pdf => "pdf",
            PaperFile::Svg => "svg",
            PaperFile::Midi => "mid",
            PaperFile::MusicXml => "musicxml",
            PaperFile::CompressedMusicXml => "mxl",
            PaperFile::Wav => "wav",
            PaperFile::Flac => "flac",
        }
    }

    /// Whether it is the sheet itself.
    pub const fn is_sheet(self) -> bool {
        matches!(self, PaperFile::Pdf | PaperFile::Svg)
    }
}

/// A sheet that is laid out.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Paper {
    /// Its pages; none while it is being laid out for the first time.
    pub pages: Vec<PaperPage>,
    /// What became of the last file that was asked for.
    pub told: Option<String>,
    /// How far the file is that is being written, 0 to 1.
    pub writing: Option<f32>,
}

/// A page of it.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperPage {
    /// In points.
    pub width: f32,
    /// In points.
    pub height: f32,
    /// What is drawn, in order.
    pub marks: Vec<PaperMark>,
    /// What it says, for those who listen.
    pub says: String,
}

/// A typeface of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum PaperFace {
    Sans,
    Bold,
    Serif,
    Italic,
}

/// A thing on a page. Colours are red, green, blue.
#[derive(Clone, Debug, PartialEq)]
pub enum PaperMark {
    /// Text that begins at a place on its baseline.
    Text {
        /// Where.
        at: [f32; 2],
        /// What.
        text: String,
        /// In which face.
        face: PaperFace,
        /// How large, in points.
        size: f32,
        /// In which colour.
        color: [u8; 3],
    },
    /// A line through points, or the convex shape within it.
    Shape {
        /// The points.
        points: Vec<[f32; 2]>,
        /// The last is joined to the first.
        closed: bool,
        /// What fills it.
        fill: Option<[u8; 3]>,
        /// How thick its line is, and in which colour.
        stroke: Option<(f32, [u8; 3])>,
    },
}

impl SheetKind {
    /// All of them.
    pub const ALL: [SheetKind; 3] = [SheetKind::Chart, SheetKind::Hands, SheetKind::Lesson];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            SheetKind::Chart => "the chart, large",
            SheetKind::Hands => "the chart with both hands",
            SheetKind::Lesson => "for a lesson",
        }
    }

    /// The next one, round and round.
    #[must_use]
    pub const fn next(self) -> SheetKind {
        match self {
            SheetKind::Chart => SheetKind::Hands,
            SheetKind::Hands => SheetKind::Lesson,
            SheetKind::Lesson => SheetKind::Chart,
        }
    }
}

impl PaperSize {
    /// Both.
    pub const ALL: [PaperSize; 2] = [PaperSize::A4, PaperSize::Letter];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            PaperSize::A4 => "A4",
            PaperSize::Letter => "Letter",
        }
    }

    /// The other one.
    #[must_use]
    pub const fn other(self) -> PaperSize {
        match self {
            PaperSize::A4 => PaperSize::Letter,
            PaperSize::Letter => PaperSize::A4,
        }
    }
}
