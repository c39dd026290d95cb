//! A take beside what is expected, sorted into one lane per key.

use crate::matching::{Target, pair};
use crate::windows::Windows;
use crate::{Expected, PlayedNote};

/// One key's notes, in order of time; numbers are places in the lists they came from.
#[derive(Clone, Debug, Default)]
pub(crate) struct Lane {
    pub targets: Vec<Target>,
    pub target_ids: Vec<usize>,
    pub played: Vec<i64>,
    pub played_ids: Vec<usize>,
}

/// All lanes in which something is expected.
#[derive(Clone, Debug)]
pub(crate) struct Lanes {
    pub lanes: Vec<Lane>,
    /// How many notes are expected.
    pub expected: usize,
}

impl Lanes {
    pub fn new(expected: &Expected, windows: &[Windows], played: &[PlayedNote]) -> Lanes {
        let mut lanes = vec![Lane::default(); 128];
        for (id, (note, windows)) in expected.notes.iter().zip(windows).enumerate() {
            let lane = &mut lanes[usize::from(note.key.number())];
            lane.targets.push(Target { at: note.at.micros(), window: windows.counted.micros() });
            lane.target_ids.push(id);
        }
        for (id, note) in played.iter().enumerate() {
            let lane = &mut lanes[usize::from(note.key.number())];
            lane.played.push(note.at.micros());
            lane.played_ids.push(id);
        }
        lanes.iter_mut().for_each(Lane::put_in_order);
        lanes.retain(|l| !l.targets.is_empty());
        Lanes { lanes, expected: expected.notes.len() }
    }

    /// The best pairing when the take is moved back by `shift`: for every expected note the played one it goes with.
    pub fn pair(&self, shift: i64) -> Vec<Option<usize>> {
        let mut mates = vec![None; self.expected];
        for lane in &self.lanes {
            for (target, mate) in lane.pair(shift).into_iter().enumerate() {
                mates[lane.target_ids[target]] = mate.map(|p| lane.played_ids[p]);
            }
        }
        mates
    }

    /// The differences, played minus expected, of the best pairing under a shift; the shift is not taken off.
    pub fn differences(&self, shift: i64) -> Vec<i64> {
        let mut differences = Vec::with_capacity(self.expected);
        for lane in &self.lanes {
            let mates = lane.pair(shift);
            let pairs = mates.iter().enumerate().filter_map(|(t, mate)| mate.map(|p| (t, p)));
            differences.extend(pairs.map(|(t, p)| lane.played[p].saturating_sub(lane.targets[t].at)));
        }
        differences
    }
}

impl Lane {
    /// Takes are in order of time as a rule; lists from elsewhere may not be.
    fn put_in_order(&mut self) {
        if self.played.is_sorted() {
            return;
        }
        let mut notes: Vec<(i64, usize)> =
            self.played.iter().copied().zip(self.played_ids.iter().copied()).collect();
        notes.sort_unstable();
        (self.played, self.played_ids) = notes.into_iter().unzip();
    }

    fn pair(&self, shift: i64) -> Vec<Option<usize>> {
        if shift == 0 {
            return pair(&self.targets, &self.played);
        }
        let moved: Vec<i64> = self.played.iter().map(|p| p.saturating_sub(shift)).collect();
        pair(&self.targets, &moved)
    }
}
