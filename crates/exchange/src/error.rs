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
    #[error("this MIDI file goes on for more than {0} bars; cut it down to one song")]
    TooLong(usize),
}
