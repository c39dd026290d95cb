//! Fields put together one by one, and the numbers by which exceptions know their bars.

use super::place::Place;
use super::{Work, canonical};
use crate::edit::tree::{Node, Object};

/// Both sides' fields, laid out as theirs.
pub(super) fn merge(
    work: &mut Work,
    base: Option<&Object>,
    mine: &Object,
    theirs: &Object,
    place: &Place,
) -> Object {
    let mut merged = theirs.clone();
    let order: Vec<&str> = mine.fields.iter().map(|field| field.name.as_str()).collect();
    let gone = base.into_iter().flat_map(|base| &base.fields);
    let mut names: Vec<&str> = Vec::new();
    for field in mine.fields.iter().chain(&theirs.fields).chain(gone) {
        if !names.contains(&field.name.as_str()) {
            names.push(&field.name);
        }
    }
    for name in names {
        let was = base.and_then(|base| base.get(name));
        let value = work.node(was, mine.get(name), theirs.get(name), &place.field(name));
        if canonical(value.as_ref()) != canonical(theirs.get(name)) {
            merged.put(name, value, &order);
        }
    }
    merged
}

/// Exceptions and goals name bars by number. Where one side moves bars and the other writes such numbers, or both move
/// bars that exceptions reach, both together would mean other bars than they said.
pub(super) fn guard_exceptions(base: &Node, mine: &Node, theirs: &Node, work: &mut Work) {
    let numbers = |song: &Node| numbers(song);
    let (was, own, other) = (numbers(base), numbers(mine), numbers(theirs));
    for section in sections(base) {
        let Some(name) = name(section) else { continue };
        let shape = |song: &Node| sections(song).find(|s| self::name(s).as_ref() == Some(&name)).map(shape);
        let before = Some(shape(base)).flatten();
        let (here, there) = (shape(mine), shape(theirs));
        let (moved_here, moved_there) = (here != before, there != before);
        let clash = (moved_here && other != was)
            || (moved_there && own != was)
            || (moved_here && moved_there && here != there && !was.is_empty());
        if clash && here.is_some() && there.is_some() {
            work.clash(format!("the bars of {name} and what is said of them by number"));
        }
    }
}

/// All that names bars by number, without layout; empty where nothing does.
fn numbers(song: &Node) -> String {
    let of_sections = sections(song).filter_map(|section| {
        let list = section.get("except").filter(|list| list.as_list().is_none_or(|l| !l.items.is_empty()))?;
        Some(format!("{:?}{}", name(section), canonical(Some(list))?))
    });
    let mut all: Vec<String> = of_sections.collect();
    all.extend(song.as_object().and_then(|song| canonical(song.get("goals"))));
    all.sort();
    all.concat()
}

pub(super) fn sections(song: &Node) -> impl Iterator<Item = &Object> {
    let list = song.as_object().and_then(|song| song.get("sections")).and_then(Node::as_list);
    list.into_iter().flat_map(|list| &list.items).filter_map(|item| item.value.as_object())
}

pub(super) fn name(section: &Object) -> Option<String> {
    section.get("name")?.as_text()
}

/// The number of bars of each row.
fn shape(section: &Object) -> Vec<usize> {
    rows(section).iter().map(|row| row.split('|').count()).collect()
}

/// The rows of a section as text.
pub(super) fn rows(section: &Object) -> Vec<String> {
    let list = section.get("bars").and_then(Node::as_list);
    list.into_iter().flat_map(|list| &list.items).filter_map(|item| item.value.as_text()).collect()
}
