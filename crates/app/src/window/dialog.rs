//! Asking for a file, without holding up the window.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;
use std::time::{Duration, Instant};

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
    /// A place for the file of the song that is open.
    PlaceForSong,
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
            Wanted::PlaceForSong => ("Keep the song", "Songs", &["json"]),
        }
    }
}

/// No hand closes a dialog as soon as this after it was asked for: there was none.
const NO_DIALOG: Duration = Duration::from_millis(400);

/// What became of asking for a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// This one.
    Chosen(PathBuf),
    /// The player wants none.
    Nothing,
    /// This system has no dialog to ask with.
    NoDialog,
}

/// Waits for what a dialog says. To be called on a thread of its own.
pub fn wait_for(dialog: impl Future<Output = Option<rfd::FileHandle>>) -> Answer {
    let asked = Instant::now();
    match pollster::block_on(dialog) {
        Some(file) => Answer::Chosen(file.path().to_owned()),
        None if asked.elapsed() < NO_DIALOG => Answer::NoDialog,
        None => Answer::Nothing,
    }
}

/// The dialog, open or not.
#[derive(Debug, Default)]
pub struct FileDialog {
    answer: Option<(Wanted, Receiver<Answer>)>,
}

impl FileDialog {
    /// Opens the dialog, unless it is open; `wake` is called from another thread once the player has chosen.
    pub fn ask(&mut self, wanted: Wanted, wake: impl Fn() + Send + 'static) {
        self.ask_with_name(wanted, "", wake);
    }

    /// The same with the name that a file has so far.
    pub fn ask_with_name(&mut self, wanted: Wanted, name: &str, wake: impl Fn() + Send + 'static) {
        if self.answer.is_some() {
            return;
        }
        let (title, kind, endings) = wanted.words();
        let dialog = rfd::AsyncFileDialog::new().set_title(title).set_file_name(name);
        let (tell, answer) = channel();
        let waiting = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
            let answer = match wanted {
                Wanted::FolderForTakes => wait_for(dialog.pick_folder()),
                Wanted::PlaceForSong => wait_for(dialog.add_filter(kind, endings).save_file()),
                _ => wait_for(dialog.add_filter(kind, endings).pick_file()),
            };
            // The window may be closed by now.
            let _ = tell.send(answer);
            drop(tell);
            wake();
        });
        self.answer = waiting.is_ok().then_some((wanted, answer));
    }

    /// What was chosen, once.
    pub fn answer(&mut self) -> Option<(Wanted, Answer)> {
        let (wanted, answer) = self.answer.as_ref()?;
        let (wanted, answer) = (*wanted, answer.try_recv());
        if answer != Err(TryRecvError::Empty) {
            self.answer = None;
        }
        Some((wanted, answer.ok()?))
    }
}
