//! A stretch of a song as a part of its own: a drill from the last beat of the bar before into the first of the bar after
//! (teachers' practice), a join, the end of one song and the beginning of the next.
//!
//! In the bar before nothing is to be played until its last beat: what sounds on there is struck then. Of the bar after
//! only the first beat is left.

use crate::LoopBars;
use song::{Meter, PlayedBar, Quarters};
use voicing::{Event, Part, PartBar};

/// A stretch of a song.
#[derive(Clone, Debug, PartialEq)]
pub struct Excerpt {
    /// The part to play.
    pub part: Part,
    /// For each of its bars the bar of the song, if it is played whole; bars that only lead in or out have none.
    pub bars: Vec<Option<usize>>,
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
        excerpt.part.events.sort_by_key(|event| (event.start, event.key));
        Some(excerpt)
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
        excerpt.bars.iter_mut().for_each(|bar| *bar = None);
        excerpt.part.events.sort_by_key(|event| (event.start, event.key));
        excerpt
    }

    fn empty(part: &Part) -> Excerpt {
        Excerpt { part: Part { bars: Vec::new(), events: Vec::new(), ..part.clone() }, bars: Vec::new() }
    }

    fn end(&self) -> Quarters {
        self.part.bars.last().map_or(Quarters::ZERO, |bar| bar.played.start + bar.played.meter.length())
    }

    /// Appends a bar with those of its events that are kept, moved to where it is now.
    fn push(&mut self, bar: PartBar, stands_for: Option<usize>, events: impl Iterator<Item = Event>) {
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
        self.bars.push(stands_for);
    }

    fn whole(&mut self, part: &Part, bar: usize) {
        self.push(part.bars[bar].clone(), Some(bar), of_bar(part, bar).cloned());
    }

    /// The bar before: silent until its last beat.
    fn lead_in(&mut self, part: &Part, bar: usize) {
        let played = &part.bars[bar].played;
        let last_beat = played.start + played.meter.length() - played.beat.length;
        let sounding = of_bar(part, bar).filter(move |e| e.start + e.length > last_beat);
        let events = sounding.map(move |event| {
            let start = event.start.max(last_beat);
            let substitutions = event.substitutions.iter().filter(|s| s.at > start).copied().collect();
            Event { start, length: event.start + event.length - start, substitutions, ..event.clone() }
        });
        self.push(part.bars[bar].clone(), None, events);
    }

    /// The bar after: its first beat.
    fn lead_out(&mut self, part: &Part, bar: usize) {
        let mut last = part.bars[bar].clone();
        let (start, beat) = (last.played.start, last.played.beat.length);
        let kept = last.played.slots.iter().filter(|slot| slot.start < beat).count().max(1);
        last.played.slots.truncate(kept);
        last.chords.truncate(kept);
        if let Some(meter) = one_beat(last.played.meter, beat) {
            last.played.meter = meter;
            last.played.beat.count = 1;
            for slot in &mut last.played.slots {
                slot.length = slot.length.min(beat - slot.start);
            }
        }
        let first = of_bar(part, bar).filter(move |e| e.start < start + beat);
        let events = first.map(move |event| {
            let length = event.length.min(start + beat - event.start);
            let substitutions = event.substitutions.iter().filter(|s| s.at < start + beat).copied().collect();
            Event { length, substitutions, ..event.clone() }
        });
        self.push(last, None, events);
    }
}

fn of_bar(part: &Part, bar: usize) -> impl Iterator<Item = &Event> {
    part.events.iter().filter(move |event| event.bar == bar)
}

/// A meter of one beat, so many quarters long, over the same notes; `None` where there is none such.
fn one_beat(meter: Meter, beat: Quarters) -> Option<Meter> {
    let upper = beat.to_f64() * f64::from(meter.lower()) / 4.0;
    let whole = (upper.fract() == 0.0 && upper >= 1.0).then_some(upper as u8)?;
    Meter::new(whole, meter.lower())
}
