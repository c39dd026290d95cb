//! Where files go: never over another one unasked, and whole or not at all.

use std::fs::File;
use std::io::{BufWriter, ErrorKind};
use std::path::{Path, PathBuf};

/// The names of so many files: the one given, or numbered ones, `sheet-1.svg` and so on.
pub fn names(path: &Path, count: usize) -> Vec<PathBuf> {
    if count == 1 {
        return vec![path.to_owned()];
    }
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
    (1..=count).map(|number| path.with_file_name(format!("{stem}-{number}{ending}"))).collect()
}

/// # Errors
/// [`ErrorKind::AlreadyExists`] where a file is there and must stay.
pub(super) fn refuse_to_overwrite(path: &Path, force: bool) -> std::io::Result<()> {
    if !force && path.exists() { Err(ErrorKind::AlreadyExists.into()) } else { Ok(()) }
}

/// Writes a file as it grows: beside its place first, which it takes in one step once it is complete.
///
/// # Errors
/// What `fill` or the file system says; nothing is left behind then.
pub(super) fn write_growing(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<File>) -> std::io::Result<()>,
) -> std::io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let beside = folder.join(format!(".{name}.{}.new", std::process::id()));
    let written = grow(&beside, fill).and_then(|()| std::fs::rename(&beside, path));
    if written.is_err() {
        // The error that matters is the one above; a leftover that cannot be removed either changes nothing.
        let _ = std::fs::remove_file(&beside);
    }
    written
}

fn grow(path: &Path, fill: impl FnOnce(&mut BufWriter<File>) -> std::io::Result<()>) -> std::io::Result<()> {
    let mut file = BufWriter::new(File::create(path)?);
    fill(&mut file)?;
    file.into_inner()?.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;

    #[test]
    fn pages_are_numbered_where_there_are_several() {
        let path = Path::new("songs/heron.svg");
        assert_eq!(names(path, 1), [path]);
        assert_eq!(names(path, 2), [Path::new("songs/heron-1.svg"), Path::new("songs/heron-2.svg")]);
    }

    #[test]
    fn what_is_stopped_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.wav");
        let stopped = write_growing(&path, |file| {
            file.write_all(b"half")?;
            Err(ErrorKind::Interrupted.into())
        });
        assert_eq!(stopped.unwrap_err().kind(), ErrorKind::Interrupted);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        write_growing(&path, |file| file.write_all(b"whole")).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"whole");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
