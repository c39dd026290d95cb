//! The tempo that somebody taps.

use song::Tempo;

/// Taps of a beat, as they come. The times are the window's, in seconds from any beginning.
///
/// ```
/// use ui::Taps;
/// let mut taps = Taps::default();
/// for beat in 0..5 {
///     taps.tap(10.0 + 0.75 * f64::from(beat));
/// }
/// assert_eq!(taps.tempo().unwrap().beats_per_minute(), 80.0);
/// ```
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Taps {
    at: Vec<f64>,
}

/// Whoever waits this long, in seconds, begins anew: the slowest tempo has a beat every three seconds.
const PAUSE: f64 = 3.2;
/// From so many taps on a tempo is told.
const FEWEST: usize = 3;
/// The last so many count: a hand finds the tempo as it taps.
const LAST: usize = 9;

impl Taps {
    /// A tap. After a pause it is the first of a new row.
    pub fn tap(&mut self, at: f64) {
        if self.at.last().is_some_and(|last| at - last > PAUSE || at < *last) {
            self.at.clear();
        }
        self.at.push(at);
        if self.at.len() > LAST {
            self.at.remove(0);
        }
    }

    /// How many taps count.
    pub fn count(&self) -> usize {
        self.at.len()
    }

    /// The tempo, in whole beats a minute: the middle one of the gaps, so that one slip does not count. Nothing before three
    /// taps, and outside 20 to 300.
    pub fn tempo(&self) -> Option<Tempo> {
        if self.at.len() < FEWEST {
            return None;
        }
        let mut gaps: Vec<f64> = self.at.windows(2).map(|two| two[1] - two[0]).collect();
        gaps.sort_by(f64::total_cmp);
        let middle = (gaps[(gaps.len() - 1) / 2] + gaps[gaps.len() / 2]) / 2.0;
        Tempo::new((60.0 / middle).round())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tapped(times: &[f64]) -> Option<f64> {
        let mut taps = Taps::default();
        times.iter().for_each(|at| taps.tap(*at));
        taps.tempo().map(|tempo| tempo.beats_per_minute())
    }

    #[test]
    fn three_taps_are_a_tempo_and_one_slip_is_none() {
        assert_eq!(tapped(&[1.0, 1.5]), None);
        assert_eq!(tapped(&[1.0, 1.5, 2.0]), Some(120.0));
        assert_eq!(tapped(&[1.0, 1.5, 2.0, 2.8, 3.3, 3.8]), Some(120.0), "a late one between others");
    }

    #[test]
    fn after_a_pause_another_tempo_is_tapped() {
        assert_eq!(tapped(&[0.0, 0.5, 1.0, 9.0, 10.0, 11.0]), Some(60.0));
        assert_eq!(tapped(&[0.0, 0.5, 1.0, 9.0]), None);
        assert_eq!(tapped(&[0.0, 0.1, 0.2]), None, "faster than any song");
    }

    #[test]
    fn the_last_taps_count() {
        let slower: Vec<f64> = (0..4).map(|n| f64::from(n) * 0.5).collect();
        let then: Vec<f64> = (0..9).map(|n| 2.0 + f64::from(n) * 0.6).collect();
        assert_eq!(tapped(&[slower, then].concat()), Some(100.0));
    }
}
