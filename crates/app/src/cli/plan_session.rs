//! `overhand plan SONG... --minutes N [--by DATE]`: what to practise today, how ready the songs are, and what is left for
//! the days until they are played.

use super::Answer;
use super::args::PlanCall;
use super::song_file;
use crate::storage::{self, History, Places, weekday_words};
use practice::Speed;
use practice::history::{Moment, PassRecord, SongName, fingerprints, place};
use practice::learn::{Coach, HardBar, Readiness, hard_bars_of, practice_days, progress_words, readiness};
use practice::session_plan::{DayAhead, DaysAhead, PlanSong, SessionPlan, Task, Wish, plan, spread};
use serde::Serialize;
use voicing::Part;

/// Plans for the player of this computer.
pub fn answer(call: &PlanCall) -> Answer {
    let now = storage::now();
    let days_left = match call.by.as_deref().map(|by| (by, storage::day_of(by))) {
        None => None,
        Some((_, Some(day))) if day >= now.date() => Some(day - now.date()),
        Some((by, Some(_))) => return Answer::wrong_call(format!("{by} is past")),
        Some((by, None)) => return Answer::wrong_call(format!("{by} is no date; write it as 2026-12-05")),
    };
    let history = Places::of_this_user().map(|places| History::of(&places));
    let mut songs = Vec::new();
    let mut told = Vec::new();
    for path in &call.songs {
        let (id, part) = match known_part(path, call) {
            Ok((id, part, warnings)) => {
                told.extend(warnings);
                (id, part)
            }
            Err(answer) => return answer,
        };
        let name = SongName { id, title: part.title.clone() };
        let remembered = history.as_ref().map(|history| history.song(&name)).unwrap_or_default();
        told.extend(remembered.told);
        songs.push(Known::new(part, &remembered.passes, now));
    }
    let planned = Planned::new(&songs, f64::from(call.minutes), now, days_left);
    let answer = if call.form.json { Answer::json(&planned.json()) } else { Answer::done(planned.text()) };
    answer.telling(told)
}

fn known_part(
    path: &std::path::Path,
    call: &PlanCall,
) -> Result<(Option<String>, Part, Vec<String>), Answer> {
    let id = song_file::read(path)?.song.id;
    let (part, warnings) = song_file::part(path, &call.player)?;
    Ok((id, part, warnings))
}

/// A song with what history tells of it.
struct Known {
    part: Part,
    coach: Coach,
    hard: Vec<HardBar>,
    progress: Vec<String>,
}

impl Known {
    fn new(part: Part, passes: &[PassRecord], now: Moment) -> Known {
        let placed = place(passes, &fingerprints(&part));
        let coach = Coach::recalling(&part, Speed::FULL, &placed);
        let hard = hard_bars_of(&part, placed.iter().flat_map(|pass| pass.bars.iter().copied()));
        let days = practice_days(&placed, part.bars.len());
        let progress = if days.is_empty() { Vec::new() } else { progress_words(&days, now.date(), 4) };
        Known { part, coach, hard, progress }
    }

    fn as_planned(&self) -> PlanSong<'_> {
        PlanSong { part: &self.part, coach: &self.coach, hard: &self.hard, goals: &[] }
    }
}

struct Planned<'a> {
    songs: &'a [Known],
    plan: SessionPlan,
    ready: Vec<Readiness>,
    /// The date, and what is left for the days until then, song by song.
    ahead: Option<(i64, Vec<DaysAhead>)>,
    today: i64,
}

