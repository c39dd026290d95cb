//! Mistakes and warnings, each with its place in the file.

use crate::{Song, SongPlace};
use std::fmt;

/// A stretch of the song file in bytes: start and end.
pub type Span = (usize, usize);

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// The song cannot be played as written.
    Error,
    /// It can be played, and is perhaps not what was meant.
    Warning,
}

/// One mistake or warning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// Where: bytes of the file.
    pub span: Span,
    /// The line, from 1.
    pub line: usize,
    /// The column, from 1, in characters of the raw line.
    pub column: usize,
    /// What is wrong.
    pub message: String,
    /// What would be right, where it can be said.
    pub hint: Option<String>,
    /// Where in the song that is, if it stands in a section.
    pub place: Option<SongPlace>,
}

impl Diagnostic {
    /// With the name of the file in front, ready to print: `demo.json:12:31: what is wrong; what would be right`.
    pub fn in_file<'a>(&'a self, file: &'a str) -> impl fmt::Display + 'a {
        InFile { file, diagnostic: self }
    }

    /// As it is told to a musician who writes: `Verse, bar 3: what is wrong; what would be right`.
    ///
    /// ```
    /// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
    ///   "sections": [ { "name": "Verse", "bars": ["1 | 9"] } ] }"#;
    /// let told = &song::read(text).diagnostics[0];
    /// assert_eq!(told.in_song(), "Verse, bar 2: 9 is no scale degree: write 2, or put a ninth in brackets: 2(9)");
    /// ```
    pub fn in_song(&self) -> String {
        let place = self.place.as_ref().map_or(String::new(), |place| format!("{place}: "));
        let hint = self.hint.as_ref().map_or(String::new(), |hint| format!("; {hint}"));
        format!("{place}{}{hint}", self.message)
    }

    /// Whether the song cannot be played as written.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

impl fmt::Display for Diagnostic {
    /// `12:31: what is wrong; what would be right`; warnings say so.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: ", self.line, self.column)?;
        if self.severity == Severity::Warning {
            write!(f, "warning: ")?;
        }
        write!(f, "{}", self.message)?;
        self.hint.as_ref().map_or(Ok(()), |hint| write!(f, "; {hint}"))
    }
}

/// What reading a song file gives: the best song there is, and everything that is wrong with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The song, with mistakes left out as well as that goes; `None` if title, key or all else is missing.
    pub song: Option<Song>,
    /// All mistakes and warnings, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
}

impl Reading {
    /// The song if it has no mistakes; warnings do not matter.
    pub fn sound(self) -> Result<Song, Vec<Diagnostic>> {
        match self.song {
            Some(song) if !self.diagnostics.iter().any(Diagnostic::is_error) => Ok(song),
            _ => Err(self.diagnostics),
        }
    }
}

struct InFile<'a> {
    file: &'a str,
    diagnostic: &'a Diagnostic,
}

impl fmt::Display for InFile<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.file, self.diagnostic)
    }
}
