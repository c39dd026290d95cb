//! Two people write in one song file: what both did is put together, as long as they touch different places; and what was
//! changed from one text to another, in a player's words.
//!
//! ```
//! let base = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
//!   "sections": [ { "name": "Verse", "bars": ["1 | 4", "5 | 1"] } ] }"#;
//! let mine = base.replace("1 | 4", "1 | 6");
//! let theirs = base.replace("5 | 1", "2 | 5").replace("72", "80");
//! let both = song::merge(base, &mine, &theirs).unwrap();
//! assert_eq!(both, theirs.replace("1 | 4", "1 | 6"));
//! assert_eq!(song::difference(base, &both), ["the tempo", "bars 2 to 4 of Verse"]);
//!
//! let also_mine = base.replace("5 | 1", "5 | 6");
//! let clash = song::merge(base, &also_mine, &theirs).unwrap_err();
//! assert_eq!(clash.places, ["bar 4 of Verse"]);
//! ```
//!
//! The layout is that of their text, and of mine where mine counts. What is the same in other words (spaces, the order of
//! fields) is no change. Exceptions name bars by number: where one side moves bars and the other writes exceptions to
//! them, nothing is guessed.

mod difference;
mod list;
mod object;
mod place;

pub use difference::difference;

use crate::edit::tree::Node;
use crate::json;
use place::Place;

/// Why two texts cannot be put together.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("both change {}", places.join(", "))]
pub struct Clash {
    /// Where both say something else, in a player's words: `the key`, `row 2 of Verse`.
    pub places: Vec<String>,
}

/// Puts together what was done to `base` on two sides. Where only one side has a mistake in its JSON, or both write
/// something else at one place, there is no such text.
///
/// # Errors
/// The places.
pub fn merge(base: &str, mine: &str, theirs: &str) -> Result<String, Clash> {
    if base == theirs || mine == theirs {
        return Ok(mine.to_owned());
    }
    if base == mine {
        return Ok(theirs.to_owned());
    }
    let whole = || Clash { places: vec!["the file as a whole".to_owned()] };
    let tree = |text: &str| json::document(text).map(|value| (Node::of(&value, text), json::span(&value)));
    let (Some((base, _)), Some((own, _)), Some((other, span))) = (tree(base), tree(mine), tree(theirs))
    else {
        return Err(whole());
    };
    let mut work = Work::default();
    object::guard_exceptions(&base, &own, &other, &mut work);
    let node = work.node(Some(&base), Some(&own), Some(&other), &Place::Song);
    if !work.places.is_empty() {
        work.places.dedup();
        return Err(Clash { places: work.places });
    }
    let mut text = theirs[..span.0].to_owned();
    node.ok_or_else(whole)?.print(&mut text);
    text += &theirs[span.1..];
    // Each side may be right by itself and both together wrong, such as an order that names a section taken away.
    if mistakes(&text) > mistakes(mine).max(mistakes(theirs)) { Err(whole()) } else { Ok(text) }
}

fn mistakes(text: &str) -> usize {
    crate::read(text).diagnostics.iter().filter(|told| told.is_error()).count()
}

/// Where both sides say something else, found so far.
#[derive(Default)]
struct Work {
    places: Vec<String>,
}

impl Work {
    /// A value after both; none where it is taken away.
    fn node(
        &mut self,
        base: Option<&Node>,
        mine: Option<&Node>,
        theirs: Option<&Node>,
        place: &Place,
    ) -> Option<Node> {
        let (was, own, other) = (canonical(base), canonical(mine), canonical(theirs));
        if own == other || was == own {
            return theirs.cloned();
        }
        if was == other {
            return mine.cloned();
        }
        // Two windows gave it one each: that of the file stays.
        if place.is_identity() {
            return theirs.or(mine).cloned();
        }
        match (base, mine, theirs) {
            (base, Some(Node::Object(mine)), Some(Node::Object(theirs))) => {
                let base = base.and_then(Node::as_object);
                Some(Node::Object(object::merge(self, base, mine, theirs, place)))
            }
            (Some(Node::List(base)), Some(Node::List(mine)), Some(Node::List(theirs))) => {
                Some(Node::List(list::merge(self, base, mine, theirs, place)))
            }
            (Some(base), Some(mine), Some(theirs)) if place.is_row() => {
                list::row(self, base, mine, theirs, place)
            }
            _ => {
                self.clash(place.in_words());
                theirs.cloned()
            }
        }
    }

    fn clash(&mut self, place: String) {
        self.places.push(place);
    }
}

/// A value without its layout: what is the same in other words is the same.
fn canonical(node: Option<&Node>) -> Option<String> {
    let mut out = String::new();
    write(node?, &mut out);
    Some(out)
}

fn write(node: &Node, out: &mut String) {
    match node {
        Node::Leaf(raw) => match node.as_text() {
            Some(text) => out.push_str(&format!("{text:?}")),
            None => out.push_str(raw),
        },
        Node::List(list) => {
            out.push('[');
            for item in &list.items {
                write(&item.value, out);
                out.push(',');
            }
            out.push(']');
        }
        Node::Object(object) => {
            let mut fields: Vec<_> = object.fields.iter().collect();
            fields.sort_by(|a, b| a.name.cmp(&b.name));
            out.push('{');
            for field in fields {
                out.push_str(&format!("{:?}:", field.name));
                write(&field.value, out);
                out.push(',');
            }
            out.push('}');
        }
    }
}

#[cfg(test)]
mod tests;
