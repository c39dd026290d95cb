//! The kinds of files that can be written.

use std::path::Path;

/// A kind of file, told by its ending.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, clap::ValueEnum)]
pub enum FileKind {
    /// A standard MIDI file.
    #[value(name = "mid")]
    Midi,
    /// A score.
    #[value(name = "musicxml")]
    MusicXml,
    /// A score, compressed.
    #[value(name = "mxl")]
    CompressedMusicXml,
    /// A sheet to print.
    #[value(name = "pdf")]
    Pdf,
    /// A sheet, one file a page.
    #[value(name = "svg")]
    Svg,
    /// Sound.
    #[value(name = "wav")]
    Wav,
    /// Sound, smaller and without loss.
    #[value(name = "flac")]
    Flac,
}

impl FileKind {
    /// All of them.
    pub const ALL: [FileKind; 7] = [
        FileKind::Midi,
        FileKind::MusicXml,
        FileKind::CompressedMusicXml,
        FileKind::Pdf,
        FileKind::Svg,
        FileKind::Wav,
        FileKind::Flac,
    ];

    /// The ending of its files, without the dot.
    pub const fn ending(self) -> &'static str {
        match self {
            FileKind::Midi => "mid",
            FileKind::MusicXml => "musicxml",
            FileKind::CompressedMusicXml => "mxl",
            FileKind::Pdf => "pdf",
            FileKind::Svg => "svg",
            FileKind::Wav => "wav",
            FileKind::Flac => "flac",
        }
    }

    /// The kind of a file by its ending, in any case; `.midi` and `.xml` are known as well.
    pub fn of(path: &Path) -> Option<FileKind> {
        let ending = path.extension()?.to_string_lossy().to_lowercase();
        let ending = match ending.as_str() {
            "midi" => "mid",
            "xml" => "musicxml",
            other => other,
        };
        FileKind::ALL.into_iter().find(|kind| kind.ending() == ending)
    }

    /// Whether it is rendered sound, which takes its time.
    pub const fn is_sound(self) -> bool {
        matches!(self, FileKind::Wav | FileKind::Flac)
    }

    /// Whether it is a score for programs that print notes.
    pub const fn is_score(self) -> bool {
        matches!(self, FileKind::MusicXml | FileKind::CompressedMusicXml)
    }

    /// Whether it is a sheet to print.
    pub const fn is_sheet(self) -> bool {
        matches!(self, FileKind::Pdf | FileKind::Svg)
    }
}
