//! Plain charts from an e-mail or a text file: headings, rows of chords by letter or number, words between them.
//!
//! The first reading is always a song without mistakes. What is not certain is a [`Doubt`] with its place in what was
//! pasted; words that are no chords are kept as notes.
//!
//! ```
//! let pasted = song::paste::read("Lanterns\nKey: D\n\nVerse x2\nD A/C# Bm G\nthe water keeps the light\n", None);
//! assert_eq!(pasted.song.title, "Lanterns");
//! assert_eq!(pasted.song.sections[0].passes, Some(2));
//! assert_eq!(pasted.song.sections[0].bars.as_ref().unwrap(), &["1 | 5/7 | 6 | 4"]);
//! assert_eq!(pasted.song.sections[0].note.as_deref(), Some("the water keeps the light"));
//! let last = pasted.doubts.last().unwrap();
//! assert_eq!(last.to_string(), "5:1: there are no bar lines in this row: each chord was taken for a bar");
//! ```
//!
//! This module does not guess rhythms: where a chart says nothing about beats, a bar is shared out evenly.

mod bars;
mod build;
mod doubt;
mod facts;
mod heading;
mod line;
mod settle;
mod token;

pub use doubt::{Doubt, DoubtPlace};
pub(crate) use facts::{Fact, fact};
pub(crate) use token::repeats;

use crate::Meter;
use crate::file;
use crate::letters::{KeyGuess, propose_key};
use crate::limits::PASTED_BYTES;
use doubt::Doubts;
use line::{Kind, Line};
use theory::Key;

/// A song read from plain text.
#[derive(Clone, Debug, PartialEq)]
pub struct Pasted {
    /// The song, without mistakes. [`file::Song::to_text`] writes it.
    pub song: file::Song,
    /// What is not certain, in the order of the text.
    pub doubts: Vec<Doubt>,
    /// The keys that the chords by letter suggest, the likeliest first; empty if they are numbers.
    pub keys: Vec<KeyGuess>,
}

/// Reads a plain chart. The key is the one given, else the one named in the text, else the likeliest.
pub fn read(text: &str, key: Option<Key>) -> Pasted {
    let mut doubts = Doubts::new(text);
    let text = doubts.shortened(text, PASTED_BYTES);
    let mut lines = line::lines(text);
    let facts = facts::facts(&lines, &mut doubts);
    line::find_title(&mut lines, &facts);
    let chords: Vec<_> = lines
        .iter()
        .filter(|line| matches!(line.kind, Kind::Chords { .. }))
        .flat_map(|line| line.tokens.iter().filter_map(|token| token.letter()))
        .collect();
    let keys = if chords.is_empty() { Vec::new() } else { propose_key(&chords) };
    let key = key.or(facts.key).unwrap_or_else(|| proposed(&keys, &lines, &mut doubts));
    let reading = bars::Reading { key, meter: facts.meter.unwrap_or(COMMON) };
    let (song, stands) = build::song(&lines, &facts, reading, &mut doubts);
    let doubts = doubts.finish(|at| place(&song, &stands, at));
    Pasted { song, doubts, keys }
}

/// Where what was written at a place of the text stands in the song.
fn place(song: &file::Song, stands: &[build::Stands], at: usize) -> Option<DoubtPlace> {
    let stands = stands.iter().find(|stands| (stands.line.0..=stands.line.1).contains(&at))?;
    let section = song.sections.get(stands.section)?;
    let rows = section.bars.as_deref().unwrap_or_default();
    let bars = |rows: &[String]| rows.iter().map(|row| row.split('|').count() as u32).sum();
    let of_row = stands.row.filter(|row| *row < rows.len()).map(|row| {
        let from: u32 = bars(&rows[..row]);
        (from, from + bars(&rows[row..=row]))
    });
    Some(DoubtPlace { section: stands.section, name: section.name.clone(), bars: of_row })
}

const COMMON: Meter = Meter::new(4, 4).expect("4/4 is a meter");

/// The likeliest key, with how sure it is; C major for numbers.
fn proposed(keys: &[KeyGuess], lines: &[Line<'_>], doubts: &mut Doubts) -> Key {
    /// Below this the next likely key is named as well.
    const SURE: f64 = 0.8;
    let first = lines.iter().find(|line| matches!(line.kind, Kind::Chords { .. })).map_or((0, 0), Line::span);
    let Some(best) = keys.first() else {
        doubts.add_of_all(first, "no key is named: C major was put in");
        return "C major".parse().expect("C major is a key");
    };
    let other = keys
        .get(1)
        .filter(|_| best.sureness < SURE)
        .map_or(String::new(), |other| format!("; it may be {}", other.key));
    let percent = (100.0 * best.sureness).round();
    doubts
        .add_of_all(first, format!("no key is named: the chords suggest {} ({percent} %){other}", best.key));
    best.key
}
