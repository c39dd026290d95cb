//! Set lists: songs in the order of the night, each with its key of that night.
//!
//! ```json
//! { "format": 1, "title": "Saturday", "day": "2026-12-05",
//!   "songs": [ { "song": "heron-waltz.json", "key": "Eb major" }, { "song": "saturday-quay.json" } ] }
//! ```
//!
//! Songs are named by their files, from the folder of the set list; a song without a key is played as it is written.

use super::read_song;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use theory::Key;

/// A set list.
#[derive(Clone, Debug, PartialEq)]
pub struct SetList {
    /// What it is called.
    pub title: String,
    /// The day it is played, in days since 1 January 1970.
    pub day: Option<i64>,
    /// Its songs in order.
    pub songs: Vec<SetSong>,
}

/// A song of a set.
#[derive(Clone, Debug, PartialEq)]
pub struct SetSong {
    /// Its file.
    pub path: PathBuf,
    /// The key of the night.
    pub key: Option<Key>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: u32,
    title: String,
    #[serde(default)]
    day: Option<String>,
    songs: Vec<Entry>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    song: PathBuf,
    #[serde(default)]
    key: Option<String>,
}

/// Reads a set list.
///
/// # Errors
/// What is wrong with it, for a musician.
pub fn read_set(path: &Path) -> Result<SetList, String> {
    let name = path.display();
    let text = read_song(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => format!("The set list {name} is not there."),
        _ => format!("The set list {name} cannot be read: {error}."),
    })?;
    let file: File = serde_json::from_slice(&text).map_err(|error| {
        format!("{name}: {error}; a set list is {{ \"format\": 1, \"title\": …, \"songs\": [ {{ \"song\": FILE }} ] }}")
    })?;
    if file.format != 1 {
        return Err(format!(
            "{name}: this set list is of format {}; this program reads format 1",
            file.format
        ));
    }
    if file.songs.is_empty() {
        return Err(format!("{name}: there are no songs in this set list"));
    }
    let day = match file.day.as_deref() {
        Some(day) => {
            Some(super::day_of(day).ok_or(format!("{name}: \"{day}\" is no day; write 2026-12-05"))?)
        }
        None => None,
    };
    let folder = path.parent().unwrap_or(Path::new("."));
    let songs: Result<Vec<SetSong>, String> = file
        .songs
        .into_iter()
        .map(|entry| song_of(entry, folder).map_err(|what| format!("{name}: {what}")))
        .collect();
    Ok(SetList { title: file.title, day, songs: songs? })
}

/// Whether a file is a set list: JSON with songs in it.
pub fn is_set(path: &Path) -> bool {
    let value =
        read_song(path).ok().and_then(|bytes| serde_json::from_slice::<serde_json::Value>(&bytes).ok());
    value.is_some_and(|value| value.get("songs").is_some_and(serde_json::Value::is_array))
}

fn song_of(entry: Entry, folder: &Path) -> Result<SetSong, String> {
    let key = match entry.key {
        Some(key) => Some(key.parse().map_err(|_| format!("\"{key}\" is no key; write \"Eb major\""))?),
        None => None,
    };
    Ok(SetSong { path: folder.join(entry.song), key })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<SetList, String> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("set.json");
        std::fs::write(&path, text).unwrap();
        assert_eq!(is_set(&path), text.contains("songs"));
        let set = read_set(&path)?;
        let within =
            |song: SetSong| SetSong { path: song.path.strip_prefix(folder.path()).unwrap().into(), ..song };
        Ok(SetList { songs: set.songs.into_iter().map(within).collect(), ..set })
    }

    #[test]
    fn songs_come_in_order_with_their_keys_of_the_night() {
        let set = read(
            r#"{ "format": 1, "title": "Saturday", "day": "2026-12-05",
                "songs": [ { "song": "quay.json", "key": "Eb major" }, { "song": "sub/weir.json" } ] }"#,
        )
        .unwrap();
        assert_eq!((set.title.as_str(), set.day), ("Saturday", Some(20_792)));
        let keys: Vec<Option<String>> =
            set.songs.iter().map(|song| song.key.map(|key| key.to_string())).collect();
        assert_eq!(keys, [Some("Eb major".to_owned()), None]);
        assert_eq!(set.songs[1].path, Path::new("sub/weir.json"));
    }

    #[test]
    fn what_is_wrong_is_told() {
        for (text, told) in [
            (r#"{ "format": 1, "title": "x", "songs": [] }"#, "no songs"),
            (r#"{ "format": 2, "title": "x", "songs": [ { "song": "a" } ] }"#, "format 2"),
            (r#"{ "format": 1, "title": "x", "songs": [ { "song": "a", "key": "H" } ] }"#, "\"H\" is no key"),
            (
                r#"{ "format": 1, "title": "x", "day": "soon", "songs": [ { "song": "a" } ] }"#,
                "\"soon\" is no day",
            ),
            (r#"{ "format": 1 }"#, "a set list is"),
        ] {
            let error = read(text).unwrap_err();
            assert!(error.contains(told), "{error}");
        }
    }
}
