//! A stretch of a song as a part of its own: a drill from the last beat of the bar before into the first of the bar after
//! (teachers' practice), a join, the end of one song and the beginning of the next.
//!
//! In the bar before nothing is to be played until its last beat: what sounds on there is struck then. Of the bar after
//! only the first beat is left. A change within a bar is that bar, silent until the last beat before the change, or
//! the last strike of a hand that rests in that beat, up to the end of the first beat after it.

use crate::LoopBars;
use song::{Meter, PlayedBar, Quarters};
use theory::Hand;
use voicing::{Event, Part, PartBar};

/// A stretch of a song.
#[derive(Clone, Debug, PartialEq)]
pub struct Excerpt {
    /// The part to play.
    pub part: Part,
    /// For each of its bars the bar of the song, if it is played whole; bars that only lead in or out have none.
    pub bars: Vec<Option<usize>>,
    /// For each of its bars the bar of the song that it is, whole or in part; none in a join between songs.
    pub taken_from: Vec<Option<usize>>,
}

/// What of a bar is kept: from a moment on, up to another; in quarters of the song.
#[derive(Clone, Copy)]
struct Kept {
    from: Option<Quarters>,
    to: Option<Quarters>,
}

impl Excerpt {
    /// Some bars of a part, with what leads in and out as far as there are such bars; `None` if it has no such bars.
    pub fn of(part: &Part, bars: LoopBars, with_lead: bool) -> Option<Excerpt> {
        part.bars.get(bars.to())?;
        let mut excerpt = Excerpt::empty(part);
        if let Some(before) = bars.from().checked_sub(1).filter(|_| with_lead) {
            excerpt.lead_in(part, before);
        }
        (bars.from()..=bars.to()).for_each(|bar| excerpt.whole(part, bar));
        if with_lead && bars.to() + 1 < part.bars.len() {
            excerpt.lead_out(part, bars.to() + 1);
        }
        Some(excerpt.in_order())
    }

    /// The change into a chord alone, from the last beat before it into the first after; `None` where there is no such chord
    /// or none before it.
    ///
    /// Its bars are no whole bars of the song: a pass through it tells of the change alone.
    pub fn of_change(part: &Part, bar: usize, slot: usize) -> Option<Excerpt> {
        let played = &part.bars.get(bar)?.played;
        let (at, beat) = (played.start + played.slots.get(slot)?.start, played.beat.length);
        let mut excerpt = Excerpt::empty(part);
        if slot == 0 {
            let before = bar.checked_sub(1)?;
            let from = before_change(part, before, at, part.bars[before].played.beat.length);
            excerpt.cut(part, before, Kept { from: Some(from), to: None });
            excerpt.lead_out(part, bar);
        } else {
            let from = before_change(part, bar, at, beat);
            excerpt.cut(part, bar, Kept { from: Some(from), to: Some(at + beat) });
        }
        Some(excerpt.in_order())
    }

    /// From the last bars of one song into the first of the next; so many bars of each. None of them counts for a song.
    pub fn between(ends: &Part, begins: &Part, bars: usize) -> Excerpt {
        let mut excerpt = Excerpt::empty(ends);
        (ends.bars.len().saturating_sub(bars)..ends.bars.len()).for_each(|bar| excerpt.whole(ends, bar));
        let sections = excerpt.part.sections.len();
        (0..bars.min(begins.bars.len())).for_each(|bar| excerpt.whole(begins, bar));
        excerpt.part.sections.extend(begins.sections.iter().cloned());
        let joined = excerpt.part.bars.len() - bars.min(begins.bars.len());
        let places = excerpt.part.bars[..joined].last().map_or(0, |bar| bar.played.place + 1);
        for bar in &mut excerpt.part.bars[joined..] {
            bar.played.section += sections;
            bar.played.place += places;
        }
        excerpt.part.title = format!("{} into {}", ends.title, begins.title);
        excerpt.part.words = Vec::new();
        excerpt.bars.iter_mut().chain(&mut excerpt.taken_from).for_each(|bar| *bar = None);
        excerpt.in_order()
    }

    fn empty(part: &Part) -> Excerpt {
        let part = Part { bars: Vec::new(), events: Vec::new(), ..part.clone() };
        Excerpt { part, bars: Vec::new(), taken_from: Vec::new() }
    }

    fn in_order(mut self) -> Excerpt {
        self.part.events.sort_by_key(|event| (event.start, event.key));
        self
    }

    fn end(&self) -> Quarters {
        self.part.bars.last().map_or(Quarters::ZERO, |bar| bar.played.start + bar.played.meter.length())
    }

