//! Rows of chords by letter, in the notation of the chart: bar lines, dots and marks stay, letters become numbers.

use super::chord::{LetterChord, is_no_chord, read};
use crate::{ChartError, ItemKind, Span, parse_line};
use theory::{Chord, Key, NumberChord};

/// A row turned from letters to numbers or back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Turned {
    /// The new row.
    pub text: String,
    /// What is not certain or could not be read, with its place in the old row. What could not be read stays as it was.
    pub doubts: Vec<ChartError>,
}

/// The chords of a row by letter, in order; what is none is left out.
pub fn chords(row: &str) -> Vec<LetterChord> {
    words(row).filter_map(|(_, word)| read(chord_part(word).1).ok()?.chord).collect()
}

/// Whether a row holds chords by letter rather than by number: more of them, and at least one.
///
/// ```
/// assert!(song::letters::is_letter_row("G.. D/F#. | Em"));
/// assert!(!song::letters::is_letter_row("1.. 5/7. | 6"));
/// ```
pub fn is_letter_row(row: &str) -> bool {
    let chords = words(row).map(|(_, word)| chord_part(word).1);
    let (letters, numbers): (Vec<&str>, Vec<&str>) =
        chords.filter(|word| !word.is_empty() && !is_no_chord(word)).partition(|word| read(word).is_ok());
    let numbers = numbers.iter().filter(|word| word.parse::<NumberChord>().is_ok()).count();
    !letters.is_empty() && letters.len() >= numbers
}

/// A row with its letters turned into numbers of a key. Numbers in it stay.
///
/// ```
/// let key = "G major".parse().unwrap();
/// let turned = song::letters::to_numbers("3/4: G.. D7/F#. | ^Em <Cmaj7> | N.C. | Xy", key);
/// assert_eq!(turned.text, "3/4: 1.. 5(7)/7. | ^6 <4(maj7)> | N | Xy");
/// assert_eq!(turned.doubts[0].span, (39, 41));
/// ```
pub fn to_numbers(row: &str, key: Key) -> Turned {
    let mut text = String::new();
    let mut doubts = Vec::new();
    let mut done = 0;
    for (at, word) in words(row) {
        text.push_str(&row[done..at]);
        done = at + word.len();
        let (before, chord, after) = chord_part(word);
        let span = (at + before.len(), at + before.len() + chord.len());
        text.push_str(before);
        text.push_str(&number(chord, key, span, &mut doubts));
        text.push_str(after);
    }
    text.push_str(&row[done..]);
    Turned { text, doubts }
}

/// A row with its numbers turned into letters in a key; ties, rests, dots, marks and meters stay.
///
/// ```
/// let key = "D major".parse().unwrap();
/// assert_eq!(song::letters::to_letters("3/4: 1.. 5(7)/7. | <6> ~ | N", key).text, "3/4: D.. A7/C#. | <Bm> ~ | N");
/// ```
pub fn to_letters(row: &str, key: Key) -> Turned {
    let (bars, doubts) = parse_line(row);
    let mut text = String::new();
    let mut done = 0;
    for item in bars.iter().flat_map(|bar| bar.items()) {
        let ItemKind::Chord { chord, symbol, .. } = &item.kind else { continue };
        let Some(at) = row[item.span.0..item.span.1].find(symbol.as_str()).map(|at| item.span.0 + at) else {
            continue;
        };
        text.push_str(&row[done..at]);
        text.push_str(&LetterChord::of(&Chord::in_key(*chord, key)).to_string());
        done = at + symbol.len();
    }
    text.push_str(&row[done..]);
    Turned { text, doubts }
}

fn number(chord: &str, key: Key, span: Span, doubts: &mut Vec<ChartError>) -> String {
    if chord.is_empty() || chord.parse::<NumberChord>().is_ok() {
        return chord.into();
    }
    let doubt = |message: String| ChartError { span, message, hint: String::new() };
    match read(chord) {
        Ok(letter) => {
            doubts.extend(letter.unsure.map(doubt));
            letter.chord.map_or_else(|| "N".into(), |chord| chord.number(key).to_string())
        }
        Err(e) => {
            let span = (span.0 + e.span.0, span.0 + e.span.1);
            doubts.push(ChartError { span, message: e.message, hint: String::new() });
            chord.into()
        }
    }
}

/// The words of a row between spaces, bar lines and meters, with their places.
pub(crate) fn words(row: &str) -> impl Iterator<Item = (usize, &str)> {
    let parts = |c: char| c.is_whitespace() || c == '|';
    let mut at = 0;
    let pieces = row.split(parts).map(move |piece| {
        let here = at;
        at += piece.len();
        (here, piece)
    });
    let mut separators = row.chars().filter(move |c| parts(*c)).map(char::len_utf8);
    let mut shift = 0;
    let pieces = pieces.map(move |(at, piece)| {
        let here = at + shift;
        shift += separators.next().unwrap_or(0);
        (here, piece)
    });
    // A meter ends with a colon, and its bar may follow without a space.
    pieces.map(|(at, piece)| {
        piece.rfind(':').map_or((at, piece), |colon| (at + colon + 1, &piece[colon + 1..]))
    })
}

/// A word's marks in front, its chord, and its marks and dots behind.
fn chord_part(word: &str) -> (&str, &str, &str) {
    let before = word.len() - word.trim_start_matches(['<', '^']).len();
    let inner = &word[before..];
    let core = inner.trim_end_matches('>');
    let chord = if is_no_chord(core) { core } else { core.trim_end_matches(['.', '>']) };
    let sign = chord.chars().all(|c| matches!(c, '~' | '%' | '.'));
    let chord = if sign { "" } else { chord };
    (&word[..before], chord, &inner[chord.len()..])
}
