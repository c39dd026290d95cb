//! The goals that a coach has set in a song file, as bars of the song as played.

use super::Coach;
use crate::Speed;
use song::{Goal, PlayedSong};

/// A goal.
#[derive(Clone, Debug, PartialEq)]
pub struct GoalBars {
    /// The bars as played, in order.
    pub bars: Vec<usize>,
    /// How fast they are to go.
    pub speed: Speed,
    /// By when, in days since 1 January 1970.
    pub day: Option<i64>,
    /// The coach's words.
    pub note: Option<String>,
}

/// The goals of a song, those with the nearest day first.
pub fn goal_bars(song: &PlayedSong) -> Vec<GoalBars> {
    goals_of(song.goals.iter(), song)
}

/// The same of goals that stand elsewhere.
pub fn goals_of<'a>(goals: impl Iterator<Item = &'a Goal>, song: &PlayedSong) -> Vec<GoalBars> {
    let of = |goal: &Goal| GoalBars {
        bars: goal.bars_played(song),
        speed: Speed::clamped(f64::from(goal.speed)),
        day: goal.day.map(|day| i64::from(day.since_1970())),
        note: goal.note.clone(),
    };
    let mut goals: Vec<GoalBars> = goals.map(of).collect();
    goals.sort_by_key(|goal| goal.day.unwrap_or(i64::MAX));
    goals
}

/// The first day of a goal that is not past.
pub fn first_day(goals: &[GoalBars], today: i64) -> Option<i64> {
    goals.iter().filter_map(|goal| goal.day).filter(|day| *day >= today).min()
}

impl Coach {
    /// Takes up goals: their bars are drilled up to the speed that the coach asks for; where several name a bar, the
    /// fastest counts.
    pub fn aim(&mut self, goals: &[GoalBars]) {
        for goal in goals {
            goal.bars.iter().for_each(|bar| self.aim_at(*bar, goal.speed));
        }
    }
}
