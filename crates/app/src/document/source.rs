//! Where a song comes from.

use crate::storage::{DEMOS, Demo, read_song};
use std::path::{Path, PathBuf};

/// Where a song comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// It comes with the program.
    Demo(Demo),
    /// A file of the player's.
    File(PathBuf),
}

impl Source {
    /// The song that was open, as the settings remember it: a demo song by its file name alone, else a path.
    pub fn remembered(path: &Path) -> Source {
        let demo = DEMOS.into_iter().find(|demo| Path::new(demo.file) == path);
        demo.map_or_else(|| Source::File(path.to_owned()), Source::Demo)
    }

    /// As the settings remember it.
    pub fn to_remember(&self) -> PathBuf {
        match self {
            Source::Demo(demo) => PathBuf::from(demo.file),
            Source::File(path) => std::path::absolute(path).unwrap_or_else(|_| path.clone()),
        }
    }

    /// The name of its file.
    pub fn file_name(&self) -> String {
        let path = self.to_remember();
        path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
    }

    /// The bytes of the song file, no more than a song may have and one.
    ///
    /// # Errors
    /// What the file system says, and what is no plain file.
    pub fn bytes(&self) -> std::io::Result<Vec<u8>> {
        match self {
            Source::Demo(demo) => Ok(demo.text.as_bytes().to_vec()),
            Source::File(path) => read_song(path),
        }
    }

    /// What tells one state of the file from the next.
    pub(super) fn state(&self) -> State {
        let Source::File(path) = self else { return None };
        let about = std::fs::metadata(path).ok()?;
        Some((about.modified().ok()?, about.len(), number(&about)))
    }
}

/// When the file was written, its length, and which file it is: one that took another's place is another.
pub(super) type State = Option<(std::time::SystemTime, u64, u64)>;

#[cfg(unix)]
fn number(about: &std::fs::Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(about)
}

#[cfg(not(unix))]
fn number(_: &std::fs::Metadata) -> u64 {
    0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_remembered_is_found_again() {
        for source in [Source::Demo(DEMOS[2]), Source::File(std::path::absolute("a/song.json").unwrap())] {
            assert_eq!(Source::remembered(&source.to_remember()), source);
        }
    }
}
