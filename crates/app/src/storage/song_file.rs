//! Song files that the program writes: the player's own as they are, copies of those that are to stay.

use super::{DEMOS, write_whole};
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
}

/// Writes a song, whole or not at all.
///
/// # Errors
/// What the file system says, and [`std::io::ErrorKind::AlreadyExists`] where something else is there than was read.
pub fn write_song(song: &SongText) -> std::io::Result<()> {
    let there = match std::fs::read(&song.path) {
        Ok(bytes) => Some(bytes),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
        Err(error) => return Err(error),
    };
    if there.as_deref() != song.was.as_deref().map(str::as_bytes) {
        return Err(std::io::ErrorKind::AlreadyExists.into());
    }
    write_whole(&song.path, song.text.as_bytes())
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
    let stem = name.strip_suffix(".json").unwrap_or(name);
    let numbered = (2..).map(|n| format!("{stem}-{n}.json"));
    let mut paths = std::iter::once(format!("{stem}.json")).chain(numbered).map(|name| folder.join(name));
    paths.find(|path| !path.exists()).expect("the numbers go on")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_was_changed_elsewhere_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.json");
        std::fs::write(&path, "by another").unwrap();
        let song = SongText { path: path.clone(), was: Some("as read".into()), text: "new".into() };
        assert_eq!(write_song(&song).unwrap_err().kind(), std::io::ErrorKind::AlreadyExists);
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "by another");
        let song = SongText { was: Some("by another".into()), ..song };
        write_song(&song).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "new");
    }

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
}
