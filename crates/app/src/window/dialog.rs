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
    /// A set list.
    Set,
    /// A folder to copy the song and its takes into.
    FolderForTakes,
}

impl Wanted {
    /// The dialog's title, the name of the kind, and its endings.
    fn words(self) -> (&'static str, &'static str, &'static [&'static str]) {
        match self {
            Wanted::Song => ("Open a song", "Songs, charts and takes", &["json", "txt", "mid", "midi"]),
            Wanted::Take => ("Open a take", "MIDI files", &["mid", "midi"]),
            Wanted::Bank => ("Open a SoundFont bank", "SoundFont 2 banks", &["sf2", "SF2"]),
            Wanted::Set => ("Open a set list", "Set lists", &["json"]),
            Wanted::FolderForTakes => ("Copy the song and its takes", "Folders", &[]),
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
        let dialog = rfd::AsyncFileDialog::new().set_title(title);
        let (tell, answer) = channel();
        let waiting = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
            let chosen = match wanted {
                Wanted::FolderForTakes => pollster::block_on(dialog.pick_folder()),
                _ => pollster::block_on(dialog.add_filter(kind, endings).pick_file()),
            };
            if let Some(file) = chosen {
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
