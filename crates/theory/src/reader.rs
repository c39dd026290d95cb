//! Reading the signs of a chart one character at a time.

use crate::{Degree, ParseChordError};

/// A text and a place in it, counted in characters.
pub(crate) struct Reader {
    chars: Vec<char>,
    at: usize,
}

impl Reader {
    pub fn new(text: &str) -> Self {
        Reader { chars: text.chars().collect(), at: 0 }
    }

    pub fn at(&self) -> usize {
        self.at
    }

    pub fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    /// Goes on over `sign` if it is next.
    pub fn skip(&mut self, sign: char) -> bool {
        let found = self.peek() == Some(sign);
        self.at += usize::from(found);
        found
    }

    /// The characters up to the first that is not wanted.
    pub fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> String {
        let taken: String = self.chars[self.at..].iter().take_while(|&&c| wanted(c)).collect();
        self.at += taken.chars().count();
        taken
    }

    /// A mistake from `start` to the present place, at least one character long.
    pub fn mistake(&self, start: usize, message: impl Into<String>) -> ParseChordError {
        ParseChordError { at: start, length: self.at.saturating_sub(start).max(1), message: message.into() }
    }

    /// Accidentals and a digit.
    pub fn degree(&mut self) -> Result<Degree, ParseChordError> {
        let start = self.at;
        let signs = self.take_while(|c| matches!(c, 'b' | '#' | '♭' | '♯'));
        let alter = alteration(&signs).map_err(|message| self.mistake(start, message))?;
        let digit_at = self.at;
        let found = self.peek();
        self.at += usize::from(found.is_some());
        found
            .and_then(|c| c.to_digit(10))
            .and_then(|number| Degree::new(number as u8, alter))
            .ok_or_else(|| self.mistake(digit_at, no_degree(found)))
    }
}

/// Semitones of a run of accidentals.
fn alteration(signs: &str) -> Result<i8, String> {
    let sharps = signs.chars().filter(|c| matches!(c, '#' | '♯')).count();
    let count = signs.chars().count();
    if sharps != 0 && sharps != count {
        return Err("flats and sharps before one degree: write only one kind".into());
    }
    match i8::try_from(count) {
        Ok(count) if count <= Degree::MAX_ALTER => Ok(if sharps > 0 { count } else { -count }),
        _ => Err(format!("too many accidentals: write at most {} before a degree", Degree::MAX_ALTER)),
    }
}

fn no_degree(found: Option<char>) -> String {
    match found {
        None => "the degree is missing: write a number from 1 to 7".into(),
        Some('8') => "8 is no scale degree: write 1, the octave is the same degree".into(),
        Some('9') => "9 is no scale degree: write 2, or put a ninth in brackets: 2(9)".into(),
        Some(c) if c.is_ascii_digit() => format!("{c} is no scale degree: write a number from 1 to 7"),
        Some(c @ 'A'..='G') => {
            format!("{c} is a note name: write the number of its degree in the key, 1 to 7")
        }
        Some(c) => format!("“{c}” stands where a degree should be: write a number from 1 to 7"),
    }
}
