//! Exceptions follow their bars: the numbers they name are worked out anew.

use super::layout::{insert_item, remove_item};
use super::rows::Rows;
use super::selection::{node, of_numbers, selector};
use super::tree::{Node, Object};
use crate::limits::fields::{EXCEPTION, SECTION};
use crate::{Choice, Selector};

/// Where each bar went.
#[derive(Debug)]
pub(super) struct Moves {
    /// For each old bar, from 0, its new number.
    to: Vec<Option<u32>>,
    /// For each new bar whether it is new, and not one of the old or one with a history elsewhere.
    new: Vec<bool>,
}

impl Moves {
    /// What became of so many bars.
    pub fn new(old: u32, rows: &Rows) -> Moves {
        let mut to = vec![None; old as usize];
        let mut new = Vec::new();
        for (number, bar) in rows.bars().enumerate() {
            new.push(bar.is_new());
            if let Some(place) = bar.was.and_then(|was| to.get_mut(was as usize)) {
                *place = Some(number as u32);
            }
        }
        Moves { to, new }
    }

    pub fn is_identity(&self) -> bool {
        self.to.len() == self.new.len() && self.to.iter().enumerate().all(|(i, to)| *to == Some(i as u32))
    }

    /// The new number of an old one, both from 1; numbers of bars that there never were stay.
    fn number(&self, old: u32) -> Option<u32> {
        match self.to.get(old as usize - 1) {
            Some(to) => to.map(|to| to + 1),
            None => Some(old),
        }
    }

    /// Whether all bars between two new ones, both from 1, are new.
    fn only_new_between(&self, from: u32, to: u32) -> bool {
        from < to && (from..to - 1).all(|bar| self.new.get(bar as usize).is_some_and(|new| *new))
    }

    /// Where a stretch of bars that gives way went: its first bar, from 1, and its length.
    fn stretch(&self, first: u32, length: u32) -> Option<(u32, u32)> {
        let mut all: Vec<u32> =
            (first..first.saturating_add(length)).filter_map(|bar| self.number(bar)).collect();
        if length == 0 {
            return self.number(first).map(|first| (first, 0));
        }
        all.sort_unstable();
        let first = *all.first()?;
        let mut last = first;
        for bar in &all[1..] {
            if !self.only_new_between(last, *bar) {
                break;
            }
            last = *bar;
        }
        Some((first, last - first + 1))
    }

    /// A selector of bars as it is afterwards; nothing if none of its bars is left.
    pub fn selector(&self, old: &Selector) -> Option<Selector> {
        let parts: Vec<Choice> = old.parts.iter().flat_map(|part| self.choice(*part)).collect();
        (!parts.is_empty()).then_some(Selector { parts })
    }

    fn choice(&self, part: Choice) -> Vec<Choice> {
        match part {
            Choice::One(number) => self.number(number).map(Choice::One).into_iter().collect(),
            Choice::Last => match self.number(self.to.len() as u32) {
                Some(number) if number as usize == self.new.len() => vec![Choice::Last],
                other => other.map(Choice::One).into_iter().collect(),
            },
            Choice::Range(from, to) => {
                // A bar put in between two of a range belongs to it.
                let mut bars: Vec<u32> = Vec::new();
                for bar in from..=to.min(from.max(self.to.len() as u32)) {
                    let Some(number) = self.number(bar) else { continue };
                    if let Some(last) =
                        bars.last().copied().filter(|last| self.only_new_between(*last, number))
                    {
                        bars.extend(last + 1..number);
                    }
                    bars.push(number);
                }
                // What lies beyond the last bar is a mistake, and stays one.
                if to as usize > self.to.len() {
                    bars.push(to);
                }
                bars.sort_unstable();
                bars.dedup();
                of_numbers(&bars, true).parts
            }
        }
    }
}

/// Works out anew what the exceptions of a section name.
pub(super) fn renumber(section: &mut Object, moves: &Moves) {
    let Some(list) = section.get_mut("except").and_then(Node::as_list_mut) else { return };
    for at in (0..list.items.len()).rev() {
        let Some(exception) = list.items[at].value.as_object() else { continue };
        let Some(bars) = exception.get("bar").and_then(selector) else { continue };
        let after: Vec<Object> = if let Some(length) = put_in(exception) {
            moved_stretches(exception, &bars, length, moves)
        } else {
            moves.selector(&bars).map(|bars| with_bars(exception, &bars)).into_iter().collect()
        };
        let mut after = after.into_iter();
        match after.next() {
            Some(first) => list.items[at].value = Node::Object(first),
            None => drop(remove_item(list, at)),
        }
        for (i, other) in after.enumerate() {
            insert_item(list, at + 1 + i, Node::Object(other));
        }
    }
    if list.items.is_empty() {
        section.remove("except");
    }
}

