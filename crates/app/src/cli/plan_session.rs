//! `overhand plan SONG... --minutes N [--by DATE]`: what to practise today, how ready the songs are, and what is left for
//! the days until they are played.

use super::Answer;
use super::args::{PlanCall, Player};
use super::plan_json::{ChangeJson, ReadyJson};
use super::song_file;
use crate::storage::{self, History, Places, SetSong, weekday_words};
use practice::Speed;
use practice::history::{Moment, PassRecord, SongName, fingerprints, place};
use practice::learn::{
    Coach, GoalBars, HardBar, Readiness, first_day, goal_bars, hard_bars_of, practice_days, progress_words,
    readiness,
};
use practice::session_plan::{DaysAhead, PlanSong, SessionPlan, Task, Wish, plan, spread};
use serde::Serialize;
use std::path::PathBuf;
use voicing::Part;

/// A change less likely to be clean than this is told of.
const WEAK: f64 = 0.7;

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
    let (entries, day) = match entries(&call.songs) {
        Ok(entries) => entries,
        Err(told) => return Answer::wrong_input(vec![told]),
    };
    for entry in &entries {
        let Read { id, part, goals, warnings } = match read(entry, call) {
            Ok(read) => read,
            Err(answer) => return answer,
        };
        told.extend(warnings);
        let name = SongName { id, title: part.title.clone() };
        let remembered = history.as_ref().map(|history| history.song(&name)).unwrap_or_default();
        told.extend(remembered.told);
        songs.push(Known::new(part, goals, &remembered.passes, now));
    }
    let goal = || songs.iter().filter_map(|song| first_day(&song.goals, now.date())).min();
    let day = day.or_else(goal).map(|day| day - now.date()).filter(|days| *days >= 0);
    let days_left = days_left.or(day);
    let planned = Planned::new(&songs, f64::from(call.minutes), now, days_left);
    let answer = if call.form.json { Answer::json(&planned.json()) } else { Answer::done(planned.text()) };
    answer.telling(told)
}

/// Song files as they are, or the songs of a set list with its day.
fn entries(songs: &[PathBuf]) -> Result<(Vec<SetSong>, Option<i64>), String> {
    if let [set] = songs
        && storage::is_set(set)
    {
        let set = storage::read_set(set)?;
        return Ok((set.songs, set.day));
    }
    let song = |path: &PathBuf| SetSong { path: path.clone(), key: None };
    Ok((songs.iter().map(song).collect(), None))
}

/// A song with its part, and what is to be told of its file.
struct Read {
    id: Option<String>,
    part: Part,
    goals: Vec<GoalBars>,
    warnings: Vec<String>,
}

fn read(song: &SetSong, call: &PlanCall) -> Result<Read, Answer> {
    let file = song_file::read(&song.path)?.song;
    let player = Player { key: song.key.or(call.player.key), ..call.player.clone() };
    let (part, warnings) = song_file::part(&song.path, &player)?;
    Ok(Read { id: file.id.clone(), part, goals: goal_bars(&file.play()), warnings })
}

/// A song with what history tells of it.
struct Known {
    part: Part,
    coach: Coach,
    hard: Vec<HardBar>,
    goals: Vec<GoalBars>,
    /// The bars of the goals.
    goal_bars: Vec<usize>,
    progress: Vec<String>,
}

impl Known {
    fn new(part: Part, goals: Vec<GoalBars>, passes: &[PassRecord], now: Moment) -> Known {
        let placed = place(passes, &fingerprints(&part));
        let mut coach = Coach::recalling(&part, Speed::FULL, &placed);
        coach.aim(&goals);
        let mut hard = hard_bars_of(&part, placed.iter().flat_map(|pass| pass.bars.iter().copied()));
        coach.explain(&mut hard, now.day());
        let days = practice_days(&placed, part.bars.len());
        let progress = if days.is_empty() { Vec::new() } else { progress_words(&days, now.date(), 4) };
        let goal_bars = goals.iter().flat_map(|goal| goal.bars.clone()).collect();
        Known { part, coach, hard, goals, goal_bars, progress }
    }

    fn as_planned(&self) -> PlanSong<'_> {
        PlanSong { part: &self.part, coach: &self.coach, hard: &self.hard, goals: &self.goal_bars }
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
        for change in ready.weak_changes(WEAK).into_iter().take(5) {
            out += &format!("  change {}\n", change.words());
        }
        song.progress.iter().for_each(|line| out += &format!("  {line}\n"));
        out
    }

    fn of_days(&self, song: &Known, ahead: &DaysAhead) -> String {
        let minutes = super::round(ahead.minutes_a_day);
        let mut out = format!("\n{}, day by day, about {minutes} minutes on the fullest\n", song.part.title);
        for day in &ahead.days {
            let what = day.text();
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
            chances: ready
                .bars
                .iter()
                .zip(&ready.alone)
                .map(|(bar, alone)| ReadyJson::of(*bar, *alone))
                .collect(),
            changes: ready.changes.iter().map(ChangeJson::of).collect(),
            hard: song.hard.iter().map(|hard| hard.bar).collect(),
            progress: song.progress.clone(),
        };
        PlanJson { items: items.collect(), songs: self.songs.iter().zip(&self.ready).map(song).collect() }
    }
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
    /// The same with the bounds, and each hand alone.
    chances: Vec<ReadyJson>,
    /// Change by change; bars hold them in already.
    changes: Vec<ChangeJson>,
    hard: Vec<usize>,
    progress: Vec<String>,
}
