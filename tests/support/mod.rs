//! What the runs of the whole program stand on: a screen, a sound server, and processes that end with the test.

#[cfg(feature = "midi-jack")]
pub mod keyboard;
pub mod process;
pub mod screen;
pub mod sound_server;
#[cfg(feature = "midi-jack")]
pub mod told;
pub mod window;

use std::io::Write;
use std::process::{Command, Stdio};

/// Whether all these programs are here. Where one is not the caller lets its test pass, and this says that it was
/// skipped and why; with `CI` set nothing is skipped.
pub fn have(test: &str, programs: &[&str]) -> bool {
    let lacking: Vec<&str> = programs.iter().copied().filter(|program| !is_here(program)).collect();
    if lacking.is_empty() {
        return true;
    }
    let why = format!("{test} needs {}", lacking.join(", "));
    assert!(std::env::var_os("CI").is_none(), "{why}; with CI set nothing is skipped");
    // Past the capture of the test harness, so that it is read.
    let _ = writeln!(std::io::stderr(), "skipped: {why}");
    false
}

fn is_here(program: &str) -> bool {
    let found = Command::new("which").arg(program).stdout(Stdio::null()).stderr(Stdio::null()).status();
    found.is_ok_and(|status| status.success())
}
