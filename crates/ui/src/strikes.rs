//! The strikes of one bar, hand by hand, as the bar in hand draws them.

use practice::Mark;
use theory::Hand;
use voicing::{Event, Part};

/// What one hand strikes at one moment.
#[derive(Clone, Debug)]
pub(crate) struct Strike<'a> {
    /// Whose.
    pub hand: Hand,
    /// From the bar's start, in quarters; below zero if it was struck before and is held into the bar.
    pub start: f64,
    /// Where the hand strikes next or everything is let go, whichever is first.
    pub end: f64,
    /// Where its longest note ends.
    pub held_to: f64,
    /// Its notes from the lowest up, with their indices in the part.
    pub notes: Vec<(usize, &'a Event)>,
}

impl Strike<'_> {
    /// The worst that happened to one of its notes.
    pub fn mark(&self, marks: &[Mark]) -> Mark {
        let rank = |mark: &Mark| match mark {
            Mark::Open => 0,
            Mark::Struck => 1,
            Mark::Hit(_) => 2,
            Mark::Early(_) | Mark::Late(_) => 3,
            Mark::Missed => 4,
        };
        let of = |&(index, _): &(usize, &Event)| marks.get(index).copied().unwrap_or_default();
        self.notes.iter().map(of).max_by_key(rank).unwrap_or_default()
    }
}

/// All strikes that sound in a bar, by start, each hand's own.
pub(crate) fn in_bar(part: &Part, longest: song::Quarters, bar: usize, hand: Hand) -> Vec<Strike<'_>> {
    let played = &part.bars[bar].played;
    let (from, to) = (played.start, played.start + played.meter.length());
    let first = part.events.partition_point(|e| e.start + longest < from);
    let mut strikes: Vec<Strike<'_>> = Vec::new();
    for (index, event) in part.events.iter().enumerate().skip(first) {
        if event.start >= to {
            break;
        }
        if event.hand == hand && event.start + event.length > from {
            add(&mut strikes, index, event, from.to_f64());
        }
    }
    for index in 0..strikes.len() {
        let next = strikes.get(index + 1).map_or(f64::MAX, |s| s.start);
        let strike = &mut strikes[index];
        strike.end = strike.held_to.min(next);
    }
    let bar_length = played.meter.length().to_f64();
    strikes.retain(|s| s.end > 0.0 && s.start < bar_length);
    strikes
}

fn add<'a>(strikes: &mut Vec<Strike<'a>>, index: usize, event: &'a Event, origin: f64) {
    let start = event.start.to_f64() - origin;
    let end = start + event.length.to_f64();
    match strikes.last_mut() {
        Some(strike) if (strike.start - start).abs() < 1e-9 => {
            strike.held_to = strike.held_to.max(end);
            strike.notes.push((index, event));
        }
        _ => strikes.push(Strike { hand: event.hand, start, end, held_to: end, notes: vec![(index, event)] }),
    }
}
