//! How early or late a strike may be: the narrow window it is in time within, and the wide one it is counted within.

use crate::{ChartTime, Expected, Speed, Window};
use theory::Hand;

/// Both windows of one expected note, in chart time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Windows {
    /// Counted up to here.
    pub counted: ChartTime,
    /// In time up to here.
    pub narrow: ChartTime,
}

/// The windows of every note, as [`Expected::notes`]. With a window that is the same everywhere, that one counts and the
/// narrow one is never wider.
pub(crate) fn windows(expected: &Expected, window: Window, speed: Speed) -> Vec<Windows> {
    // Neighbours mostly share beat and gap.
    let mut last = None;
    let notes = expected.notes.iter().zip(gaps(expected));
    notes
        .map(|(note, gap)| {
            let bar = expected.position_of(note.bar);
            let beat_ms = bar.map_or(BEAT_WITHOUT_BAR_MS, |b| expected.bars[b].beat_ms_at(note.at));
            let rule = match last {
                Some((beat, known, rule)) if beat == beat_ms && known == gap => rule,
                _ => by_strike(speed.stretch_ms(beat_ms), gap.map(|g| speed.stretch_ms(g.ms())), speed),
            };
            last = Some((beat_ms, gap, rule));
            match window {
                Window::ByStrike => rule,
                Window::Fixed(counted) => Windows { counted, narrow: rule.narrow.min(counted) },
            }
        })
        .collect()
}

/// A note outside all bars is judged as at 120.
const BEAT_WITHOUT_BAR_MS: f64 = 500.0;

/// The rule, from the beat and the smaller gap to a neighbouring strike of the hand, both as played: in time within 8 % of
/// the beat but at least 35 and at most 60 ms, never above 0.3 of the gap; counted within a quarter of the beat, 0.45 of
/// the gap and 150 ms. The bounds follow what is known of onsets in ensembles and of onset tolerance in music research
/// (30-40 ms; 50 to 70 ms); the shares are this program's reading.
fn by_strike(beat_ms: f64, gap_ms: Option<f64>, speed: Speed) -> Windows {
    let gap_ms = gap_ms.unwrap_or(f64::INFINITY);
    let counted = (0.25 * beat_ms).min(0.45 * gap_ms).min(150.0);
    let narrow = (0.08 * beat_ms).clamp(35.0, 60.0).min(0.3 * gap_ms).min(counted);
    let chart = |ms: f64| ChartTime::from_ms(speed.shrink_ms(ms));
    Windows { counted: chart(counted), narrow: chart(narrow) }
}

/// For every note the smaller gap from its strike to the strike before and after it, of the same hand.
fn gaps(expected: &Expected) -> Vec<Option<ChartTime>> {
    let mut gaps = vec![None; expected.notes.len()];
    for hand in Hand::BOTH {
        let of_hand: Vec<usize> =
            (0..expected.notes.len()).filter(|&i| expected.notes[i].hand == hand).collect();
        let strikes: Vec<&[usize]> =
            of_hand.chunk_by(|&a, &b| expected.notes[a].at == expected.notes[b].at).collect();
        let at = |strike: &[usize]| expected.notes[strike[0]].at;
        for (n, strike) in strikes.iter().enumerate() {
            let before = n.checked_sub(1).map(|b| at(strike) - at(strikes[b]));
            let after = strikes.get(n + 1).map(|a| at(a) - at(strike));
            let gap = before.into_iter().chain(after).min();
            strike.iter().for_each(|&note| gaps[note] = gap);
        }
    }
    gaps
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(beat: f64, gap: f64) -> (f64, f64) {
        let windows = by_strike(beat, Some(gap), Speed::FULL);
        (windows.narrow.ms(), windows.counted.ms())
    }

    // Worked by hand from the rule.
    #[test]
    fn windows_follow_beat_and_gap() {
        assert_eq!(ms(1000.0, 1000.0), (60.0, 150.0), "slow: the upper bounds");
        assert_eq!(ms(500.0, 500.0), (40.0, 125.0), "120 a minute: 8 % and a quarter of the beat");
        assert_eq!(ms(400.0, 400.0), (35.0, 100.0), "150 a minute: the lower bound");
        assert_eq!(ms(500.0, 100.0), (30.0, 45.0), "quick figures: shares of the gap");
        assert_eq!(by_strike(500.0, None, Speed::FULL).counted.ms(), 125.0, "a single strike has no gap");
    }

    #[test]
    fn windows_are_reckoned_as_played() {
        let half = Speed::new(50.0).unwrap();
        let windows = by_strike(1000.0, Some(1000.0), half);
        assert_eq!(windows.narrow.ms(), 30.0, "60 ms as played are 30 ms of the chart at half speed");
    }
}