impl<'a> Planned<'a> {
    fn new(songs: &'a [Known], minutes: f64, now: Moment, days_left: Option<i64>) -> Planned<'a> {
        let to_plan: Vec<PlanSong<'_>> = songs.iter().map(Known::as_planned).collect();
        let today = now.day();
        let the_day = days_left.map(|days| today + days as f64);
        Planned {
            songs,
            plan: plan(&to_plan, &Wish { minutes, today, days_left }),
            ready: songs.iter().map(|song| readiness(&song.part, &song.coach, today, the_day)).collect(),
            ahead: days_left.map(|days| {
                (now.date() + days, to_plan.iter().map(|song| spread(song, today, days)).collect())
            }),
            today: now.date(),
        }
    }

    fn text(&self) -> String {
        let mut out = String::new();
        let mut last = None;
        for item in &self.plan.items {
            let song = item.task.song();
            if self.songs.len() > 1 && song.is_some() && song != last {
                last = song;
                out += &format!("{}\n", self.songs[song.unwrap_or(0)].part.title);
            }
            out += &format!("  {:>4} min  {}\n", super::round(item.minutes), item.task.text());
        }
        if self.plan.items.iter().any(|item| item.task == Task::Rest) {
            out += &format!("\n{}\n", practice::session_plan::REST);
        }
        self.songs.iter().zip(&self.ready).for_each(|(song, ready)| out += &self.of_song(song, ready));
        if let Some((_, songs)) = &self.ahead {
            self.songs.iter().zip(songs).for_each(|(song, days)| out += &self.of_days(song, days));
        }
        out
    }

    fn date_words(&self) -> String {
        self.ahead.as_ref().map_or_else(String::new, |(date, _)| format!("on {}", weekday_words(*date)))
    }

    fn of_song(&self, song: &Known, ready: &Readiness) -> String {
        let date = self.date_words();
        let mut out = format!("\n{}: ", song.part.title);
        if ready.is_a_guess {
            return out
                + "nothing was heard of it yet; play it once and the plan knows which bars are hard\n";
        }
        out += &format!("{}\n", ready.song.words(&date));
        for section in &ready.sections {
            let (from, to) = (section.bars.from() + 1, section.bars.to() + 1);
            out += &format!("  {} (bars {from} to {to}): {}\n", section.name, section.ready.words(&date));
        }
        for hard in song.hard.iter().take(5) {
            let why: Vec<String> = hard.reasons.iter().map(|reason| reason.text()).collect();
            let why = if why.is_empty() { String::new() } else { format!(": {}", why.join("; ")) };
            out += &format!("  hard: bar {}, clean {} of {}{why}\n", hard.bar + 1, hard.clean, hard.passes);
        }
        song.progress.iter().for_each(|line| out += &format!("  {line}\n"));
        out
    }

    fn of_days(&self, song: &Known, ahead: &DaysAhead) -> String {
        let minutes = super::round(ahead.minutes_a_day);
        let mut out = format!("\n{}, day by day, about {minutes} minutes on the fullest\n", song.part.title);
        for day in &ahead.days {
            let what = of_day(day);
            let what = if what.is_empty() { "free".to_owned() } else { what };
            out += &format!("  {}: {what}\n", weekday_words(self.today + day.in_days));
        }
        out
    }

    fn json(&self) -> impl Serialize {
        let items = self.plan.items.iter().map(|item| ItemJson {
            minutes: item.minutes,
            song: item.task.song().map(|song| self.songs[song].part.title.clone()),
            text: item.task.text(),
        });
        let song = |(song, ready): (&Known, &Readiness)| SongJson {
            title: song.part.title.clone(),
            guess: ready.is_a_guess,
            today: ready.song.today.mean,
            on_the_day: ready.song.on_the_day.map(|chance| chance.mean),
            bars: ready.bars.iter().map(|bar| bar.today.mean).collect(),
            hard: song.hard.iter().map(|hard| hard.bar).collect(),
            progress: song.progress.clone(),
        };
        PlanJson { items: items.collect(), songs: self.songs.iter().zip(&self.ready).map(song).collect() }
    }
}

fn of_day(day: &DayAhead) -> String {
    let bars = |what: &str, bars: &[usize]| {
        let numbers: Vec<String> = bars.iter().map(|bar| (bar + 1).to_string()).collect();
        let of = if numbers.len() == 1 { "bar" } else { "bars" };
        (!bars.is_empty()).then(|| format!("{what} {of} {}", numbers.join(", ")))
    };
    let run = day.run_through.then(|| "play it through".to_owned());
    [bars("learn", &day.learn), bars("ask again", &day.ask), run]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join("; ")
}

#[derive(Serialize)]
struct PlanJson {
    items: Vec<ItemJson>,
    songs: Vec<SongJson>,
}

#[derive(Serialize)]
struct ItemJson {
    minutes: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    song: Option<String>,
    text: String,
}

#[derive(Serialize)]
struct SongJson {
    title: String,
    /// Nothing was heard of it: the chances are a first guess.
    guess: bool,
    today: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    on_the_day: Option<f64>,
    bars: Vec<f64>,
    hard: Vec<usize>,
    progress: Vec<String>,
}
