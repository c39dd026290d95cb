//! Finding one's way in a part: by time, by bar, strike by strike.

use crate::{Event, KeyRange, Part, PartChord};
use song::{Quarters, SlotKind};
use std::ops::Range;
use theory::MidiKey;

impl Part {
    /// Whether it is notes alone, without a chart: those of a MIDI file. No chord in it can be held otherwise, nothing in
    /// it can be written, and no sheet be printed.
    pub fn is_notes_alone(&self) -> bool {
        let mut slots = self.bars.iter().flat_map(|bar| &bar.played.slots).peekable();
        slots.peek().is_some() && slots.all(|slot| slot.continued && matches!(slot.kind, SlotKind::Rest))
    }

    /// How long the song is, from the first bar line.
    pub fn length(&self) -> Quarters {
        self.bars.last().map_or(Quarters::ZERO, |bar| bar.played.start + bar.played.meter.length())
    }

    /// The bar at a time; the first before the song, the last after it. `None` if there are no bars.
    pub fn bar_at(&self, time: Quarters) -> Option<usize> {
        let after = self.bars.partition_point(|bar| bar.played.start <= time);
        (!self.bars.is_empty()).then(|| after.saturating_sub(1))
    }

    /// Bar and slot at a time, as written: a push belongs to its slot only from there on.
    ///
    /// ```
    /// use song::Quarters;
    /// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
    ///   "sections": [ { "name": "Intro", "bars": ["3/4: 1.. 5. | 6"] } ] }"#;
    /// let song = song::read(text).sound().unwrap().play();
    /// let part = voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap();
    /// assert_eq!(part.slot_at(Quarters::new(5, 2)), Some((0, 1)));
    /// ```
    pub fn slot_at(&self, time: Quarters) -> Option<(usize, usize)> {
        let bar = self.bar_at(time)?;
        let played = &self.bars[bar].played;
        let after = played.slots.partition_point(|slot| played.start + slot.start <= time);
        Some((bar, after.saturating_sub(1)))
    }

    /// What both hands hold at a time, as written.
    pub fn chord_at(&self, time: Quarters) -> Option<&PartChord> {
        let (bar, slot) = self.slot_at(time)?;
        self.bars[bar].chords.get(slot)
    }

    /// The strikes, those of one moment together, both hands.
    pub fn strikes(&self) -> impl Iterator<Item = &[Event]> {
        self.events.chunk_by(|a, b| a.start == b.start)
    }

    /// The events that start within a stretch of time: from its start up to, not at, its end.
    pub fn events_between(&self, time: Range<Quarters>) -> &[Event] {
        let from = self.events.partition_point(|event| event.start < time.start);
        let to = self.events.partition_point(|event| event.start < time.end);
        &self.events[from..to.max(from)]
    }

    /// The time that bars take up, as written.
    pub fn time_of_bars(&self, bars: Range<usize>) -> Range<Quarters> {
        let start_of = |bar: usize| self.bars.get(bar).map_or_else(|| self.length(), |bar| bar.played.start);
        start_of(bars.start)..start_of(bars.end.max(bars.start))
    }

    /// The events of some bars, in order: those whose chord lies there. So a push into the first of them is included,
    /// though it starts before; played in a loop it sounds in the loop's last eighth. A push into the bar behind them is
    /// not.
    pub fn events_of_bars(&self, bars: Range<usize>) -> impl Iterator<Item = &Event> {
        let Range { start, end } = self.time_of_bars(bars.clone());
        let around = self.events_between(start - Quarters::EIGHTH..end);
        around.iter().filter(move |event| bars.contains(&event.bar))
    }

    /// Whether a bar begins with a push, so that its first strike comes an eighth before its bar line.
    pub fn starts_with_push(&self, bar: usize) -> bool {
        let first = self.bars.get(bar).and_then(|bar| bar.played.slots.first());
        matches!(first.map(|slot| &slot.kind), Some(SlotKind::Chord { push: true, .. }))
    }

    /// The lowest and the highest key that is struck; `None` if none is.
    pub fn keys_used(&self) -> Option<(MidiKey, MidiKey)> {
        let keys = || self.events.iter().map(|event| event.key);
        Some((keys().min()?, keys().max()?))
    }

    /// The keyboard for which it was planned.
    pub fn keyboard(&self) -> KeyRange {
        self.settings.keys
    }
}
