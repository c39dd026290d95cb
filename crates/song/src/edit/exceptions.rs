//! "This pass differs here": the exceptions of a section found, made, changed and taken away.

use super::EditError;
use super::bars::played_rows;
use super::document::Document;
use super::renumber::{add, bars_in, put_in};
use super::selection::{node, of_numbers, one_of, selector, together, without};
use super::tree::{Node, Object};
use crate::Selector;
use crate::limits::fields::EXCEPTION;

/// The bars, pass and beat that something is to be said about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Reach {
    /// From 1; `None` for every pass.
    pub pass: Option<u32>,
    /// From 1, in order.
    pub bars: Vec<u32>,
    pub beat: Option<u8>,
}

/// The size of a section as exceptions count it.
#[derive(Clone, Copy)]
pub(super) struct Size {
    pub bars: u32,
    pub passes: u32,
}

/// An exception as far as its reach goes.
struct Found {
    at: usize,
    passes: Option<Vec<u32>>,
    bars: Vec<u32>,
    beat: Option<u8>,
    put_in: Option<u32>,
}

impl Found {
    fn is(&self, reach: &Reach, size: Size) -> bool {
        let pass = match (&self.passes, reach.pass) {
            (None, None) => true,
            (Some(passes), Some(pass)) => *passes == [pass],
            (Some(passes), None) => passes.len() as u32 == size.passes,
            (None, Some(_)) => size.passes == 1,
        };
        pass && self.bars == reach.bars && self.beat == reach.beat
    }

    fn covers(&self, reach: &Reach) -> bool {
        let pass = match (&self.passes, reach.pass) {
            (None, _) => true,
            (Some(passes), Some(pass)) => passes.contains(&pass),
            (Some(_), None) => false,
        };
        pass && reach.bars.iter().all(|bar| self.bars.contains(bar)) && self.beat == reach.beat
    }

    fn touches(&self, reach: &Reach) -> bool {
        let pass = match (&self.passes, reach.pass) {
            (Some(passes), Some(pass)) => passes.contains(&pass),
            _ => true,
        };
        pass && reach.bars.iter().any(|bar| self.bars.contains(bar))
    }

    /// How narrow it is: what is said about less is said later, so that it holds.
    fn narrowness(&self, size: Size) -> u32 {
        narrowness(self.bars.len() as u32 == size.bars, self.passes.is_some(), self.beat.is_some())
    }
}

fn narrowness(all_bars: bool, pass: bool, beat: bool) -> u32 {
    4 * u32::from(!all_bars) + 2 * u32::from(pass) + u32::from(beat)
}

pub(super) fn size(document: &Document, section: usize) -> Result<Size, EditError> {
    let bars = played_rows(document, section)?.count();
    Ok(Size { bars, passes: document.passes(section) })
}

/// Has `say` change the exception for just this reach: one that is there if what is said in it holds, else a new one.
/// `says` tells whether an exception says the same kind of thing.
pub(super) fn say(
    document: &mut Document,
    section: usize,
    reach: &Reach,
    says: impl Fn(&Object) -> bool,
    change: impl FnOnce(&mut Object),
) -> Result<(), EditError> {
    let size = size(document, section)?;
    let object = document.section_mut(section)?;
    let mine = narrowness(reach.bars.len() as u32 == size.bars, reach.pass.is_some(), reach.beat.is_some());
    let all = found(object, size);
    let overriding = all
        .iter()
        .filter(|f| {
            f.touches(reach) && f.narrowness(size) <= mine && exception(object, f.at).is_some_and(&says)
        })
        .map(|f| f.at)
        .max();
    let fits =
        |f: &&Found| f.is(reach, size) && f.put_in.is_none_or(|gone| gone == 1 && is_one_bar(object, f.at));
    let same =
        all.iter().rev().find(fits).map(|f| f.at).filter(|at| overriding.is_none_or(|other| other <= *at));
    if let Some(at) = same {
        change(exception_mut(object, at).expect("it was found at this place"));
        put_together(object, at, size);
        return Ok(());
    }
    let from = overriding.map_or(0, |at| at + 1);
    let narrower = all.iter().find(|f| f.at >= from && f.touches(reach) && f.narrowness(size) > mine);
    let at = narrower.map_or(usize::MAX, |f| f.at);
    let mut new = blank(reach);
    change(&mut new);
    add(object, at, new);
    let count = object.get("except").and_then(Node::as_list).map_or(0, |list| list.items.len());
    put_together(object, at.min(count.saturating_sub(1)), size);
    Ok(())
}

