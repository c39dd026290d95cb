//! The key of a section: its own, or so many semitones from the song's.

use theory::Key;

/// A section's own key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SectionKey {
    /// A key by name.
    Named(Key),
    /// So many semitones above (or below) the song's key.
    Shift(i8),
}

impl SectionKey {
    /// The key it means in a song in `song`.
    pub fn resolve(self, song: Key) -> Key {
        match self {
            SectionKey::Named(key) => key,
            SectionKey::Shift(semitones) => crate::transpose::shifted(song, semitones.into()),
        }
    }
}
