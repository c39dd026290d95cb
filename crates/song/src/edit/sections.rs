//! Sections put in, copied, moved, renamed and taken away; order and `like` follow.

use super::EditError;
use super::document::Document;
use super::layout::{insert_item, remove_item};
use super::tree::{Item, Node, Object};
use crate::limits::fields::{SECTION, SONG};

pub(super) fn insert(
    document: &mut Document,
    at: usize,
    name: &str,
    rows: &[String],
) -> Result<(), EditError> {
    let name = free_name(document, name, None)?;
    if at > document.section_count() {
        return Err(EditError::NoSection(at + 1, document.section_count()));
    }
    let fields = [("name", Node::text(&name)), ("bars", Node::list(rows.iter().map(|row| Node::text(row))))];
    put_in(document, at, Node::object(fields));
    if let Some(order) = order_list(document) {
        insert_item(order, usize::MAX, Node::text(&name));
    }
    Ok(())
}

pub(super) fn like(document: &mut Document, section: usize, name: &str) -> Result<(), EditError> {
    document.section(section)?;
    let name = free_name(document, name, None)?;
    let fields = [("name", Node::text(&name)), ("like", Node::text(&document.name(section)))];
    add_behind(document, section, &name, Node::object(fields));
    Ok(())
}

pub(super) fn copy(document: &mut Document, section: usize, name: &str) -> Result<(), EditError> {
    let mut copy = document.section(section)?.clone();
    let name = free_name(document, name, None)?;
    copy.set("name", Node::text(&name), SECTION);
    add_behind(document, section, &name, Node::Object(copy));
    Ok(())
}

/// Gives a section that is like another all that it takes over. What it says itself stays.
pub(super) fn own(document: &mut Document, section: usize) -> Result<(), EditError> {
    document.section(section)?;
    let lineage = document.lineage(section);
    for from in &lineage[1..] {
        let outer = document.section(*from)?.clone();
        let own = document.section_mut(section)?;
        for field in &outer.fields {
            match field.name.as_str() {
                "name" | "note" | "like" => {}
                "right" | "left" => take_hand(own, &field.name, &field.value),
                "except" => take_exceptions(own, &field.value),
                other if own.get(other).is_none() => own.set(other, field.value.clone(), SECTION),
                _ => {}
            }
        }
    }
    document.section_mut(section)?.remove("like");
    Ok(())
}

pub(super) fn remove(document: &mut Document, section: usize) -> Result<(), EditError> {
    document.section(section)?;
    if document.section_count() == 1 {
        return Err(EditError::Last("song"));
    }
    let user = (0..document.section_count())
        .find(|other| *other != section && document.like(*other) == Some(section));
    if let Some(user) = user {
        return Err(EditError::BarsNeeded(document.name(user)));
    }
    let (name, at) = (document.name(section), document.place_in_list(section));
    if let Some(order) = order_list(document) {
        for place in (0..order.items.len()).rev() {
            if order.items[place].value.as_text().as_deref() == Some(&name) {
                remove_item(order, place);
            }
        }
        if order.items.is_empty() {
            document.song_mut().remove("order");
        }
    }
    remove_item(document.section_list(), at);
    if document.named(&name).is_none() {
        super::goals::forget(document, &name);
    }
    Ok(())
}

pub(super) fn carry(document: &mut Document, section: usize, to: usize) -> Result<(), EditError> {
    document.section(section)?;
    document.section(to)?;
    let (from, place) = (document.place_in_list(section), document.place_in_list(to));
    let list = document.section_list();
    let moved = remove_item(list, from);
    insert_item(list, place, moved);
    Ok(())
}

pub(super) fn rename(document: &mut Document, section: usize, name: &str) -> Result<(), EditError> {
    document.section(section)?;
    let old = document.name(section);
    let name = free_name(document, name, Some(section))?;
    let likes: Vec<usize> =
        (0..document.section_count()).filter(|other| document.like(*other) == Some(section)).collect();
    for other in likes {
        document.section_mut(other)?.set("like", Node::text(&name), SECTION);
    }
    // Of two sections of one name the first is meant.
    if document.named(&old) == Some(section) {
        let places = order_list(document).into_iter().flat_map(|order| &mut order.items);
        for place in places.filter(|place| place.value.as_text().as_deref() == Some(&old)) {
            place.value = Node::text(&name);
        }
        super::goals::rename(document, &old, &name);
    }
    document.section_mut(section)?.set("name", Node::text(&name), SECTION);
    Ok(())
}

