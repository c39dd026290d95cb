//! Where in the song something of its file stands, as a musician names it.

use crate::{Diagnostic, Exception, Row, Section, Selector, Song};
use std::fmt;

/// A section, and the bar or bars of it where that can be said: `Verse, bar 3`.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "sections": [
///   { "name": "Verse", "passes": 2, "bars": ["1 | 4", "5 | 9"], "except": [ { "pass": 3, "bar": 2, "bars": "6" } ] } ] }"#;
/// let told = song::read(text).diagnostics;
/// let places: Vec<String> = told.iter().map(|told| told.place.as_ref().unwrap().to_string()).collect();
/// assert_eq!(places, ["Verse, bar 4", "Verse, what differs in bar 2"]);
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SongPlace {
    /// The name of the section.
    pub section: String,
    /// Its bars as it is written, from 1: one, or those that an exception names.
    pub bars: Option<Selector>,
    /// It is something that differs in some passes or bars, not what is written for all.
    pub differs: bool,
}

impl fmt::Display for SongPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.section)?;
        let Some(bars) = &self.bars else { return Ok(()) };
        let parts: Vec<String> = bars.parts.iter().map(|part| part.to_string().replace('-', "–")).collect();
        let one = matches!(bars.parts[..], [crate::Choice::One(_) | crate::Choice::Last]);
        let differs = if self.differs { "what differs in " } else { "" };
        write!(f, ", {differs}{} {}", if one { "bar" } else { "bars" }, parts.join(", "))
    }
}

/// Names the place of everything that stands in a section.
pub(crate) fn name(song: &Song, diagnostics: &mut [Diagnostic]) {
    for told in diagnostics {
        told.place = at(song, told.span.0);
    }
}

fn at(song: &Song, byte: usize) -> Option<SongPlace> {
    let holds = |span: (usize, usize)| (span.0..span.1).contains(&byte);
    let section = song.sections.iter().find(|section| holds(section.span))?;
    let name = match section.name.trim() {
        "" => format!(
            "section {}",
            song.sections.iter().take_while(|other| !std::ptr::eq(*other, section)).count() + 1
        ),
        name => name.to_owned(),
    };
    let exception = section.exceptions.iter().find(|exception| holds(exception.span));
    let bars = match exception {
        Some(exception) => named(exception),
        None => bar(section, byte).map(|bar| Selector { parts: vec![crate::Choice::One(bar)] }),
    };
    Some(SongPlace { section: name, bars, differs: exception.is_some() })
}

fn named(exception: &Exception) -> Option<Selector> {
    Some(exception.bar.value.clone()).filter(|bars| !bars.parts.is_empty())
}

/// The bar that begins at or before a place of a row, from 1.
fn bar(section: &Section, byte: usize) -> Option<u32> {
    let mut first = 0;
    for Row { bars, span } in &section.rows {
        if (span.0..span.1).contains(&byte) {
            let begun = bars.iter().filter(|bar| bar.span.0 <= byte).count().max(1);
            return Some(first + begun as u32);
        }
        first += bars.len() as u32;
    }
    None
}
