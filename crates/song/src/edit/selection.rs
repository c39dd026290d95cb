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
    of_runs(numbers.iter().map(|number| (*number, *number)), ranges)
}

/// Stretches in order of where they begin; those that meet are one.
fn of_runs(stretches: impl Iterator<Item = (u32, u32)>, ranges: bool) -> Selector {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for (from, to) in stretches {
        match runs.last_mut() {
            Some(run) if (run.0..=run.1.saturating_add(1)).contains(&from) => run.1 = run.1.max(to),
            _ => runs.push((from, to)),
        }
    }
    let parts = runs.into_iter().flat_map(|(from, to)| match to - from {
        0 => vec![Choice::One(from)],
        1 if !ranges => vec![Choice::One(from), Choice::One(to)],
        _ => vec![Choice::Range(from, to)],
    });
    Selector { parts: parts.collect() }
}

/// What is left of a selector without some numbers, of so many; the last stays the last, and what is beyond stays: passes
/// may come back. Nothing if none is left.
pub(super) fn without(selector: &Selector, gone: &[u32], last: u32) -> Option<Selector> {
    let parts = selector.parts.iter().flat_map(|part| match *part {
        Choice::One(number) if gone.contains(&number) => Vec::new(),
        Choice::Last if gone.contains(&last) => Vec::new(),
        Choice::Range(from, to) if gone.iter().any(|gone| (from..=to).contains(gone)) => {
            let mut gone: Vec<u32> = gone.iter().copied().filter(|gone| (from..=to).contains(gone)).collect();
            gone.sort_unstable();
            let begins = std::iter::once(from).chain(gone.iter().map(|gone| gone.saturating_add(1)));
            let ends = gone.iter().map(|gone| gone - 1).chain([to]);
            of_runs(begins.zip(ends).filter(|(from, to)| from <= to), true).parts
        }
        part => vec![part],
    });
    let parts: Vec<Choice> = parts.collect();
    (!parts.is_empty()).then_some(Selector { parts })
}

/// One number as a selector has it: the last stays the last.
pub(super) fn one_of(selector: &Selector, number: u32, last: u32) -> Selector {
    let named = |part: &Choice| match *part {
        Choice::One(one) => one == number,
        Choice::Range(from, to) => (from..=to).contains(&number),
        Choice::Last => false,
    };
    let as_last =
        number == last && selector.parts.contains(&Choice::Last) && !selector.parts.iter().any(named);
    Selector { parts: vec![if as_last { Choice::Last } else { Choice::One(number) }] }
}

/// What two selectors mean together: numbers in order, neighbours as ranges from three on, the last as the last. What is
/// beyond the last stays: passes may come back.
pub(super) fn together(one: &Selector, other: &Selector, last: u32) -> Selector {
    let all = || one.parts.iter().chain(&other.parts);
    let mut stretches: Vec<(u32, u32)> = all()
        .filter_map(|part| match *part {
            Choice::One(number) => Some((number, number)),
            Choice::Range(from, to) => Some((from, to)),
            Choice::Last => None,
        })
        .collect();
    stretches.sort_unstable();
    let named = stretches.iter().any(|(from, to)| (*from..=*to).contains(&last));
    let mut together = of_runs(stretches.into_iter(), false);
    if !named && all().any(|part| *part == Choice::Last) {
        together.parts.push(Choice::Last);
    }
    together
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
