//! The songs there are to open: those opened before, those put aside, those that come with the program.

use crate::document::Source;
use crate::storage::{DEMOS, read_within};
use std::path::{Path, PathBuf};
use ui::{SongEntry, SongKind};

/// The list, in the order it is shown.
#[derive(Debug, Default)]
pub struct Library {
    sources: Vec<Source>,
    entries: Vec<SongEntry>,
}

/// So many files of the program's own folder are listed.
const MOST: usize = 200;

/// Songs of so many bytes are read for the list; of 200 bars with an exception in each they are a twentieth of that.
const LISTED: usize = 400_000;

impl Library {
    /// The files opened before and put aside, those in the program's own folder, and the demo songs. Reads them: some
    /// milliseconds. What is not there just now stays in the list; its disk may come back.
    pub fn new(recent: &[PathBuf], aside: &[PathBuf], own: Option<&Path>) -> Library {
        let mut library = Library::default();
        let known = |path: &PathBuf| recent.contains(path) || aside.contains(path);
        let mut others = own.map(songs_in).unwrap_or_default();
        others.retain(|path| !known(path));
        let in_hand = recent.iter().filter(|path| !aside.contains(path)).chain(&others);
        let in_hand = in_hand.map(|path| (Source::File(path.clone()), SongKind::Recent));
        let aside = aside.iter().map(|path| (Source::File(path.clone()), SongKind::Aside));
        let demos = DEMOS.into_iter().map(|demo| (Source::Demo(demo), SongKind::Demo));
        for (source, kind) in demos.chain(in_hand).chain(aside) {
            library.add(source, kind);
        }
        library
    }

    fn add(&mut self, source: Source, kind: SongKind) {
        let (title, detail) = match head(&source) {
            // The list must not wait for what may be no song at all.
            Ok(bytes) if bytes.len() > LISTED => (source.file_name(), "a large file".to_owned()),
            Ok(bytes) => match song::read_bytes(&bytes).song {
                Some(song) => (song.title.clone(), detail(&song)),
                None => (source.file_name(), "no song, or one with mistakes".to_owned()),
            },
            Err(_) => (source.file_name(), format!("not there just now: {}", source.to_remember().display())),
        };
        self.entries.push(SongEntry { title, detail, kind, open: false });
        self.sources.push(source);
    }

    /// What the window shows.
    pub fn entries(&self) -> &[SongEntry] {
        &self.entries
    }

    /// Where a song of the list comes from.
    pub fn source(&self, index: usize) -> Option<&Source> {
        self.sources.get(index)
    }

    /// Marks the song that is open.
    pub fn mark_open(&mut self, open: &Source) {
        for (entry, source) in self.entries.iter_mut().zip(&self.sources) {
            entry.open = source == open;
        }
    }
}

fn head(source: &Source) -> std::io::Result<Vec<u8>> {
    match source {
        Source::Demo(demo) => Ok(demo.text.as_bytes().to_vec()),
        Source::File(path) => read_within(path, LISTED),
    }
}

fn songs_in(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let is_song = |path: &PathBuf| path.extension().is_some_and(|ending| ending == "json");
    let mut songs: Vec<PathBuf> = entries.filter(is_song).take(MOST).collect();
    songs.sort();
    songs
}

fn detail(song: &song::Song) -> String {
    let tempo = song.plays.tempo.as_ref().map(|tempo| {
        let beats = tempo.value.beats_per_minute();
        format!(" · {}", crate::cli::round(beats))
    });
    let meter = song.plays.meter.as_ref().map_or("4/4".to_owned(), |meter| meter.value.to_string());
    format!("{} · {meter}{}", song.key.pretty(), tempo.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(library: &Library) -> Vec<(SongKind, &str)> {
        let entries = library.entries().iter().skip(DEMOS.len());
        entries.map(|entry| (entry.kind, entry.title.as_str())).collect()
    }

    #[test]
    fn songs_opened_before_put_aside_and_of_the_programs_folder_are_found() {
        let folder = tempfile::tempdir().unwrap();
        let own = folder.path().join("songs");
        std::fs::create_dir(&own).unwrap();
        let song = |path: PathBuf, title: &str| {
            let text = DEMOS[0].text.replace("Lanterns at the Lock", title);
            std::fs::write(&path, text).unwrap();
            path
        };
        let weir = song(folder.path().join("weir.json"), "Weir");
        let quay = song(folder.path().join("quay.json"), "Quay");
        song(own.join("copy.json"), "Copy");
        let gone = folder.path().join("gone.json");
        let mut library =
            Library::new(&[weir.clone(), quay.clone(), gone], std::slice::from_ref(&quay), Some(&own));
        assert_eq!(
            kinds(&library),
            [
                (SongKind::Recent, "Weir"),
                (SongKind::Recent, "gone.json"),
                (SongKind::Recent, "Copy"),
                (SongKind::Aside, "Quay"),
            ]
        );
        assert!(library.entries()[DEMOS.len() + 1].detail.starts_with("not there just now: "));
        assert_eq!(library.entries()[0].detail, "D major · 4/4 · 72");
        library.mark_open(&Source::File(weir));
        assert_eq!(library.entries().iter().position(|entry| entry.open), Some(DEMOS.len()));
    }
}
