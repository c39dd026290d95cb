//! `overhand import`: songs from other programs' files and from plain text.

use super::{Answer, Form, song_file};
use crate::import::{self, NotASong};
use crate::storage::write_whole;
use clap::Args;
use exchange::Figures;
use serde_json::json;
use std::path::{Path, PathBuf};

/// What is to be read, and the song to be written.
#[derive(Args, Clone, Debug)]
pub struct Import {
    /// MusicXML, plain or compressed, a standard MIDI file with chords in its words, or a plain text chart.
    file: PathBuf,
    /// The song file to write.
    #[arg(short, long, value_name = "SONG.json")]
    output: PathBuf,
    /// Replaces a file that is there.
    #[arg(long)]
    force: bool,
    /// Text or JSON.
    #[command(flatten)]
    form: Form,
}

/// Reads, writes the song, and says what it could not place.
pub fn answer(call: &Import) -> Answer {
    let (file, output) = (&call.file, &call.output);
    if !call.force && output.exists() {
        let what = "there is a file already; --force replaces it";
        return Answer::wrong_input(vec![format!("{}: {what}", output.display())]);
    }
    let bytes = match std::fs::read(file) {
        Ok(bytes) => bytes,
        Err(error) => return song_file::unreadable(file, &error),
    };
    let imported = match import::read(&bytes, &import::title_of(file)) {
        Ok(imported) => imported,
        Err(wrong) => {
            return Answer::wrong_input(vec![format!("{}: {}", file.display(), hint(&wrong, file))]);
        }
    };
    if let Err(error) = write_whole(output, imported.song.to_text().as_bytes()) {
        return Answer::wrong_input(vec![format!("{}: {error}", output.display())]);
    }
    let told = imported.told.iter().map(|what| format!("{}: {what}", file.display())).collect();
    let answer = if call.form.json {
        let Figures { bars, bars_played, chords, moved, simplified, noted } = imported.figures;
        Answer::json(&json!({
            "song": output.display().to_string(), "title": imported.song.title, "key": imported.song.key,
            "bars": bars, "bars_played": bars_played, "chords": chords, "moved": moved,
            "simplified": simplified, "noted": noted, "told": imported.told,
        }))
    } else {
        Answer::done(format!("{}: {}\n", output.display(), import::summary(&imported)))
    };
    answer.telling(told)
}

fn hint(wrong: &NotASong, file: &Path) -> String {
    match wrong {
        NotASong::NotesOnly => {
            let file = file.display();
            format!(
                "{wrong}; 'overhand {file}' opens its notes as a part to practise, 'overhand part {file}' prints them, and \
                 'overhand score {file} TAKE.mid' scores a take against them"
            )
        }
        other => other.to_string(),
    }
}
