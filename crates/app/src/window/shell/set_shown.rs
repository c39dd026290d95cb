//! What is shown of the set.

use super::practising::Repertoire;
use super::set_in_hand::SetInHand;
use crate::storage::{SetSong, weekday_words};
use crate::window::practice_keeper::Known;
use practice::learn::Ready;
use practice::session_plan::{DaysAhead, PlanSong, spread};
use ui::{DayShown, SetShown, SetSongShown};

/// So many days ahead are shown one by one.
const DAYS: usize = 14;

impl SetInHand {
    /// What the pages show of it, today and for the day it is played.
    pub fn shown(&self, songs: &Repertoire, today: f64, date: Option<f64>) -> SetShown {
        let places = self.songs().iter().zip(&songs.set).zip(&self.troubles);
        SetShown {
            title: self.title(),
            songs: places
                .map(|((song, known), trouble)| shown(song, known.as_ref(), trouble, today, date))
                .collect(),
            at: self.at,
            whole: songs.whole,
            is_read: self.is_read(),
            joins: false,
            trouble: self.trouble().map(str::to_owned),
            ready_of_set: self.ready_of_set,
            days: date.map_or_else(Vec::new, |date| days(songs, today, (date - today).round() as i64)),
        }
    }
}

fn shown(
    song: &SetSong,
    known: Option<&Known>,
    trouble: &Option<String>,
    today: f64,
    date: Option<f64>,
) -> SetSongShown {
    let file = || song.path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let name = known.map_or_else(file, |known| known.part.title.clone());
    let ready = known.filter(|known| known.coach.is_known()).map(|known| Ready {
        today: known.coach.song_chance(today),
        on_the_day: date.map(|date| known.coach.song_chance(date)),
    });
    SetSongShown {
        name: song.key.map_or(name.clone(), |key| format!("{name}, in {}", key.pretty())),
        ready,
        is_read: known.is_some(),
        trouble: trouble.clone(),
    }
}

/// The days until the set is played: what is left of each song, spread over them.
fn days(songs: &Repertoire, today: f64, days_left: i64) -> Vec<DayShown> {
    let ahead = |known: &Known| -> (String, DaysAhead) {
        let goals: Vec<usize> = known.goals.iter().flat_map(|goal| goal.bars.clone()).collect();
        let song = PlanSong { part: &known.part, coach: &known.coach, hard: &known.hard, goals: &goals };
        (known.part.title.clone(), spread(&song, today, days_left))
    };
    let songs: Vec<(String, DaysAhead)> = songs.set.iter().flatten().map(ahead).collect();
    let day = |in_days: i64| {
        let of_day = || {
            songs.iter().flat_map(move |(title, ahead)| {
                let day = ahead.days.iter().find(|day| day.in_days == in_days)?;
                Some((title, day))
            })
        };
        DayShown {
            name: if in_days == 0 {
                "Today".to_owned()
            } else {
                weekday_words(today.floor() as i64 + in_days)
            },
            minutes: of_day().map(|(_, day)| day.minutes()).sum(),
            songs: of_day()
                .map(|(title, day)| (title.clone(), day.text()))
                .filter(|(_, text)| !text.is_empty())
                .collect(),
        }
    };
    (0..=days_left).take(DAYS).map(day).collect()
}
