//! Set lists: songs in the order of the night, each with its key of that night.
//!
//! ```json
//! { "format": 1, "title": "Saturday", "day": "2026-12-05",
//!   "songs": [ { "song": "heron-waltz.json", "key": "Eb major" }, { "song": "saturday-quay.json" } ] }
//! ```
//!
//! Songs are named by their files, from the folder of the set list; a song without a key is played as it is written.

use super::{read_song, write_whole};
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
    let text = read_song(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => format!("The set list {} is not there.", path.display()),
        _ => format!("The set list {} cannot be read: {error}.", path.display()),
    })?;
    set_of(&text, path)
}

fn set_of(text: &[u8], path: &Path) -> Result<SetList, String> {
    let name = path.display();
    let file: File = serde_json::from_slice(text).map_err(|error| {
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

/// A song's file went to another place: the set list names it there from now on, and is else as it was, layout included.
///
/// # Errors
/// Why it could not be written; then it still names the old place.
pub fn set_follows(set: &Path, from: &Path, to: &Path) -> Result<SetList, String> {
    let mut wanted = read_set(set)?;
    wanted.songs.iter_mut().filter(|song| song.path == from).for_each(|song| song.path = to.to_owned());
    let folder = set.parent().unwrap_or(Path::new("."));
    let word = |path: &Path| serde_json::to_string(path.strip_prefix(folder).unwrap_or(path));
    let by_hand = || "write its new place there by hand".to_owned();
    let (Ok(old), Ok(new)) = (word(from), word(to)) else { return Err(by_hand()) };
    let text = read_song(set).map_err(|error| error.to_string())?;
    let text = String::from_utf8_lossy(&text).replace(&old, &new);
    // It may name the song in another way, or call something else like that.
    if set_of(text.as_bytes(), set).as_ref() != Ok(&wanted) {
        return Err(by_hand());
    }
    write_whole(set, text.as_bytes()).map_err(|error| error.to_string())?;
    Ok(wanted)
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
    fn a_song_that_went_elsewhere_is_named_there_and_the_layout_stays() {
        let folder = tempfile::tempdir().unwrap();
        let (set, at) = (folder.path().join("set.json"), |name: &str| folder.path().join(name));
        let text = |song: &str| {
            format!(
                "{{ \"format\": 1,\n \"title\": \"x\",  \"songs\": [ {{ \"song\": {song} }}, {{ \"song\": \"b.json\" }} ] }}"
            )
        };
        std::fs::write(&set, text("\"a.json\"")).unwrap();
        let followed = set_follows(&set, &at("a.json"), &at("loft/a.json")).unwrap();
        assert_eq!(
            (followed.songs[0].path.clone(), followed.songs[1].path.clone()),
            (at("loft/a.json"), at("b.json"))
        );
        assert_eq!(std::fs::read_to_string(&set).unwrap(), text("\"loft/a.json\""));
        let elsewhere = Path::new("/elsewhere/a.json");
        set_follows(&set, &at("loft/a.json"), elsewhere).unwrap();
        assert_eq!(read_set(&set).unwrap().songs[0].path, elsewhere);
        // Named in another way than it would be written: nothing is written over.
        std::fs::write(&set, text("\"\\u0061.json\"")).unwrap();
        assert!(set_follows(&set, &at("a.json"), &at("c.json")).unwrap_err().contains("by hand"));
        assert_eq!(std::fs::read_to_string(&set).unwrap(), text("\"\\u0061.json\""));
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
