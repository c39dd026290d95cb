//! `overhand`: the window and the command line. Printing happens here and nowhere else, but for
//! the plan, which answers line by line.
#![forbid(unsafe_code)]

use app::cli::{self, Answer, Call};
use clap::Parser;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let call = match Call::try_parse() {
        Ok(call) => call,
        // clap knows which of its texts are answers (help, version) and which are complaints.
        Err(told) => {
            let _ = told.print();
            return ExitCode::from(if told.use_stderr() { 2 } else { 0 });
        }
    };
    match &call.action {
        Some(action) => print(&cli::answer(action)),
        None => match app::window::open(call.song) {
            Ok(()) => ExitCode::SUCCESS,
            Err(answer) => print(&answer),
        },
    }
}

/// Prints an answer. A reader that has seen enough and closed its end (`| head`) is no failure.
fn print(answer: &Answer) -> ExitCode {
    let mut messages = std::io::stderr().lock();
    for message in &answer.messages {
        let _ = writeln!(messages, "{message}");
    }
    let mut out = std::io::stdout().lock();
    match out.write_all(answer.result.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            let _ = writeln!(messages, "The result could not be written: {error}");
            ExitCode::FAILURE
        }
        _ => ExitCode::from(answer.code as u8),
    }
}
