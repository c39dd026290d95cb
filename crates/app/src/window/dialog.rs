//! Asking for a song file, without holding up the window.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, channel};
use std::thread;

/// The dialog, open or not.
#[derive(Debug, Default)]
pub struct FileDialog {
    answer: Option<Receiver<PathBuf>>,
}

impl FileDialog {
    /// Opens the dialog, unless it is open; `wake` is called from another thread once the player has chosen.
    pub fn ask(&mut self, wake: impl Fn() + Send + 'static) {
        if self.answer.is_some() {
            return;
        }
        let dialog =
            rfd::AsyncFileDialog::new().set_title("Open a song").add_filter("Songs", &["json"]).pick_file();
        let (tell, answer) = channel();
        let waiting = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
            if let Some(file) = pollster::block_on(dialog) {
                // The window may be closed by now.
                let _ = tell.send(file.path().to_owned());
            }
            drop(tell);
            wake();
        });
        self.answer = waiting.is_ok().then_some(answer);
    }

    /// The file that was chosen, once.
    pub fn chosen(&mut self) -> Option<PathBuf> {
        let answer = self.answer.as_ref()?;
        let chosen = answer.try_recv();
        if chosen != Err(std::sync::mpsc::TryRecvError::Empty) {
            self.answer = None;
        }
        chosen.ok()
    }
}
