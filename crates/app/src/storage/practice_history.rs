//! The history of practice on disk: one file for each song, one line for each pass, only ever added to.
//!
//! - A pass is one line, written at the end of the file in one go and brought to the disk before the next. What a crash
//!   leaves of a line is cut off before the next is written; where the disk is full, the file is cut back to what it was.
//!   At any moment at most the pass in hand is lost.
//! - Everyone who writes holds the lock of the folder alone, everyone who reads holds it together with other readers. So
//!   two windows, or a window and a command, do not come between one another. The system lets go of the lock of a process
//!   that dies.
//! - A file with lines that cannot be read is copied beside itself, told of, and goes on with all lines that can be read.
//! - Rewriting (to delete, to set aside) makes a new file and puts it in the old one's place.

use super::practice_record::{Line, of_line, to_line};
use super::{Places, write_whole};
use practice::history::{PassRecord, SongName};
use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// The history of one player.
#[derive(Clone, Debug)]
pub struct History {
    folder: PathBuf,
}

/// What was read.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Remembered {
    /// All passes that could be read, in order of time.
    pub passes: Vec<PassRecord>,
    /// What the player is to be told: damage, and lines of a newer program.
    pub told: Vec<String>,
}

impl History {
    /// In the folders of a player.
    pub fn of(places: &Places) -> History {
        History { folder: places.history() }
    }

    /// Adds a pass.
    ///
    /// # Errors
    /// What the file system says; all that was there before is still there.
    pub fn append(&self, record: &PassRecord) -> std::io::Result<()> {
        self.append_on(record, |file| file)
    }

    fn append_on<P: Paper>(&self, record: &PassRecord, paper: impl FnOnce(File) -> P) -> std::io::Result<()> {
        let _lock = self.lock(Hold::Alone)?;
        let path = self.file(&record.song);
        let is_new = !path.exists();
        let file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path)?;
        let done = add(&mut paper(file), to_line(record).as_bytes());
        if is_new && done.is_ok() {
            // The name of a new file is to last as well; not all systems let folders be synced.
            let _ = File::open(&self.folder).and_then(|folder| folder.sync_all());
        }
        done
    }

    /// All passes of a song, also those from before it had an identity.
    pub fn song(&self, song: &SongName) -> Remembered {
        let mut files = vec![self.file(song)];
        let by_title = self.file(&SongName { id: None, title: song.title.clone() });
        files.extend((!files.contains(&by_title)).then_some(by_title));
        let mut remembered = self.read(&files);
        remembered.passes.retain(|pass| pass.song.is(song));
        remembered
    }

    /// All passes of all songs.
    pub fn all(&self) -> Remembered {
        self.read(&self.files())
    }

    /// Deletes all passes of a song; says how many.
    ///
    /// # Errors
    /// What the file system says; passes that could not be deleted are still there.
    pub fn delete(&self, song: &SongName) -> std::io::Result<usize> {
        let _lock = self.lock(Hold::Alone)?;
        let mut deleted = 0;
        for path in self.files() {
            let bytes = std::fs::read(&path)?;
            let of_song = |line: &&[u8]| matches!(of_line(line), Line::Pass(pass) if pass.song.is(song));
            let (gone, kept): (Vec<&[u8]>, Vec<&[u8]>) = lines(&bytes).partition(of_song);
            if !gone.is_empty() {
                replace(&path, &kept)?;
                deleted += gone.len();
            }
        }
        Ok(deleted)
    }

    /// Deletes everything, also what was set aside.
    ///
    /// # Errors
    /// What the file system says.
    pub fn delete_all(&self) -> std::io::Result<()> {
        let lock = self.lock(Hold::Alone)?;
        for entry in std::fs::read_dir(&self.folder)?.flatten() {
            if entry.file_name() != LOCK {
                std::fs::remove_file(entry.path())?;
            }
        }
        drop(lock);
        Ok(())
    }

    fn file(&self, song: &SongName) -> PathBuf {
        let name = super::places::file_name(song.id.as_deref().unwrap_or(&song.title));
        self.folder.join(format!("{name}.{ENDING}"))
    }

    fn files(&self) -> Vec<PathBuf> {
        let Ok(entries) = std::fs::read_dir(&self.folder) else { return Vec::new() };
        let paths = entries.flatten().map(|entry| entry.path());
        let mut files: Vec<PathBuf> =
            paths.filter(|path| path.extension().is_some_and(|e| e == ENDING)).collect();
        files.sort();
        files
    }

    fn read(&self, files: &[PathBuf]) -> Remembered {
        let mut remembered = Remembered::default();
        let there: Vec<&PathBuf> = files.iter().filter(|path| path.exists()).collect();
        if there.is_empty() {
            return remembered;
        }
        let damaged = {
            // Where no lock can be had, reading does no harm.
            let _lock = self.lock(Hold::Together);
            there.iter().filter(|path| !remembered.take(path)).copied().cloned().collect::<Vec<_>>()
        };
        for path in damaged {
            remembered.told.push(self.mend(&path));
        }
        remembered.passes.sort_by_key(|pass| pass.at);
        remembered
    }

    /// Sets a damaged file aside and goes on with what can be read of it; says what was done.
    fn mend(&self, path: &Path) -> String {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        match self.set_aside(path) {
            Ok(None) => "The pass that was being written when the program ended is not in the history; all others are."
                .to_owned(),
            Ok(Some(aside)) => format!(
                "Parts of the history file {name} could not be read. All that can be read is kept; the file as it was is \
                 now {}.",
                aside.display()
            ),
            Err(error) => format!(
                "Parts of the history file {name} could not be read, and it could not be set aside: {error}. All that can \
                 be read is shown."
            ),
        }
    }

    /// `None` where only the end of the last line was missing.
    fn set_aside(&self, path: &Path) -> std::io::Result<Option<PathBuf>> {
        let _lock = self.lock(Hold::Alone)?;
        let bytes = std::fs::read(path)?;
        let whole = &bytes[..end_of_whole_lines(&bytes)];
        let kept: Vec<&[u8]> = lines(whole).filter(|line| of_line(line) != Line::Damaged).collect();
        if kept.len() == lines(whole).count() {
            OpenOptions::new().write(true).open(path)?.set_len(whole.len() as u64)?;
            return Ok(None);
        }
        let aside = (1..).map(|n| path.with_extension(format!("{ENDING}.damaged-{n}"))).find(|p| !p.exists());
        let aside = aside.expect("the numbers go on");
        write_whole(&aside, &bytes)?;
        replace(path, &kept)?;
        Ok(Some(aside))
    }

    fn lock(&self, hold: Hold) -> std::io::Result<Option<File>> {
        std::fs::create_dir_all(&self.folder)?;
        let path = self.folder.join(LOCK);
        let file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
        let locked = match hold {
            Hold::Alone => file.lock(),
            Hold::Together => file.lock_shared(),
        };
        match locked {
            // Some file systems know no locks; one window alone needs none.
            Err(error) if error.kind() == ErrorKind::Unsupported => Ok(None),
            Err(error) => Err(error),
            Ok(()) => Ok(Some(file)),
        }
    }
}