/// The order anew. Places that stay where they are keep their layout.
pub(super) fn set_order(document: &mut Document, order: Option<&[usize]>) -> Result<(), EditError> {
    let Some(order) = order else {
        document.song_mut().remove("order");
        return Ok(());
    };
    if order.is_empty() {
        return Err(EditError::Last("song"));
    }
    for section in order {
        document.section(*section)?;
    }
    let names: Vec<String> = order.iter().map(|section| document.name(*section)).collect();
    if order_list(document).is_none() {
        document.song_mut().set("order", Node::list(names.iter().map(|name| Node::text(name))), SONG);
        return Ok(());
    }
    let list = order_list(document).expect("it was there just before");
    let old: Vec<String> = list.items.iter().map(|item| item.value.as_text().unwrap_or_default()).collect();
    let was = super::align::by_difference(&old, &names, false);
    for gone in (0..old.len()).rev().filter(|at| !was.contains(&Some(*at))) {
        remove_item(list, gone);
    }
    for (at, name) in names.iter().enumerate().filter(|(at, _)| was[*at].is_none()) {
        insert_item(list, at, Node::text(name));
    }
    Ok(())
}

fn order_list(document: &mut Document) -> Option<&mut super::tree::List> {
    document.song_mut().get_mut("order").and_then(Node::as_list_mut)
}

fn free_name(document: &Document, name: &str, own: Option<usize>) -> Result<String, EditError> {
    let name = name.trim();
    match document.named(name) {
        _ if name.is_empty() => Err(EditError::NoName),
        Some(other) if Some(other) != own => Err(EditError::NameTaken(name.into())),
        _ => Ok(name.into()),
    }
}

/// Puts a section in behind another, and into the order behind its last place.
fn add_behind(document: &mut Document, section: usize, name: &str, node: Node) {
    let before = document.name(section);
    put_in(document, section + 1, node);
    let Some(order) = order_list(document) else { return };
    let last = order.items.iter().rposition(|item| item.value.as_text().as_deref() == Some(&before));
    insert_item(order, last.map_or(usize::MAX, |last| last + 1), Node::text(name));
}

fn put_in(document: &mut Document, at: usize, node: Node) {
    let at = if at == document.section_count() { usize::MAX } else { document.place_in_list(at) };
    insert_item(document.section_list(), at, node);
}

/// What a hand is told further out, as far as it is told nothing of the kind itself.
fn take_hand(own: &mut Object, hand: &str, outer: &Node) {
    let Some(Node::Object(inner)) = own.get(hand) else {
        if own.get(hand).is_none() {
            own.set(hand, outer.clone(), SECTION);
        }
        return;
    };
    // Tones, notes or a shape for all chords cover whatever was held before; shapes by chord only those chords.
    let covered = ["tones", "notes", "shape"].iter().any(|name| inner.get(name).is_some());
    let Some(outer) = outer.as_object() else { return };
    let mut merged = inner.clone();
    for field in &outer.fields {
        let holds = matches!(field.name.as_str(), "tones" | "notes" | "shape" | "shapes");
        match (field.name.as_str(), merged.get_mut(&field.name)) {
            _ if holds && covered => {}
            ("shapes", Some(Node::Object(shapes))) => {
                let others = field.value.as_object().into_iter().flat_map(|others| &others.fields);
                let chord = |name: &str| name.trim().parse::<theory::NumberChord>();
                for other in others {
                    if !shapes.fields.iter().any(|shape| chord(&shape.name) == chord(&other.name)) {
                        shapes.set(&other.name, other.value.clone(), &[]);
                    }
                }
            }
            (_, Some(_)) => {}
            (name, None) => merged.set(name, field.value.clone(), &[]),
        }
    }
    own.set(hand, Node::Object(merged), SECTION);
}

/// Inherited exceptions go before a section's own.
fn take_exceptions(own: &mut Object, outer: &Node) {
    let Some(outer_list) = outer.as_list() else { return };
    match own.get_mut("except").and_then(Node::as_list_mut) {
        None => own.set("except", outer.clone(), SECTION),
        Some(list) => {
            for (at, Item { value, .. }) in outer_list.items.iter().enumerate() {
                insert_item(list, at, value.clone());
            }
        }
    }
}
