//! Notes as they were played, put where notation has them: each quarter divided as its notes come nearest to.

use song::Quarters;
use std::collections::BTreeMap;
use voicing::{Event, Part};

/// Divisions of a quarter, the plainest first.
const DIVISIONS: [i64; 6] = [1, 2, 4, 3, 8, 6];
/// So far from a place of the grid, in quarters, a player who means it may be.
const NEAR: f64 = 0.06;
/// Files from notation have no finer parts of a quarter than this.
const FINEST_WRITTEN: i64 = 16;

/// The notes of a MIDI file in note values, and how many of them had to be moved for it: those that a person played lie
/// between all of them. What is written already stays as it is.
pub fn in_note_values(part: &Part) -> (Part, usize) {
    let is_written = |at: Quarters| at.fraction().1 <= FINEST_WRITTEN;
    let mut put = part.clone();
    if part.events.iter().all(|event| is_written(event.start) && is_written(event.start + event.length)) {
        return (put, 0);
    }
    let divisions = divisions(&part.events);
    let mut moved = 0;
    for event in &mut put.events {
        let end = nearest(event.start + event.length, &divisions);
        let start = nearest(event.start, &divisions);
        let division = divisions.get(&quarter(start)).copied().unwrap_or(2);
        moved += usize::from(start != event.start);
        (event.start, event.length) = (start, (end - start).max(Quarters::new(1, division)));
    }
    put.events.sort_by_key(|event| (event.start, event.key));
    (put, moved)
}

/// Per quarter in which something is struck, how it is divided.
fn divisions(events: &[Event]) -> BTreeMap<i64, i64> {
    let mut starts: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    for event in events {
        let quarter = quarter(event.start);
        starts.entry(quarter).or_default().push(event.start.to_f64() - quarter as f64);
    }
    starts.into_iter().map(|(quarter, starts)| (quarter, division(&starts))).collect()
}

/// The plainest division near to which all places lie; where there is none, the one they come nearest to.
fn division(places: &[f64]) -> i64 {
    let worst = |division: i64| {
        let parts = division as f64;
        places.iter().map(|at| (at - (at * parts).round() / parts).abs()).fold(0.0, f64::max)
    };
    let near = DIVISIONS.into_iter().find(|division| worst(*division) <= NEAR);
    near.or_else(|| DIVISIONS.into_iter().min_by(|a, b| worst(*a).total_cmp(&worst(*b)))).unwrap_or(1)
}

fn quarter(at: Quarters) -> i64 {
    at.div_floor(Quarters::new(1, 1))
}

fn nearest(at: Quarters, divisions: &BTreeMap<i64, i64>) -> Quarters {
    // Where nothing is struck, half a quarter is fine enough to let go.
    let division = divisions.get(&quarter(at)).copied().unwrap_or(2);
    Quarters::new((at.to_f64() * division as f64).round() as i64, division)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice: thirds of a beat lie 0.33 apart, sixteenths 0.25; people are a few hundredths off.
    #[test]
    fn played_beats_are_divided_as_they_were_meant() {
        assert_eq!(division(&[0.02]), 1);
        assert_eq!(division(&[0.0, 0.53]), 2);
        assert_eq!(division(&[0.01, 0.27, 0.49, 0.74]), 4);
        assert_eq!(division(&[0.0, 0.31, 0.68]), 3);
        assert_eq!(division(&[0.97]), 1, "just before the next");
    }
}