impl Remembered {
    /// Takes in a file; whether all of it could be read.
    fn take(&mut self, path: &Path) -> bool {
        let bytes = match std::fs::read(path) {
            Ok(bytes) => bytes,
            Err(error) => {
                self.told.push(format!("The history file {} could not be read: {error}", path.display()));
                return true;
            }
        };
        let (mut newer, mut whole) = (0, end_of_whole_lines(&bytes) == bytes.len());
        for line in lines(&bytes) {
            match of_line(line) {
                Line::Pass(pass) => self.passes.push(*pass),
                Line::Newer => newer += 1,
                Line::Damaged => whole = false,
            }
        }
        if newer > 0 {
            let passes = if newer == 1 { "1 pass was".to_owned() } else { format!("{newer} passes were") };
            self.told.push(format!("{passes} written by a newer Overhand: kept, but not shown by this one."));
        }
        whole
    }
}

/// The file that is locked.
const LOCK: &str = "lock";
/// How history files end.
const ENDING: &str = "jsonl";

enum Hold {
    Alone,
    Together,
}

/// A file that lines are added to; tests put slow and full ones in its place.
trait Paper: Read + Write + Seek {
    /// Cuts it to a length.
    fn cut(&mut self, length: u64) -> std::io::Result<()>;
    /// Waits until everything is on the disk.
    fn settle(&mut self) -> std::io::Result<()>;
}

impl Paper for File {
    fn cut(&mut self, length: u64) -> std::io::Result<()> {
        self.set_len(length)
    }

    fn settle(&mut self) -> std::io::Result<()> {
        self.sync_data()
    }
}

/// Adds a line behind the last whole one. If that fails, the file is as it was.
fn add(paper: &mut impl Paper, line: &[u8]) -> std::io::Result<()> {
    let end = whole_length(paper)?;
    paper.cut(end)?;
    paper.seek(SeekFrom::Start(end))?;
    let written = paper.write_all(line).and_then(|()| paper.flush()).and_then(|()| paper.settle());
    if written.is_err() {
        // What cannot be cut off now is cut off before the next line.
        let _ = paper.cut(end);
    }
    written
}

/// How long the file is up to the end of its last whole line.
fn whole_length(paper: &mut impl Paper) -> std::io::Result<u64> {
    const PIECE: u64 = 4096;
    let mut end = paper.seek(SeekFrom::End(0))?;
    let mut piece = Vec::new();
    while end > 0 {
        let from = end.saturating_sub(PIECE);
        paper.seek(SeekFrom::Start(from))?;
        piece.resize((end - from) as usize, 0);
        paper.read_exact(&mut piece)?;
        if let Some(last) = piece.iter().rposition(|byte| *byte == b'\n') {
            return Ok(from + last as u64 + 1);
        }
        end = from;
    }
    Ok(0)
}

fn end_of_whole_lines(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |last| last + 1)
}

fn lines(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    bytes.split(|byte| *byte == b'\n').filter(|line| !line.is_empty())
}

fn replace(path: &Path, lines: &[&[u8]]) -> std::io::Result<()> {
    if lines.is_empty() {
        return std::fs::remove_file(path);
    }
    let bytes: Vec<u8> = lines.iter().flat_map(|line| line.iter().chain(b"\n")).copied().collect();
    write_whole(path, &bytes)
}

#[cfg(test)]
#[path = "practice_history_tests.rs"]
mod tests;

#[cfg(test)]
#[path = "practice_crash_tests.rs"]
mod crash_tests;
