//! What was changed from one text of a song to another, in a player's words.

use super::canonical;
use super::object::{name, rows, sections};
use super::place::Place;
use crate::edit::align::by_difference;
use crate::edit::tree::{Node, Object};
use crate::json;

/// What differs, in the order of the song: `the key`, `bars 3 to 4 of Verse`, `a new section Bridge`. Nothing where both
/// say the same in other words. See [`super::merge`] for an example.
pub fn difference(old: &str, new: &str) -> Vec<String> {
    if old == new {
        return Vec::new();
    }
    let tree = |text: &str| json::document(text).map(|value| Node::of(&value, text));
    let (old, new) = match (tree(old), tree(new)) {
        (Some(old), Some(new)) => (old, new),
        (Some(_), None) => return vec!["a mistake in its JSON".to_owned()],
        (None, Some(_)) => return vec!["its JSON, mended".to_owned()],
        (None, None) => return vec!["the file as a whole".to_owned()],
    };
    let mut told = Vec::new();
    if let (Some(old), Some(new)) = (old.as_object(), new.as_object()) {
        fields(old, new, &Place::Song, &["sections", "id"], &mut told);
    }
    in_sections(&old, &new, &mut told);
    told
}

fn fields(old: &Object, new: &Object, place: &Place, but: &[&str], told: &mut Vec<String>) {
    let gone = old.fields.iter().filter(|field| new.get(&field.name).is_none());
    for field in new.fields.iter().chain(gone).filter(|field| !but.contains(&field.name.as_str())) {
        if canonical(old.get(&field.name)) != canonical(new.get(&field.name)) {
            told.push(place.field(&field.name).in_words());
        }
    }
}

fn in_sections(old: &Node, new: &Node, told: &mut Vec<String>) {
    let named = |song: &Node, wanted: &str| {
        sections(song).find(|section| name(section).as_deref() == Some(wanted)).cloned()
    };
    for section in sections(new) {
        let Some(name) = name(section) else { continue };
        match named(old, &name) {
            None => told.push(format!("a new section {name}")),
            Some(old) => {
                bars(&old, section, &name, told);
                fields(&old, section, &Place::Section(name), &["name", "bars"], told);
            }
        }
    }
    for section in sections(old) {
        let Some(name) = name(section).filter(|name| named(new, name).is_none()) else { continue };
        told.push(format!("{name} taken away"));
    }
    let names = |song: &Node| sections(song).filter_map(name).collect::<Vec<_>>();
    let (before, after) = (names(old), names(new));
    let stays = |there: &[String], all: &[String]| -> Vec<String> {
        all.iter().filter(|name| there.contains(name)).cloned().collect()
    };
    if stays(&after, &before) != stays(&before, &after) {
        told.push("the order of the sections".to_owned());
    }
}

fn bars(old: &Object, new: &Object, section: &str, told: &mut Vec<String>) {
    let split = |section: &Object| -> Vec<String> {
        let said = |bar: &str| bar.split_whitespace().collect::<Vec<_>>().join(" ");
        rows(section).iter().flat_map(|row| row.split('|').map(said).collect::<Vec<_>>()).collect()
    };
    let (before, after) = (split(old), split(new));
    let was = by_difference(&before, &after, false);
    let gone = before.len() - was.iter().flatten().count();
    let moved: Vec<usize> = (0..after.len()).filter(|at| was[*at].is_none()).collect();
    let typed: Vec<usize> = (0..after.len()).filter(|at| before.get(*at) != after.get(*at)).collect();
    // As many bars as before: whoever types over bars moves none.
    let in_place = before.len() == after.len() && typed.len() <= 2 * moved.len();
    let changed: Vec<usize> = if in_place { typed } else { moved }.iter().map(|at| at + 1).collect();
    match (&changed[..], gone) {
        ([], 0) if canonical(old.get("bars")) == canonical(new.get("bars")) => {}
        ([], 0) => told.push(format!("the rows of {section}")),
        ([], 1) => told.push(format!("a bar of {section} taken away")),
        ([], gone) => told.push(format!("{gone} bars of {section} taken away")),
        ([bar], _) => told.push(format!("bar {bar} of {section}")),
        ([first, .., last], _) => told.push(format!("bars {first} to {last} of {section}")),
    }
}
