//! Where new fields and items go, and the space around them: as their neighbours have it.

use super::tree::{Field, Item, List, Node, Object};

/// Puts a field in behind those that come before it in `order` (last where it is not named there).
pub(super) fn insert_field(object: &mut Object, name: &str, value: Node, order: &[&str]) {
    let rank = |name: &str| order.iter().position(|other| *other == name);
    let before = |field: &Field| rank(&field.name).is_none_or(|other| Some(other) < rank(name));
    let at = match rank(name) {
        Some(_) => object.fields.iter().rposition(before).map_or(0, |last| last + 1),
        None => object.fields.len(),
    };
    let colon = object.fields.first().map_or(": ", |first| &first.colon);
    let colon = if colon.contains('\n') { ": " } else { colon };
    let mut field = Field::new(&gap(object), name, colon, value);
    if let (0, Some(first)) = (at, object.fields.first_mut()) {
        std::mem::swap(&mut field.lead, &mut first.lead);
    }
    object.fields.insert(at, field);
}

/// Takes a field out with the space that was before it.
pub(super) fn remove_field(object: &mut Object, at: usize) -> Node {
    let removed = object.fields.remove(at);
    if let (0, Some(first)) = (at, object.fields.first_mut()) {
        first.lead = removed.lead;
    }
    if object.fields.is_empty() {
        object.close.clear();
    }
    removed.value
}

/// Puts an item into a list.
pub(super) fn insert_item(list: &mut List, at: usize, value: Node) {
    let at = at.min(list.items.len());
    let mut lead = match &list.items[..] {
        [] => String::new(),
        [only] => beside(only, &value),
        [_, second, ..] => second.lead.clone(),
    };
    if let (0, Some(first)) = (at, list.items.first_mut()) {
        std::mem::swap(&mut lead, &mut first.lead);
    }
    list.items.insert(at, Item { lead, value, trail: String::new(), column: None });
}

/// Takes an item out with the space that was before it.
pub(super) fn remove_item(list: &mut List, at: usize) -> Node {
    let removed = list.items.remove(at);
    if let (0, Some(first)) = (at, list.items.first_mut()) {
        first.lead = removed.lead;
    }
    removed.value
}

/// What parts the fields of an object.
fn gap(object: &Object) -> String {
    match &object.fields[..] {
        [] => String::new(),
        [only] if only.lead.is_empty() => String::new(),
        [only] => only.lead.clone(),
        [first, second, ..] if second.lead.is_empty() && first.lead.starts_with(' ') => " ".into(),
        [_, second, ..] => second.lead.clone(),
    }
}

/// The space before a second item: objects stand under one another, the rest in a line.
fn beside(only: &Item, value: &Node) -> String {
    match (only.lead.contains('\n'), only.column) {
        (true, _) => only.lead.clone(),
        (false, Some(column)) if matches!(value, Node::Object(_)) => format!("\n{}", " ".repeat(column)),
        _ => " ".into(),
    }
}
