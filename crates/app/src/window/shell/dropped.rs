//! Files that are dropped on the window or chosen: each opened as what it is.

use super::Shell;
use super::rig;
use crate::document::Source;
use crate::import;
use crate::storage::{free_path, is_set, read_within, write_whole};
use crate::window::dialog::{Answer, Wanted};
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
        match self.dialog.answer() {
            Some((wanted, Answer::Chosen(path))) => self.take_in_file(wanted, path),
            Some((Wanted::FolderForTakes, Answer::NoDialog)) => {
                let folder = self.cabinet.exports().map(Path::to_owned);
                folder.into_iter().for_each(|folder| self.copy_with_takes_into(folder));
            }
            Some((Wanted::PlaceForSong, Answer::NoDialog)) => {
                let file = self.document.source().to_remember();
                self.told = Some(format!(
                    "This system has no dialog to choose a place with. The song is in {}; move it there while this \
                     window is closed.",
                    file.display()
                ));
            }
            Some((_, Answer::NoDialog)) => {
                self.told = Some(
                    "This system has no dialog to choose a file with: drop the file on the window."
                        .to_owned(),
                );
            }
            Some((_, Answer::Nothing)) | None => {}
        }
    }

    fn take_in_file(&mut self, wanted: Wanted, path: PathBuf) {
        match wanted {
            Wanted::FolderForTakes => self.copy_with_takes_into(path),
            Wanted::PlaceForSong => self.move_file(as_json(path)),
            Wanted::Bank => self.rig.apply(rig::Change::Bank(path)),
            Wanted::Set => self.open_set(&path),
            Wanted::Take => self.open_takes(vec![path]),
            Wanted::Song => self.open_files(vec![path]),
        }
    }

    /// A set list, a song with takes of it, several takes, a chart: whatever it is. Of a folder, what is in it.
    pub(super) fn open_files(&mut self, paths: Vec<PathBuf>) {
        let (mut sets, mut songs, mut takes) = (Vec::new(), Vec::new(), Vec::new());
        let several = paths.len() > 1 || paths.iter().any(|path| path.is_dir());
        for path in paths.into_iter().flat_map(opened) {
            match kind_of(&path) {
                Ok(FileKind::Song) if is_set(&path) => sets.push(path),
                Ok(FileKind::Song) => songs.push(path),
                Ok(FileKind::Midi) if !several && has_chords(&path) => self.make_a_song(&path),
                Ok(FileKind::Midi) if !several && is_for_two_hands(&path) => songs.push(path),
                Ok(FileKind::Midi) => takes.push(path),
                Ok(FileKind::Bank) => self.rig.apply(rig::Change::Bank(path)),
                // What lies about in a folder is nobody's wish.
                _ if several => {}
                // Whoever chose it is told what is wrong with it.
                Err(_) => songs.push(path),
                Ok(_) => self.make_a_song(&path),
            }
        }
        if let Some(set) = sets.first() {
            return self.open_set(set);
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

    /// A chart as text, a score, a MIDI file with chords in its words: it becomes a song of its own, beside what it was.
    /// What is not certain stands in its notes.
    fn make_a_song(&mut self, path: &Path) {
        let Some(songs) = self.cabinet.songs().map(Path::to_owned) else {
            self.told = Some("There is no folder for songs.".to_owned());
            return;
        };
        match song_made_of(path, &songs) {
            Ok((file, told)) => {
                self.open(Source::File(file.clone()));
                self.told = Some(format!("{} is a song now: {}. {told}", name(path), file.display()));
            }
            Err(why) => self.told = Some(format!("{}: {why}. Nothing was opened.", name(path))),
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

/// Writes the song that a file of another kind makes; gives where, and what there is to say of it.
fn song_made_of(path: &Path, songs: &Path) -> Result<(PathBuf, String), String> {
    let bytes = read_within(path, FOREIGN_BYTES).map_err(|error| error.to_string())?;
    if bytes.len() > FOREIGN_BYTES {
        return Err("the file is longer than any chart or score".to_owned());
    }
    let chart = FileKind::of(&bytes) == FileKind::Chart;
    // Older programs write text in other encodings than ours; chords are the same in all of them.
    let bytes = if chart { String::from_utf8_lossy(&bytes).into_owned().into_bytes() } else { bytes };
    let mut made = import::read(&bytes, &import::title_of(path)).map_err(|why| why.to_string())?;
    if made.song.title == "Untitled" {
        made.song.title = import::title_of(path);
    }
    // A score's doubts are in its song already, each at its bar.
    if chart && !made.told.is_empty() {
        let note = made.song.note.take().map(|note| note + "\n").unwrap_or_default();
        made.song.note = Some(format!("{note}Not certain: {}.", in_song(&bytes).join("; ")));
    }
    let file = free_path(songs, &format!("{}.json", plain_name(path)));
    write_whole(&file, made.song.to_text().as_bytes()).map_err(|error| error.to_string())?;
    let told = match made.told.len() {
        0 => String::new(),
        1 => "One thing is not certain; it stands in the song's notes.".to_owned(),
        n => format!("{n} things are not certain; they stand in the song's notes."),
    };
    Ok((file, told))
}

/// What is not certain in a chart as text, by its places in the song that was made of it: the text is not looked at again.
fn in_song(bytes: &[u8]) -> Vec<String> {
    let pasted = song::paste::read(&String::from_utf8_lossy(bytes), None);
    pasted.doubts.iter().map(song::paste::Doubt::in_song).collect()
}

/// A MIDI file with chords in its words is a chart.
fn has_chords(path: &Path) -> bool {
    not_ours(path).is_some_and(|file| exchange::midi_chart(&file, "").is_some())
}

/// One with a track for each hand is a part to practise.
fn is_for_two_hands(path: &Path) -> bool {
    not_ours(path).is_some_and(|file| file.names_both_hands())
}

/// A MIDI file that is no take of this program.
fn not_ours(path: &Path) -> Option<exchange::MidiFile> {
    let bytes = read_within(path, FOREIGN_BYTES).ok().filter(|bytes| bytes.len() <= FOREIGN_BYTES);
    let file = bytes.and_then(|bytes| exchange::read_midi(&bytes).ok());
    file.filter(|file| file.take().is_none())
}

/// Scores of an evening have less than a tenth of this.
const FOREIGN_BYTES: usize = 16_000_000;

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

/// The place that was chosen, whose name may have full stops in it: `No. 5 waltz` is `No. 5 waltz.json`.
fn as_json(path: PathBuf) -> PathBuf {
    if path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("json")) {
        return path;
    }
    let mut name = path.into_os_string();
    name.push(".json");
    name.into()
}

/// A file name that leads nowhere.
fn plain_name(path: &Path) -> String {
    let name = name_of(&path.file_stem().unwrap_or_default().to_string_lossy());
    if name.is_empty() { "chart".to_owned() } else { name }
}

/// A title as a file is called: `Reeds at the Weir!` as `reeds-at-the-weir`; nothing if it has neither letters nor digits.
pub(super) fn name_of(title: &str) -> String {
    let words = title.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join("-").to_lowercase().chars().take(80).collect()
}
