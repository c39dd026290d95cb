//! Bars copied with what is said about them, and put in elsewhere.

use super::EditError;
use super::bars::{insert, played_rows};
use super::document::Document;
use super::renumber::{said_about, say_about};
use super::tree::{Node, Object};

/// Bars of a section with the exceptions (pins among them) that name them.
///
/// ```
/// use song::edit::{Change, Clip, apply};
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "sections": [
///   { "name": "Verse", "bars": ["1 | 4 | 5"], "except": [ { "bar": 2, "right": { "tones": "3 1" } } ] } ] }"#;
/// let clip = Clip::of(text, 0, 1, 2).unwrap();
/// assert_eq!(clip.bars(), "4");
/// let pasted = apply(text, &Change::PasteBars { section: 0, at: 3, clip }).unwrap().text;
/// assert!(pasted.contains(r#""bars": ["1 | 4 | 5 | 4"]"#));
/// assert!(pasted.contains(r#"{ "bar": 4, "right": { "tones": "3 1" } }"#));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    bars: Vec<String>,
    /// Exceptions as they stand in a file, counted from the first of the bars.
    said: Vec<String>,
}

impl Clip {
    /// Bars of a section of a song's text: from one, up to the one before another, both from 0. What `%` repeats is
    /// written out where it would repeat something else.
    ///
    /// # Errors
    /// If there are no such bars.
    pub fn of(text: &str, section: usize, from: u32, to: u32) -> Result<Clip, EditError> {
        let document = Document::parse(text)?;
        let rows = played_rows(&document, section)?;
        if from >= to || to > rows.count() {
            return Err(EditError::NoBar(to.max(from + 1), rows.count()));
        }
        let meant = rows.effective();
        let all = rows.bars().zip(meant).enumerate();
        let bars =
            all.filter(|(number, _)| (from..to).contains(&(*number as u32))).map(|(number, (bar, meant))| {
                let first = number as u32 == from;
                meant.filter(|_| bar.is_repeat() && first).unwrap_or_else(|| bar.text().to_owned())
            });
        let bars = bars.collect();
        let said = said_about(document.section(section)?, from, to, rows.count());
        let said = said.into_iter().map(|exception| {
            let mut text = String::new();
            Node::Object(exception).print(&mut text);
            text
        });
        Ok(Clip { bars, said: said.collect() })
    }

    /// The bars as text.
    pub fn bars(&self) -> String {
        self.bars.join(" | ")
    }

    /// How many bars there are.
    pub fn len(&self) -> u32 {
        self.bars.len() as u32
    }

    /// Whether there are none; there never are.
    pub fn is_empty(&self) -> bool {
        self.bars.is_empty()
    }
}

/// Puts them in before a bar.
pub(super) fn paste(document: &mut Document, section: usize, at: u32, clip: &Clip) -> Result<(), EditError> {
    insert(document, section, at, &clip.bars())?;
    let said: Vec<Object> = clip.said.iter().filter_map(|text| object(text)).collect();
    say_about(document.section_mut(section)?, said, at);
    Ok(())
}

fn object(text: &str) -> Option<Object> {
    let value = crate::json::document(text)?;
    match Node::of(&value, text) {
        Node::Object(object) => Some(object),
        _ => None,
    }
}
