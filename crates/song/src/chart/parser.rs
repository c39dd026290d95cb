//! A line of bars read: always a value, and every mistake with its place.

use super::lexer::{Lexeme, RawBar, Token, bars, tokens};
use super::{BarContent, ChartBar, Item, ItemKind};
use crate::limits::ITEMS_IN_BAR;
use crate::report::quoted;
use crate::{Meter, Span, Spanned};
use theory::NumberChord;

/// A mistake in a line of bars; the place is in bytes of the line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChartError {
    /// Where.
    pub span: Span,
    /// What is wrong.
    pub message: String,
    /// What would be right; empty if that cannot be said.
    pub hint: String,
}

/// Reads a line of bars. What cannot be read is left out of its bar, which is marked as broken.
///
/// ```
/// let (bars, mistakes) = song::parse_line("3/4: 1.. 5. | 6 | ~");
/// assert_eq!((bars.len(), mistakes.len()), (3, 0));
/// assert_eq!(bars[0].items()[0].dots, 2);
/// ```
pub fn parse_line(line: &str) -> (Vec<ChartBar>, Vec<ChartError>) {
    let mut errors = Vec::new();
    let bars = bars(line).map(|raw| BarParser::new(raw, &mut errors).bar()).collect();
    (bars, errors)
}

struct BarParser<'a, 'e> {
    raw: RawBar<'a>,
    errors: &'e mut Vec<ChartError>,
    broken: bool,
}

impl<'a, 'e> BarParser<'a, 'e> {
    fn new(raw: RawBar<'a>, errors: &'e mut Vec<ChartError>) -> Self {
        Self { raw, errors, broken: false }
    }

    fn bar(mut self) -> ChartBar {
        let span = trimmed(self.raw.text, self.raw.start);
        if span.0 == span.1 {
            let at = (self.raw.start.saturating_sub(1), self.raw.start + self.raw.text.len());
            self.error(at, "this bar is empty", "write ~ to hold on, N to rest, or take away the bar line");
        }
        let (meter, body, start) = self.meter();
        let lexemes = tokens(body, start);
        let content = self.content(&lexemes, span);
        ChartBar { meter, content, span, broken: self.broken }
    }

    /// The meter in front of the bar, and what is left.
    fn meter(&mut self) -> (Option<Spanned<Meter>>, &'a str, usize) {
        let RawBar { text, start } = self.raw;
        let Some(colon) = text.find(':') else { return (None, text, start) };
        let span = trimmed(&text[..colon], start);
        let written = text[..colon].trim();
        let meter = Meter::parse(written).map(|meter| Spanned::new(meter, span));
        if meter.is_none() {
            let what = format!("{} is no meter", quoted(written));
            self.error(
                (span.0, span.1.max(start + colon + 1)),
                what,
                "write for example 3/4: before the bar",
            );
        }
        (meter, &text[colon + 1..], start + colon + 1)
    }