/// What is said of one pass just as of others becomes one exception for all of them, where nothing in between says
/// anything about those bars.
fn put_together(section: &mut Object, at: usize, size: Size) {
    let Some(mine) = exception(section, at).filter(|mine| mine.get("pass").is_some()).map(but_for_passes)
    else {
        return;
    };
    let all = found(section, size);
    let alike = |f: &&Found| {
        let other = exception(section, f.at).filter(|other| other.get("pass").is_some());
        f.at != at && other.map(but_for_passes) == Some(mine.clone())
    };
    let meets = |a: &Found, b: &Found| {
        let pass = match (&a.passes, &b.passes) {
            (Some(a), Some(b)) => a.iter().any(|pass| b.contains(pass)),
            _ => true,
        };
        pass && a.bars.iter().any(|bar| b.bars.contains(bar))
    };
    let Some(own) = all.iter().find(|f| f.at == at) else { return };
    let free = |other: &&Found| {
        let between = at.min(other.at) + 1..at.max(other.at);
        all.iter().filter(|f| between.contains(&f.at)).all(|f| !meets(f, own))
    };
    let Some(other) = all.iter().filter(alike).find(free).map(|f| f.at) else { return };
    let passes = |at: usize| exception(section, at)?.get("pass").and_then(selector);
    let Some(both) = passes(other).zip(passes(at)).map(|(a, b)| together(&a, &b, size.passes)) else {
        return;
    };
    if let Some(other) = exception_mut(section, other) {
        other.set("pass", node(&both), EXCEPTION);
    }
    if let Some(list) = section.get_mut("except").and_then(Node::as_list_mut) {
        super::layout::remove_item(list, at);
    }
}

/// What an exception says, whatever its passes and its layout.
fn but_for_passes(exception: &Object) -> serde_json::Value {
    let mut text = String::new();
    Node::Object(exception.clone()).print(&mut text);
    let mut said: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
    if let Some(said) = said.as_object_mut() {
        said.remove("pass");
    }
    said
}

/// Takes something out of what is said about just this reach. A wider exception that says it goes on for the rest.
/// `says` tells whether an exception says it, `change` takes it out.
pub(super) fn unsay(
    document: &mut Document,
    section: usize,
    reach: &Reach,
    says: impl Fn(&Object) -> bool,
    change: impl Fn(&mut Object),
) -> Result<(), EditError> {
    let size = size(document, section)?;
    let object = document.section_mut(section)?;
    let all = found(object, size);
    // What is said of several bars that are put in together cannot be parted.
    let parts = |f: &Found| f.put_in.is_none_or(|gone| gone == 1 && is_one_bar(object, f.at));
    let saying = |f: &&Found| {
        f.covers(reach) && (f.is(reach, size) || parts(f)) && exception(object, f.at).is_some_and(&says)
    };
    let found: Vec<Found> = {
        let places: Vec<usize> = all.iter().filter(saying).map(|f| f.at).collect();
        all.into_iter().filter(|f| places.contains(&f.at)).collect()
    };
    if found.is_empty() {
        return Err(EditError::NothingSet);
    }
    for f in found.iter().rev() {
        if f.is(reach, size) {
            change(exception_mut(object, f.at).expect("it was found at this place"));
        } else {
            split(object, f, reach, size, &change);
        }
    }
    drop_empty(object);
    Ok(())
}

