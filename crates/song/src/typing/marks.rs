//! Mistakes and warnings in a row as it is typed.

use super::Row;
use crate::chart::check_bar;
use crate::letters::{self, LetterChord};
use crate::{BarContent, ChartBar, ChartError, Edit, ItemKind, Severity, Span, parse_line};
use theory::{Chord, Degree, Key, NumberChord};

/// A mistake or warning in a row, with its place in bytes of the row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// How bad it is.
    pub severity: Severity,
    /// What to underline.
    pub span: Span,
    /// What is wrong.
    pub message: String,
    /// What would be right; empty if that cannot be said.
    pub hint: String,
    /// The change of the row that makes it right, where one is likely.
    pub instead: Option<Edit>,
}

/// All marks of a row, in the order of the row. Half a bar at its end is a mistake like any other, for it cannot be
/// played.
pub fn marks(text: &str, row: &Row) -> Vec<Mark> {
    let (bars, errors) = parse_line(text);
    let mut all: Vec<Mark> = errors.into_iter().map(|error| unreadable(text, error, row.key)).collect();
    let mut before = row.before.as_ref();
    for bar in &bars {
        all.extend(beats(bar, before, row));
        all.extend(warnings(bar, row.key));
        all.extend(nothing_before(bar, before));
        if bar.content != BarContent::Repeat {
            before = Some(bar);
        }
    }
    all.sort_by_key(|mark| (mark.span, mark.severity));
    all
}

fn mark(severity: Severity, span: Span, message: impl Into<String>, hint: impl Into<String>) -> Mark {
    Mark { severity, span, message: message.into(), hint: hint.into(), instead: None }
}

/// A word that is no chord: the mark covers the whole word if it is known what was meant.
fn unreadable(text: &str, error: ChartError, key: Key) -> Mark {
    let ChartError { span, message, hint } = error;
    let plain = Mark { hint, ..mark(Severity::Error, span, message, "") };
    let Some(word) = word_at(text, span.0) else { return plain };
    let Some(meant) = meant(&text[word.0..word.1], key) else { return plain };
    let by_letter = letters::read(&text[word.0..word.1]).is_ok();
    let hint = match by_letter {
        true => format!("in {key} that is {meant}"),
        // The message says it already.
        false if plain.message.contains("write") || plain.message.contains(&meant) => String::new(),
        false => format!("write {meant}"),
    };
    Mark { span: word, hint, instead: Some(Edit { span: word, text: meant }), ..plain }
}

/// The chord word around a place.
fn word_at(text: &str, at: usize) -> Option<Span> {
    let ends = |c: char| c.is_whitespace() || matches!(c, '|' | '^' | '<' | '>' | '~' | '%' | '.' | ':');
    if !text.is_char_boundary(at) {
        return None;
    }
    let from =
        text[..at].rfind(ends).map_or(0, |end| end + text[end..].chars().next().map_or(1, char::len_utf8));
    let to = text[at..].find(ends).map_or(text.len(), |end| at + end);
    (from < to).then_some((from, to))
}

/// What was likely meant by a word: a letter, or a number with the suffix of a letter.
fn meant(word: &str, key: Key) -> Option<String> {
    if word.parse::<NumberChord>().is_ok() {
        return None;
    }
    if let Ok(letter) = letters::read(word) {
        return Some(letter.chord.map_or("N".into(), |chord| chord.number(key).to_string()));
    }
    let digit = word.find(|c: char| c.is_ascii_digit())?;
    let root: Degree = word[..=digit].parse().ok()?;
    let (suffix, under) = match word[digit + 1..].split_once('/') {
        Some((suffix, under)) if under.parse::<Degree>().is_ok() => (suffix, under.parse().ok()),
        _ => (&word[digit + 1..], None),
    };
    let LetterChord { quality, extension, .. } = letters::read(&format!("C{suffix}")).ok()?.chord?;
    let written = NumberChord { root, quality: None, extension, under };
    let plain_triad =
        suffix.starts_with(|c: char| c.is_ascii_digit() || c == '(') || suffix.starts_with("maj");
    let given = root.alter() <= 0 && (plain_triad || Chord::in_key(written, key).quality() == quality);
    Some(NumberChord { quality: (!given).then_some(quality), ..written }.to_string())
}

fn beats(bar: &ChartBar, before: Option<&ChartBar>, row: &Row) -> Option<Mark> {
    let repeated = if bar.content == BarContent::Repeat { before? } else { bar };
    let (meter, beat) = row.beat(bar.meter.or(repeated.meter).map(|meter| meter.value));
    let mistake = check_bar(repeated, meter, beat)?;
    let same = std::ptr::eq(repeated, bar);
    if !same && bar.meter.is_none() {
        // It is told where the bar itself stands.
        return None;
    }
    let items = bar.items().first().map(|first| first.span.0).zip(bar.items().last().map(|last| last.span.1));
    let instead = mistake.instead.filter(|_| same).zip(items).map(|(text, span)| Edit { span, text });
    Some(Mark { instead, ..mark(Severity::Error, bar.span, mistake.message, mistake.hint) })
}

fn warnings(bar: &ChartBar, key: Key) -> Vec<Mark> {
    let chords = bar.items().iter().filter_map(|item| match &item.kind {
        ItemKind::Chord { chord, .. } => Some((item.span, *chord)),
        _ => None,
    });
    let all = chords.flat_map(|(span, chord)| {
        let warnings = chord.warnings(key);
        warnings.into_iter().map(move |warning| mark(Severity::Warning, span, warning.to_string(), ""))
    });
    all.collect()
}

/// `%` and `~` with nothing before them. What sounds in front of a section's first row is not known here.
fn nothing_before(bar: &ChartBar, before: Option<&ChartBar>) -> Vec<Mark> {
    let mut all = Vec::new();
    if bar.content == BarContent::Repeat {
        if before.is_none() {
            let what = "there is no written bar before this %";
            all.push(mark(Severity::Error, bar.span, what, "write the bar out"));
        }
        return all;
    }
    let last = before.and_then(|before| before.items().last());
    let mut silent = last.is_some_and(|item| item.kind == ItemKind::Rest);
    for item in bar.items() {
        match item.kind {
            ItemKind::Rest => silent = true,
            ItemKind::Chord { .. } => silent = false,
            ItemKind::Tie if silent => {
                let what = "there is nothing before this ~ that could go on";
                all.push(mark(Severity::Error, item.span, what, "write the chord, or N to rest"));
            }
            ItemKind::Tie => {}
        }
    }
    all
}
