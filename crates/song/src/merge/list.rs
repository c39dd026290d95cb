//! Lists put together: sections by their names, rows and exceptions by what both sides left alone.

use super::object::name;
use super::place::Place;
use super::{Work, canonical};
use crate::edit::align::by_difference;
use crate::edit::tree::{Item, List, Node};
use std::ops::Range;

/// Both sides' items, laid out as theirs.
pub(super) fn merge(work: &mut Work, base: &List, mine: &List, theirs: &List, place: &Place) -> List {
    let keys = |list: &List| -> Vec<String> { list.items.iter().map(|item| key(item, place)).collect() };
    let [was, own, other] = [keys(base), keys(mine), keys(theirs)];
    let mut out = Vec::new();
    for chunk in chunks(&was, &own, &other) {
        let said = Said {
            was: &was[chunk.base.clone()],
            own: &own[chunk.mine.clone()],
            other: &other[chunk.theirs.clone()],
        };
        let lists = (base, mine, theirs);
        out.extend(if place.is_sections() {
            sections(work, lists, &said, place)
        } else {
            items(work, lists, &chunk, &said, place)
        });
    }
    laid_out(out, theirs, mine)
}

/// By what the items of a stretch are known.
struct Said<'a> {
    was: &'a [String],
    own: &'a [String],
    other: &'a [String],
}

type Lists<'a> = (&'a List, &'a List, &'a List);

fn items(
    work: &mut Work,
    (base, mine, theirs): Lists<'_>,
    chunk: &Chunk,
    said: &Said<'_>,
    place: &Place,
) -> Vec<(Item, bool)> {
    let Said { was, own, other } = *said;
    let of_mine = chunk.mine.clone().map(|at| item(mine, at));
    let of_theirs = chunk.theirs.clone().map(|at| item(theirs, at));
    if own == was || own == other {
        of_theirs.collect()
    } else if other == was {
        of_mine.collect()
    } else if own.len() == was.len() && other.len() == was.len() {
        pairs(work, (base, mine, theirs), chunk, place)
    } else if was.is_empty() && place.is_exceptions() && may_stand_together(own, other) {
        of_theirs.chain(of_mine.filter(|(item, _)| !other.contains(&key(item, place)))).collect()
    } else {
        work.clash(row_place(place, base, chunk.base.start).in_words());
        of_theirs.collect()
    }
}

/// Sections are known by their names: which there are, in which order, and then what is in each.
fn sections(work: &mut Work, lists: Lists<'_>, said: &Said<'_>, place: &Place) -> Vec<(Item, bool)> {
    let Said { was, own, other } = *said;
    let (base, mine, theirs) = lists;
    let find = |list: &List, name: &String| list.items.iter().position(|item| key(item, place) == *name);
    for name in was {
        let (here, there) = (find(mine, name), find(theirs, name));
        let left = |list: &List, at: Option<usize>| {
            let now = at.map(|at| &list.items[at].value);
            now.is_some() && canonical(now) != canonical(find(base, name).map(|at| &base.items[at].value))
        };
        if here.is_none() && left(theirs, there) || there.is_none() && left(mine, here) {
            work.clash(format!("the section {name}, which one side takes away"));
        }
    }
    let names: Vec<&String> = if own == was || own == other {
        other.iter().collect()
    } else if other == was {
        own.iter().collect()
    } else if was.is_empty() {
        other.iter().chain(own.iter().filter(|name| !other.contains(name))).collect()
    } else {
        work.clash(place.in_words());
        other.iter().collect()
    };
    let mut out = Vec::new();
    for name in names {
        let places = (find(base, name), find(mine, name), find(theirs, name));
        let value = |list: &List, at: Option<usize>| at.map(|at| list.items[at].value.clone());
        let (was, own, other) = (value(base, places.0), value(mine, places.1), value(theirs, places.2));
        let place = Place::Section(name.clone());
        let merged = work.node(was.as_ref(), own.as_ref(), other.as_ref(), &place);
        let laid = places.2.map(|at| item(theirs, at)).or(places.1.map(|at| item(mine, at)));
        if let (Some(value), Some((item, first))) = (merged, laid) {
            out.push((Item { value, ..item }, first));
        }
    }
    out
}

/// A row that both sides typed over: bar by bar, if both left their number alone.
pub(super) fn row(work: &mut Work, base: &Node, mine: &Node, theirs: &Node, place: &Place) -> Option<Node> {
    let texts = (base.as_text(), mine.as_text(), theirs.as_text());
    let (Some(base), Some(mine), Some(other)) = texts else {
        work.clash(place.in_words());
        return Some(theirs.clone());
    };
    let split = |text: &str| -> Vec<String> { text.split('|').map(str::to_owned).collect() };
    let [base, mine, other] = [split(&base), split(&mine), split(&other)];
    if base.len() != mine.len() || base.len() != other.len() {
        work.clash(place.in_words());
        return Some(theirs.clone());
    }
    let mut bars = Vec::new();
    for (at, ((was, own), other)) in base.iter().zip(&mine).zip(&other).enumerate() {
        let said = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        if said(own) == said(was) || said(own) == said(other) {
            bars.push(other.as_str());
        } else {
            bars.push(own);
            if said(other) != said(was) {
                work.clash(bar_in_words(place, at));
            }
        }
    }
    Some(Node::text(&bars.join("|")))
}

