//! What a line typed by itself is: a row, chords by letter, the heading of a section, or what the song says of itself.

use crate::edit::Field;
use crate::letters;
use crate::paste::{Fact, fact, repeats};

/// What a line is.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// Nothing yet.
    Blank,
    /// A row of the chart, in numbers.
    Row,
    /// A row in letters.
    Letters,
    /// The heading of a section.
    Heading(Heading),
    /// Title, key, tempo or meter of the song.
    Says(Vec<Field>),
}

/// A heading as it is typed: `Verse`, `Verse 2 like Verse x4`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    /// The section's name.
    pub name: String,
    /// The section that it is like.
    pub like: Option<String>,
    /// How often it is played.
    pub passes: Option<u32>,
}

/// Tells what a line is.
///
/// ```
/// use song::typing::{Line, line};
/// assert_eq!(line("3/4: 1.. 5. | 6"), Line::Row);
/// assert_eq!(line("G | D/F#"), Line::Letters);
/// let Line::Heading(heading) = line("Verse 2 like Verse x4") else { panic!() };
/// assert_eq!((heading.name.as_str(), heading.like.as_deref(), heading.passes), ("Verse 2", Some("Verse"), Some(4)));
/// assert!(matches!(line("key: D"), Line::Says(_)));
/// ```
pub fn line(text: &str) -> Line {
    let text = text.trim();
    if text.is_empty() {
        return Line::Blank;
    }
    if begins_row(text) {
        return Line::Row;
    }
    if let Some(facts) = fact(text) {
        let fields: Vec<Field> = facts.into_iter().filter_map(field).collect();
        if !fields.is_empty() {
            return Line::Says(fields);
        }
    }
    if letters::is_letter_row(text) && !words_of(text).any(|word| !is_chord(word)) {
        return Line::Letters;
    }
    heading(text).map_or(Line::Blank, Line::Heading)
}

/// Whether a line that begins so can only be a row in numbers: it is one from its first sign on.
pub fn begins_row(text: &str) -> bool {
    let text = text.trim_start();
    let mut chars = text.chars();
    let (first, second) = (chars.next(), chars.next());
    match first {
        Some('1'..='9' | '#' | '^' | '<' | '~' | '%' | '|') => true,
        Some('b') => second.is_some_and(|c| c.is_ascii_digit() || c == 'b'),
        Some('N') => second.is_some_and(|c| matches!(c, ' ' | '|' | '.')),
        _ => false,
    }
}

/// A heading as it would be typed.
///
/// ```
/// let heading = song::typing::Heading { name: "Verse".into(), like: Some("Intro".into()), passes: Some(4) };
/// assert_eq!(heading.to_string(), "Verse like Intro x4");
/// assert_eq!(song::typing::heading("Verse like Intro x4"), Some(heading));
/// ```
pub fn heading(text: &str) -> Option<Heading> {
    let mut rest = text.trim().trim_end_matches(':').trim_end();
    rest = rest.strip_prefix('[').and_then(|inner| inner.strip_suffix(']')).unwrap_or(rest);
    let mut passes = None;
    if let Some((before, last)) = rest.rsplit_once(char::is_whitespace)
        && let Some(times) = repeats(last)
    {
        (rest, passes) = (before.trim_end(), Some(times));
    }
    let (name, like) = match rest.split_once(" like ") {
        Some((name, like)) if !like.trim().is_empty() => (name, Some(like.trim().to_owned())),
        _ => (rest, None),
    };
    let name = name.trim().to_owned();
    (!name.is_empty()).then_some(Heading { name, like, passes })
}

impl std::fmt::Display for Heading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.name)?;
        self.like.as_ref().map_or(Ok(()), |like| write!(f, " like {like}"))?;
        self.passes.map_or(Ok(()), |passes| write!(f, " x{passes}"))
    }
}

fn field(fact: Fact) -> Option<Field> {
    Some(match fact {
        Fact::Title(title) => Field::Title(title),
        Fact::Key(key) => Field::Key(key),
        Fact::Tempo(tempo) => Field::Tempo(Some(tempo)),
        Fact::Meter(meter) => Field::Meter(Some(meter)),
        Fact::Capo => return None,
    })
}

fn words_of(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| c.is_whitespace() || c == '|').filter(|word| !word.is_empty())
}

/// A chord by letter with its marks, or another sign of a row.
fn is_chord(word: &str) -> bool {
    let chord = word.rsplit(':').next().unwrap_or(word);
    let chord = chord.trim_start_matches(['<', '^']).trim_end_matches(['.', '>']);
    chord.chars().all(|c| matches!(c, '~' | '%')) || letters::read(chord).is_ok() || word.starts_with("N.C")
}
