//! Scale degrees, as number charts write them.

use crate::reader::Reader;

/// A scale degree of a key, 1 to 7, with the accidentals written before it (`b7` is -1).
///
/// ```
/// use theory::Degree;
/// let degree: Degree = "b7".parse().unwrap();
/// assert_eq!((degree.number(), degree.alter()), (7, -1));
/// assert_eq!(degree.to_string(), "b7");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Degree {
    number: u8,
    alter: i8,
}

/// Why a text is no degree; the message says what to write.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct ParseDegreeError {
    /// What is wrong and what would be right, for a musician.
    pub message: String,
}

impl Degree {
    /// The most accidentals a degree may have. More never occur in music.
    pub const MAX_ALTER: i8 = 3;
    /// The tonic.
    pub const TONIC: Degree = Degree { number: 1, alter: 0 };

    /// A degree; `None` unless the number is 1 to 7 and there are at most [`Degree::MAX_ALTER`] accidentals.
    pub const fn new(number: u8, alter: i8) -> Option<Degree> {
        if number >= 1 && number <= 7 && alter >= -Self::MAX_ALTER && alter <= Self::MAX_ALTER {
            Some(Degree { number, alter })
        } else {
            None
        }
    }
    /// 1 to 7.
    pub const fn number(self) -> u8 {
        self.number
    }
    /// Semitones raised or lowered against the key's own degree.
    pub const fn alter(self) -> i8 {
        self.alter
    }
    /// The seven degrees of a key, unaltered.
    pub fn all() -> [Degree; 7] {
        std::array::from_fn(|i| Degree { number: i as u8 + 1, alter: 0 })
    }
    /// With the printed signs: `♭7`.
    pub fn pretty(self) -> String {
        self.to_string().replace('#', "♯").replace('b', "♭")
    }
}

impl std::fmt::Display for Degree {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sign = if self.alter < 0 { "b" } else { "#" };
        write!(f, "{}{}", sign.repeat(self.alter.unsigned_abs() as usize), self.number)
    }
}

impl std::str::FromStr for Degree {
    type Err = ParseDegreeError;
    /// Reads `4`, `b7`, `#4`, and the printed signs ♯ ♭ as well.
    fn from_str(text: &str) -> Result<Self, ParseDegreeError> {
        let mut reader = Reader::new(text);
        let degree = reader.degree().map_err(|e| ParseDegreeError { message: e.message })?;
        if reader.peek().is_some() {
            let message = format!("“{text}” is no degree: write one digit from 1 to 7, as in b7");
            return Err(ParseDegreeError { message });
        }
        Ok(degree)
    }
}
