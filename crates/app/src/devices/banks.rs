//! SoundFont banks: where systems keep them, and reading one without holding anything up.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::Sender;
use std::thread;

use sound::SoundBank;

use super::sound_out::Order;
use super::status::StatusBoard;

/// The largest file that is read, in bytes.
const LARGEST: u64 = 2 << 30;

/// What plays the notes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum InstrumentChoice {
    /// The built-in piano.
    #[default]
    Piano,
    /// A SoundFont 2 bank.
    Bank {
        /// Its file.
        file: PathBuf,
        /// Which of its presets, counted from 0 in the order of the file; nothing for its first piano.
        preset: Option<usize>,
    },
}

/// The banks there are in the usual folders, by file name; none where there are none.
pub fn find_banks() -> Vec<PathBuf> {
    let mut banks: Vec<PathBuf> = folders().iter().flat_map(|folder| banks_in(folder)).collect();
    banks.sort_by_key(|bank| bank.file_name().map(|name| name.to_ascii_lowercase()));
    banks.dedup();
    banks
}

/// Reads a bank, and says in one line why it cannot be used.
///
/// # Errors
/// A line for the player.
pub fn read_bank(file: &Path, preset: Option<usize>) -> Result<SoundBank, String> {
    let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy().into_owned();
    let told = |reason: &dyn std::fmt::Display| format!("{name} cannot be played: {reason}.");
    let length = fs::metadata(file).map_err(|error| told(&error))?.len();
    if length > LARGEST {
        return Err(told(&"it is larger than two gigabytes; choose a smaller bank"));
    }
    let bytes = fs::read(file).map_err(|error| told(&error))?;
    let bank = SoundBank::from_bytes(&bytes).map_err(|error| told(&error))?;
    match preset {
        None => Ok(bank),
        Some(at) => bank.with_preset(at).ok_or_else(|| told(&"it has no such preset; choose another")),
    }
}

/// Reads what was chosen on a thread of its own, and hands it to the sound thread unless something else was chosen since.
#[derive(Clone, Debug)]
pub(super) struct Loader {
    pub(super) board: Arc<StatusBoard>,
    pub(super) orders: Sender<Order>,
    pub(super) latest: Arc<AtomicU64>,
}

impl Loader {
    pub(super) fn choose(&self, choice: InstrumentChoice) {
        let number = self.latest.fetch_add(1, Ordering::Relaxed) + 1;
        let loader = self.clone();
        let work = move || match choice {
            InstrumentChoice::Piano => loader.hand_over(number, Ok(None)),
            InstrumentChoice::Bank { file, preset } => {
                loader.hand_over(number, read_bank(&file, preset).map(Some));
            }
        };
        if thread::Builder::new().name("bank".to_owned()).spawn(work).is_err() {
            self.say("The bank cannot be read: the system allows no more threads.");
        }
    }

    /// Looks through the usual folders and puts on the board what is there.
    pub(super) fn look(&self) {
        let board = Arc::clone(&self.board);
        let work = move || {
            let banks = find_banks();
            board.change(|status| status.banks = banks.into());
        };
        // Without a thread for it the list stays as it is.
        let _ = thread::Builder::new().name("banks".to_owned()).spawn(work);
    }

    fn hand_over(&self, number: u64, bank: Result<Option<SoundBank>, String>) {
        if self.latest.load(Ordering::Relaxed) != number {
            return;
        }
        match bank {
            // The sound thread is gone only while the program ends.
            Ok(bank) => drop(self.orders.send(Order::Play(bank))),
            Err(reason) => self.say(&reason),
        }
    }

    fn say(&self, message: &str) {
        self.board.change(|status| status.instrument_message = Some(message.to_owned()));
    }
}

/// Where systems and players keep banks: Debian and Arch, Fedora, hand-made, macOS.
fn folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = ["/usr/share", "/usr/local/share"]
        .iter()
        .flat_map(|share| ["sounds/sf2", "soundfonts"].map(|folder| Path::new(share).join(folder)))
        .collect();
    if let Some(base) = directories::BaseDirs::new() {
        let data = base.data_dir();
        folders.extend(["sounds/sf2", "soundfonts"].map(|folder| data.join(folder)));
        if cfg!(target_os = "macos") {
            folders.push(base.home_dir().join("Library/Audio/Sounds/Banks"));
        }
    }
    if cfg!(target_os = "macos") {
        folders.push("/Library/Audio/Sounds/Banks".into());
    }
    folders
}

/// The banks of one folder, each under the name of the file itself, whatever links lead to it.
fn banks_in(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let files = entries.flatten().filter_map(|entry| fs::canonicalize(entry.path()).ok());
    files.filter(|file| file.is_file() && is_bank(file)).collect()
}

fn is_bank(file: &Path) -> bool {
    file.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("sf2"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_banks_by_their_ending_and_each_once() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["One.sf2", "two.SF2", "notes.txt", "three.sf3"] {
            fs::write(folder.path().join(name), b"").unwrap();
        }
        let mut found = banks_in(folder.path());
        found.sort();
        let names: Vec<_> = found.iter().filter_map(|file| file.file_name()).collect();
        assert_eq!(names, ["One.sf2", "two.SF2"]);
        assert!(banks_in(&folder.path().join("nowhere")).is_empty());
    }

    #[test]
    fn what_was_chosen_last_is_handed_over_and_a_failure_is_told() {
        let (orders, received) = std::sync::mpsc::channel();
        let (told, telling) = std::sync::mpsc::channel();
        let board = Arc::new(StatusBoard::new(move || {
            // The test may be over already.
            let _ = told.send(());
        }));
        let loader = Loader { board: Arc::clone(&board), orders, latest: Arc::default() };
        let patience = std::time::Duration::from_secs(20);
        loader.choose(InstrumentChoice::Piano);
        assert!(matches!(received.recv_timeout(patience), Ok(Order::Play(None))));
        loader.choose(InstrumentChoice::Bank { file: "nowhere/Grand.sf2".into(), preset: None });
        telling.recv_timeout(patience).unwrap();
        let message = board.read().instrument_message.unwrap();
        assert!(message.starts_with("Grand.sf2 cannot be played"), "{message}");
        // One that was overtaken by a later choice is dropped.
        loader.hand_over(1, Ok(None));
        assert!(received.try_recv().is_err());
    }

    #[test]
    fn what_is_no_bank_is_said_with_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("Grand.sf2");
        let missing = read_bank(&file, None).err().unwrap();
        assert!(missing.starts_with("Grand.sf2 cannot be played"), "{missing}");
        fs::write(&file, b"a letter to the editor").unwrap();
        let told = read_bank(&file, None).err().unwrap();
        assert!(told.contains("Grand.sf2") && told.contains("choose another"), "{told}");
    }
}
