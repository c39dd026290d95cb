//! `overhand chords`: the seven chords of a key.

use super::table::lined_up;
use super::{Answer, Form, args};
use serde::Serialize;
use theory::{Chord, Key};

#[derive(Serialize)]
struct ChordsJson {
    key: String,
    chords: Vec<ChordJson>,
}

#[derive(Serialize)]
struct ChordJson {
    symbol: String,
    name: String,
    quality: &'static str,
    notes: Vec<String>,
}

/// The chords of a key.
pub fn answer(key: &str, form: Form) -> Answer {
    let key = match args::parse_key(key) {
        Ok(key) => key,
        Err(message) => return Answer::wrong_call(message),
    };
    let chords: Vec<ChordJson> = key.chords().iter().map(chord_json).collect();
    if form.json {
        Answer::json(&ChordsJson { key: key.to_string(), chords })
    } else {
        Answer::done(text(key, &chords))
    }
}

fn chord_json(chord: &Chord) -> ChordJson {
    ChordJson {
        symbol: chord.written.to_string(),
        name: chord.name(),
        quality: chord.quality().name(),
        notes: chord.names().map(|note| note.to_string()).collect(),
    }
}

fn text(key: Key, chords: &[ChordJson]) -> String {
    let rows: Vec<Vec<String>> = chords
        .iter()
        .map(|c| vec![format!("  {}", c.symbol), c.name.clone(), c.quality.to_owned(), c.notes.join(" ")])
        .collect();
    format!("The chords of {key}\n\n{}\n", lined_up(&rows).join("\n"))
}
