//! The song unfolded: order, passes, exceptions and precedence worked out.

mod level;
mod pass;
mod resolve;
mod slots;
mod style;
mod unlike;

pub(crate) use resolve::{Resolved, WrittenBar, resolve, written_bars};
pub(crate) use style::Used;

use crate::limits::BARS_PLAYED;
use crate::{Exception, PlayedBar, PlayedSong, Quarters, SectionWords, Song, Unlike};
use pass::Placed;
use slots::Sounding;
use std::collections::{BTreeMap, HashMap};

impl Song {
    /// The song unfolded into the bars as they are played. A song with mistakes gives what can be had; one that is
    /// longer than [`crate::limits::BARS_PLAYED`] ends there.
    pub fn play(&self) -> PlayedSong {
        let (mut bars, mut for_some) = (Vec::new(), Vec::new());
        let mut start = Quarters::ZERO;
        Walk::new(self).for_each(|mut bar, visit| {
            bar.start = start;
            start += bar.meter.length();
            bars.push(bar);
            for_some.push(visit.for_some_passes);
        });
        unlike::tell(&mut bars, &for_some);
        PlayedSong {
            title: self.title.clone(),
            key: self.key,
            written_key: self.key,
            level: self.plays.level.unwrap_or(resolve::MIDDLE_LEVEL),
            count_in: self.count_in,
            goals: self.goals.iter().map(|goal| goal.value.clone()).collect(),
            sections: self.sections.iter().map(|section| section.name.clone()).collect(),
            note: self.note.clone(),
            words: (0..self.sections.len()).map(|section| self.words(section)).collect(),
            bars,
        }
    }

    /// The note is the section's own; the cue may be taken over.
    fn words(&self, section: usize) -> SectionWords {
        let lineage = self.lineage(section);
        let cue = lineage.iter().rev().find_map(|from| self.sections[*from].cue.clone());
        SectionWords { note: self.sections[section].note.clone(), cue }
    }
}

/// How many bars a song has as played, counted without unfolding it, up to a little over the limit.
pub(crate) fn count_bars(song: &Song) -> u64 {
    let mut sections: HashMap<usize, u64> = HashMap::new();
    let mut sum = 0u64;
    for section in song.playing_order() {
        let bars = *sections.entry(section).or_insert_with(|| section_bars(song, section));
        sum = sum.saturating_add(bars);
        if sum > BARS_PLAYED {
            break;
        }
    }
    sum
}

fn section_bars(song: &Song, section: usize) -> u64 {
    let written: usize = song.rows(section).iter().map(|row| row.bars.len()).sum();
    if written as u64 > BARS_PLAYED {
        return written as u64;
    }
    let resolved = resolve(song, section);
    let mut sum = 0u64;
    for pass in 1..=resolved.passes {
        sum += pass::length(&resolved, pass);
        if sum > BARS_PLAYED {
            break;
        }
    }
    sum
}

/// What there is to say about a bar besides.
pub(crate) struct Visit {
    /// The ties in it that have nothing to hold.
    pub loose: Vec<crate::Span>,
    /// An exception that some passes alone have reaches it.
    pub for_some_passes: bool,
}

/// A walk over the bars as played, which also tells what was used on the way.
pub(crate) struct Walk<'a> {
    song: &'a Song,
    resolved: HashMap<usize, Resolved<'a>>,
    /// What of the song has been of use so far.
    pub used: Used,
}

impl<'a> Walk<'a> {
    pub fn new(song: &'a Song) -> Self {
        Self { song, resolved: HashMap::new(), used: Used::default() }
    }

    /// Visits every bar as played.
    pub fn for_each(&mut self, mut visit: impl FnMut(PlayedBar, Visit)) {
        let mut sounding = Sounding::default();
        let mut left = BARS_PLAYED;
        for (place, section) in self.song.playing_order().into_iter().enumerate() {
            let song = self.song;
            let resolved = self.resolved.entry(section).or_insert_with(|| resolve(song, section));
            for pass in 1..=resolved.passes {
                let in_pass = pass::exceptions(resolved, pass);
                for (number, placed) in pass::bars(resolved, pass, &mut self.used).into_iter().enumerate() {
                    let Some(rest) = left.checked_sub(1) else { return self.finish() };
                    left = rest;
                    let reaching = pass::reaching(resolved, &in_pass, &placed);
                    let mut at =
                        slots::At { resolved, pass, placed: &placed, reaching, used: &mut self.used };
                    let (slots, loose) = at.slots(&mut sounding);
                    let bar = played_bar(&at, place, number as u32 + 1, slots);
                    let for_some_passes = at.reaching().any(|(_, e)| e.for_some_passes);
                    visit(bar, Visit { loose, for_some_passes });
                }
            }
        }
        self.finish();
    }

    /// Leads what reached a bar back to where it is written.
    fn finish(&mut self) {
        for (section, reached) in std::mem::take(&mut self.used.reached) {
            let exceptions = &self.resolved[&section].exceptions;
            let origins =
                exceptions.iter().zip(reached).filter(|(_, reached)| *reached).map(|(e, _)| e.origin);
            self.used.exceptions.extend(origins);
        }
    }
}

fn played_bar(at: &slots::At<'_, '_>, place: usize, number: u32, slots: Vec<crate::Slot>) -> PlayedBar {
    let (resolved, placed): (&Resolved<'_>, &Placed<'_>) = (at.resolved, at.placed);
    let reaching = || at.reaching().map(|(_, e)| e.exception);
    PlayedBar {
        section: resolved.section,
        place,
        pass: at.pass,
        passes: resolved.passes,
        bar_in_section: number,
        written_bar: placed.written,
        in_place_of: placed.in_place_of.filter(|_| placed.written.is_none()),
        row: placed.row,
        differs: reaching().next().is_some(),
        unlike: Unlike::default(),
        meter: placed.bar.meter,
        own_meter: placed.bar.own_meter,
        beat: placed.bar.beat,
        beat_parts: None,
        quarters_per_minute: resolved.quarters_per_minute,
        key: resolved.key,
        written_key: resolved.key,
        text: placed.bar.text(),
        start: Quarters::ZERO,
        slots,
        feel: resolved.feel,
        level: resolved.level,
        bass: resolved.bass,
        pedal: resolved.pedal,
        note: words(reaching(), |e| e.note.as_deref()),
        cue: words(reaching(), |e| e.cue.as_deref()),
    }
}

/// What is said about a bar, and behind it what is said about chords in it, each with its beat. Of several that speak of
/// the same the last holds.
fn words<'e>(
    reaching: impl Iterator<Item = &'e Exception>,
    of: impl Fn(&'e Exception) -> Option<&'e str>,
) -> Option<String> {
    let mut said: BTreeMap<Option<u8>, &str> = BTreeMap::new();
    for exception in reaching {
        if let Some(text) = of(exception) {
            said.insert(exception.beat.map(|beat| beat.value), text);
        }
    }
    let each = said.into_iter().map(|(beat, text)| match beat {
        None => text.to_owned(),
        Some(beat) => format!("on beat {beat}: {text}"),
    });
    each.reduce(|all, next| format!("{all}; {next}"))
}
