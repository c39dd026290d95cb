//! A JSON string and the place of each of its characters in the file, through escapes.

use crate::Span;
use jsonc_parser::ast::StringLit;
use std::borrow::Cow;

/// The text of a JSON string, with the way back to the file.
#[derive(Clone, Debug)]
pub(crate) struct Text<'a> {
    /// The text, escapes undone.
    pub value: Cow<'a, str>,
    /// The whole string in the file, with its quotes.
    pub span: Span,
    /// For each byte of the text the byte of the file where its character begins; `None` without escapes.
    places: Option<Vec<usize>>,
}

impl<'a> Text<'a> {
    /// The text of a string literal of `file`.
    pub fn new(literal: &StringLit<'a>, file: &str) -> Self {
        let span = (literal.range.start, literal.range.end);
        let raw = file.get(span.0 + 1..span.1.saturating_sub(1)).unwrap_or_default();
        let places = raw.contains('\\').then(|| places(raw, span.0 + 1, &literal.value));
        Self { value: literal.value.clone(), span, places }
    }

    /// The bytes of the file that a stretch of the text stands for.
    pub fn place(&self, (from, to): Span) -> Span {
        (self.byte(from), self.byte(to))
    }

    fn byte(&self, at: usize) -> usize {
        let end = self.span.1.saturating_sub(1);
        match &self.places {
            Some(places) => places.get(at).copied().unwrap_or(end),
            None => (self.span.0 + 1 + at).min(end),
        }
    }
}

fn places(raw: &str, start: usize, value: &str) -> Vec<usize> {
    let mut places = Vec::with_capacity(value.len());
    let mut at = 0;
    for c in value.chars() {
        places.extend(std::iter::repeat_n(start + at, c.len_utf8()));
        at += written_length(&raw[at.min(raw.len())..], c);
    }
    places
}

/// How many bytes of the file the first character takes.
fn written_length(raw: &str, c: char) -> usize {
    match raw.as_bytes() {
        [b'\\', b'u', ..] => 6 * c.len_utf16(),
        [b'\\', ..] => 2,
        _ => c.len_utf8(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_leads_back_through_escapes() {
        let file = r#""a\n\u00e9\ud834\udd1eb""#;
        let value: Cow<str> = Cow::Owned("a\n\u{e9}\u{1d11e}b".into());
        let literal = StringLit { range: jsonc_parser::common::Range::new(0, file.len()), value };
        let text = Text::new(&literal, file);
        let place = |c: char| text.place((text.value.find(c).unwrap(), text.value.len())).0;
        assert_eq!(["a", r"\n", r"\u00e9", r"\ud834", "b"].map(|s| file.find(s).unwrap()), [1, 2, 4, 10, 22]);
        assert_eq!(['a', '\n', '\u{e9}', '\u{1d11e}', 'b'].map(place), [1, 2, 4, 10, 22]);
    }
}
