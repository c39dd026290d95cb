//! From a song file on disk to its part, or from the notes of a MIDI file.

use super::{Answer, Player};
use exchange::ExchangeError;
use song::{Diagnostic, OtherMode, Reading, Song};
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
    song_in(path, &no_midi(path)?)
}

/// What there is to tell about a song file; the answer, if it is none or cannot be opened.
pub fn diagnostics(path: &Path) -> Result<Vec<Diagnostic>, Answer> {
    Ok(song::read_bytes(&no_midi(path)?).diagnostics)
}

fn no_midi(path: &Path) -> Result<Vec<u8>, Answer> {
    let bytes = bytes(path)?;
    if exchange::looks_like_midi(&bytes) {
        let what = "this is a MIDI file and no song; 'overhand part' prints its notes, and 'overhand import' makes a song of \
                    the chords in its words";
        return Err(Answer::wrong_input(vec![format!("{}: {what}", path.display())]));
    }
    Ok(bytes)
}

fn bytes(path: &Path) -> Result<Vec<u8>, Answer> {
    std::fs::read(path).map_err(|error| unreadable(path, &error))
}

fn song_in(path: &Path, bytes: &[u8]) -> Result<SongFile, Answer> {
    let Reading { song, diagnostics } = song::read_bytes(bytes);
    let lines = told(path, &diagnostics);
    match song {
        Some(song) if !diagnostics.iter().any(Diagnostic::is_error) => Ok(SongFile { song, warnings: lines }),
        _ => Err(Answer::wrong_input(lines)),
    }
}

/// The two-hand part of a song file for a player; of a MIDI file its notes.
pub fn part(path: &Path, player: &Player) -> Result<(Part, Vec<String>), Answer> {
    let bytes = bytes(path)?;
    if exchange::looks_like_midi(&bytes) {
        return notes(path, &bytes, player);
    }
    let file = song_in(path, &bytes)?;
    let played = file.song.play();
    let settings = player.settings();
    let key = player.key.unwrap_or(played.key);
    match voicing::plan(&played, key, &settings) {
        Ok(part) => Ok((part, file.warnings)),
        Err(other_mode) => Err(Answer::wrong_call(format!("{}: {other_mode}", path.display()))),
    }
}

/// The notes of a MIDI file, in its own key or moved. It may have chords in its words as well: that is said.
fn notes(path: &Path, bytes: &[u8], player: &Player) -> Result<(Part, Vec<String>), Answer> {
    let name = path.display();
    let wrong = |error: ExchangeError| Answer::wrong_input(vec![format!("{name}: {error}")]);
    let file = exchange::read_midi(bytes).map_err(wrong)?;
    let title = crate::import::title_of(path);
    let part = exchange::notes_part(&file, &title, player.key, player.settings()).map_err(wrong)?;
    if let Some(asked) = player.key.filter(|asked| asked.mode() != part.key.mode()) {
        let other_mode = OtherMode { written: part.key, asked };
        return Err(Answer::wrong_call(format!("{name}: {other_mode}")));
    }
    let has_chords = exchange::midi_chart(&file, "").is_some();
    let told =
        || format!("{name}: these are its notes; of the chords in its words 'overhand import' makes a song");
    Ok((part, has_chords.then(told).into_iter().collect()))
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
