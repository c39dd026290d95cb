//! Where the bars of old passes are in the song as it is now.

use super::{BarPassed, PassRecord};
use song::{Fingerprint, realign};
use std::collections::BTreeMap;

/// A pass whose bars have been found again.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed<'a> {
    /// The pass.
    pub record: &'a PassRecord,
    /// The bars that are still in the song, with their places in it now.
    pub bars: Vec<(usize, &'a BarPassed)>,
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
            Placed { record, elsewhere: record.bars.len() - bars.len(), bars }
        })
        .collect();
    placed.sort_by_key(|p| p.record.at);
    placed
}
