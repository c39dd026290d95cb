//! The lines of a plain chart, and what each of them is.

use super::facts::{Facts, fact};
use super::heading::{Heading, heading};
use super::token::{Token, TokenKind, tokens};
use crate::Span;

/// A line.
#[derive(Clone, Debug)]
pub(super) struct Line<'a> {
    pub text: &'a str,
    /// Where it begins in the pasted text.
    pub start: usize,
    pub heading: Option<Heading>,
    pub kind: Kind,
    /// What stands behind the heading, taken apart.
    pub tokens: Vec<Token<'a>>,
    /// The words around chords in square brackets.
    pub around: Option<String>,
}

/// What a line is, apart from its heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Nothing.
    Blank,
    /// A row of chords; not for certain if it could be words.
    Chords { unsure: bool },
    /// Key, tempo, meter and their like.
    Fact,
    /// The title.
    Title,
    /// Anything else.
    Words,
}

impl Line<'_> {
    /// The line without the space around it.
    pub fn span(&self) -> Span {
        let lead = self.text.len() - self.text.trim_start().len();
        (self.start + lead, self.start + lead + self.text.trim().len())
    }

    /// Whether a line of words has as many chords in it as words that are none.
    pub fn may_be_chords(&self) -> bool {
        let chords = self.tokens.iter().filter(|token| token.is_chord()).count();
        let words = self.tokens.iter().filter(|token| token.kind == TokenKind::Word).count();
        chords > 1 && chords >= words
    }

    /// What stands behind the heading.
    pub fn rest(&self) -> &str {
        self.text[self.heading.as_ref().map_or(0, |heading| heading.length)..].trim()
    }
}

/// All lines of a text.
pub(super) fn lines(text: &str) -> Vec<Line<'_>> {
    let mut start = 0;
    let mut all: Vec<Line<'_>> = Vec::new();
    for whole in text.split_inclusive('\n') {
        all.push(line(whole.trim_end_matches(['\n', '\r']), start));
        start += whole.len();
    }
    one_kind_of_chords(&mut all);
    all
}

/// The first line of words before any section, if no title is named.
pub(super) fn find_title(lines: &mut [Line<'_>], facts: &Facts) {
    if facts.title.is_some() {
        return;
    }
    for line in lines {
        match line.kind {
            Kind::Blank | Kind::Fact => {}
            Kind::Words if line.heading.is_none() => {
                line.kind = Kind::Title;
                return;
            }
            _ => return,
        }
    }
}

fn line(text: &str, start: usize) -> Line<'_> {
    let mut line = Line { text, start, heading: None, kind: Kind::Blank, tokens: Vec::new(), around: None };
    if text.trim().is_empty() {
        return line;
    }
    if fact(text).is_some() {
        line.kind = Kind::Fact;
        return line;
    }
    line.heading = heading(text);
    let length = line.heading.as_ref().map_or(0, |heading| heading.length);
    let rest = &text[length..];
    match bracketed_chords(rest, start + length) {
        Some(chords) => {
            let words: String = rest.split(['[', ']']).step_by(2).collect();
            line.around = Some(words.trim().to_string());
            line.tokens = chords;
        }
        None => line.tokens = tokens(rest, start + length),
    }
    line.kind = kind(&line.tokens);
    line
}

fn kind(tokens: &[Token<'_>]) -> Kind {
    let count = |is: fn(&Token<'_>) -> bool| tokens.iter().filter(|token| is(token)).count();
    let words = count(|token| token.kind == TokenKind::Word);
    let chords = count(|token| {
        token.is_chord() || matches!(token.kind, TokenKind::Rest(_) | TokenKind::Tie(_) | TokenKind::Repeat)
    });
    let lines = count(|token| matches!(token.kind, TokenKind::BarLine { .. }));
    // Chords that are words as well: A, Go, Do, Am in a line of their own.
    let could_be_words = tokens.iter().all(|token| matches!(token.text, "A" | "Go" | "Do" | "N" | "-"));
    match (chords, words) {
        _ if tokens.is_empty() => Kind::Blank,
        (0, _) => Kind::Words,
        (_, 0) => Kind::Chords { unsure: could_be_words && lines == 0 },
        _ if lines > 1 && 2 * chords >= words => Kind::Chords { unsure: true },
        _ if chords >= 3 && chords > 2 * words => Kind::Chords { unsure: true },
        _ => Kind::Words,
    }
}

/// Charts are written in letters or in numbers. In a chart of letters a line of digits is not a row of chords.
fn one_kind_of_chords(lines: &mut [Line<'_>]) {
    let chords =
        || lines.iter().filter(|line| matches!(line.kind, Kind::Chords { .. })).flat_map(|line| &line.tokens);
    let numbers = chords().filter(|token| token.is_number()).count();
    let letters = chords().filter(|token| token.letter().is_some()).count();
    for line in lines.iter_mut().filter(|line| matches!(line.kind, Kind::Chords { .. })) {
        let has = |number: bool| {
            line.tokens.iter().any(|t| if number { t.is_number() } else { t.letter().is_some() })
        };
        let other = if letters >= numbers { has(true) && !has(false) } else { has(false) && !has(true) };
        let bar_lines = line.tokens.iter().any(|token| matches!(token.kind, TokenKind::BarLine { .. }));
        if other && !bar_lines && letters.min(numbers) > 0 {
            line.kind = Kind::Words;
        }
    }
}

/// Chords in square brackets between words: `[G]slow [D/F#]water`.
fn bracketed_chords(text: &str, start: usize) -> Option<Vec<Token<'_>>> {
    let mut all = Vec::new();
    let mut at = 0;
    while let Some(open) = text[at..].find('[').map(|open| at + open) {
        let close = text[open..].find(']').map(|close| open + close)?;
        let mut inner = tokens(&text[open..=close], start + open);
        match inner.pop() {
            Some(token) if inner.is_empty() && token.is_chord() => all.push(token),
            _ => return None,
        }
        at = close + 1;
    }
    // With nothing but chords in brackets it is a row like any other.
    let words = text.split(['[', ']']).step_by(2).any(|between| !between.trim().is_empty());
    (!all.is_empty() && words).then_some(all)
}
