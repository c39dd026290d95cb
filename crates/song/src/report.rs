//! Collecting diagnostics while a song is read; lines and columns are worked out once, at the end.

use crate::limits;
use crate::{Diagnostic, Severity, Span};

/// Mistakes and warnings found so far.
#[derive(Default)]
pub(crate) struct Report {
    found: Vec<Found>,
    has_errors: bool,
    beyond: usize,
}

struct Found {
    severity: Severity,
    span: Span,
    message: String,
    hint: Option<String>,
}

impl Report {
    /// A mistake, and what would be right.
    pub fn error(&mut self, span: Span, message: impl Into<String>, hint: impl Into<String>) {
        self.has_errors = true;
        self.add(Severity::Error, span, message.into(), hint.into());
    }

    /// A warning, and what would be better. An empty hint is none.
    pub fn warning(&mut self, span: Span, message: impl Into<String>, hint: impl Into<String>) {
        self.add(Severity::Warning, span, message.into(), hint.into());
    }

    /// Whether there is any mistake so far; warnings do not count.
    pub fn has_errors(&self) -> bool {
        self.has_errors
    }

    /// All of them in the order of the file, with lines and columns.
    pub fn finish(mut self, text: &str) -> Vec<Diagnostic> {
        self.found.sort_by_key(|f| (f.span, f.severity));
        let mut place = Place { text, byte: 0, line: 1, column: 1 };
        let mut all: Vec<Diagnostic> = Vec::with_capacity(self.found.len());
        for found in self.found {
            place.advance(found.span.0);
            let diagnostic = found.at(place.line, place.column);
            if all.last() != Some(&diagnostic) {
                all.push(diagnostic);
            }
        }
        if let (Some(last), true) = (all.last_mut(), self.beyond > 0) {
            let more = format!("(and {} more mistakes that are not shown)", self.beyond);
            last.hint = Some(last.hint.take().map_or(more.clone(), |hint| format!("{hint} {more}")));
        }
        all
    }

    fn add(&mut self, severity: Severity, span: Span, message: String, hint: String) {
        if self.found.len() >= limits::DIAGNOSTICS {
            self.beyond += 1;
            return;
        }
        let hint = (!hint.is_empty()).then_some(hint);
        self.found.push(Found { severity, span, message, hint });
    }
}

impl Found {
    fn at(self, line: usize, column: usize) -> Diagnostic {
        let Found { severity, span, message, hint } = self;
        Diagnostic { severity, span, line, column, message, hint, place: None }
    }
}

/// A place in the text that only moves forward, so that finding all places costs one walk.
struct Place<'a> {
    text: &'a str,
    byte: usize,
    line: usize,
    column: usize,
}

impl Place<'_> {
    fn advance(&mut self, to: usize) {
        let to = to.min(self.text.len());
        for c in self.text.get(self.byte..to).unwrap_or_default().chars() {
            if c == '\n' {
                self.line += 1;
                self.column = 1;
            } else {
                self.column += 1;
            }
        }
        self.byte = self.byte.max(to);
    }
}

/// A text as a message shows it: in quotes, cut where it is long.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 40;
    let line = text.replace(['\n', '\r', '\t'], " ");
    if line.chars().count() <= LONGEST {
        return format!("\"{line}\"");
    }
    format!("\"{}…\"", line.chars().take(LONGEST).collect::<String>())
}
