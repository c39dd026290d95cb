//! The passes or bars of an exception in the tree: read, and written as a person would.

use super::tree::Node;
use crate::{Choice, Selector};

/// The selector that a field holds; nothing where it cannot be read.
pub(super) fn selector(node: &Node) -> Option<Selector> {
    let parts = match node {
        Node::List(list) => list.items.iter().map(|item| choice(&item.value)).collect::<Option<Vec<_>>>()?,
        single => vec![choice(single)?],
    };
    (!parts.is_empty()).then_some(Selector { parts })
}

/// The selector as the file writes it: `3`, `"3-5"`, `[3, "last"]`.
pub(super) fn node(selector: &Selector) -> Node {
    let part = |choice: &Choice| match choice {
        Choice::One(number) => Node::plain(number),
        other => Node::text(&other.to_string()),
    };
    match &selector.parts[..] {
        [single] => part(single),
        parts => Node::list(parts.iter().map(part)),
    }
}

/// Numbers from 1, in order, as a selector: neighbours as ranges if that is shorter or `ranges` were written.
pub(super) fn of_numbers(numbers: &[u32], ranges: bool) -> Selector {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == *number => run.1 = *number,
            _ => runs.push((*number, *number)),
        }
    }
    let parts = runs.into_iter().flat_map(|(from, to)| match to - from {
        0 => vec![Choice::One(from)],
        1 if !ranges => vec![Choice::One(from), Choice::One(to)],
        _ => vec![Choice::Range(from, to)],
    });
    Selector { parts: parts.collect() }
}

fn choice(node: &Node) -> Option<Choice> {
    if let Some(number) = node.as_number() {
        return (number >= 1).then_some(Choice::One(number));
    }
    let text = node.as_text()?;
    let written = text.trim();
    if written == "last" {
        return Some(Choice::Last);
    }
    let number = |text: &str| {
        let digits = text.trim().bytes().all(|byte| byte.is_ascii_digit());
        text.trim().parse::<u32>().ok().filter(|number| digits && *number >= 1)
    };
    match written.split_once('-') {
        None => number(written).map(Choice::One),
        Some((from, to)) => {
            let (from, to) = (number(from)?, number(to)?);
            (from <= to).then_some(Choice::Range(from, to))
        }
    }
}
