//! Earlier versions of a song, in the data folder: what it was, minute by minute of the last hour and day by day before
//! that; and what could not be written into its file yet.
//!
//! Every save within two minutes is one version. Of the last hour all stay, of the last day one in twenty minutes, of the
//! last month one a day, before that one in thirty days; and always the song as it was found, and for a month what another
//! program wrote or was chosen against. No song has more than 120 or more than 20 MB of them.

use super::atomic::write_whole;
use super::places::file_name;
use super::{Places, read_song};
use serde::{Deserialize, Serialize};
use std::fs::File;
use std::path::{Path, PathBuf};

/// What a version is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum VersionKind {
    /// The song as it was before the program first wrote into it.
    Found,
    /// As the program saved it.
    Saved,
    /// As another program saved it.
    Outside,
    /// What was written here and is not in the file: the other text was chosen.
    Mine,
}

/// A version on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// Its file: the song itself, so that it can be opened like any other.
    pub file: PathBuf,
    /// When it was last saved, in milliseconds since 1970.
    pub at: u64,
    /// When the two minutes began that are one version.
    since: u64,
    /// What it is.
    pub kind: VersionKind,
}

/// What was written and is not in the song's file, for one reason or another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unsaved {
    /// The text it was made from; nothing for a new song.
    pub base: Option<String>,
    /// What was written.
    pub text: String,
}

/// The versions of one song.
#[derive(Clone, Debug)]
pub struct Versions {
    folder: PathBuf,
    path: PathBuf,
}

impl Versions {
    /// Those of the song file at a path.
    pub fn of(places: &Places, path: &Path) -> Versions {
        let whole = std::fs::canonicalize(path).or_else(|_| std::path::absolute(path));
        let path = whole.unwrap_or_else(|_| path.to_owned());
        let stem = file_name(&path.file_stem().unwrap_or_default().to_string_lossy());
        // A number that outlasts the program's own version, for songs of one name in several folders.
        let number = song::Fingerprint::new("song file", "", &path.to_string_lossy()).0;
        Versions { folder: places.versions().join(format!("{stem}-{number:016x}")), path }
    }

    /// A song that was renamed or moved takes its versions along: those whose file is gone and whose newest text is this.
    pub fn follow(&self, places: &Places, text: &str) {
        if self.folder.exists() {
            return;
        }
        let entries = std::fs::read_dir(places.versions()).into_iter().flatten().flatten();
        let mut others = entries.map(|entry| entry.path()).filter(|folder| {
            let path = std::fs::read_to_string(folder.join(PATH)).map(PathBuf::from);
            let other = path.map(|path| Versions { folder: folder.clone(), path });
            other.is_ok_and(|other| !other.path.exists() && other.newest().as_deref() == Some(text))
        });
        if let Some(folder) = others.next()
            && std::fs::rename(folder, &self.folder).is_ok()
        {
            // Without it the versions are found all the same, only not after the next move.
            let _ = self.remember_path();
        }
    }

    /// All of them, the newest first.
    pub fn list(&self) -> Vec<Version> {
        let entries = std::fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let mut versions: Vec<Version> = entries.filter_map(|entry| Version::named(entry.path())).collect();
        versions.sort_by_key(|version| std::cmp::Reverse((version.at, version.kind)));
        versions
    }

    /// The text of the newest.
    pub fn newest(&self) -> Option<String> {
        self.list().first()?.text().ok()
    }

    /// Adds a version of a moment in milliseconds since 1970, unless the newest says the same; then takes away what is too
    /// old to be kept.
    ///
    /// # Errors
    /// What the file system says.
    pub fn add(&self, text: &str, kind: VersionKind, now: u64) -> std::io::Result<()> {
        let listed = self.list();
        let newest = listed.first();
        if newest.and_then(|newest| newest.text().ok()).as_deref() == Some(text) {
            return Ok(());
        }
        let one = newest.filter(|newest| {
            kind == VersionKind::Saved && newest.kind == kind && now.abs_diff(newest.since) < TOGETHER
        });
        let at = newest.map_or(now, |newest| now.max(newest.at + 1));
        let since = one.map_or(at, |one| one.since);
        if newest.is_none() {
            self.remember_path()?;
        }
        write_whole(&self.folder.join(name(at, since, kind)), text.as_bytes())?;
        if let Some(one) = one {
            std::fs::remove_file(&one.file)?;
        }
        self.thin(at);
        Ok(())
    }

