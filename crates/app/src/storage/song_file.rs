//! Song files: read within limits, written where they are the player's own, copied where they are to stay.

use super::DEMOS;
use std::io::Read;
use std::path::{Path, PathBuf};

/// What is to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SongText {
    /// Where.
    pub path: PathBuf,
    /// What must be there before: another program may have changed it meanwhile. `None`: no file.
    pub was: Option<String>,
    /// What is to be there.
    pub text: String,
    /// Comes back with what became of it.
    pub number: u64,
    /// Kept safe beside the versions only, not written into the file: the player has a question to answer first.
    pub held: bool,
}

/// The bytes of a song file, or of whatever else was opened: a plain file, and of it no more than a song may have and one
/// byte, so that reading tells it is too long.
///
/// # Errors
/// What the file system says; [`std::io::ErrorKind::InvalidInput`] for what is no plain file.
pub fn read_song(path: &Path) -> std::io::Result<Vec<u8>> {
    read_within(path, song::limits::FILE_BYTES)
}

/// The bytes of a plain file, `most` and one at most.
///
/// # Errors
/// As [`read_song`].
pub fn read_within(path: &Path, most: usize) -> std::io::Result<Vec<u8>> {
    // Looked at before it is opened: opening a pipe would wait for somebody to write into it.
    let about = std::fs::metadata(path)?;
    if !about.is_file() {
        return Err(std::io::Error::new(std::io::ErrorKind::InvalidInput, "it is no ordinary file"));
    }
    let mut bytes = Vec::new();
    std::fs::File::open(path)?.take(most as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Whether a song file is the player's to be written into: not one of the demo songs, and not write-protected.
pub fn may_be_written(path: &Path) -> bool {
    let name = path.file_name();
    let in_demos = path.parent().and_then(Path::file_name).is_some_and(|folder| folder == "demo-songs");
    let demo = in_demos && DEMOS.iter().any(|demo| name == Some(demo.file.as_ref()));
    !demo && std::fs::metadata(path).is_ok_and(|about| !about.permissions().readonly())
}

/// A path for a copy that takes no other song's place: `heron-waltz.json`, `heron-waltz-2.json` …
pub fn free_path(folder: &Path, name: &str) -> PathBuf {
    free_path_of(folder, name.strip_suffix(".json").unwrap_or(name), "json")
}

/// The same for a file of another kind, by its ending.
pub fn free_path_of(folder: &Path, stem: &str, ending: &str) -> PathBuf {
    let numbered = (2..).map(|n| format!("{stem}-{n}.{ending}"));
    let mut paths = std::iter::once(format!("{stem}.{ending}")).chain(numbered).map(|name| folder.join(name));
    paths.find(|path| !path.exists()).expect("the numbers go on")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_takes_no_songs_place_and_demo_songs_stay() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("heron-waltz.json"), "").unwrap();
        let path = free_path(folder.path(), "heron-waltz.json");
        assert_eq!(path, folder.path().join("heron-waltz-2.json"));
        let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-songs/heron-waltz.json");
        assert!(!may_be_written(Path::new(demo)));
        assert!(may_be_written(&folder.path().join("heron-waltz.json")));
    }

    #[test]
    fn only_plain_files_are_read_and_no_more_of_them_than_a_song_may_have() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(read_song(folder.path()).unwrap_err().kind(), std::io::ErrorKind::InvalidInput);
        let long = folder.path().join("long.json");
        // A hole in the disk: it takes no room and says that it is a terabyte.
        std::fs::File::create(&long).unwrap().set_len(1 << 40).unwrap();
        let read = read_song(&long).unwrap();
        assert_eq!(read.len(), song::limits::FILE_BYTES + 1);
        assert!(song::read_bytes(&read).diagnostics[0].is_error(), "it is told");
    }
}