    fn content(&mut self, lexemes: &[Lexeme<'_>], span: Span) -> BarContent {
        if let Some(repeat) = lexemes.iter().find(|l| l.token == Token::Repeat) {
            self.repeat(lexemes, repeat.span);
            return BarContent::Repeat;
        }
        if lexemes.is_empty() && span.0 != span.1 {
            self.error(
                span,
                "this bar has a meter and nothing in it",
                "write a chord, ~ or N behind the meter",
            );
        }
        let mut items = Vec::new();
        let mut rest = lexemes;
        while let Some(first) = rest.first() {
            let (item, used) = self.item(first, &rest[1..]);
            items.extend(item);
            rest = &rest[1 + used..];
            if items.len() > ITEMS_IN_BAR {
                let what = format!("a bar has at most {ITEMS_IN_BAR} chords");
                self.error(span, what, "put bar lines between them");
                items.truncate(ITEMS_IN_BAR);
                break;
            }
        }
        BarContent::Items(items)
    }

    fn repeat(&mut self, lexemes: &[Lexeme<'_>], span: Span) {
        let Some(other) = lexemes.iter().find(|l| l.token != Token::Repeat) else {
            if lexemes.len() > 1 {
                self.error(lexemes[1].span, "% stands once for a whole bar", "write one % a bar: % | %");
            }
            return;
        };
        match other.token {
            Token::Push => self.error(other.span, "a % cannot be pushed", "write out the bar with its ^"),
            Token::Dots(_) => {
                self.error(other.span, "% is a whole bar and takes no dots", "leave out the dots")
            }
            _ => self.error(span, "% stands for a whole bar, alone", "write % between bar lines of its own"),
        }
    }

    /// One item that begins with `first`, and how many further lexemes belong to it.
    fn item(&mut self, first: &Lexeme<'_>, rest: &[Lexeme<'_>]) -> (Option<Item>, usize) {
        let (kind, mut end, mut used) = match first.token {
            Token::Push => self.pushed(first, rest),
            Token::Open => self.diamond(first, rest),
            Token::Tie => (Some(ItemKind::Tie), first.span.1, 0),
            Token::Rest => (Some(ItemKind::Rest), first.span.1, 0),
            Token::Word(word) => (self.chord(word, first.span, false, false), first.span.1, 0),
            Token::Dots(_) => {
                self.error(
                    first.span,
                    "these dots stand behind nothing",
                    "write dots right behind a number: 1..",
                );
                return (None, 0);
            }
            Token::Close | Token::Repeat => {
                self.error(first.span, "a > without its <", "write a diamond as <6>");
                return (None, 0);
            }
        };
        let mut dots = 0;
        if let Some(Lexeme { token: Token::Dots(n), span, spaced: false }) = rest.get(used) {
            (dots, end, used) = (*n, span.1, used + 1);
        }
        let dots = u8::try_from(dots).unwrap_or(u8::MAX);
        (kind.map(|kind| Item { kind, dots, span: (first.span.0, end) }), used)
    }

    fn pushed(&mut self, first: &Lexeme<'_>, rest: &[Lexeme<'_>]) -> (Option<ItemKind>, usize, usize) {
        match rest.first() {
            Some(Lexeme { token: Token::Word(word), span, .. }) => {
                (self.chord(word, *span, true, false), span.1, 1)
            }
            Some(Lexeme { token: Token::Open, span, .. }) => {
                self.error((first.span.0, span.1), "the push goes inside the diamond", "write <^1>");
                (None, span.1, 0)
            }
            Some(Lexeme { token: Token::Tie, span, .. }) => {
                self.error(
                    (first.span.0, span.1),
                    "a ~ strikes nothing and cannot be pushed",
                    "push the chord: ^5",
                );
                (None, span.1, 1)
            }
            Some(Lexeme { token: Token::Rest, span, .. }) => {
                self.error(
                    (first.span.0, span.1),
                    "a rest cannot be pushed",
                    "push the chord before or after it",
                );
                (None, span.1, 1)
            }
            _ => {
                self.error(first.span, "this ^ has no chord behind it", "write the push before a chord: ^5");
                (None, first.span.1, 0)
            }
        }
    }

    fn diamond(&mut self, first: &Lexeme<'_>, rest: &[Lexeme<'_>]) -> (Option<ItemKind>, usize, usize) {
        let push = matches!(rest.first(), Some(l) if l.token == Token::Push);
        let inside = &rest[usize::from(push)..];
        let [Lexeme { token: Token::Word(word), span, .. }, after @ ..] = inside else {
            self.error(first.span, "this < has no chord in it", "write a diamond around a chord: <6>");
            let other = inside.iter().take_while(|l| matches!(l.token, Token::Rest | Token::Tie)).count();
            let close = matches!(inside.get(other), Some(l) if l.token == Token::Close);
            return (None, first.span.1, usize::from(push) + if close { other + 1 } else { 0 });
        };
        let kind = self.chord(word, *span, push, true);
        let used = usize::from(push) + 1;
        match after {
            [close, ..] if close.token == Token::Close => (kind, close.span.1, used + 1),
            [dots, close, ..] if matches!(dots.token, Token::Dots(_)) && close.token == Token::Close => {
                self.error(dots.span, "dots stand behind a diamond, not in it", format!("write <{word}>.."));
                (kind, close.span.1, used + 2)
            }
            _ => {
                self.error((first.span.0, span.1), "this diamond is not closed", format!("write <{word}>"));
                (kind, span.1, used)
            }
        }
    }

    fn chord(&mut self, word: &str, span: Span, push: bool, diamond: bool) -> Option<ItemKind> {
        match word.parse::<NumberChord>() {
            Ok(chord) => Some(ItemKind::Chord { chord, symbol: word.to_string(), push, diamond }),
            Err(e) => {
                let from = span.0 + byte_of(word, e.at);
                let to = span.0 + byte_of(word, e.at + e.length.max(1));
                self.error((from, to.max(from)), e.message, "");
                None
            }
        }
    }

    fn error(&mut self, span: Span, message: impl Into<String>, hint: impl Into<String>) {
        self.broken = true;
        self.errors.push(ChartError { span, message: message.into(), hint: hint.into() });
    }
}

/// The place of a character in bytes; the end of the text if there are not so many.
pub(crate) fn byte_of(text: &str, character: usize) -> usize {
    text.char_indices().nth(character).map_or(text.len(), |(byte, _)| byte)
}

/// The bytes of a text without the spaces around it, counted from `start`.
fn trimmed(text: &str, start: usize) -> Span {
    let from = start + (text.len() - text.trim_start().len());
    (from, from + text.trim().len())
}
