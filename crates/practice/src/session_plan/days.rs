//! The days until a song is played: the work spread over them.
//!
//! New bars are learned on all days but the last, which is left to put the song together; what was learned is asked after
//! one, two, four … days (see [`crate::learn::Spacing`]), which is why bars begun early come off best.

use super::PlanSong;
use super::make::hardest;
use crate::learn::Spacing;

/// A bar that is new takes so many minutes until it is clean, one that is asked again so many: this program's reading, from
/// its simulated learners.
const NEW: f64 = 4.0;
const ASKED: f64 = 0.5;

/// One of the days ahead.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct DayAhead {
    /// How many days from today; 0 is today.
    pub in_days: i64,
    /// Bars to learn.
    pub learn: Vec<usize>,
    /// Bars to be asked again.
    pub ask: Vec<usize>,
    /// The song is played through.
    pub run_through: bool,
}

/// The days ahead, the last one being the one on which it is played.
#[derive(Clone, Debug, PartialEq)]
pub struct DaysAhead {
    /// Day by day.
    pub days: Vec<DayAhead>,
    /// So many minutes a day would hold all of it.
    pub minutes_a_day: f64,
}

impl DayAhead {
    /// Minutes that all of this takes, but for playing the song through.
    pub fn minutes(&self) -> f64 {
        NEW * self.learn.len() as f64 + ASKED * self.ask.len() as f64
    }

    /// For a musician; bars count from 1. Nothing where the day is free.
    pub fn text(&self) -> String {
        let bars = |what: &str, bars: &[usize]| {
            let of = if bars.len() == 1 { "bar" } else { "bars" };
            (!bars.is_empty()).then(|| format!("{what} {of} {}", numbers(bars)))
        };
        let run = self.run_through.then(|| "play it through".to_owned());
        let all = [bars("learn", &self.learn), bars("ask again", &self.ask), run];
        all.into_iter().flatten().collect::<Vec<_>>().join("; ")
    }
}

/// `1 to 4, 7, 9`: in order, three or more in a row as one.
fn numbers(bars: &[usize]) -> String {
    let mut bars: Vec<usize> = bars.iter().map(|bar| bar + 1).collect();
    bars.sort_unstable();
    let rows = bars.chunk_by(|bar, next| bar + 1 == *next);
    let words = rows.flat_map(|row| match row {
        [first, .., last] if row.len() > 2 => vec![format!("{first} to {last}")],
        _ => row.iter().map(usize::to_string).collect(),
    });
    words.collect::<Vec<_>>().join(", ")
}

/// Spreads what is still to be learned of a song over the days until it is played.
pub fn spread(song: &PlanSong<'_>, today: f64, days_left: i64) -> DaysAhead {
    let open = hardest(song, today);
    let days_left = days_left.max(0);
    let mut days: Vec<DayAhead> =
        (0..=days_left).map(|in_days| DayAhead { in_days, ..DayAhead::default() }).collect();
    // The day before, if there is one, puts it together.
    let learning = days_left.max(1) as usize;
    let a_day = open.len().div_ceil(learning);
    for (day, bars) in open.chunks(a_day.max(1)).enumerate() {
        days[day].learn = bars.to_vec();
        for bar in bars {
            ask_again(&mut days, *bar, Spacing::learned(day as f64));
        }
    }
    for (bar, spacing) in song.coach.spacings() {
        if let Some(spacing) = spacing {
            ask_again(&mut days, bar, spacing.from(today.floor()));
        }
    }
    let last_two = days.len().saturating_sub(2);
    days[last_two..].iter_mut().for_each(|day| day.run_through = true);
    let minutes_a_day = days.iter().map(DayAhead::minutes).fold(0.0, f64::max);
    DaysAhead { days, minutes_a_day }
}

/// Asks a bar on all days that its spacing names, as long as it is still there.
fn ask_again(days: &mut [DayAhead], bar: usize, mut spacing: Spacing) {
    loop {
        let due = spacing.due().floor().max(0.0);
        let Some(day) = days.get_mut(due as usize) else { return };
        day.ask.push(bar);
        spacing.asked(due, true);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_in_a_row_are_told_as_one() {
        let day = DayAhead { in_days: 1, learn: vec![22, 0, 2, 1, 3], ask: vec![6, 5], run_through: true };
        assert_eq!(day.text(), "learn bars 1 to 4, 23; ask again bars 6, 7; play it through");
        assert_eq!(DayAhead::default().text(), "");
    }
}
