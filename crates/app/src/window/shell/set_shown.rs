//! What is shown of the set.

use super::practising::Repertoire;
use super::set_in_hand::SetInHand;
use crate::storage::{SetSong, weekday_words};
use crate::window::practice_keeper::Known;
use practice::Timeline;
use practice::learn::Ready;
use practice::session_plan::{DayAhead, DaysAhead, PlanSong, spread};
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
    let ahead = |known: &Known| {
        let goals: Vec<usize> = known.goals.iter().flat_map(|goal| goal.bars.clone()).collect();
        let song = PlanSong { part: &known.part, coach: &known.coach, hard: &known.hard, goals: &goals };
        let timeline = Timeline::new(&known.part);
        Ahead {
            title: known.part.title.clone(),
            days: spread(&song, today, days_left),
            minutes: timeline.ms(timeline.end()) / 60_000.0,
        }
    };
    let songs: Vec<Ahead> = songs.set.iter().flatten().map(ahead).collect();
    let day = |in_days: i64| {
        let of_day = || songs.iter().filter_map(move |song| Some((song, song.of(in_days)?)));
        let texts = of_day().map(|(song, day)| (song.title.clone(), day.text()));
        DayShown {
            name: match in_days {
                0 => "Today".to_owned(),
                _ => weekday_words(today.floor() as i64 + in_days),
            },
            minutes: of_day().map(|(song, day)| song.minutes_of(day)).sum(),
            songs: texts.filter(|(_, text)| !text.is_empty()).collect(),
        }
    };
    (0..=days_left).take(DAYS).map(day).collect()
}

/// What is left of a song.
struct Ahead {
    title: String,
    days: DaysAhead,
    /// So long is it, played through.
    minutes: f64,
}

impl Ahead {
    fn of(&self, in_days: i64) -> Option<&DayAhead> {
        self.days.days.iter().find(|day| day.in_days == in_days)
    }

    fn minutes_of(&self, day: &DayAhead) -> f64 {
        day.minutes() + if day.run_through { self.minutes } else { 0.0 }
    }
}
