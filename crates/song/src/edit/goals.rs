//! Goals set, changed and taken away; they follow their sections and bars.

use super::EditError;
use super::document::Document;
use super::layout::{insert_item, remove_item};
use super::renumber::Moves;
use super::selection::{node, selector};
use super::tree::{List, Node, Object};
use crate::Goal;
use crate::limits::fields::{GOAL, SONG};

/// Sets the goal of a number, puts one in behind the last, or takes one away.
pub(super) fn set(document: &mut Document, at: usize, goal: Option<&Goal>) -> Result<(), EditError> {
    let count = list(document).map_or(0, |list| list.items.len());
    if at > count || (at == count && goal.is_none()) {
        return Err(EditError::NoGoal(at + 1, count));
    }
    let Some(goal) = goal else {
        return take_out(document, |number, _| number == at);
    };
    let section = match goal.section {
        Some(section) => {
            document.section(section)?;
            Some(document.name(section))
        }
        None => None,
    };
    match list(document) {
        Some(list) if at < count => match list.items[at].value.as_object_mut() {
            Some(object) => say(object, goal, section.as_deref()),
            None => list.items[at].value = fresh(goal, section.as_deref()),
        },
        Some(list) => insert_item(list, at, fresh(goal, section.as_deref())),
        None => {
            let goals = Node::list([fresh(goal, section.as_deref())]);
            document.song_mut().set("goals", goals, SONG);
        }
    }
    Ok(())
}

/// A section has another name.
pub(super) fn rename(document: &mut Document, old: &str, new: &str) {
    for object in objects(document).filter(|goal| is_about(goal, old)) {
        object.set("section", Node::text(new), GOAL);
    }
}

/// A section is taken away, and its goals with it.
pub(super) fn forget(document: &mut Document, section: &str) {
    take_out(document, |_, goal| goal.as_object().is_some_and(|goal| is_about(goal, section)))
        .expect("taking out what is there cannot fail");
}

/// The bars of a section went elsewhere. A goal of which no bar is left is taken away.
pub(super) fn renumber(document: &mut Document, section: &str, moves: &Moves) {
    for object in objects(document).filter(|goal| is_about(goal, section)) {
        let Some(old) = object.get("bar").and_then(selector) else { continue };
        match moves.selector(&old) {
            Some(bars) if bars == old => {}
            Some(bars) => object.set("bar", node(&bars), GOAL),
            None => object.fields.clear(),
        }
    }
    let empty = |_, goal: &Node| goal.as_object().is_some_and(|goal| goal.fields.is_empty());
    take_out(document, empty).expect("taking out what is there cannot fail");
}

fn take_out(document: &mut Document, gone: impl Fn(usize, &Node) -> bool) -> Result<(), EditError> {
    let Some(list) = list(document) else { return Ok(()) };
    for at in (0..list.items.len()).rev() {
        if gone(at, &list.items[at].value) {
            remove_item(list, at);
        }
    }
    if list.items.is_empty() {
        document.song_mut().remove("goals");
    }
    Ok(())
}

fn list(document: &mut Document) -> Option<&mut List> {
    document.song_mut().get_mut("goals").and_then(Node::as_list_mut)
}

fn objects(document: &mut Document) -> impl Iterator<Item = &mut Object> {
    let items = list(document).into_iter().flat_map(|list| &mut list.items);
    items.filter_map(|item| item.value.as_object_mut())
}

fn is_about(goal: &Object, section: &str) -> bool {
    goal.get("section").and_then(Node::as_text).as_deref() == Some(section)
}

fn fresh(goal: &Goal, section: Option<&str>) -> Node {
    Node::object(fields(goal, section).into_iter().filter_map(|(name, value)| Some((name, value?))))
}

fn say(object: &mut Object, goal: &Goal, section: Option<&str>) {
    for (name, value) in fields(goal, section) {
        // A goal written without its speed means the chart's tempo, and may go on without it.
        let unsaid = name == "speed" && goal.speed == Goal::FULL_SPEED && object.get(name).is_none();
        if !unsaid {
            object.put(name, value, GOAL);
        }
    }
}

fn fields(goal: &Goal, section: Option<&str>) -> [(&'static str, Option<Node>); 5] {
    [
        ("section", section.map(Node::text)),
        ("bar", goal.bars.as_ref().map(node)),
        ("speed", Some(Node::plain(goal.speed))),
        ("day", goal.day.map(|day| Node::text(&day.to_string()))),
        ("note", goal.note.as_deref().map(Node::text)),
    ]
}
