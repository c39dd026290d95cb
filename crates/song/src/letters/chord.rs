//! One chord by letter.

use super::suffix::{Suffix, suffix};
use crate::Span;
use std::fmt;
use theory::{Chord, Degree, Extension, Key, NoteName, NumberChord, Quality};

/// A chord named by its root's letter: `F#m7/E`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct LetterChord {
    /// The root.
    pub root: NoteName,
    /// Its triad.
    pub quality: Quality,
    /// What is added.
    pub extension: Option<Extension>,
    /// The note under the slash.
    pub under: Option<NoteName>,
}

/// A chord, or none, as written by letter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LetterReading {
    /// The chord; `None` for `N.C.` and its like.
    pub chord: Option<LetterChord>,
    /// What it was taken for, where that is not certain or not all of it.
    pub unsure: Option<String>,
}

/// Why a word is no chord.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct LetterError {
    /// Where, in bytes of the word.
    pub span: Span,
    /// What is wrong and what would be right.
    pub message: String,
}

/// Reads one chord by letter. Capital letters only, for `b` is a flat and `a` is a word.
///
/// ```
/// let letter = song::letters::read("B♭m7/A♭").unwrap();
/// assert_eq!(letter.chord.unwrap().to_string(), "Bbm7/Ab");
/// assert_eq!(song::letters::read("N.C.").unwrap().chord, None);
/// // Signs that number charts do not have are told.
/// let letter = song::letters::read("G7#11").unwrap();
/// assert_eq!(letter.unsure.unwrap(), "number charts have no #11: read as G7");
/// ```
///
/// # Errors
/// If the word is no chord: where, and what would be right.
pub fn read(word: &str) -> Result<LetterReading, LetterError> {
    if is_no_chord(word) {
        return Ok(LetterReading { chord: None, unsure: None });
    }
    let (root, rest) = note(word).ok_or_else(|| LetterError {
        span: (0, word.len()),
        message: "a chord begins with a capital letter A to G".into(),
    })?;
    let (middle, under) = under(word, rest)?;
    let Suffix { quality, extension, left_out, taken_for } = suffix(middle).map_err(|(at, length)| {
        let from = word.len() - rest.len() + at;
        let message = format!(
            "“{}” says nothing about a chord: write for example m, 7, maj7, sus4",
            &middle[at..at + length]
        );
        LetterError { span: (from, from + length), message }
    })?;
    let chord = LetterChord { root, quality, extension, under };
    let unsure = match (left_out.is_empty(), taken_for) {
        (false, _) => Some(format!("number charts have no {}: read as {chord}", left_out.join(" and no "))),
        (true, Some(meant)) => Some(format!("“{word}” is read as {meant}")),
        (true, None) if word.starts_with('H') => Some(format!("H is read as B: {chord}")),
        (true, None) => None,
    };
    Ok(LetterReading { chord: Some(chord), unsure })
}

impl LetterChord {
    /// The same chord by number. A quality that the key gives is not written; a root or lower note spelled two or more
    /// accidentals away from the key is spelled the nearer way.
    ///
    /// ```
    /// let chord = |text: &str| song::letters::read(text).unwrap().chord.unwrap();
    /// let key = "E minor".parse().unwrap();
    /// assert_eq!(chord("B7/D#").number(key).to_string(), "5M(7)/#7");
    /// assert_eq!(chord("Am").number(key).to_string(), "4");
    /// ```
    pub fn number(&self, key: Key) -> NumberChord {
        let root = degree(self.root, key);
        let under = self.under.map(|under| degree(under, key));
        let short = NumberChord { root, quality: None, extension: self.extension, under };
        let given = root.alter() <= 0 && Chord::in_key(short, key).quality() == self.quality;
        NumberChord { quality: (!given).then_some(self.quality), ..short }
    }

    /// A chord of a number chart by letter.
    pub fn of(chord: &Chord) -> LetterChord {
        LetterChord {
            root: chord.root(),
            quality: chord.quality(),
            extension: chord.written.extension,
            under: chord.under.filter(|under| *under != chord.root()),
        }
    }
}

impl fmt::Display for LetterChord {
    /// In the trade's form: `Bb/D`, `F#m7b5`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // The suffix does not depend on the key: that of a tonic in C with this quality is the same.
        let c = Key::new(NoteName::new(theory::Letter::C, 0), theory::Mode::Major).expect("C major is a key");
        let written = NumberChord {
            root: Degree::TONIC,
            quality: Some(self.quality),
            extension: self.extension,
            under: None,
        };
        let name = Chord::in_key(written, c).name();
        write!(f, "{}{}", self.root, &name[1..])?;
        self.under.map_or(Ok(()), |under| write!(f, "/{under}"))
    }
}

/// `N.C.`, `NC`, `N.C`, `n.c.` and `N`.
pub(super) fn is_no_chord(word: &str) -> bool {
    matches!(word.to_ascii_uppercase().as_str(), "N.C." | "N.C" | "NC" | "NC.") || word == "N"
}

/// A letter with its accidentals, and the rest.
fn note(text: &str) -> Option<(NoteName, &str)> {
    let first = text.chars().next()?;
    let letter = match first {
        'H' => "B".to_string(),
        'A'..='G' => first.to_string(),
        _ => return None,
    };
    let signs = |c: &char| matches!(c, '#' | '♯' | 'b' | '♭');
    let kind = text.chars().nth(1).filter(signs);
    let same =
        |c: &char| kind.is_some_and(|kind| matches!(kind, '#' | '♯') == matches!(c, '#' | '♯')) && signs(c);
    let accidentals: String = text[1..].chars().take_while(same).take(3).collect();
    let name = format!("{letter}{accidentals}").parse().ok()?;
    Some((name, &text[1 + accidentals.len()..]))
}

/// The note under the last slash, and what stands before it. `6/9` is no slash.
fn under<'w>(word: &str, rest: &'w str) -> Result<(&'w str, Option<NoteName>), LetterError> {
    let Some((middle, below)) =
        rest.rsplit_once('/').filter(|(_, below)| !below.starts_with(|c: char| c.is_ascii_digit()))
    else {
        return Ok((rest, None));
    };
    match note(below) {
        Some((name, "")) => Ok((middle, Some(name))),
        _ => Err(LetterError {
            span: (word.len() - below.len(), word.len()),
            message: "one note stands under the slash, as in D/F#".into(),
        }),
    }
}

/// The degree of a note in a key: as it is spelled, or the nearer way where that would take two accidentals.
fn degree(name: NoteName, key: Key) -> Degree {
    let scale = key.scale();
    let spelled = (name.letter.index() - key.tonic().letter.index()).rem_euclid(7);
    let alter = |degree: i32| {
        let own = i32::from(scale[degree as usize].pitch_class());
        let up = (i32::from(name.pitch_class()) - own).rem_euclid(12);
        if up > 6 { up - 12 } else { up }
    };
    // A flat seventh is likelier than a sharp sixth.
    let nearest = || (0..7).min_by_key(|degree| (alter(*degree).abs(), alter(*degree) > 0)).unwrap_or(0);
    let here = i32::from(name.alter) - i32::from(scale[spelled as usize].alter);
    let degree = if here.abs() <= 1 { spelled } else { nearest() };
    Degree::new(degree as u8 + 1, alter(degree) as i8).expect("the nearest degree is a semitone away at most")
}