    /// What was written and is not in the file.
    pub fn unsaved(&self) -> Option<Unsaved> {
        let bytes = read_within_twice(&self.folder.join(UNSAVED))?;
        serde_json::from_slice(&bytes).ok()
    }

    /// Keeps what cannot be in the file yet.
    ///
    /// # Errors
    /// What the file system says.
    pub fn keep_unsaved(&self, unsaved: &Unsaved) -> std::io::Result<()> {
        let text = serde_json::to_vec(unsaved).expect("plain fields always become JSON");
        write_whole(&self.folder.join(UNSAVED), &text)
    }

    /// It is in the file now, or chosen against.
    pub fn forget_unsaved(&self) {
        // Most often there is none; one that stays is looked at again, and found to say the same.
        let _ = std::fs::remove_file(self.folder.join(UNSAVED));
    }

    /// Waits until no other window of this player looks at the song's file to write it, and keeps them out meanwhile.
    pub fn alone(&self) -> Option<File> {
        std::fs::create_dir_all(&self.folder).ok()?;
        let file = File::create(self.folder.join("lock")).ok()?;
        file.lock().ok()?;
        Some(file)
    }

    fn remember_path(&self) -> std::io::Result<()> {
        write_whole(&self.folder.join(PATH), self.path.to_string_lossy().as_bytes())
    }

    fn thin(&self, now: u64) {
        for version in to_go(&self.list(), now) {
            // What cannot be removed only takes room.
            let _ = std::fs::remove_file(&version.file);
        }
    }
}

impl Version {
    /// The song as it was then.
    ///
    /// # Errors
    /// What the file system says.
    pub fn text(&self) -> std::io::Result<String> {
        String::from_utf8(read_song(&self.file)?)
            .map_err(|error| std::io::Error::new(std::io::ErrorKind::InvalidData, error))
    }

    fn named(file: PathBuf) -> Option<Version> {
        let stem = file.file_name()?.to_str()?.strip_suffix(".json")?;
        let mut parts = stem.split('-');
        let (at, since, word) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?);
        let kind = KINDS.iter().find(|(_, name)| *name == word)?.0;
        Some(Version { file, at, since, kind })
    }
}

/// Those that are too old to be kept, of a list with the newest first.
fn to_go(versions: &[Version], now: u64) -> Vec<&Version> {
    let (mut gone, mut kept, mut bytes) = (Vec::new(), 0, 0);
    let mut last = None;
    for (index, version) in versions.iter().enumerate() {
        let age = now.saturating_sub(version.at);
        let every = STEPS.iter().find(|(younger, _)| age < *younger).map_or(30 * DAY, |(_, every)| *every);
        let slot = (every > 1).then(|| (every, version.at / every));
        let size = std::fs::metadata(&version.file).map_or(0, |about| about.len());
        let too_many = kept >= MOST || bytes + size > MOST_BYTES;
        // What is nowhere else stays as long as anybody may look for it.
        let apart = version.kind != VersionKind::Saved && age < 30 * DAY;
        let crowded = slot.is_some() && slot == last && !apart;
        // The newest, and the song as it was found.
        let always = index == 0 || index + 1 == versions.len();
        if (crowded || too_many) && !always {
            gone.push(version);
        } else {
            (kept, bytes, last) = (kept + 1, bytes + size, slot);
        }
    }
    gone
}

/// Milliseconds since 1970.
pub fn now_ms() -> u64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    u64::try_from(since.as_millis()).unwrap_or(u64::MAX)
}

const MINUTE: u64 = 60_000;
const HOUR: u64 = 60 * MINUTE;
const DAY: u64 = 24 * HOUR;
/// Saves within so long are one version.
const TOGETHER: u64 = 2 * MINUTE;
/// Younger than so long: one in so long stays; 1 for all.
const STEPS: [(u64, u64); 3] = [(HOUR, 1), (DAY, 20 * MINUTE), (30 * DAY, DAY)];
const MOST: usize = 119;
const MOST_BYTES: u64 = 20_000_000;
const UNSAVED: &str = "unsaved";
const PATH: &str = "path";
const KINDS: [(VersionKind, &str); 4] = [
    (VersionKind::Found, "found"),
    (VersionKind::Saved, "saved"),
    (VersionKind::Outside, "outside"),
    (VersionKind::Mine, "mine"),
];

