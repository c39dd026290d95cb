//! A line of a plain chart taken apart.

use crate::letters::{self, LetterChord};
use crate::{Meter, Span};
use theory::NumberChord;

/// A piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token<'a> {
    pub text: &'a str,
    /// Bytes of the pasted text.
    pub span: Span,
    pub kind: TokenKind,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum TokenKind {
    /// A bar line; with dots it begins or ends a repeat.
    BarLine { opens: bool, closes: bool },
    /// A chord by letter or number, without its marks; `bracketed` if it stood in brackets or had another sign behind.
    Chord { chord: String, dots: usize, push: bool, diamond: bool, bracketed: bool },
    /// `~`, and how many dots stand behind it.
    Tie(usize),
    /// `%`
    Repeat,
    /// `N.C.` or `N`, and how many dots stand behind it.
    Rest(usize),
    /// So many beats on which the chord goes on: `/`, `.`
    Beats(usize),
    /// `3/4:`
    Meter(Meter),
    /// `x4`
    Times(u32),
    /// `-`, `,`, an arrow: parts chords and says nothing.
    Separator,
    /// Anything else.
    Word,
}

impl Token<'_> {
    /// The chord by letter that this is.
    pub fn letter(&self) -> Option<LetterChord> {
        let TokenKind::Chord { chord, .. } = &self.kind else { return None };
        if chord.parse::<NumberChord>().is_ok() { None } else { letters::read(chord).ok()?.chord }
    }

    pub fn is_number(&self) -> bool {
        matches!(&self.kind, TokenKind::Chord { chord, .. } if chord.parse::<NumberChord>().is_ok())
    }

    pub fn is_chord(&self) -> bool {
        matches!(self.kind, TokenKind::Chord { .. })
    }
}

/// The pieces of a line that begins at a byte of the text.
pub(super) fn tokens(line: &str, start: usize) -> Vec<Token<'_>> {
    let mut all = Vec::new();
    let mut at = 0;
    while let Some(c) = line[at..].chars().next() {
        if c.is_whitespace() {
            at += c.len_utf8();
            continue;
        }
        let rest = &line[at..];
        let length = bar_line(rest).unwrap_or_else(|| word_length(rest));
        let text = &rest[..length];
        let kind = if bar_line(rest).is_some() { bar_line_kind(text) } else { word(text) };
        all.push(Token { text, span: (start + at, start + at + length), kind });
        at += length;
    }
    all
}

/// How long a bar line with its dots is: `|`, `||`, `|:`, `:|`.
fn bar_line(text: &str) -> Option<usize> {
    let lines = |text: &str| text.bytes().take_while(|b| *b == b'|').count();
    let before = usize::from(text.starts_with(":|"));
    let count = lines(&text[before..]);
    if count == 0 {
        return None;
    }
    let after = &text[before + count..];
    // A dot behind opens a repeat, unless it closes another: `|:`, but `:|:|`.
    let opens = usize::from(after.starts_with(':') && !after.starts_with(":|"));
    Some(before + count + opens)
}

fn bar_line_kind(text: &str) -> TokenKind {
    TokenKind::BarLine { opens: text.ends_with(':'), closes: text.starts_with(':') }
}

fn word_length(text: &str) -> usize {
    let end =
        text.char_indices().find(|(at, c)| c.is_whitespace() || *c == '|' || text[*at..].starts_with(":|"));
    end.map_or(text.len(), |(at, _)| at).max(text.chars().next().map_or(0, char::len_utf8))
}

fn word(text: &str) -> TokenKind {
    match text {
        "%" => TokenKind::Repeat,
        "-" | "–" | "—" | "," | ";" | "->" | "→" | "•" | "*" | "+" | "&" => TokenKind::Separator,
        _ if letters::read(text).is_ok_and(|letter| letter.chord.is_none()) => TokenKind::Rest(0),
        _ if text.starts_with(['~', 'N']) && text[1..].bytes().all(|b| b == b'.') => match &text[..1] {
            "~" => TokenKind::Tie(text.len() - 1),
            _ => TokenKind::Rest(text.len() - 1),
        },
        _ if text.chars().all(|c| c == '/' || c == '.') => TokenKind::Beats(text.len()),
        _ => meter(text).or_else(|| times(text)).or_else(|| chord(text)).unwrap_or(TokenKind::Word),
    }
}

fn meter(text: &str) -> Option<TokenKind> {
    Meter::parse(text.strip_suffix(':')?).map(TokenKind::Meter)
}

/// `x4`, `4x`, `(x4)`, `×4`
pub(super) fn times(text: &str) -> Option<TokenKind> {
    let inner = text.trim_matches(['(', ')', '[', ']']);
    let signs = ['x', 'X', '×', '*'];
    let number = inner.strip_prefix(signs).or_else(|| inner.strip_suffix(signs))?;
    let number: u32 = number.parse().ok().filter(|n| (1..=99).contains(n))?;
    Some(TokenKind::Times(number))
}

/// The number of a repeat sign.
pub(crate) fn repeats(text: &str) -> Option<u32> {
    match times(text) {
        Some(TokenKind::Times(number)) => Some(number),
        _ => None,
    }
}

fn chord(text: &str) -> Option<TokenKind> {
    let bracketed = text.starts_with(['(', '[']) && text.ends_with([')', ']']) && text.len() > 2;
    let inner = if bracketed { &text[1..text.len() - 1] } else { text };
    let plain = inner.trim_end_matches([',', ';', ':', '*', '!', '?']);
    let bracketed = bracketed || plain.len() < inner.trim_end_matches([',', ';', ':']).len();
    let inner = plain;
    let push = inner.contains("^") && inner.trim_start_matches('<').starts_with('^');
    let diamond = inner.starts_with('<') && inner.trim_end_matches('.').ends_with('>');
    let marks = inner.trim_start_matches(['<', '^']);
    let dots = marks.len() - marks.trim_end_matches('.').len();
    let chord = marks.trim_end_matches('.').trim_end_matches('>');
    let is_chord = chord.parse::<NumberChord>().is_ok()
        || letters::read(chord).is_ok_and(|letter| letter.chord.is_some());
    is_chord.then(|| TokenKind::Chord { chord: chord.into(), dots, push, diamond, bracketed })
}
