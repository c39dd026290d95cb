//! What a coach hears of a pass: its bars, the changes from chord to chord in it, and the bars apart from these.

use super::Coach;
use crate::history::{BarPassed, ChangePassed, PassRecord, Placed, StrikePassed};

/// How one bar of a pass went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Heard {
    /// The bar.
    pub bar: usize,
    /// Whether it was clean.
    pub clean: bool,
}

/// All that is heard of a pass.
///
/// Whatever fails in a bar is put down to one thing inside it: the first strike of a chord to the change into it, all else to
/// the rest of the bar. Where nothing in particular failed (keys too many) it is the rest.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct HeardPass {
    /// The bars that were played whole.
    pub bars: Vec<Heard>,
    /// The changes, also of bars that were only led into or out of.
    pub changes: Vec<ChangePassed>,
    /// The same bars apart from their changes.
    pub rests: Vec<Heard>,
}

impl HeardPass {
    /// Bars of which nothing is known but whether they were clean.
    pub fn of_bars(bars: Vec<Heard>) -> HeardPass {
        HeardPass { bars, ..HeardPass::default() }
    }

    /// A pass of the song as its coach knows it.
    pub fn of(record: &PassRecord, coach: &Coach) -> HeardPass {
        HeardPass::from(record.bars.iter().map(|bar| (bar.bar, bar)), &record.changes, coach)
    }

    /// A pass whose bars have been found again.
    pub fn of_placed(placed: &Placed<'_>, coach: &Coach) -> HeardPass {
        HeardPass::from(placed.bars.iter().copied(), &placed.changes, coach)
    }

    /// Whether all that was to be heard was clean: of a change alone its changes, if any were heard, else the bars.
    pub fn is_clean(&self, change_alone: bool) -> bool {
        match change_alone && !self.changes.is_empty() {
            true => self.changes.iter().all(ChangePassed::is_clean),
            false => !self.bars.is_empty() && self.bars.iter().all(|bar| bar.clean),
        }
    }

    fn from<'a>(
        bars: impl Iterator<Item = (usize, &'a BarPassed)> + Clone,
        changes: &[ChangePassed],
        coach: &Coach,
    ) -> HeardPass {
        // A chord that is struck again as it lies was no change.
        let real = |change: &&ChangePassed| coach.change(change.bar, change.slot).is_some();
        let changes: Vec<ChangePassed> = changes.iter().filter(real).copied().collect();
        let rests =
            bars.clone().map(|(bar, passed)| Heard { bar, clean: rest_is_clean(bar, passed, &changes) });
        HeardPass {
            rests: rests.collect(),
            bars: bars.map(|(bar, passed)| Heard { bar, clean: passed.clean_in_time }).collect(),
            changes,
        }
    }
}

/// Whether a bar was clean apart from its changes.
fn rest_is_clean(bar: usize, passed: &BarPassed, changes: &[ChangePassed]) -> bool {
    let of_bar = |slot: usize| changes.iter().find(|change| (change.bar, change.slot) == (bar, slot));
    let of_change = |s: &StrikePassed| s.first && of_bar(s.slot).is_some();
    let a_change_failed = changes.iter().any(|change| change.bar == bar && !change.is_clean());
    let others_good = || passed.strikes.iter().filter(|s| !of_change(s)).all(StrikePassed::is_good);
    passed.clean_in_time || a_change_failed && others_good()
}
