//! The slots of one bar as it is played in one pass.

use super::level::Level;
use super::pass::Placed;
use super::resolve::{Exceptional, Resolved};
use super::style::{Used, style};
use crate::{HandStyle, Item, ItemKind, Quarters, Slot, SlotKind, SlotSource, Span};
use theory::{Chord, Hand};

/// What sounds at the end of what has been played so far.
#[derive(Default)]
pub(super) struct Sounding {
    chord: Option<(Chord, String)>,
}

/// A bar in its pass.
pub(super) struct At<'b, 'a> {
    pub resolved: &'b Resolved<'a>,
    pub pass: u32,
    pub placed: &'b Placed<'a>,
    /// Exceptions that reach this bar or some of it: their numbers.
    pub reaching: Vec<usize>,
    pub used: &'b mut Used,
}

/// An exception that reaches this bar: its number, and the stretch of the bar if not all of it.
#[derive(Clone, Copy)]
struct Reach {
    number: usize,
    stretch: Option<(Quarters, Quarters)>,
}

/// A stretch of the bar with one chord and one manner.
struct Part<'a> {
    item: &'a Item,
    index: u32,
    start: Quarters,
    end: Quarters,
    continued: bool,
}

impl<'a> At<'_, 'a> {
    /// Exceptions that reach this bar or some of it, with their numbers.
    pub fn reaching(&self) -> impl Iterator<Item = (usize, &Exceptional<'a>)> {
        self.reaching.iter().map(|number| (*number, &self.resolved.exceptions[*number]))
    }

    /// The slots, and the places of ties that have nothing to hold.
    pub fn slots(&mut self, sounding: &mut Sounding) -> (Vec<Slot>, Vec<Span>) {
        self.used.sections.extend([self.resolved.section, self.resolved.source]);
        let items = self.timed_items();
        let reaches: Vec<Reach> = self.reaching().filter_map(|(n, e)| self.reach(n, e, &items)).collect();
        self.remember(&reaches);
        let (mut slots, mut loose) = (Vec::new(), Vec::new());
        for part in parts(&items, &reaches) {
            let kind = self.kind(&part, sounding, &mut loose);
            slots.push(self.slot(&part, kind, &reaches, sounding));
        }
        (slots, loose)
    }

    fn timed_items(&self) -> Vec<Part<'a>> {
        let bar = &self.placed.bar;
        let mut start = Quarters::ZERO;
        let lengths = bar.content.lengths(bar.beat);
        let items = bar.content.items().iter().zip(lengths).enumerate();
        items
            .map(|(index, (item, length))| {
                let from = start;
                start += length;
                Part { item, index: index as u32, start: from, end: start, continued: false }
            })
            .collect()
    }

    /// What of the bar an exception reaches: with a `beat`, from there to the next chord.
    fn reach(&self, number: usize, exceptional: &Exceptional<'_>, items: &[Part<'_>]) -> Option<Reach> {
        let Some(beat) = exceptional.exception.beat else { return Some(Reach { number, stretch: None }) };
        let from = self.placed.bar.beat.length.times(i64::from(beat.value) - 1);
        let at = items.iter().position(|item| item.start <= from && from < item.end)?;
        let begins = items[at].start == from || items[at].item.can_be_cut();
        let next = items[at + 1..].iter().find(|item| item.item.kind != ItemKind::Tie);
        let to = next.map_or(self.placed.bar.meter.length(), |next| next.start);
        begins.then_some(Reach { number, stretch: Some((from, to)) })
    }

    /// Notes what reaches this bar. What puts bars in is noted where they are put in.
    fn remember(&mut self, reaches: &[Reach]) {
        let exceptions = &self.resolved.exceptions;
        let reached = self.used.reached.entry(self.resolved.section).or_default();
        reached.resize(exceptions.len(), false);
        for reach in reaches.iter().filter(|r| exceptions[r.number].exception.bars.is_none()) {
            reached[reach.number] = true;
        }
    }

    fn kind(&self, part: &Part<'_>, sounding: &mut Sounding, loose: &mut Vec<Span>) -> SlotKind {
        match &part.item.kind {
            ItemKind::Chord { chord, symbol, push, diamond } => {
                let chord = Chord::in_key(*chord, self.resolved.key);
                sounding.chord = Some((chord.clone(), symbol.clone()));
                SlotKind::Chord { chord, push: *push && !part.continued, diamond: *diamond }
            }
            ItemKind::Tie => match &sounding.chord {
                Some((chord, _)) => SlotKind::Tie { sounding: chord.clone() },
                None => {
                    loose.push(self.placed.bar.item_span(part.item.span));
                    SlotKind::Rest
                }
            },
            ItemKind::Rest => {
                sounding.chord = None;
                SlotKind::Rest
            }
        }
    }

    fn slot(&mut self, part: &Part<'_>, kind: SlotKind, reaches: &[Reach], sounding: &Sounding) -> Slot {
        let resolved = self.resolved;
        let here = reaches
            .iter()
            .filter(|r| r.stretch.is_none_or(|(from, to)| from <= part.start && part.start < to));
        let inner = here.map(|r| &resolved.exceptions[r.number]).filter(|e| !e.silent).map(|e| &e.level);
        let levels: Vec<&Level<'_>> = resolved.levels.iter().chain(inner).collect();
        let chord = match &kind {
            SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord } => Some(chord),
            SlotKind::Rest => None,
        };
        let with_figure = matches!(kind, SlotKind::Chord { diamond: false, .. });
        let here = (chord, self.placed.bar.beat, with_figure);
        let mut hand = |hand| style(&levels, hand, here, self.used);
        let (right, left): (HandStyle, HandStyle) = (hand(Hand::Right), hand(Hand::Left));
        let symbol = match (&kind, &sounding.chord) {
            (SlotKind::Rest, _) | (_, None) => "N".to_string(),
            (_, Some((_, symbol))) => symbol.clone(),
        };
        Slot {
            start: part.start,
            length: part.end - part.start,
            dots: part.item.dots,
            kind,
            symbol,
            continued: part.continued,
            right,
            left,
            source: self.source(part),
        }
    }

    fn source(&self, part: &Part<'_>) -> SlotSource {
        let put_in_by = self.placed.put_in_by;
        SlotSource {
            section: put_in_by.map_or(self.resolved.source, |n| self.resolved.exceptions[n].origin.0),
            exception: put_in_by,
            bar: self.placed.bar.index,
            slot: part.index,
            span: self.placed.bar.item_span(part.item.span),
        }
    }
}

impl Item {
    /// A new manner may begin in the middle of it: not in a rest, and not in what is struck once and rings.
    fn can_be_cut(&self) -> bool {
        !matches!(self.kind, ItemKind::Rest | ItemKind::Chord { diamond: true, .. })
    }
}

/// The items, cut where an exception begins in the middle of one.
fn parts<'a>(items: &[Part<'a>], reaches: &[Reach]) -> Vec<Part<'a>> {
    let mut parts = Vec::with_capacity(items.len());
    for item in items {
        let begins = reaches.iter().filter_map(|reach| reach.stretch).map(|(from, _)| from);
        let mut cuts: Vec<Quarters> = begins.filter(|cut| item.start < *cut && *cut < item.end).collect();
        cuts.extend([item.start, item.end]);
        cuts.sort();
        cuts.dedup();
        parts.extend(cuts.windows(2).map(|ends| Part {
            start: ends[0],
            end: ends[1],
            continued: ends[0] != item.start,
            ..*item
        }));
    }
    parts
}
