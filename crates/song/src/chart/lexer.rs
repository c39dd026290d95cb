//! A line of bars taken apart: signs and words with their places, in bytes of the line.

use crate::Span;

/// A piece of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Token<'a> {
    /// `^`
    Push,
    /// `<`
    Open,
    /// `>`
    Close,
    /// `~`
    Tie,
    /// `%`
    Repeat,
    /// `N`
    Rest,
    /// One or more dots.
    Dots(usize),
    /// Anything else up to a sign or space: a chord, or what should be one.
    Word(&'a str),
}

/// A token, where it is, and whether a space stands before it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lexeme<'a> {
    pub token: Token<'a>,
    pub span: Span,
    pub spaced: bool,
}

/// A bar of a line: the text between two bar lines and where it starts.
pub(super) struct RawBar<'a> {
    pub text: &'a str,
    pub start: usize,
}

/// The bars of a line.
pub(super) fn bars(line: &str) -> impl Iterator<Item = RawBar<'_>> {
    let mut start = 0;
    line.split('|').map(move |text| {
        let bar = RawBar { text, start };
        start += text.len() + 1;
        bar
    })
}

/// The tokens of a text that starts at `offset` of its line.
pub(super) fn tokens(text: &str, offset: usize) -> Vec<Lexeme<'_>> {
    let mut all = Vec::new();
    let mut at = 0;
    let mut spaced = true;
    while let Some(c) = text[at..].chars().next() {
        if c.is_whitespace() {
            at += c.len_utf8();
            spaced = true;
            continue;
        }
        let (token, length) = token_at(&text[at..], c);
        all.push(Lexeme { token, span: (offset + at, offset + at + length), spaced });
        at += length;
        spaced = false;
    }
    all
}

fn token_at(rest: &str, first: char) -> (Token<'_>, usize) {
    let sign = match first {
        '^' => Token::Push,
        '<' => Token::Open,
        '>' => Token::Close,
        '~' => Token::Tie,
        '%' => Token::Repeat,
        '.' => {
            let dots = rest.bytes().take_while(|b| *b == b'.').count();
            return (Token::Dots(dots), dots);
        }
        _ => {
            let length = rest.find(ends_word).unwrap_or(rest.len());
            let word = &rest[..length];
            return (if word == "N" { Token::Rest } else { Token::Word(word) }, length);
        }
    };
    (sign, 1)
}

fn ends_word(c: char) -> bool {
    c.is_whitespace() || matches!(c, '^' | '<' | '>' | '~' | '%' | '.')
}