/// Copies of what a section's exceptions say about some bars alone, counted from the first of those.
pub(super) fn said_about(section: &Object, from: u32, to: u32, count: u32) -> Vec<Object> {
    let mut said = Vec::new();
    let items = section.get("except").and_then(Node::as_list).into_iter().flat_map(|list| &list.items);
    for exception in items.filter_map(|item| item.value.as_object()) {
        let Some(bars) = exception.get("bar").and_then(selector) else { continue };
        let inside: Vec<u32> = bars
            .numbers(count)
            .into_iter()
            .filter(|bar| (from + 1..=to).contains(bar))
            .map(|bar| bar - from)
            .collect();
        if !inside.is_empty() {
            let ranges = bars.parts.iter().any(|part| matches!(part, Choice::Range(..)));
            said.push(with_bars(exception, &of_numbers(&inside, ranges)));
        }
    }
    said
}

/// Adds what was said about bars that now begin behind bar `at`.
pub(super) fn say_about(section: &mut Object, said: Vec<Object>, at: u32) {
    for mut exception in said {
        let Some(bars) = exception.get("bar").and_then(selector) else { continue };
        let parts = bars.parts.iter().map(|part| match *part {
            Choice::One(bar) => Choice::One(bar + at),
            Choice::Range(from, to) => Choice::Range(from + at, to + at),
            Choice::Last => Choice::Last,
        });
        exception = with_bars(&exception, &Selector { parts: parts.collect() });
        add(section, usize::MAX, exception);
    }
}

/// Puts an exception into a section's list, which is made where there is none.
pub(super) fn add(section: &mut Object, at: usize, exception: Object) {
    if section.get("except").and_then(Node::as_list).is_none() {
        section.set("except", Node::list([Node::Object(exception)]), SECTION);
        if let Some(list) = section.get_mut("except").and_then(Node::as_list_mut) {
            list.items[0].lead = " ".into();
            list.close = " ".into();
        }
    } else if let Some(list) = section.get_mut("except").and_then(Node::as_list_mut) {
        insert_item(list, at, Node::Object(exception));
    }
}

/// How many bars give way to those that an exception puts in; nothing if it puts in none.
pub(super) fn put_in(exception: &Object) -> Option<u32> {
    let bars = exception.get("bars")?;
    Some(exception.get("replaces").and_then(Node::as_number).unwrap_or_else(|| bars_in(bars)))
}

/// How many bars are written in a text or a list of lines.
pub(super) fn bars_in(bars: &Node) -> u32 {
    let lines =
        |list: &super::tree::List| list.items.iter().filter_map(|item| item.value.as_text()).collect();
    let lines: Vec<String> = bars.as_list().map_or_else(|| bars.as_text().into_iter().collect(), lines);
    lines.iter().map(|line| line.split('|').count() as u32).sum()
}

/// The exception for other bars; as it was, to the byte, where they are the same.
fn with_bars(exception: &Object, bars: &Selector) -> Object {
    let mut exception = exception.clone();
    if exception.get("bar").and_then(selector).as_ref() != Some(bars) {
        exception.set("bar", node(bars), EXCEPTION);
    }
    exception
}

/// An exception that puts bars in: one for each length that its stretches now have.
fn moved_stretches(exception: &Object, bars: &Selector, length: u32, moves: &Moves) -> Vec<Object> {
    let last = moves.to.len() as u32;
    let was_last = bars.parts.contains(&Choice::Last).then_some(last);
    let mut by_length: Vec<(u32, Vec<Choice>)> = Vec::new();
    let beyond = bars.parts.iter().filter(|part| matches!(part, Choice::One(n) if *n > last));
    for bar in bars.numbers(last) {
        let Some((first, now)) = moves.stretch(bar, length) else { continue };
        let still_last = was_last == Some(bar) && first as usize == moves.new.len();
        let choice = if still_last { Choice::Last } else { Choice::One(first) };
        match by_length.iter_mut().find(|(length, _)| *length == now) {
            Some((_, choices)) => choices.push(choice),
            None => by_length.push((now, vec![choice])),
        }
    }
    if let Some((_, choices)) = by_length.first_mut() {
        choices.extend(beyond);
    } else if bars.numbers(last).is_empty() {
        return vec![exception.clone()];
    }
    let written = exception.get("bars").map_or(0, bars_in);
    let each = by_length.into_iter().map(|(now, choices)| {
        let mut moved = with_bars(exception, &joined(bars, choices));
        if now != written || moved.get("replaces").is_some() {
            moved.set("replaces", Node::plain(now), EXCEPTION);
        }
        moved
    });
    each.collect()
}

/// Bars as a selector in the manner of another.
fn joined(manner: &Selector, choices: Vec<Choice>) -> Selector {
    let ranges = manner.parts.iter().any(|part| matches!(part, Choice::Range(..)));
    let numbers: Vec<u32> =
        choices.iter().filter_map(|c| if let Choice::One(n) = c { Some(*n) } else { None }).collect();
    let mut selector = if ranges {
        of_numbers(&numbers, true)
    } else {
        Selector { parts: numbers.into_iter().map(Choice::One).collect() }
    };
    if choices.contains(&Choice::Last) {
        selector.parts.push(Choice::Last);
    }
    selector
}
