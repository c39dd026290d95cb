//! The part arranged as a printed page: sections, rows, places of the song's order; made once for each part.

use song::{PlayedBar, Quarters};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::ops::Range;
use theory::MidiKey;
use voicing::{KeyRange, Part, PedalMark};

/// No printed row holds more than this: eight bars of 4/4.
const LONGEST_ROW: i64 = 32;

/// A part arranged as a page. Make it with [`Sheet::new`] whenever the part changes, not in each frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The places of the song's order, in playing order.
    pub(crate) places: Vec<Place>,
    /// Sections in order of their first appearance.
    pub(crate) sections: Vec<SheetSection>,
    /// The lowest and highest key of the part, widened to white keys and at least three octaves.
    pub(crate) used: KeyRange,
    /// The longest event, so that a search by start knows how far to look back.
    pub(crate) longest: Quarters,
    /// Where the foot goes down, changes and comes up, by time.
    pub(crate) pedal: Vec<PedalMark>,
    /// Tells the page of one part from that of another.
    pub(crate) fingerprint: u64,
}

/// A place in the song's order.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Place {
    /// Index of the section in the part.
    pub section: usize,
    /// Its passes, each a range of bars.
    pub passes: Vec<Range<usize>>,
}

impl Place {
    /// All its bars.
    pub fn bars(&self) -> Range<usize> {
        let end = self.passes.last().map_or(0, |p| p.end);
        self.passes.first().map_or(0..0, |p| p.start..end)
    }
}

/// A section as the page shows it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SheetSection {
    /// Index of the section in the part.
    pub section: usize,
    /// Its places, as indices of [`Sheet::places`].
    pub places: Vec<usize>,
}

impl Sheet {
    /// Arranges a part.
    pub fn new(part: &Part) -> Sheet {
        let places = places(part);
        let sections = sections(&places);
        let longest = part.events.iter().map(|e| e.length).max().unwrap_or_default();
        let (fingerprint, used, pedal) = (fingerprint(part), used_keys(part), part.pedal_marks());
        Sheet { fingerprint, used, longest, pedal, places, sections }
    }

    /// The place that holds a bar.
    pub(crate) fn place_of(&self, bar: usize) -> Option<usize> {
        let at = self.places.partition_point(|p| p.bars().end <= bar);
        (at < self.places.len()).then_some(at)
    }

    /// The pass of a section to show while one is at a bar: the one that holds it, else its first.
    pub(crate) fn shown_pass(&self, section: &SheetSection, bar: usize) -> Option<(usize, usize)> {
        let here = self.place_of(bar).filter(|p| section.places.contains(p));
        let place = here.or_else(|| section.places.first().copied())?;
        let pass = self.places[place].passes.iter().position(|p| p.contains(&bar)).unwrap_or(0);
        Some((place, pass))
    }

    /// The printed rows of a pass.
    pub(crate) fn rows(&self, part: &Part, pass: &Range<usize>) -> Vec<Range<usize>> {
        let mut rows: Vec<Range<usize>> = Vec::new();
        let mut length = Quarters::ZERO;
        for bar in pass.clone() {
            let played = &part.bars[bar].played;
            let long = played.meter.length();
            let same_row = bar > pass.start && part.bars[bar - 1].played.row == played.row;
            match rows.last_mut() {
                Some(row) if same_row && length + long <= Quarters::new(LONGEST_ROW, 1) => {
                    row.end = bar + 1;
                    length += long;
                }
                _ => {
                    rows.push(bar..bar + 1);
                    length = long;
                }
            }
        }
        rows
    }
}

fn places(part: &Part) -> Vec<Place> {
    let mut places: Vec<Place> = Vec::new();
    let mut last: Option<&PlayedBar> = None;
    for (index, bar) in part.bars.iter().map(|b| &b.played).enumerate() {
        if last.is_none_or(|l| l.place != bar.place) {
            places.push(Place { section: bar.section, passes: Vec::new() });
        }
        let new_pass = last.is_none_or(|l| l.place != bar.place || l.pass != bar.pass);
        if let Some(place) = places.last_mut() {
            match place.passes.last_mut() {
                Some(pass) if !new_pass => pass.end = index + 1,
                _ => place.passes.push(index..index + 1),
            }
        }
        last = Some(bar);
    }
    places
}

fn sections(places: &[Place]) -> Vec<SheetSection> {
    let mut sections: Vec<SheetSection> = Vec::new();
    for (index, place) in places.iter().enumerate() {
        match sections.iter_mut().find(|s| s.section == place.section) {
            Some(section) => section.places.push(index),
            None => sections.push(SheetSection { section: place.section, places: vec![index] }),
        }
    }
    sections
}

/// From all that a row's layout depends on.
fn fingerprint(part: &Part) -> u64 {
    let mut hasher = DefaultHasher::new();
    for bar in part.bars.iter().map(|b| &b.played) {
        (&part.sections[bar.section], bar.place, bar.pass, bar.row, bar.meter, bar.key).hash(&mut hasher);
        for slot in &bar.slots {
            (&slot.symbol, slot.length, slot.dots).hash(&mut hasher);
        }
    }
    hasher.finish()
}

fn used_keys(part: &Part) -> KeyRange {
    let keys = || part.events.iter().map(|e| i32::from(e.key.number()));
    let (low, high) = match (keys().min(), keys().max()) {
        (Some(low), Some(high)) => (low - 2, high + 2),
        _ => (48, 84),
    };
    let lack = (36 - (high - low)).max(0);
    let low = (low - lack / 2).clamp(0, 91);
    let high = (high + lack - lack / 2).max(low + 36).min(127);
    let white = |key: i32, step: i32| {
        let key = MidiKey::new(key.clamp(0, 127) as u8).unwrap_or(MidiKey::MIDDLE_C);
        if key.is_black() { MidiKey::new((i32::from(key.number()) + step) as u8).unwrap_or(key) } else { key }
    };
    KeyRange::new(white(low, -1), white(high, 1)).unwrap_or(KeyRange::FULL)
}
