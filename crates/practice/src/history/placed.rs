//! Where the bars of old passes are in the song as it is now.

use super::{BarPassed, ChangePassed, PassRecord};
use song::{Fingerprint, realign};
use std::collections::BTreeMap;

/// A pass whose bars have been found again.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed<'a> {
    /// The pass.
    pub record: &'a PassRecord,
    /// The bars that are still in the song, with their places in it now.
    pub bars: Vec<(usize, &'a BarPassed)>,
    /// Its changes into bars that are still in the song, by their places in it now. One across a bar line is still there if
    /// the bar before is.
    pub changes: Vec<ChangePassed>,
    /// How many of its bars are no longer in the song.
    pub elsewhere: usize,
}

/// Finds the bars of passes in a song as it is now, in order of time.
pub fn place<'a>(passes: &'a [PassRecord], now: &[Fingerprint]) -> Vec<Placed<'a>> {
    let mut known: BTreeMap<&[Fingerprint], Vec<Option<usize>>> = BTreeMap::new();
    let mut placed: Vec<Placed<'a>> = passes
        .iter()
        .map(|record| {
            let moved = known.entry(&record.layout).or_insert_with(|| realign(&record.layout, now));
            let find = |bar: &'a BarPassed| Some((moved.get(bar.bar).copied().flatten()?, bar));
            let bars: Vec<(usize, &BarPassed)> = record.bars.iter().filter_map(find).collect();
            let at = |bar: usize| moved.get(bar).copied().flatten();
            let change = |change: &ChangePassed| {
                let bar = at(change.bar)?;
                let from_there = || Some(at(change.bar.checked_sub(1)?)? + 1 == bar);
                (change.slot > 0 || from_there() == Some(true)).then_some(ChangePassed { bar, ..*change })
            };
            let changes = record.changes.iter().filter_map(change).collect();
            Placed { record, elsewhere: record.bars.len() - bars.len(), bars, changes }
        })
        .collect();
    placed.sort_by_key(|p| p.record.at);
    placed
}
