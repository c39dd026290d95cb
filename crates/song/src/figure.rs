//! Figures read and printed: one bar's rhythm for one hand, `[v12]1-- x x x`.

use crate::limits::{FIGURE_BEATS, SIGNS_IN_BEAT};
use crate::{Figure, FigureNote, FigurePlace, FigureSign, Span};
use std::fmt;

/// Why a text is no figure; the place is in bytes of the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}; {hint}")]
pub struct FigureError {
    /// Where.
    pub span: Span,
    /// What is wrong.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

impl Figure {
    /// Reads a figure.
    ///
    /// ```
    /// use song::{Figure, FigureSign};
    /// let waltz = Figure::parse("1 x x").unwrap();
    /// assert_eq!(waltz.beats.len(), 3);
    /// assert_eq!(waltz.beats[1], [FigureSign::Strike]);
    /// assert!(Figure::parse("1 y").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Figure, FigureError> {
        let mut beats = Vec::new();
        for (start, word) in words(text) {
            if beats.len() == FIGURE_BEATS {
                let what = format!("a figure has at most {FIGURE_BEATS} beats");
                return Err(error((start, text.len()), &what, "one bar's rhythm is enough"));
            }
            beats.push(BeatParser { text: word, start, at: 0 }.signs()?);
        }
        if beats.is_empty() {
            return Err(error(
                (0, text.len()),
                "this figure is empty",
                "write a sign for each beat: x - - -",
            ));
        }
        Ok(Figure { text: text.to_string(), beats })
    }

    /// Where nothing is written: struck once and held, `x - - -`.
    pub fn held() -> Figure {
        let mut beats = vec![vec![FigureSign::Hold]; 4];
        beats[0] = vec![FigureSign::Strike];
        Figure { text: "x - - -".into(), beats }
    }

    /// The highest note it counts from the lowest, 0 if it counts none.
    pub fn highest_note(&self) -> u8 {
        let notes = self.beats.iter().flatten().flat_map(|sign| match sign {
            FigureSign::Notes(notes) => notes.as_slice(),
            _ => &[],
        });
        let numbers = notes.map(|note| match note.which {
            FigurePlace::FromLowest(n) => n,
            FigurePlace::Top => 1,
        });
        numbers.max().unwrap_or(0)
    }
}

impl fmt::Display for Figure {
    /// In the plainest form that reads as the same signs.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, beat) in self.beats.iter().enumerate() {
            f.write_str(if i == 0 { "" } else { " " })?;
            beat.iter().try_for_each(|sign| sign.fmt(f))?;
        }
        Ok(())
    }
}

impl fmt::Display for FigureSign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FigureSign::Strike => f.write_str("x"),
            FigureSign::Hold => f.write_str("-"),
            FigureSign::Silent => f.write_str("."),
            FigureSign::Notes(notes) if notes.len() == 1 => notes[0].fmt(f),
            FigureSign::Notes(notes) => {
                f.write_str("[")?;
                notes.iter().try_for_each(|note| note.fmt(f))?;
                f.write_str("]")
            }
        }
    }
}

impl fmt::Display for FigureNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self.neighbour {
            0 => "",
            n if n < 0 => "v",
            _ => "^",
        })?;
        match self.which {
            FigurePlace::FromLowest(n) => write!(f, "{n}"),
            FigurePlace::Top => f.write_str("t"),
        }
    }
}

/// One beat, character by character.
struct BeatParser<'a> {
    text: &'a str,
    start: usize,
    at: usize,
}

impl BeatParser<'_> {
    fn signs(mut self) -> Result<Vec<FigureSign>, FigureError> {
        let mut signs = Vec::new();
        while let Some(c) = self.peek() {
            if signs.len() == SIGNS_IN_BEAT {
                let what = format!("a beat splits into at most {SIGNS_IN_BEAT}");
                return Err(error(self.rest(), &what, "put a space between beats"));
            }
            signs.push(self.sign(c)?);
        }
        Ok(signs)
    }

    fn sign(&mut self, c: char) -> Result<FigureSign, FigureError> {
        let plain = match c {
            'x' => FigureSign::Strike,
            '-' => FigureSign::Hold,
            '.' => FigureSign::Silent,
            '[' => return self.bracket(),
            _ => return Ok(FigureSign::Notes(vec![self.note()?])),
        };
        self.at += 1;
        Ok(plain)
    }

    fn bracket(&mut self) -> Result<FigureSign, FigureError> {
        let open = self.at;
        self.at += 1;
        let mut notes: Vec<FigureNote> = Vec::new();
        loop {
            match self.peek() {
                Some(']') if notes.is_empty() => {
                    let span = self.span(open, self.at + 1);
                    return Err(error(span, "these brackets are empty", "write the notes to strike: [13]"));
                }
                Some(']') => break,
                Some(_) => self.bracketed(&mut notes)?,
                None => {
                    let span = self.span(open, self.at);
                    return Err(error(span, "this [ is not closed", "close it in the same beat: [13]"));
                }
            }
        }
        self.at += 1;
        Ok(FigureSign::Notes(notes))
    }

    fn bracketed(&mut self, notes: &mut Vec<FigureNote>) -> Result<(), FigureError> {
        let from = self.at;
        let note = self.note()?;
        if notes.iter().any(|other| other.which == note.which) {
            let span = self.span(from, self.at);
            return Err(error(span, "this note is in the brackets twice", "name each note once"));
        }
        notes.push(note);
        Ok(())
    }

    fn note(&mut self) -> Result<FigureNote, FigureError> {
        let from = self.at;
        let neighbour = match self.peek() {
            Some('v') => -1,
            Some('^') => 1,
            _ => 0,
        };
        self.at += usize::from(neighbour != 0);
        let which = match self.peek() {
            Some('t') => FigurePlace::Top,
            Some(c @ '1'..='9') => FigurePlace::FromLowest(c as u8 - b'0'),
            other => return Err(self.no_note(from, neighbour, other)),
        };
        self.at += 1;
        Ok(FigureNote { which, neighbour })
    }

    fn no_note(&self, from: usize, neighbour: i8, found: Option<char>) -> FigureError {
        let end = self.at + found.map_or(0, char::len_utf8);
        let span = self.span(from, end);
        match found {
            _ if neighbour != 0 => {
                error(span, "v and ^ stand before the number of a note or t", "write for example v1 or ^t")
            }
            Some('0') => error(span, "notes are counted from 1, the lowest", "write 1 for the lowest note"),
            Some(c) => {
                let what = format!("{c} is no sign of a figure");
                error(span, &what, "use x, 1 to 9, t, [13], v1, ^1, - and .")
            }
            None => error(span, "a note is missing here", "write its number"),
        }
    }

    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn span(&self, from: usize, to: usize) -> Span {
        (self.start + from, self.start + to)
    }

    fn rest(&self) -> Span {
        self.span(self.at, self.text.len())
    }
}

fn error(span: Span, message: &str, hint: &str) -> FigureError {
    FigureError { span, message: message.into(), hint: hint.into() }
}

/// The words of a text with the byte at which each begins.
pub(crate) fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.split_whitespace().map(|word| (word.as_ptr() as usize - text.as_ptr() as usize, word))
}