/// The text of a bar in one pass.
pub(super) fn set_bar(
    document: &mut Document,
    section: usize,
    bar: u32,
    pass: u32,
    text: &str,
) -> Result<(), EditError> {
    let rows = played_rows(document, section)?;
    let written = rows.bars().nth(bar as usize).ok_or(EditError::NoBar(bar + 1, rows.count()))?;
    let as_written = written.text() == text.trim();
    let size = size(document, section)?;
    let reach = Reach { pass: Some(pass), bars: vec![bar + 1], beat: None };
    let object = document.section_mut(section)?;
    let putting_in: Vec<Found> = found(object, size)
        .into_iter()
        .filter(|f| {
            let pass_fits = f.passes.as_ref().is_none_or(|passes| passes.contains(&pass));
            let stretch = f.put_in.is_some_and(|length| {
                f.bars.iter().any(|first| (*first..first.saturating_add(length)).contains(&(bar + 1)))
            });
            pass_fits && stretch
        })
        .collect();
    if let Some(f) = putting_in.last().filter(|f| f.put_in != Some(1)) {
        return Err(EditError::PutIn(f.at + 1));
    }
    // What is said of this pass, alone or among others, can be taken back for it; what is said of every pass goes on.
    let of_passes =
        |f: &Found| f.is(&reach, size) || f.passes.is_some() && f.covers(&reach) && is_one_bar(object, f.at);
    if as_written && putting_in.iter().all(of_passes) {
        return match putting_in.is_empty() {
            true => Ok(()),
            false => unsay(document, section, &reach, |e| e.get("bars").is_some(), take_bars),
        };
    }
    say(document, section, &reach, |e| e.get("bars").is_some(), |e| set_bars(e, text))
}

/// The bars that one of a section's own exceptions puts in.
pub(super) fn set_put_in(
    document: &mut Document,
    section: usize,
    number: usize,
    text: &str,
) -> Result<(), EditError> {
    let exception = by_number(document.section_mut(section)?, number)?;
    let gives_way = put_in(exception);
    exception.set("bars", Node::text(text.trim()), EXCEPTION);
    if let Some(length) = gives_way.filter(|length| *length != bars_in(&Node::text(text))) {
        exception.set("replaces", Node::plain(length), EXCEPTION);
    }
    Ok(())
}

/// One of a section's own exceptions, counted as the reader counts them: those without bars or passes that it can read
/// are none.
pub(super) fn by_number(section: &mut Object, number: usize) -> Result<&mut Object, EditError> {
    let readable = |e: &&mut Object| {
        e.get("bar").and_then(selector).is_some() && e.get("pass").is_none_or(|pass| selector(pass).is_some())
    };
    let list = section.get_mut("except").and_then(Node::as_list_mut);
    let all = list.into_iter().flat_map(|list| &mut list.items).filter_map(|i| i.value.as_object_mut());
    all.filter(readable).nth(number).ok_or(EditError::NoException(number + 1))
}

/// Takes one of a section's own exceptions away.
pub(super) fn remove(section: &mut Object, number: usize) -> Result<(), EditError> {
    by_number(section, number)?.fields.clear();
    drop_empty(section);
    Ok(())
}

/// Takes away exceptions that say nothing any more, and the list if it is empty.
pub(super) fn drop_empty(section: &mut Object) {
    let Some(list) = section.get_mut("except").and_then(Node::as_list_mut) else { return };
    let bare = |object: &Object| {
        object.fields.iter().all(|f| matches!(f.name.as_str(), "pass" | "bar" | "beat" | "replaces"))
    };
    for at in (0..list.items.len()).rev() {
        if list.items[at].value.as_object().is_some_and(bare) {
            super::layout::remove_item(list, at);
        }
    }
    if list.items.is_empty() {
        section.remove("except");
    }
}

fn take_bars(exception: &mut Object) {
    exception.remove("bars");
    exception.remove("replaces");
}

fn set_bars(exception: &mut Object, text: &str) {
    let text = text.trim();
    let bars = if text.is_empty() { Node::list([]) } else { Node::text(text) };
    let one = bars_in(&bars) == 1;
    exception.set("bars", bars, EXCEPTION);
    exception.put("replaces", (!one).then(|| Node::plain(1)), EXCEPTION);
}

