//! Completions for a row as it is typed.

use super::Row;
use super::candidates::chords;
use crate::letters;
use crate::{BarContent, ChartBar, Span, parse_line};
use theory::{Chord, NumberChord};

/// What may be meant at a place in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    /// The bytes of the row that a choice takes the place of.
    pub span: Span,
    /// The choices, the likeliest first.
    pub all: Vec<Choice>,
}

/// One choice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What is written.
    pub text: String,
    /// What that is: the chord's name in the key, or a few words.
    pub says: String,
}

/// How many choices are offered.
const MOST: usize = 24;

/// What may be meant at the cursor, a place in bytes of the row.
pub fn complete(text: &str, cursor: usize, row: &Row) -> Completion {
    let mut cursor = cursor.min(text.len());
    while !text.is_char_boundary(cursor) {
        cursor -= 1;
    }
    let ends = |c: char| c.is_whitespace() || matches!(c, '|' | '^' | '<' | '>' | ':');
    let from =
        text[..cursor].rfind(ends).map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
    let begun = &text[from..cursor];
    let mut all: Vec<Choice> = dots(text, from, begun, row).into_iter().collect();
    all.extend(letter(begun, row));
    let named =
        |chord: NumberChord| Choice { text: chord.to_string(), says: Chord::in_key(chord, row.key).name() };
    all.extend(chords(begun, row).into_iter().map(named));
    if begun.is_empty() {
        all.extend(signs(text, cursor, row));
    }
    all.truncate(MOST);
    Completion { span: (from, cursor), all }
}

/// A chord by letter, as the number it is in the key.
fn letter(begun: &str, row: &Row) -> Option<Choice> {
    let chord = letters::read(begun).ok()?.chord?;
    Some(Choice { text: chord.number(row.key).to_string(), says: format!("{chord} in {}", row.key) })
}

/// The dots that fill the bar behind a chord, where others in the bar have dots.
fn dots(text: &str, from: usize, begun: &str, row: &Row) -> Option<Choice> {
    let chord = begun.trim_end_matches('.');
    chord.parse::<NumberChord>().ok()?;
    let (bars, _) = parse_line(text);
    let bar = bars.iter().find(|bar| bar.span.0 <= from && from < bar.span.1)?;
    let (_, beat) = row.beat(bar.meter.map(|meter| meter.value));
    let others: usize =
        bar.items().iter().filter(|item| item.span.0 != from).map(|item| usize::from(item.dots)).sum();
    let left = usize::from(beat.count).checked_sub(others).filter(|left| *left > 0 && others > 0)?;
    let filled = format!("{chord}{}", ".".repeat(left));
    let beats = if left == 1 { "beat" } else { "beats" };
    (filled != begun).then(|| Choice { text: filled, says: format!("{left} {beats}: fills the bar") })
}

/// The signs that can stand where nothing is written yet.
fn signs(text: &str, cursor: usize, row: &Row) -> Vec<Choice> {
    let (bars, _) = parse_line(text);
    let here = bars
        .iter()
        .position(|bar| cursor <= bar.span.1.max(bar.span.0))
        .unwrap_or(bars.len().saturating_sub(1));
    let empty = bars.get(here).is_none_or(|bar| bar.span.0 == bar.span.1);
    let before = bars[..here].last().or(row.before.as_ref());
    let repeats = |bar: &&ChartBar| bar.content == BarContent::Repeat || !bar.items().is_empty();
    let choice = |text: &str, says: &str| Choice { text: text.into(), says: says.into() };
    let repeat = (empty && before.filter(repeats).is_some()).then(|| choice("%", "the bar before once more"));
    let others = [choice("~", "what sounded goes on"), choice("N", "no chord: both hands rest")];
    repeat.into_iter().chain(others).collect()
}
