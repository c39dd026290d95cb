//! The songs there are to open: those that come with the program, and those opened before.

use crate::document::Source;
use crate::storage::DEMOS;
use std::path::PathBuf;
use ui::{SongEntry, SongKind};

/// The list, in the order it is shown.
#[derive(Debug, Default)]
pub struct Library {
    sources: Vec<Source>,
    entries: Vec<SongEntry>,
}

impl Library {
    /// The demo songs and the files opened before, as far as they are still there. Reads them: some milliseconds.
    pub fn new(recent: &[PathBuf]) -> Library {
        let mut library = Library::default();
        let demos = DEMOS.into_iter().map(|demo| (Source::Demo(demo), SongKind::Demo));
        let recent = recent.iter().map(|path| (Source::File(path.clone()), SongKind::Recent));
        for (source, kind) in demos.chain(recent) {
            library.add(source, kind);
        }
        library
    }

    fn add(&mut self, source: Source, kind: SongKind) {
        let Ok(bytes) = source.bytes() else { return };
        let Some(song) = song::read_bytes(&bytes).song else { return };
        self.entries.push(SongEntry { title: song.title.clone(), detail: detail(&song), kind, open: false });
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

    #[test]
    fn demo_songs_come_first_and_files_that_are_gone_are_left_out() {
        let mut library = Library::new(&[PathBuf::from("gone.json")]);
        assert_eq!(library.entries().len(), DEMOS.len());
        assert_eq!(library.entries()[0].detail, "D major · 4/4 · 72");
        library.mark_open(&Source::Demo(DEMOS[1]));
        assert_eq!(library.entries().iter().position(|entry| entry.open), Some(1));
    }
}
