//! What is not certain about a pasted chart, with its place.

use crate::Span;
use std::fmt;

/// Something that is not certain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// Where: bytes of what was pasted.
    pub span: Span,
    /// The line, from 1.
    pub line: usize,
    /// The column, from 1, in characters.
    pub column: usize,
    /// What was read, and why that is not certain.
    pub message: String,
    /// Where in the song that came to stand, if it stands in a section.
    pub place: Option<DoubtPlace>,
}

/// Where in the song that was made something uncertain stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DoubtPlace {
    /// The section, from 0.
    pub section: usize,
    /// Its name.
    pub name: String,
    /// The bars of the row, from 0, and the one behind the last; `None`: the section as a whole.
    pub bars: Option<(u32, u32)>,
}

impl Doubt {
    /// With its place in the song: `Verse, bars 5–8: there are no bar lines in this row …`.
    ///
    /// ```
    /// let pasted = song::paste::read("Verse\nG D wobble Em C\n", None);
    /// let doubt = pasted.doubts.iter().find(|doubt| doubt.message.contains("wobble")).unwrap();
    /// assert_eq!(doubt.in_song(), "Verse, bars 1–4: “wobble” is no chord: it is kept in the note");
    /// ```
    pub fn in_song(&self) -> String {
        let Some(place) = &self.place else { return self.message.clone() };
        match place.bars {
            Some((from, to)) if from + 1 == to => format!("{}, bar {to}: {}", place.name, self.message),
            Some((from, to)) => format!("{}, bars {}–{to}: {}", place.name, from + 1, self.message),
            None => format!("{}: {}", place.name, self.message),
        }
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.line, self.column, self.message)
    }
}

/// Doubts so far.
pub(super) struct Doubts<'a> {
    text: &'a str,
    found: Vec<Found>,
}

struct Found {
    span: Span,
    message: String,
    /// It is about the song as a whole, and has no place in it.
    of_all: bool,
}

impl<'a> Doubts<'a> {
    pub fn new(text: &'a str) -> Self {
        Self { text, found: Vec::new() }
    }

    pub fn add(&mut self, span: Span, message: impl Into<String>) {
        self.found(span, message.into(), span.0 == span.1);
    }

    /// What is about the song as a whole, though it is seen at one place of the text.
    pub fn add_of_all(&mut self, span: Span, message: impl Into<String>) {
        self.found(span, message.into(), true);
    }

    fn found(&mut self, span: Span, message: String, of_all: bool) {
        if self.found.len() < crate::limits::DIAGNOSTICS {
            self.found.push(Found { span, message, of_all });
        }
    }

    /// The text up to a length; what lies beyond is told.
    pub fn shortened(&mut self, text: &'a str, bytes: usize) -> &'a str {
        let mut end = bytes.min(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        if end < text.len() {
            self.add((end, text.len()), "the text is too long for one song: it was read up to here");
        }
        &text[..end]
    }

    /// All of them in the order of the text, each with its place in the song, found by its place in the text.
    pub fn finish(mut self, place: impl Fn(usize) -> Option<DoubtPlace>) -> Vec<Doubt> {
        self.found.sort_by_key(|found| found.span);
        let (mut line, mut start, mut at) = (1, 0, 0);
        let places = self.found.into_iter().map(|Found { span, message, of_all }| {
            for (newline, _) in self.text[at..span.0].match_indices('\n') {
                line += 1;
                start = at + newline + 1;
            }
            at = span.0;
            let column = self.text[start..at].chars().count() + 1;
            let place = if of_all { None } else { place(span.0) };
            Doubt { span, line, column, message, place }
        });
        places.collect()
    }
}
