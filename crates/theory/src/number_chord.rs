//! Chords as number charts write them: a degree, a quality, an extension, a degree under a slash.

use crate::{Chord, Degree, Extension, Key, Mode, NoteName, Quality, reader::Reader};

/// A chord as written on a number chart, not yet in a key: `5(7)`, `1/4`, `b7`, `5sus4`.
///
/// ```
/// use theory::NumberChord;
/// let chord: NumberChord = "2-(7)/5".parse().unwrap();
/// assert_eq!(chord.to_string(), "2m(7)/5");
/// let error = "#4".parse::<NumberChord>().unwrap_err();
/// assert_eq!(error.message, "a sharp root must state its quality: #4dim or #4M");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NumberChord {
    /// The degree of the root.
    pub root: Degree,
    /// The quality, if written.
    pub quality: Option<Quality>,
    /// The extension, if written.
    pub extension: Option<Extension>,
    /// The degree under the slash, of the key, which the left hand takes.
    pub under: Option<Degree>,
}

/// Why a text is no chord.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct ParseChordError {
    /// Characters (not bytes) from the start of the text to the mistake.
    pub at: usize,
    /// How many characters are wrong (at least 1).
    pub length: usize,
    /// What is wrong and what would be right, for a musician.
    pub message: String,
}

/// What is legal to write and yet probably not meant. The text says why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChordWarning {
    /// A flat before a degree that natural minor has low already.
    #[error(
        "{degree} in a minor key lowers what is low already: write {} for the key's own {}",
        degree.number(), own.pretty()
    )]
    AlreadyLow {
        /// The degree as written.
        degree: Degree,
        /// The key's own note of that number.
        own: NoteName,
    },
    /// A note of the extension that the key does not have.
    #[error("({}) brings {}, which is not in {}{}", extension.symbol(), note.pretty(), key.pretty(), hint(*suggestion))]
    LeavesKey {
        /// The extension as written.
        extension: Extension,
        /// Its first note outside the key.
        note: NoteName,
        /// The key.
        key: Key,
        /// Another seventh or ninth that would stay in the key.
        suggestion: Option<Extension>,
    },
}

impl NumberChord {
    /// What deserves a warning in a key: `b3 b6 b7` in minor, above or below the slash, and an extension that leaves
    /// the key.
    ///
    /// ```
    /// use theory::NumberChord;
    /// let chord: NumberChord = "1(7)".parse().unwrap();
    /// let warnings = chord.warnings("D major".parse().unwrap());
    /// assert_eq!(warnings[0].to_string(), "(7) brings C, which is not in D major; (maj7) would stay in the key");
    /// ```
    pub fn warnings(&self, key: Key) -> Vec<ChordWarning> {
        let low = |degree: &Degree| {
            key.mode() == Mode::Minor && degree.alter() < 0 && matches!(degree.number(), 3 | 6 | 7)
        };
        let already_low = [Some(self.root), self.under].into_iter().flatten().filter(low).map(|degree| {
            ChordWarning::AlreadyLow { degree, own: key.scale()[usize::from(degree.number()) - 1] }
        });
        already_low.chain(self.leaving(key)).collect()
    }

    fn leaving(&self, key: Key) -> Option<ChordWarning> {
        let extension = self.extension?;
        let note = self.outside(extension, key)?;
        let suggestion = extension.sibling().filter(|&other| self.outside(other, key).is_none());
        Some(ChordWarning::LeavesKey { extension, note, key, suggestion })
    }

    /// The first note that an extension would add from outside the key.
    fn outside(&self, extension: Extension, key: Key) -> Option<NoteName> {
        let chord = Chord::in_key(NumberChord { extension: Some(extension), ..*self }, key);
        let added = |number: u8| extension.members().iter().any(|&(added, _)| added == number);
        chord.tones.iter().find(|t| added(t.member.number()) && !key.contains(t.name)).map(|t| t.name)
    }
}

impl From<Degree> for NumberChord {
    /// The degree alone: the triad that the key gives it.
    fn from(root: Degree) -> Self {
        NumberChord { root, quality: None, extension: None, under: None }
    }
}

impl std::fmt::Display for NumberChord {
    /// The canonical text, which reads back as the same chord.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.root)?;
        if let Some(quality) = self.quality {
            write!(f, "{}", quality.symbol())?;
        }
        if let Some(extension) = self.extension {
            write!(f, "({})", extension.symbol())?;
        }
        if let Some(under) = self.under {
            write!(f, "/{under}")?;
        }
        Ok(())
    }
}

