//! Programs that tell what they do, line by line.

use super::process::{Ends, wait_for};
use super::sound_server::SoundServer;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::{Arc, Mutex};

/// A program that tells what it does, line by line.
pub struct Told {
    _program: Ends,
    input: Mutex<ChildStdin>,
    lines: Arc<Mutex<Vec<String>>>,
}

impl Told {
    /// Starts a program among those that use a sound server.
    pub fn start(server: &SoundServer, program: &str, arguments: &[&str]) -> Told {
        let mut command = Command::new(program);
        command.args(arguments);
        server.put_into(&mut command);
        Told::start_in(&mut command)
    }

    /// Starts a program.
    pub fn start_in(command: &mut Command) -> Told {
        let mut child: Child =
            command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let (input, output) = (child.stdin.take().unwrap(), child.stdout.take().unwrap());
        let lines = Arc::new(Mutex::new(Vec::new()));
        let told = Arc::clone(&lines);
        std::thread::spawn(move || {
            for line in BufReader::new(output).lines().map_while(Result::ok) {
                told.lock().unwrap().push(line);
            }
        });
        Told { _program: Ends(child), input: Mutex::new(input), lines }
    }

    /// Writes it a line to go on.
    pub fn go(&self) {
        self.input.lock().unwrap().write_all(b"go\n").unwrap();
    }

    /// What it has told so far.
    pub fn lines(&self) -> Vec<String> {
        self.lines.lock().unwrap().clone()
    }

    /// How many lines begin so.
    pub fn count(&self, beginning: &str) -> usize {
        self.lines().iter().filter(|line| line.starts_with(beginning)).count()
    }

    /// Waits for so many lines that begin so.
    pub fn wait_for(&self, beginning: &str, times: usize) {
        wait_for(&format!("{times} lines {beginning:?}"), 30, || {
            (self.count(beginning) >= times).then_some(())
        });
    }

    /// The newest line that begins so, without its beginning.
    pub fn newest(&self, beginning: &str) -> Option<String> {
        self.lines().iter().rev().find_map(|line| line.strip_prefix(beginning).map(str::to_owned))
    }
}
