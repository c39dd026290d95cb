//! Chords by letter: `G D/F# Em C` read, turned into numbers of a key and back, and the key proposed from them.
//!
//! ```
//! use song::letters;
//! let chords = letters::chords("G | D/F# | Em | C");
//! let guess = letters::propose_key(&chords)[0];
//! assert_eq!(guess.key.to_string(), "G major");
//! assert_eq!(letters::to_numbers("G | D/F# | Em | C", guess.key).text, "1 | 5/7 | 6 | 4");
//! assert_eq!(letters::to_letters("1 | 5/7 | 6 | 4", "Eb major".parse().unwrap()).text, "Eb | Bb/D | Cm | Ab");
//! ```

mod chord;
mod propose;
mod row;
mod suffix;

pub use chord::{LetterChord, LetterError, LetterReading, read};
pub use propose::{KeyGuess, propose_key};
pub use row::{Turned, chords, is_letter_row, to_letters, to_numbers};
