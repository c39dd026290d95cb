//! From a song file on disk to its part.

use super::{Answer, Player};
use song::{Diagnostic, Reading, Song};
use std::path::Path;
use voicing::Part;

/// A song as read, with what there is to tell about it.
pub struct SongFile {
    /// The song.
    pub song: Song,
    /// Warnings, ready to print.
    pub warnings: Vec<String>,
}

/// Reads a song file; the answer, if it cannot be played.
pub fn read(path: &Path) -> Result<SongFile, Answer> {
    let bytes = std::fs::read(path).map_err(|error| unreadable(path, &error))?;
    let Reading { song, diagnostics } = song::read_bytes(&bytes);
    let lines = told(path, &diagnostics);
    match song {
        Some(song) if !diagnostics.iter().any(Diagnostic::is_error) => Ok(SongFile { song, warnings: lines }),
        _ => Err(Answer::wrong_input(lines)),
    }
}

/// The two-hand part of a song file for a player.
pub fn part(path: &Path, player: &Player) -> Result<(Part, Vec<String>), Answer> {
    let file = read(path)?;
    let played = file.song.play();
    let settings = player.settings();
    let key = player.key.unwrap_or(played.key);
    match voicing::plan(&played, key, &settings) {
        Ok(part) => Ok((part, file.warnings)),
        Err(other_mode) => Err(Answer::wrong_call(format!("{}: {other_mode}", path.display()))),
    }
}

/// Diagnostics as lines with the file's name before them.
pub fn told(path: &Path, diagnostics: &[Diagnostic]) -> Vec<String> {
    let name = path.display().to_string();
    diagnostics.iter().map(|d| d.in_file(&name).to_string()).collect()
}

/// A file that cannot be opened.
pub fn unreadable(path: &Path, error: &std::io::Error) -> Answer {
    let why = match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file; check the spelling and the folder".to_owned(),
        std::io::ErrorKind::PermissionDenied => "this file may not be read; check its permissions".to_owned(),
        _ => error.to_string(),
    };
    Answer::wrong_input(vec![format!("{}: {why}", path.display())])
}
