//! Asking for a file, without holding up the window.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

/// What kind of file is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// A song.
    Song,
    /// A take that was recorded elsewhere.
    Take,
    /// A SoundFont 2 bank.
    Bank,
}

impl Wanted {
    /// The dialog's title, the name of the kind, and its endings.
    fn words(self) -> (&'static str, &'static str, &'static [&'static str]) {
        match self {
            Wanted::Song => ("Open a song", "Songs", &["json"]),
            Wanted::Take => ("Open a take", "MIDI files", &["mid", "midi"]),
            Wanted::Bank => ("Open a SoundFont bank", "SoundFont 2 banks", &["sf2", "SF2"]),
        }
    }

    /// What a file dropped on the window is, by its ending; a song, where that does not tell.
    pub fn by_ending(path: &std::path::Path) -> Wanted {
        let ending = path.extension().unwrap_or_default().to_string_lossy().to_lowercase();
        match ending.as_str() {
            "mid" | "midi" => Wanted::Take,
            "sf2" => Wanted::Bank,
            _ => Wanted::Song,
        }
    }
}

/// The dialog, open or not.
#[derive(Debug, Default)]
pub struct FileDialog {
    answer: Option<(Wanted, Receiver<PathBuf>)>,
}

impl FileDialog {
    /// Opens the dialog, unless it is open; `wake` is called from another thread once the player has chosen.
    pub fn ask(&mut self, wanted: Wanted, wake: impl Fn() + Send + 'static) {
        if self.answer.is_some() {
            return;
        }
        let (title, kind, endings) = wanted.words();
        let dialog = rfd::AsyncFileDialog::new().set_title(title).add_filter(kind, endings).pick_file();
        let (tell, answer) = channel();
        let waiting = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
            if let Some(file) = pollster::block_on(dialog) {
                // The window may be closed by now.
                let _ = tell.send(file.path().to_owned());
            }
            drop(tell);
            wake();
        });
        self.answer = waiting.is_ok().then_some((wanted, answer));
    }

    /// The file that was chosen, once.
    pub fn chosen(&mut self) -> Option<(Wanted, PathBuf)> {
        let (wanted, answer) = self.answer.as_ref()?;
        let (wanted, chosen) = (*wanted, answer.try_recv());
        if chosen != Err(TryRecvError::Empty) {
            self.answer = None;
        }
        Some((wanted, chosen.ok()?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_dropped_on_the_window_is_what_its_ending_says() {
        let of = |name: &str| Wanted::by_ending(std::path::Path::new(name));
        assert_eq!(
            [of("a.MID"), of("Grand.SF2"), of("song.json"), of("song")],
            [Wanted::Take, Wanted::Bank, Wanted::Song, Wanted::Song]
        );
    }
}
