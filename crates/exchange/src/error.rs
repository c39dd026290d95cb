//! What can be wrong with a file from elsewhere.

/// Why a file cannot be used, and what to do about it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ExchangeError {
    /// The bytes are not a standard MIDI file.
    #[error("this is no standard MIDI file ({0}); export it again as a .mid file, format 0 or 1")]
    NotMidi(String),
    /// A format 2 file holds patterns without an order.
    #[error("this MIDI file holds separate patterns (format 2) and no song; export it as format 0 or 1")]
    Patterns,
    /// The division of a quarter, or of a second, is nought.
    #[error("this MIDI file does not say how long its ticks are (division 0); export it again")]
    NoDivision,
    /// Longer than any song.
    #[error("this file goes on for more than {0} bars; cut it down to one song")]
    TooLong(usize),
    /// The bytes are no archive as compressed MusicXML has it.
    #[error("this is no compressed MusicXML file ({0}); export it again, or as plain MusicXML")]
    NotCompressed(String),
    /// The XML breaks off or does not hold together.
    #[error("line {line} is not well-formed XML ({what}); export the score again as MusicXML")]
    BadXml {
        /// The line, from 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// The table of contents of a compressed file does not hold together.
    #[error("its table of contents is not well-formed XML ({0}); export the score again as MusicXML")]
    BadContents(String),
    /// XML, and no score.
    #[error("this is no MusicXML score ({0}); export it as MusicXML, plain or compressed")]
    NotAScore(String),
    /// A file made to bring readers down, or one that is larger than any song.
    #[error("this file is refused: {0}; no song needs that")]
    Refused(&'static str),
    /// A score without chord symbols.
    #[error("there is no chord symbol in this score; export it as a MIDI file to practise its notes")]
    NoChords,
    /// A MIDI file without notes and chords.
    #[error("there is neither a note nor a chord in this MIDI file")]
    Empty,
    /// What was read cannot be put into the song format.
    #[error("no song could be made of this file ({0})")]
    NoSong(String),
    /// A sheet that the PDF library refuses to write.
    #[error("this sheet could not be written as PDF ({0}); write it as SVG, and tell us about it")]
    Sheet(String),
}