impl std::str::FromStr for NumberChord {
    type Err = ParseChordError;
    fn from_str(text: &str) -> Result<Self, ParseChordError> {
        let mut reader = Reader::new(text);
        let root = reader.degree()?;
        let root_end = reader.at();
        let quality = read_quality(&mut reader, root)?;
        let extension = read_extension(&mut reader)?;
        if root.alter() > 0 && quality.is_none() {
            let bracket = extension.map(|e| format!("({})", e.symbol())).unwrap_or_default();
            let message =
                format!("a sharp root must state its quality: {root}dim{bracket} or {root}M{bracket}");
            return Err(ParseChordError { at: 0, length: root_end, message });
        }
        let under = if reader.skip('/') { Some(reader.degree()?) } else { None };
        match rest_mistake(&mut reader, under.is_some()) {
            Some(mistake) => Err(mistake),
            None => Ok(NumberChord { root, quality, extension, under }),
        }
    }
}

fn read_quality(reader: &mut Reader, root: Degree) -> Result<Option<Quality>, ParseChordError> {
    let start = reader.at();
    let text = reader.take_while(|c| !matches!(c, '(' | ')' | '/'));
    if text.is_empty() {
        return Ok(None);
    }
    match Quality::named(&text) {
        Some(quality) => Ok(Some(quality)),
        None => Err(reader.mistake(start, unknown_quality(&text, root))),
    }
}

fn read_extension(reader: &mut Reader) -> Result<Option<Extension>, ParseChordError> {
    let open = reader.at();
    if !reader.skip('(') {
        return Ok(None);
    }
    let start = reader.at();
    let text = reader.take_while(|c| !matches!(c, '(' | ')' | '/'));
    let end = reader.at();
    if !reader.skip(')') {
        return Err(reader.mistake(open, format!("the bracket is not closed: write ({text})")));
    }
    match Extension::named(&text) {
        Some(extension) => Ok(Some(extension)),
        None => {
            let length = (end - start).max(1);
            Err(ParseChordError { at: start, length, message: unknown_extension(&text) })
        }
    }
}

/// Anything left behind a whole chord.
fn rest_mistake(reader: &mut Reader, under_slash: bool) -> Option<ParseChordError> {
    let start = reader.at();
    let rest = reader.take_while(|_| true);
    let message = match rest.chars().next()? {
        '/' => {
            "one slash is enough: the right hand's chord before it, the left hand's degree after it".into()
        }
        ')' => format!("“{rest}”: a bracket closes that was not opened"),
        _ if under_slash => {
            format!(
                "“{rest}” stands behind the degree under the slash: the left hand takes one degree, as in 1/4"
            )
        }
        '(' => "one bracket is enough: write one extension, as in 5(7)".into(),
        _ => format!("“{rest}” stands behind the bracket: the quality comes before it, as in 5sus4(7)"),
    };
    Some(reader.mistake(start, message))
}

fn unknown_quality(text: &str, root: Degree) -> String {
    if let Some((quality, extension)) = split_unbracketed(text) {
        return format!("put the extension in brackets: {root}{quality}({extension})");
    }
    let meant = match text {
        "maj" | "Maj" | "major" | "ma" => Some("M"),
        "min" | "mi" | "minor" => Some("m"),
        "sus" => Some("sus4"),
        "o" | "0" | "º" => Some("dim"),
        "5" => Some("no3"),
        "ø" | "Ø" => Some("dim(7)"),
        _ => None,
    };
    match meant {
        Some(meant) => format!("“{text}” is no quality: write {root}{meant}"),
        None if text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, 'b' | '#')) => {
            format!(
                "“{text}” right behind {root}: put a space between two chords, or an extension in brackets"
            )
        }
        None => format!("“{text}” is no quality: write one of M, m, dim, aug, sus2, sus4, no3"),
    }
}

/// A quality and an extension run together, as in `m7` or `7`.
fn split_unbracketed(text: &str) -> Option<(&str, &str)> {
    text.char_indices().map(|(at, _)| text.split_at(at)).find_map(|(head, tail)| {
        let quality = if head.is_empty() { "" } else { Quality::named(head)?.symbol() };
        Some((quality, Extension::named(tail)?.symbol()))
    })
}

fn unknown_extension(text: &str) -> String {
    let meant = match text {
        "M7" | "ma7" | "Maj7" | "j7" => Some("maj7"),
        "M9" | "ma9" | "Maj9" => Some("maj9"),
        "°7" | "o7" => Some("dim7"),
        "2" | "add2" => Some("add9"),
        "4" | "add11" => Some("add4"),
        "b9" => Some("7b9"),
        "#9" => Some("7#9"),
        _ => None,
    };
    if let Some(meant) = meant {
        return format!("“{text}” is no extension: write ({meant})");
    }
    if let Some(quality) = Quality::named(text) {
        return format!(
            "a quality stands without brackets: write {} right behind the degree",
            quality.symbol()
        );
    }
    let known: Vec<&str> = Extension::ALL.iter().map(|e| e.symbol()).collect();
    format!("“{text}” is no extension: write one of {}", known.join(", "))
}

fn hint(suggestion: Option<Extension>) -> String {
    suggestion.map(|e| format!("; ({}) would stay in the key", e.symbol())).unwrap_or_default()
}
