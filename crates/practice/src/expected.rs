//! What a player is expected to play.

use crate::{ChartTime, Hands, LoopBars, Timeline};
use song::Quarters;
use theory::{Hand, MidiKey};
use voicing::Part;

/// One note that is expected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ExpectedNote {
    /// Whose.
    pub hand: Hand,
    /// The bar its chord is in.
    pub bar: usize,
    /// Where it sounds, in quarters.
    pub start: Quarters,
    /// When it sounds.
    pub at: ChartTime,
    /// Its key.
    pub key: MidiKey,
    /// Part of a rolled shape: its notes need not be together.
    pub rolled: bool,
    /// Index of its event in [`Part::events`], or of the note in its file.
    pub event: usize,
}

/// A bar as the score needs it.
#[derive(Clone, Debug, PartialEq)]
pub struct BarSpan {
    /// Its index in the song as played.
    pub bar: usize,
    /// The name of its section; empty if there is none.
    pub section: String,
    /// Where it starts.
    pub start: ChartTime,
    /// Where it ends.
    pub end: ChartTime,
    /// How long its beat lasts at its start, in milliseconds at the chart's tempo.
    pub beat_ms: f64,
    /// Where the tempo changes within it: since when, and how long a beat lasts from there on. Empty in songs, whose tempo
    /// holds for whole bars.
    pub changes: Vec<(ChartTime, f64)>,
}

impl BarSpan {
    /// How long a beat lasts at a time in the bar, in milliseconds.
    pub fn beat_ms_at(&self, at: ChartTime) -> f64 {
        let changed = self.changes.partition_point(|c| c.0 <= at);
        changed.checked_sub(1).map_or(self.beat_ms, |last| self.changes[last].1)
    }
}

/// All that is expected, by time, then by key, with its bars.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Expected {
    /// The notes by time, then by key.
    pub notes: Vec<ExpectedNote>,
    /// The bars in order.
    pub bars: Vec<BarSpan>,
    /// How many of the bars are the first line of the chart.
    pub first_line: usize,
}

impl Expected {
    /// What a part asks of these hands, in these bars or in all of them. A push of the bar after the last is not in it,
    /// the push into the first bar is.
    pub fn of_part(part: &Part, timeline: &Timeline, hands: Hands, bars: Option<LoopBars>) -> Expected {
        let wanted = |bar: usize| bars.is_none_or(|b| b.contains(bar));
        let notes = part.events.iter().enumerate().filter(|(_, e)| hands.has(e.hand) && wanted(e.bar));
        let notes = notes
            .map(|(event, e)| ExpectedNote {
                hand: e.hand,
                bar: e.bar,
                start: e.start,
                at: timeline.time(e.start),
                key: e.key,
                rolled: e.rolled,
                event,
            })
            .collect();
        let spans: Vec<BarSpan> = (0..part.bars.len())
            .filter(|bar| wanted(*bar))
            .filter_map(|bar| span(part, timeline, bar))
            .collect();
        let first_line = spans.first().map_or(0, |first| {
            let line = |bar: usize| {
                (part.bars[bar].played.place, part.bars[bar].played.pass, part.bars[bar].played.row)
            };
            spans.iter().take_while(|s| line(s.bar) == line(first.bar)).count()
        });
        Expected::new(notes, spans, first_line)
    }

    /// From notes in any order and bars in order.
    pub fn new(mut notes: Vec<ExpectedNote>, bars: Vec<BarSpan>, first_line: usize) -> Expected {
        notes.sort_by_key(|n| (n.at, n.key, n.hand, n.event));
        Expected { notes, bars, first_line }
    }

    /// Only what one hand, or both, have to play.
    pub fn for_hands(&self, hands: Hands) -> Expected {
        let notes = self.notes.iter().filter(|n| hands.has(n.hand)).copied().collect();
        Expected { notes, bars: self.bars.clone(), first_line: self.first_line }
    }

    /// Only what sounds from one time to another, both included, with the bars that these notes reach over; without an
    /// end, all from there on.
    pub fn between(&self, from: Option<ChartTime>, until: Option<ChartTime>) -> Expected {
        let within = |n: &&ExpectedNote| from.is_none_or(|f| f <= n.at) && until.is_none_or(|u| n.at <= u);
        let notes: Vec<ExpectedNote> = self.notes.iter().filter(within).copied().collect();
        let bars_of_notes = || notes.iter().map(|n| n.bar);
        let (first, last) = (bars_of_notes().min(), bars_of_notes().max());
        let reached = |bar: usize| {
            (from.is_none() || first.is_some_and(|f| f <= bar))
                && (until.is_none() || last.is_some_and(|l| bar <= l))
        };
        let bars: Vec<BarSpan> = self.bars.iter().filter(|b| reached(b.bar)).cloned().collect();
        let before = self.bars.iter().take_while(|b| !reached(b.bar)).count();
        let first_line = self.first_line.saturating_sub(before).min(bars.len());
        Expected { notes, first_line, bars }
    }

    /// Only what is written in these bars.
    pub fn in_bars(&self, bars: LoopBars) -> Expected {
        let notes = self.notes.iter().filter(|n| bars.contains(n.bar)).copied().collect();
        let before = self.bars.iter().take_while(|b| b.bar < bars.from()).count();
        let spans: Vec<BarSpan> = self.bars.iter().filter(|b| bars.contains(b.bar)).cloned().collect();
        let first_line = self.first_line.saturating_sub(before).min(spans.len());
        Expected { notes, first_line, bars: spans }
    }

    /// The position in `bars` of a bar of the song.
    pub fn position_of(&self, bar: usize) -> Option<usize> {
        // Bars mostly follow each other without a gap: look there first.
        let likely = bar.checked_sub(self.bars.first()?.bar)?;
        if self.bars.get(likely).is_some_and(|b| b.bar == bar) {
            return Some(likely);
        }
        self.bars.binary_search_by_key(&bar, |b| b.bar).ok()
    }

    /// The position in `bars` of the bar at a time: before the first the first, after the last the last.
    pub fn bar_at(&self, at: ChartTime) -> Option<usize> {
        let after = self.bars.partition_point(|b| b.start <= at);
        (!self.bars.is_empty()).then(|| after.saturating_sub(1))
    }
}

fn span(part: &Part, timeline: &Timeline, bar: usize) -> Option<BarSpan> {
    let (start, end) = timeline.span(bar)?;
    let section = part.sections.get(part.bars[bar].played.section).cloned().unwrap_or_default();
    Some(BarSpan { bar, section, start, end, beat_ms: timeline.bars()[bar].beat_ms(), changes: Vec::new() })
}
