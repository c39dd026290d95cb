//! The program's window, seen and played from outside.

use super::process::{Ends, wait_for};
use super::screen::Screen;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The program with its window open.
pub struct Window {
    program: Ends,
    home: tempfile::TempDir,
}

impl Window {
    /// Opens the window on a song, in a home of its own; `prepare` may add to the call.
    pub fn open(screen: &Screen, song: Option<&Path>, prepare: impl FnOnce(&mut Command)) -> Window {
        Window::open_in(tempfile::tempdir().unwrap(), screen, song, prepare)
    }

    /// Opens the window in a home that is there already.
    pub fn open_in(
        home: tempfile::TempDir,
        screen: &Screen,
        song: Option<&Path>,
        prepare: impl FnOnce(&mut Command),
    ) -> Window {
        let mut command = Command::new(env!("CARGO_BIN_EXE_overhand"));
        command
            .args(song)
            .env("OVERHAND_HOME", home.path())
            .env("OVERHAND_SHOWN", home.path().join("shown"))
            .env("OVERHAND_FRAMES", home.path().join("frames"))
            .env("OVERHAND_PLACE", home.path().join("place"))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(std::fs::File::create(home.path().join("messages")).unwrap());
        screen.put_into(&mut command);
        prepare(&mut command);
        let program = Ends(command.spawn().unwrap());
        Window { program, home }
    }

    /// The texts in the window, one a line.
    pub fn shown(&self) -> String {
        std::fs::read_to_string(self.home.path().join("shown")).unwrap_or_default()
    }

    /// Waits until a text is in the window, and returns all texts there are then.
    pub fn wait_for_text(&self, text: &str) -> String {
        let shows = || Some(self.shown()).filter(|shown| shown.contains(text));
        let start = Instant::now();
        loop {
            if let Some(shown) = shows() {
                return shown;
            }
            assert!(
                start.elapsed() < Duration::from_secs(40),
                "no {text:?} in the window:\n{}\n{}",
                self.shown(),
                std::fs::read_to_string(self.home.path().join("messages")).unwrap_or_default()
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until a text is no longer in the window.
    pub fn wait_until_gone(&self, text: &str) {
        wait_for(&format!("window without {text:?}"), 40, || (!self.shown().contains(text)).then_some(()));
    }

    /// Waits until a run goes on, and returns when its first bar line is, in microseconds of the system's clock, where a
    /// quarter lasts so many milliseconds.
    pub fn wait_for_first_bar_line(&self, quarter_ms: f64) -> u64 {
        let place = || std::fs::read_to_string(self.home.path().join("place")).ok();
        let place = wait_for("run", 40, place);
        let (micros, quarters) = place.trim().split_once(' ').unwrap();
        let quarters: f64 = quarters.parse().unwrap();
        micros.parse::<u64>().unwrap().saturating_add_signed((-quarters * quarter_ms * 1000.0).round() as i64)
    }

    /// The number of the program's process.
    pub fn process(&self) -> u32 {
        self.program.0.id()
    }

    /// Where the program keeps its files.
    pub fn home(&self) -> &Path {
        self.home.path()
    }

    /// The takes it has saved, the oldest first.
    pub fn takes(&self) -> Vec<PathBuf> {
        let mut takes = Vec::new();
        for song in std::fs::read_dir(self.home.path().join("takes")).into_iter().flatten() {
            takes.extend(std::fs::read_dir(song.unwrap().path()).unwrap().map(|take| take.unwrap().path()));
        }
        takes.retain(|path| path.extension().is_some_and(|ending| ending == "mid"));
        takes.sort();
        takes
    }

    /// Waits until it has saved a take, and returns the newest.
    pub fn wait_for_take(&self) -> PathBuf {
        let start = Instant::now();
        loop {
            if let Some(take) = self.takes().pop() {
                return take;
            }
            assert!(
                start.elapsed() < Duration::from_secs(40),
                "no take was saved; the window shows\n{}\n{}",
                self.shown(),
                std::fs::read_to_string(self.home.path().join("messages")).unwrap_or_default()
            );
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until it has ended by itself, well, and gives back its home.
    pub fn ended(mut self) -> tempfile::TempDir {
        let status = wait_for("end of the program", 20, || self.program.0.try_wait().unwrap());
        assert!(status.success(), "{status}");
        self.home
    }
}