fn bar_in_words(place: &Place, at: usize) -> String {
    match place {
        Place::Row(section, _, before) => format!("bar {} of {section}", before + at + 1),
        other => other.in_words(),
    }
}

/// A stretch of a list in all three texts.
struct Chunk {
    base: Range<usize>,
    mine: Range<usize>,
    theirs: Range<usize>,
}

/// The stretches between items that both sides left alone, and those items, each by itself.
fn chunks(base: &[String], mine: &[String], theirs: &[String]) -> Vec<Chunk> {
    let places = |new: &[String]| {
        let mut places = vec![None; base.len()];
        for (at, was) in by_difference(base, new, false).into_iter().enumerate() {
            if let Some(was) = was {
                places[was] = Some(at);
            }
        }
        places
    };
    let (own, other) = (places(mine), places(theirs));
    let mut chunks = Vec::new();
    let mut from = (0, 0, 0);
    for was in 0..=base.len() {
        let both = match (was, own.get(was).copied().flatten(), other.get(was).copied().flatten()) {
            (at, ..) if at == base.len() => Some((mine.len(), theirs.len())),
            (_, Some(own), Some(other)) => Some((own, other)),
            _ => None,
        };
        let Some((own, other)) = both else { continue };
        let between = Chunk { base: from.0..was, mine: from.1..own, theirs: from.2..other };
        if !(between.base.is_empty() && between.mine.is_empty() && between.theirs.is_empty()) {
            chunks.push(between);
        }
        if was < base.len() {
            chunks.push(Chunk { base: was..was + 1, mine: own..own + 1, theirs: other..other + 1 });
        }
        from = (was + 1, own + 1, other + 1);
    }
    chunks
}

/// By what items are known: sections by their name, all else by what they say.
fn key(item: &Item, place: &Place) -> String {
    let named = item.value.as_object().filter(|_| place.is_sections()).and_then(name);
    named.or_else(|| canonical(Some(&item.value))).unwrap_or_default()
}

/// As many items on each side: each with its own.
fn pairs(
    work: &mut Work,
    (base, mine, theirs): Lists<'_>,
    chunk: &Chunk,
    place: &Place,
) -> Vec<(Item, bool)> {
    let mut out = Vec::new();
    for ((was, own), other) in chunk.base.clone().zip(chunk.mine.clone()).zip(chunk.theirs.clone()) {
        let value = |list: &List, at: usize| list.items[at].value.clone();
        let place = row_place(place, base, was);
        let values = (value(base, was), value(mine, own), value(theirs, other));
        let merged = work.node(Some(&values.0), Some(&values.1), Some(&values.2), &place);
        let (item, first) = item(theirs, other);
        out.extend(merged.map(|value| (Item { value, ..item }, first)));
    }
    out
}

fn row_place(place: &Place, base: &List, row: usize) -> Place {
    let Place::SectionField(section, _) = place else { return place.clone() };
    if !place.is_bars() {
        return place.clone();
    }
    let rows = base.items.iter().take(row).filter_map(|item| item.value.as_text());
    Place::Row(section.clone(), row, rows.map(|row| row.split('|').count()).sum())
}

/// Whether exceptions that both put in can stand one behind the other: not two of one place.
fn may_stand_together(mine: &[String], theirs: &[String]) -> bool {
    let reach = |text: &String| -> Vec<String> {
        let fields = ["\"pass\":", "\"bar\":", "\"beat\":"];
        let said = |field: &&str| text.split_once(*field).map(|(_, rest)| until_comma(rest));
        fields.iter().map(|field| said(field).unwrap_or_default()).collect()
    };
    let theirs: Vec<_> = theirs.iter().map(reach).collect();
    mine.iter().all(|own| !theirs.contains(&reach(own)))
}

/// A value of the canonical text, up to the comma that ends it.
fn until_comma(text: &str) -> String {
    let mut depth = 0i32;
    let ends = |c: char| {
        depth += i32::from(c == '[') - i32::from(c == ']');
        depth == 0 && c == ','
    };
    let end = text.find(ends).unwrap_or(text.len());
    text[..end].to_owned()
}

/// An item, and whether it was the first of its list.
fn item(list: &List, at: usize) -> (Item, bool) {
    (list.items[at].clone(), at == 0)
}

/// The space around items as their list has it, wherever they come from.
fn laid_out(items: Vec<(Item, bool)>, theirs: &List, mine: &List) -> List {
    let first = theirs.items.first().or(mine.items.first()).map(|item| item.lead.clone());
    let next = theirs.items.get(1).or(mine.items.get(1)).map(|item| item.lead.clone());
    let lay = |(at, (mut item, was_first)): (usize, (Item, bool))| {
        if at == 0 {
            item.lead = first.clone().unwrap_or_default();
        } else if was_first {
            item.lead = next.clone().unwrap_or_else(|| " ".to_owned());
        }
        item
    };
    let close = if theirs.items.is_empty() { &mine.close } else { &theirs.close };
    List { items: items.into_iter().enumerate().map(lay).collect(), close: close.clone() }
}
