//! Files that are dropped on the window or chosen: each opened as what it is.

use super::Shell;
use super::rig;
use crate::document::Source;
use crate::storage::{free_path, read_song, write_whole};
use crate::window::dialog::Wanted;
use crate::window::file_kind::{FileKind, kind_of};
use crate::window::keeper::Order;
use crate::window::song_keeper::{SongBundle, SongOrder};
use crate::window::take_file::{Beside, Question};
use std::path::{Path, PathBuf};

/// So many files of a folder are looked at.
const IN_A_FOLDER: usize = 500;

impl Shell {
    /// What was dropped or chosen in this frame.
    pub(super) fn take_in_files(&mut self, dropped: Vec<PathBuf>) {
        if !dropped.is_empty() {
            return self.open_files(dropped);
        }
        match self.dialog.chosen() {
            Some((Wanted::FolderForTakes, folder)) => self.copy_with_takes_into(folder),
            Some((Wanted::Bank, path)) => self.rig.apply(rig::Change::Bank(path)),
            Some((Wanted::Take, path)) => self.open_takes(vec![path]),
            Some((Wanted::Song, path)) => self.open_files(vec![path]),
            None => {}
        }
    }

    /// A song with takes of it, several takes, a chart: whatever it is. Of a folder, what is in it.
    pub(super) fn open_files(&mut self, paths: Vec<PathBuf>) {
        let (mut songs, mut takes) = (Vec::new(), Vec::new());
        let several = paths.len() > 1 || paths.iter().any(|path| path.is_dir());
        for path in paths.into_iter().flat_map(opened) {
            match kind_of(&path) {
                Ok(FileKind::Song) => songs.push(path),
                Ok(FileKind::Midi) => takes.push(path),
                Ok(FileKind::Bank) => self.rig.apply(rig::Change::Bank(path)),
                Ok(FileKind::Chart) if !several => self.open_chart(&path),
                // What lies about in a folder is nobody's wish.
                _ if several => {}
                // Whoever chose it is told what is wrong with it.
                Err(_) => songs.push(path),
                Ok(FileKind::MusicXml | FileKind::CompressedMusicXml) => {
                    self.told = Some(format!(
                        "{} is a score; song files, charts as text and takes can be opened.",
                        name(&path)
                    ));
                }
                Ok(FileKind::Chart | FileKind::Unknown) => {
                    self.told = Some(format!(
                        "{} is no song, no chart and no take; nothing was opened.",
                        name(&path)
                    ));
                }
            }
        }
        // A take's own verdict lies beside it and looks like a song: what has a take's name is not one.
        songs.retain(|song| !takes.contains(&song.with_extension("mid")));
        takes.sort();
        let count = songs.len();
        match songs.into_iter().next() {
            Some(song) => {
                let told = (count > 1).then(|| format!("{} is open, one song of {count}.", name(&song)));
                self.cabinet.takes = takes;
                self.open(Source::File(song));
                self.told = told;
            }
            None => self.open_takes(takes),
        }
    }

    /// Takes that were dropped with their song wait for its part.
    pub(super) fn open_waiting_takes(&mut self) {
        if !self.cabinet.takes.is_empty() && self.document.part().is_some() {
            let takes = std::mem::take(&mut self.cabinet.takes);
            self.open_takes(takes);
        }
    }

    /// Takes that were recorded elsewhere are set against the song in hand, one beside the other.
    fn open_takes(&mut self, takes: Vec<PathBuf>) {
        if takes.is_empty() {
            return;
        }
        let hands = self.session.stand().song_settings().hands;
        let (Some(part), Some(song)) = (self.document.part(), self.document.song()) else {
            self.told = Some("Open the song of the take first.".to_owned());
            return;
        };
        for (index, file) in takes.into_iter().enumerate() {
            let beside = Beside { file, part: part.clone(), song: song.clone(), hands, others: index > 0 };
            self.keeper.ask(Order::Open(Question::Elsewhere(Box::new(beside))));
        }
    }

    /// A chart as text becomes a song of its own; what is not certain stands in its note.
    fn open_chart(&mut self, path: &Path) {
        let Some(songs) = self.cabinet.songs().map(Path::to_owned) else {
            self.told = Some("There is no folder for songs.".to_owned());
            return;
        };
        let made = read_song(path).and_then(|bytes| {
            let mut pasted = song::paste::read(&String::from_utf8_lossy(&bytes), None);
            let doubts: Vec<String> = pasted.doubts.iter().map(ToString::to_string).collect();
            if pasted.song.title == "Untitled" {
                pasted.song.title = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            }
            if !doubts.is_empty() {
                let note = pasted.song.note.take().map(|note| note + "\n").unwrap_or_default();
                pasted.song.note = Some(format!("{note}Not certain: {}.", doubts.join("; ")));
            }
            let file = free_path(&songs, &format!("{}.json", plain_name(path)));
            write_whole(&file, pasted.song.to_text().as_bytes())?;
            Ok((file, doubts.len()))
        });
        match made {
            Ok((file, doubts)) => {
                let told = match doubts {
                    0 => String::new(),
                    1 => " One thing is not certain; it stands in the song's note.".to_owned(),
                    n => format!(" {n} things are not certain; they stand in the song's note."),
                };
                self.open(Source::File(file.clone()));
                self.told = Some(format!("{} is a song now: {}.{told}", name(path), file.display()));
            }
            Err(error) => self.told = Some(format!("{} cannot be read: {error}.", name(path))),
        }
    }

    /// The song and its takes, for somebody else to open.
    pub(super) fn copy_with_takes_into(&mut self, folder: PathBuf) {
        let (Some(text), Some(part)) = (self.document.text(), self.document.part()) else {
            self.told = Some("Open a song first.".to_owned());
            return;
        };
        let bundle = SongBundle {
            folder,
            file: self.document.source().file_name(),
            text: text.to_owned(),
            title: part.title.clone(),
        };
        self.keeper.ask(Order::Song(SongOrder::CopyWithTakes(bundle)));
    }
}

/// A file, or the files of a folder.
fn opened(path: PathBuf) -> Vec<PathBuf> {
    if !path.is_dir() {
        return vec![path];
    }
    let entries = std::fs::read_dir(path).into_iter().flatten().flatten().map(|entry| entry.path());
    let mut files: Vec<PathBuf> = entries.filter(|path| path.is_file()).take(IN_A_FOLDER).collect();
    files.sort();
    files
}

fn name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// A file name that leads nowhere.
fn plain_name(path: &Path) -> String {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let words = stem.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let name = words.collect::<Vec<_>>().join("-").to_lowercase();
    if name.is_empty() { "chart".to_owned() } else { name.chars().take(80).collect() }
}