/// Leaves an exception what lies outside the reach, and says the rest of it anew for the reach alone.
fn split(section: &mut Object, f: &Found, reach: &Reach, size: Size, change: impl Fn(&mut Object)) {
    let Some(old) = exception(section, f.at).cloned() else { return };
    let passes = old.get("pass").and_then(selector);
    let every = || of_numbers(&(1..=size.passes).collect::<Vec<_>>(), true);
    let passes = passes.unwrap_or_else(every);
    let Some(bars) = old.get("bar").and_then(selector) else { return };
    let other_passes = reach.pass.and_then(|pass| without(&passes, &[pass], size.passes));
    let other_bars = without(&bars, &reach.bars, size.bars);
    let this_pass = reach.pass.map(|pass| one_of(&passes, pass, size.passes));
    let these_bars = match reach.bars[..] {
        [bar] => one_of(&bars, bar, size.bars),
        _ => numbers(&reach.bars),
    };
    let mut parts: Vec<Object> = Vec::new();
    if let Some(passes) = &other_passes {
        parts.push(reaching(&old, Some(passes), &bars));
    }
    if let Some(bars) = &other_bars {
        parts.push(match this_pass.as_ref().filter(|_| other_passes.is_some()) {
            Some(pass) => reaching(&old, Some(pass), bars),
            None => with_bars(&old, bars),
        });
    }
    let mut own = match &this_pass {
        Some(pass) => reaching(&old, Some(pass), &these_bars),
        None => with_bars(&old, &these_bars),
    };
    change(&mut own);
    parts.push(own);
    let Some(list) = section.get_mut("except").and_then(Node::as_list_mut) else { return };
    for (i, part) in parts.into_iter().enumerate() {
        match i {
            0 => list.items[f.at].value = Node::Object(part),
            _ => super::layout::insert_item(list, f.at + i, Node::Object(part)),
        }
    }
}

fn with_bars(exception: &Object, bars: &Selector) -> Object {
    let mut exception = exception.clone();
    exception.set("bar", node(bars), EXCEPTION);
    exception
}

fn reaching(exception: &Object, passes: Option<&Selector>, bars: &Selector) -> Object {
    let mut exception = with_bars(exception, bars);
    exception.put("pass", passes.map(node), EXCEPTION);
    exception
}

/// Whole stretches as ranges, a few as numbers.
fn numbers(numbers: &[u32]) -> Selector {
    of_numbers(numbers, true)
}

fn blank(reach: &Reach) -> Object {
    let pass = reach.pass.map(|pass| ("pass", Node::plain(pass)));
    let bar = ("bar", node(&numbers(&reach.bars)));
    let beat = reach.beat.map(|beat| ("beat", Node::plain(beat)));
    match Node::object(pass.into_iter().chain([bar]).chain(beat)) {
        Node::Object(object) => object,
        _ => unreachable!("an object was made"),
    }
}

fn found(section: &Object, size: Size) -> Vec<Found> {
    let list = section.get("except").and_then(Node::as_list);
    let items = list.into_iter().flat_map(|list| list.items.iter().enumerate());
    let all = items.filter_map(|(at, item)| {
        let exception = item.value.as_object()?;
        let passes = match exception.get("pass") {
            Some(pass) => Some(selector(pass)?.numbers(size.passes)),
            None => None,
        };
        let bars = selector(exception.get("bar")?)?.numbers(size.bars);
        let beat = exception.get("beat").and_then(Node::as_number).and_then(|beat| u8::try_from(beat).ok());
        Some(Found { at, passes, bars, beat, put_in: put_in(exception) })
    });
    all.collect()
}

fn exception(section: &Object, at: usize) -> Option<&Object> {
    section.get("except")?.as_list()?.items.get(at)?.value.as_object()
}

fn exception_mut(section: &mut Object, at: usize) -> Option<&mut Object> {
    section.get_mut("except")?.as_list_mut()?.items.get_mut(at)?.value.as_object_mut()
}

fn is_one_bar(section: &Object, at: usize) -> bool {
    exception(section, at).and_then(|e| e.get("bars")).is_some_and(|bars| bars_in(bars) == 1)
}