    /// Appends a bar with those of its events that are kept, moved to where it is now.
    fn push(&mut self, bar: PartBar, taken_from: usize, whole: bool, events: impl Iterator<Item = Event>) {
        let (start, was) = (self.end(), bar.played.start);
        let index = self.part.bars.len();
        self.part.events.extend(events.map(|event| {
            Event {
                bar: index,
                start: event.start - was + start,
                substitutions: event
                    .substitutions
                    .iter()
                    .map(|s| voicing::Substitution { at: s.at - was + start, ..*s })
                    .collect(),
                ..event
            }
        }));
        let played = PlayedBar { start, ..bar.played };
        self.part.bars.push(PartBar { played, chords: bar.chords });
        self.bars.push(whole.then_some(taken_from));
        self.taken_from.push(Some(taken_from));
    }

    fn whole(&mut self, part: &Part, bar: usize) {
        self.push(part.bars[bar].clone(), bar, true, of_bar(part, bar).cloned());
    }

    /// The bar before: silent until its last beat.
    fn lead_in(&mut self, part: &Part, bar: usize) {
        let played = &part.bars[bar].played;
        let last_beat = played.start + played.meter.length() - played.beat.length;
        self.cut(part, bar, Kept { from: Some(last_beat), to: None });
    }

    /// The bar after: its first beat.
    fn lead_out(&mut self, part: &Part, bar: usize) {
        let played = &part.bars[bar].played;
        self.cut(part, bar, Kept { from: None, to: Some(played.start + played.beat.length) });
    }

    fn cut(&mut self, part: &Part, bar: usize, kept: Kept) {
        let mut shorter = part.bars[bar].clone();
        if let Some(to) = kept.to {
            end_at(&mut shorter, to);
        }
        let events = of_bar(part, bar).filter_map(move |event| kept.of(event));
        self.push(shorter, bar, false, events);
    }
}

impl Kept {
    /// What is left of an event; what sounds on at the beginning is struck there.
    fn of(self, event: &Event) -> Option<Event> {
        let (begins, ends) = (event.start, event.start + event.length);
        let start = self.from.map_or(begins, |from| begins.max(from));
        let end = self.to.map_or(ends, |to| ends.min(to));
        let inside = |at: Quarters| (start == begins || at > start) && self.to.is_none_or(|to| at < to);
        let substitutions = event.substitutions.iter().filter(|s| inside(s.at)).copied().collect();
        (start < end).then(|| Event { start, length: end - start, substitutions, ..event.clone() })
    }
}

/// Where a change is begun: a beat before it, or where a hand that is silent in that beat struck last.
fn before_change(part: &Part, bar: usize, at: Quarters, beat: Quarters) -> Quarters {
    let last = |hand: Hand| {
        let struck = of_bar(part, bar).filter(|event| event.hand == hand && event.start < at);
        struck.max_by_key(|event| (event.start, event.length))
    };
    let silent =
        Hand::BOTH.into_iter().filter_map(last).filter(|event| event.start + event.length <= at - beat);
    silent.map(|event| event.start).chain([at - beat]).min().unwrap_or(at)
}

/// Ends a bar on the beat at or after a moment, where a meter can be written for that.
fn end_at(bar: &mut PartBar, to: Quarters) {
    let played = &mut bar.played;
    let (to, beat) = (to - played.start, played.beat.length);
    let kept = played.slots.iter().filter(|slot| slot.start < to).count().max(1);
    played.slots.truncate(kept);
    bar.chords.truncate(kept);
    let (mut beats, mut end) = (1, beat);
    while end < to {
        (beats, end) = (beats + 1, end + beat);
    }
    if end >= played.meter.length() {
        return;
    }
    if let Some(meter) = meter_of(played.meter, end) {
        played.meter = meter;
        played.beat.count = beats;
        for slot in &mut played.slots {
            slot.length = slot.length.min(end - slot.start);
        }
    }
}

fn of_bar(part: &Part, bar: usize) -> impl Iterator<Item = &Event> {
    part.events.iter().filter(move |event| event.bar == bar)
}

/// A meter so many quarters long, over the same notes; `None` where there is none such.
fn meter_of(meter: Meter, length: Quarters) -> Option<Meter> {
    let upper = length.to_f64() * f64::from(meter.lower()) / 4.0;
    let whole = (upper.fract() == 0.0 && upper >= 1.0).then_some(upper as u8)?;
    Meter::new(whole, meter.lower())
}
