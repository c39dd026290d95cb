//! Writing a file so that there is always a whole one: the old, or the new.

use std::io::Write;
use std::path::Path;

/// Writes `bytes` to `path`, making its folders. The bytes go to a file beside it first, reach the disk, and take its
/// place in one step: a crash or a full disk leaves the old file as it was.
///
/// # Errors
/// What the file system says; nothing is left behind then.
pub fn write_whole(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = folder.join(format!(".{name}.{}.new", std::process::id()));
    let written = fill(&beside, bytes).and_then(|()| std::fs::rename(&beside, path));
    if written.is_err() {
        // The error that matters is the one above; a leftover that cannot be removed either changes nothing.
        let _ = std::fs::remove_file(&beside);
    }
    written
}

fn fill(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = std::fs::File::create(path)?;
    file.write_all(bytes)?;
    file.sync_all()
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
}