fn name(at: u64, since: u64, kind: VersionKind) -> String {
    let word = KINDS.iter().find(|(of, _)| *of == kind).map_or("saved", |(_, word)| word);
    format!("{at:013}-{since:013}-{word}.json")
}

/// Two songs in one JSON document, every sign of them escaped at the worst.
fn read_within_twice(path: &Path) -> Option<Vec<u8>> {
    super::read_within(path, 12 * song::limits::FILE_BYTES + 100).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn versions() -> (tempfile::TempDir, Places, Versions) {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::under(folder.path());
        let path = folder.path().join("reeds.json");
        std::fs::write(&path, "first").unwrap();
        let versions = Versions::of(&places, &path);
        (folder, places, versions)
    }

    fn texts(versions: &Versions) -> Vec<String> {
        versions.list().iter().map(|version| version.text().unwrap()).collect()
    }

    const NOON: u64 = 1_764_072_000_000;

    #[test]
    fn saves_within_two_minutes_are_one_version() {
        let (_folder, _, versions) = versions();
        versions.add("first", VersionKind::Found, NOON).unwrap();
        for (second, text) in [(1, "a"), (60, "b"), (120, "c"), (121, "d"), (200, "d"), (245, "e")] {
            versions.add(text, VersionKind::Saved, NOON + second * 1000).unwrap();
        }
        assert_eq!(texts(&versions), ["e", "d", "c", "first"]);
        assert_eq!(versions.list()[2].at, NOON + 120_000, "by the last of its saves");
    }

    #[test]
    fn versions_grow_fewer_with_age_and_never_too_many() {
        let (_folder, _, versions) = versions();
        let at = |at: u64| Version { file: PathBuf::new(), at, since: at, kind: VersionKind::Saved };
        // Every two and a half minutes for a year, the newest first.
        let step = 150_000;
        let mut all: Vec<Version> = (0..365 * DAY / step).map(|n| at(NOON - n * step)).collect();
        all.last_mut().unwrap().kind = VersionKind::Found;
        let gone: std::collections::HashSet<u64> =
            to_go(&all, NOON).iter().map(|version| version.at).collect();
        let left = all.len() - gone.len();
        // An hour of 24, a day of 3 an hour, a month of one a day, a year of one in thirty days, and the first.
        assert!((24 + 69 + 27..=MOST + 1).contains(&left), "{left}");
        let mut left: Vec<&Version> = all.iter().filter(|version| !gone.contains(&version.at)).collect();
        assert_eq!(left.pop().unwrap().kind, VersionKind::Found);
        assert_eq!(left[..24].iter().map(|v| NOON - v.at).max(), Some(23 * step));
        assert!(versions.list().is_empty());
    }

    #[test]
    fn a_song_that_moved_takes_its_versions_along_and_a_copy_does_not() {
        let (folder, places, versions) = versions();
        versions.add("first", VersionKind::Saved, NOON).unwrap();
        let copy = folder.path().join("copy.json");
        std::fs::write(&copy, "first").unwrap();
        let of_copy = Versions::of(&places, &copy);
        of_copy.follow(&places, "first");
        assert!(of_copy.list().is_empty(), "the song it was copied from is still there");
        let moved = folder.path().join("moved.json");
        std::fs::rename(folder.path().join("reeds.json"), &moved).unwrap();
        let of_moved = Versions::of(&places, &moved);
        of_moved.follow(&places, "another song");
        assert!(of_moved.list().is_empty());
        of_moved.follow(&places, "first");
        assert_eq!(texts(&of_moved), ["first"]);
        assert!(versions.list().is_empty());
    }

    #[test]
    fn what_is_not_in_the_file_yet_comes_back() {
        let (_folder, _, versions) = versions();
        let unsaved = Unsaved { base: Some("first".into()), text: "sec\"ond".into() };
        versions.keep_unsaved(&unsaved).unwrap();
        assert_eq!(versions.unsaved(), Some(unsaved));
        assert!(versions.list().is_empty(), "it is no version");
        versions.forget_unsaved();
        assert_eq!(versions.unsaved(), None);
    }

    #[test]
    fn strange_files_among_the_versions_are_left_alone() {
        let (_folder, _, versions) = versions();
        versions.add("first", VersionKind::Found, NOON).unwrap();
        for name in ["notes.txt", "1-2-unknown.json", "x-y-saved.json"] {
            std::fs::write(versions.folder.join(name), "?").unwrap();
        }
        assert_eq!(texts(&versions), ["first"]);
    }
}
