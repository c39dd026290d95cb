//! Calls of the program just built.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a call gave.
pub struct Said {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Said {
    /// The result of a call that was done.
    pub fn done(self) -> String {
        assert_eq!(self.code, Some(0), "{}", self.err);
        self.out
    }

    /// The JSON document of a call that was done.
    pub fn json(self) -> Value {
        serde_json::from_str(&self.done()).unwrap()
    }
}

/// The program, ready to be called in the top folder.
pub fn overhand() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_overhand"));
    command.current_dir(top()).stdin(Stdio::null()).env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
    command
}

/// Calls the program and waits.
pub fn call(arguments: &[&str]) -> Said {
    let output = overhand().args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Said { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
}

/// The top folder.
pub fn top() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

/// A file of the reference data.
pub fn reference(name: &str) -> PathBuf {
    top().join("tests/reference").join(name)
}
