//! A screen of its own: an X server that draws into memory.

use super::process::Ends;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

/// A running X server.
pub struct Screen {
    _server: Ends,
    display: String,
}

impl Screen {
    /// A screen of so many pixels.
    pub fn new(width: u32, height: u32) -> Screen {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-nolisten", "tcp", "-screen", "0", &format!("{width}x{height}x24")])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut number = String::new();
        // The server chooses a free number and says which.
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let number = number.trim();
        assert!(!number.is_empty(), "the X server did not start");
        Screen { _server: Ends(server), display: format!(":{number}") }
    }

    /// For a program that opens its window here.
    pub fn put_into(&self, command: &mut Command) {
        command.env("DISPLAY", &self.display).env_remove("WAYLAND_DISPLAY").env("LIBGL_ALWAYS_SOFTWARE", "1");
    }

    /// Presses keys in the window that has the focus, by the names of X: `space`, `2`, `Right`.
    pub fn press(&self, keys: &[&str]) {
        self.xdotool(&[&["key", "--delay", "60"], keys].concat());
    }

    /// Gives the focus to a window by its title; there is no window manager that would. It comes to lie before all others:
    /// one that is covered draws no frames.
    pub fn focus(&self, title: &str) {
        let window = ["search", "--sync", "--onlyvisible", "--name", title];
        self.xdotool(&[&window[..], &["windowraise", "windowfocus", "--sync"]].concat());
    }

    fn xdotool(&self, arguments: &[&str]) {
        let status = Command::new("xdotool").args(arguments).env("DISPLAY", &self.display).status().unwrap();
        assert!(status.success(), "xdotool {arguments:?}");
    }
}
