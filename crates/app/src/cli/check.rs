//! `overhand check`: every mistake of song files, with its place.

use super::{Answer, Code, Form, song_file};
use serde::Serialize;
use song::{Diagnostic, Severity};
use std::path::{Path, PathBuf};

#[derive(Serialize)]
struct CheckedFile {
    file: String,
    ok: bool,
    mistakes: Vec<Mistake>,
}

#[derive(Serialize)]
struct Mistake {
    severity: &'static str,
    line: usize,
    column: usize,
    message: String,
    hint: Option<String>,
}

/// Checks every file. Its mistakes are the result that was asked for, so they go to standard output.
pub fn answer(songs: &[PathBuf], form: Form) -> Answer {
    let mut answer = if form.json { as_json(songs) } else { as_text(songs) };
    if songs.iter().any(|song| !is_sound(song)) {
        answer.code = Code::WrongInput;
    }
    answer
}

fn as_text(songs: &[PathBuf]) -> Answer {
    let mut text = String::new();
    let mut messages = Vec::new();
    for path in songs {
        match song_file::diagnostics(path) {
            Ok(diagnostics) => text += &report(path, &diagnostics),
            Err(mut answer) => messages.append(&mut answer.messages),
        }
    }
    Answer::done(text).telling(messages)
}

fn report(path: &Path, diagnostics: &[Diagnostic]) -> String {
    let mut lines = song_file::told(path, diagnostics);
    if !diagnostics.iter().any(Diagnostic::is_error) {
        lines.push(format!("{}: no mistakes", path.display()));
    }
    lines.join("\n") + "\n"
}

fn as_json(songs: &[PathBuf]) -> Answer {
    let mut files = Vec::new();
    let mut messages = Vec::new();
    for path in songs {
        match song_file::diagnostics(path) {
            Ok(diagnostics) => files.push(checked(path, &diagnostics)),
            Err(mut answer) => messages.append(&mut answer.messages),
        }
    }
    Answer::json(&serde_json::json!({ "files": files })).telling(messages)
}

fn checked(path: &Path, diagnostics: &[Diagnostic]) -> CheckedFile {
    let mistakes = diagnostics.iter().map(|d| Mistake {
        severity: if d.severity == Severity::Error { "error" } else { "warning" },
        line: d.line,
        column: d.column,
        message: d.message.clone(),
        hint: d.hint.clone(),
    });
    CheckedFile {
        file: path.display().to_string(),
        ok: !diagnostics.iter().any(Diagnostic::is_error),
        mistakes: mistakes.collect(),
    }
}

fn is_sound(path: &Path) -> bool {
    song_file::diagnostics(path).is_ok_and(|diagnostics| !diagnostics.iter().any(Diagnostic::is_error))
}
