//! Writing a file so that there is always a whole one: the old, or the new.

use std::io::Write;
use std::path::{Path, PathBuf};

/// Writes `bytes` to `path`, making its folders. The bytes go to a file beside it first, reach the disk, and take its
/// place in one step: a crash, a power cut or a full disk leaves the old file as it was. A link stays a link: what it
/// points to is replaced. Permissions and, where the system lets us, the owner stay those of the old file.
///
/// # Errors
/// What the file system says; nothing is left behind then.
pub fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    replace(path, bytes)
}

/// As [`write_whole`], in a folder that is there: one that vanished is not made anew.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    // What is not there yet, or a link that leads nowhere, is written as it is named.
    let path = &std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = folder.join(format!("{}{}{ENDING}", beginning(path), std::process::id()));
    let written = fill(&beside, path, bytes).and_then(|()| std::fs::rename(&beside, path));
    if written.is_err() {
        // The error that matters is the one above; a leftover that cannot be removed either changes nothing.
        let _ = std::fs::remove_file(&beside);
    }
    // The new name is on the disk once the folder is; where a system cannot do that, the file is whole nevertheless.
    let _ = std::fs::File::open(folder).and_then(|folder| folder.sync_all());
    written
}

/// Removes what was left beside a file by a program that was ended while it wrote; not what another one may be writing
/// just now.
pub(super) fn sweep(path: &Path) {
    let path = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    for leftover in leftovers(&path) {
        let age = std::fs::metadata(&leftover).and_then(|about| about.modified()).map(|time| time.elapsed());
        if age.is_ok_and(|age| age.is_ok_and(|age| age > STALE)) {
            // It only takes room.
            let _ = std::fs::remove_file(leftover);
        }
    }
}

/// Nobody writes one file for so long.
const STALE: std::time::Duration = std::time::Duration::from_secs(30);

/// How the file ends that is written beside another.
const ENDING: &str = ".new";

fn beginning(path: &Path) -> String {
    format!(".{}.", path.file_name().unwrap_or_default().to_string_lossy())
}

fn leftovers(path: &Path) -> Vec<PathBuf> {
    let beginning = beginning(path);
    let is_ours = |name: &str| {
        let process = name.strip_prefix(&beginning).and_then(|rest| rest.strip_suffix(ENDING));
        process.is_some_and(|process| process.parse::<u32>().is_ok())
    };
    let Some(Ok(entries)) = path.parent().map(std::fs::read_dir) else { return Vec::new() };
    let entries = entries.flatten().filter(|entry| entry.file_name().to_str().is_some_and(is_ours));
    entries.map(|entry| entry.path()).collect()
}

fn fill(beside: &Path, old: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = std::fs::File::create(beside)?;
    if let Ok(about) = std::fs::metadata(old) {
        keep_owner(&file, &about);
        file.set_permissions(about.permissions())?;
    }
    file.write_all(bytes)?;
    file.sync_all()
}

/// Whoever may not give a file away keeps it.
fn keep_owner(file: &std::fs::File, about: &std::fs::Metadata) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let _ = fchown(file, Some(about.uid()), Some(about.gid()));
    }
    #[cfg(not(unix))]
    let _ = (file, about);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_stays_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("deep/settings.json");
        write_whole(&path, b"old").unwrap();
        write_whole(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
        assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
    }

    #[test]
    fn where_nothing_can_be_written_the_old_file_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("taken");
        std::fs::create_dir(&path).unwrap();
        std::fs::write(path.join("inside"), b"kept").unwrap();
        assert!(write_whole(&path, b"new").is_err(), "a folder with something in it cannot be replaced");
        assert_eq!(std::fs::read(path.join("inside")).unwrap(), b"kept");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_permissions_stay() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (real, link) = (folder.path().join("shelf/song.json"), folder.path().join("song.json"));
        write_whole(&real, b"old").unwrap();
        std::fs::set_permissions(&real, std::fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&real, &link).unwrap();
        replace(&link, b"new").unwrap();
        assert_eq!(std::fs::read(&real).unwrap(), b"new");
        assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(std::fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2, "nothing beside the link");
    }

    #[test]
    fn a_folder_that_vanished_is_not_made_anew_and_leftovers_of_long_ago_go() {
        let folder = tempfile::tempdir().unwrap();
        assert!(replace(&folder.path().join("gone/song.json"), b"new").is_err());
        assert!(!folder.path().join("gone").exists());
        let path = folder.path().join("song.json");
        let (old, fresh) = (folder.path().join(".song.json.7.new"), folder.path().join(".song.json.8.new"));
        let others = folder.path().join(".song.json.mine.new");
        for file in [&old, &fresh, &others] {
            std::fs::write(file, b"half").unwrap();
        }
        let long_ago = std::time::SystemTime::now() - 2 * STALE;
        for file in [&old, &others] {
            std::fs::File::options().write(true).open(file).unwrap().set_modified(long_ago).unwrap();
        }
        sweep(&path);
        assert_eq!([old.exists(), fresh.exists(), others.exists()], [false, true, true]);
    }
}
