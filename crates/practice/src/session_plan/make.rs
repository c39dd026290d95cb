//! How the minutes are shared out.

use super::{PlanItem, SessionPlan, Task};
use crate::learn::{Coach, HardBar, sections};
use crate::{LoopBars, Timeline};
use voicing::Part;

/// Below so many minutes there is no warm-up; above, this share of them, up to so many minutes.
const WARM_UP_FROM: f64 = 6.0;
const WARM_UP_SHARE: f64 = 0.15;
const WARM_UP_MOST: f64 = 4.0;
/// A bar is worked on for so long at a time, asked for so long, a join played for so long; in minutes.
const DRILL: f64 = 1.5;
const ASK: f64 = 0.5;
const JOIN: f64 = 1.0;
/// So many bars take turns, so many times each.
const TURNS: usize = 3;
const ROUNDS: usize = 2;
/// After so many minutes of playing so many of rest: a few minutes in every half hour.
const PLAY: f64 = 25.0;
const REST: f64 = 3.0;
/// Getting ready for a run-through, and the share of the time it may take.
const AROUND_A_RUN: f64 = 0.3;
const RUN_SHARE: f64 = 0.4;
/// A bar, or both bars of a join, that are clean this often at the target need no work today.
const READY: f64 = 0.9;
/// By so many minutes the work on several songs may take longer than there is time for.
const OVER: f64 = 1.5;
/// At least so many minutes for one join.
const MINUTES_A_JOIN: f64 = 8.0;

/// A song to be practised, with what is known of it.
#[derive(Clone, Copy, Debug)]
pub struct PlanSong<'a> {
    /// Its part, in the key of the night.
    pub part: &'a Part,
    /// What the player knows of it.
    pub coach: &'a Coach,
    /// Its hard bars.
    pub hard: &'a [HardBar],
    /// Bars that its coach has set as goals: they come before others.
    pub goals: &'a [usize],
}

/// What is wished for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// So many minutes.
    pub minutes: f64,
    /// Today, in days as [`crate::history::Moment::day`].
    pub today: f64,
    /// Whole days until it is played, if there is a date: 0 is today.
    pub days_left: Option<i64>,
}

/// A plan for these songs, in the order of the set.
///
/// An empty one where there is nothing to play or no time.
pub fn plan(songs: &[PlanSong<'_>], wish: &Wish) -> SessionPlan {
    plan_after(warm_up, songs, wish)
}

/// The same without a warm-up: what is left of a session that was begun.
pub fn go_on(songs: &[PlanSong<'_>], wish: &Wish) -> SessionPlan {
    plan_after(|_, _| Vec::new(), songs, wish)
}

fn plan_after(
    begin: impl FnOnce(&PlanSong<'_>, f64) -> Vec<PlanItem>,
    songs: &[PlanSong<'_>],
    wish: &Wish,
) -> SessionPlan {
    let songs: Vec<(usize, &PlanSong<'_>)> =
        songs.iter().enumerate().filter(|(_, song)| !song.coach.is_empty()).collect();
    if songs.is_empty() || wish.minutes < 1.0 {
        return SessionPlan::default();
    }
    let mut items = begin(songs[0].1, wish.minutes);
    let rests = (wish.minutes / (PLAY + REST)).floor() * REST;
    let left = wish.minutes - total(&items) - rests;
    let (runs, joins) = put_together(&songs, wish, left);
    let work = left - total(&runs) - total(&joins);
    items.extend(work_on(&songs, wish, work));
    items.extend(joins);
    items.extend(runs);
    SessionPlan { items: with_rests(items) }
}

fn total(items: &[PlanItem]) -> f64 {
    items.iter().map(|item| item.minutes).sum()
}

fn item(task: Task, minutes: f64) -> PlanItem {
    PlanItem { task, minutes }
}

fn warm_up(song: &PlanSong<'_>, minutes: f64) -> Vec<PlanItem> {
    if minutes < WARM_UP_FROM {
        return Vec::new();
    }
    let half = (minutes * WARM_UP_SHARE).min(WARM_UP_MOST) / 2.0;
    vec![item(Task::Scale(song.part.key), half), item(Task::Chords(song.part.key), half)]
}

/// Run-throughs and joins: what a song is put together with. A song that was never heard is not put together yet.
fn put_together(songs: &[(usize, &PlanSong<'_>)], wish: &Wish, left: f64) -> (Vec<PlanItem>, Vec<PlanItem>) {
    // On the last days it is put together more than taken apart.
    let share = if wish.days_left.is_some_and(|days| days <= 1) { 0.8 } else { RUN_SHARE };
    let mut room = share * left;
    let mut runs = Vec::new();
    for (index, song) in songs.iter().filter(|(_, song)| song.coach.is_known()) {
        let minutes = length(song.part) + AROUND_A_RUN;
        if minutes <= room {
            room -= minutes;
            runs.push(item(Task::RunThrough { song: *index }, minutes));
        }
    }
    let most = (left / MINUTES_A_JOIN).floor() as usize;
    let between = songs.windows(2).map(|pair| item(Task::SongJoin { song: pair[0].0 }, JOIN));
    let mut joins: Vec<PlanItem> = between.take(most).collect();
    let within = songs.iter().filter(|(_, song)| song.coach.is_known());
    let mut weak: Vec<(f64, PlanItem)> =
        within.flat_map(|(index, song)| weak_joins(*index, song, wish.today)).collect();
    weak.sort_by(|a, b| a.0.total_cmp(&b.0));
    joins.extend(weak.into_iter().map(|(_, join)| join).take(most.saturating_sub(joins.len())));
    (runs, joins)
}

/// The joins between sections that are not ready, with their chances; each pair of sections once.
fn weak_joins(index: usize, song: &PlanSong<'_>, today: f64) -> Vec<(f64, PlanItem)> {
    let chances = song.coach.chances(today);
    let sections = sections(song.part);
    let mut seen: Vec<(&str, &str)> = Vec::new();
    let mut weak = Vec::new();
    for pair in sections.windows(2) {
        let names = (pair[0].0.as_str(), pair[1].0.as_str());
        let bars = LoopBars::new(pair[0].1.to(), pair[1].1.from());
        let chance = chances[bars.from()].mean * chances[bars.to()].mean;
        if !seen.contains(&names) && chance < READY {
            weak.push((chance, item(Task::Join { song: index, bars }, JOIN)));
        }
        seen.push(names);
    }
    weak
}

/// Drills in turns, with what is due among them; the time goes to songs by how much there is to do.
fn work_on(songs: &[(usize, &PlanSong<'_>)], wish: &Wish, minutes: f64) -> Vec<PlanItem> {
    let needs: Vec<f64> = songs.iter().map(|(_, song)| need(song, wish.today)).collect();
    let all: f64 = needs.iter().sum();
    let mut items = Vec::new();
    for ((index, song), need) in songs.iter().zip(&needs) {
        let share = if all > 0.0 { minutes * need / all } else { minutes / songs.len() as f64 };
        let own = work_on_one(*index, song, wish, share);
        // A song that there is no time to hear any more is heard another day.
        if items.is_empty() || total(&items) + total(&own) <= minutes + OVER {
            items.extend(own);
        }
    }
    items
}

/// How many bars are expected to fail, and a little for a song that was never heard.
fn need(song: &PlanSong<'_>, today: f64) -> f64 {
    let chances = song.coach.chances(today);
    let open = song.coach.spacings().filter(|(_, spacing)| spacing.is_none());
    open.map(|(bar, _)| 1.0 - chances[bar].mean).sum::<f64>() + f64::from(u8::from(!song.coach.is_known()))
}

fn work_on_one(index: usize, song: &PlanSong<'_>, wish: &Wish, minutes: f64) -> Vec<PlanItem> {
    let mut items = Vec::new();
    let mut left = minutes;
    if !song.coach.is_known() {
        let survey = length(song.part) / 0.6 + AROUND_A_RUN;
        items.push(item(Task::Survey { song: index }, survey));
        left -= survey;
        let drills = (left / DRILL).floor().max(0.0) as usize;
        items.extend((0..drills).map(|_| item(Task::Hardest { song: index }, DRILL)));
        return items;
    }
    let mut due: Vec<PlanItem> = song
        .coach
        .spacings()
        .filter(|(_, spacing)| spacing.is_some_and(|s| s.is_due_on(wish.today)))
        .map(|(bar, _)| item(Task::AskAgain { song: index, bar }, ASK))
        .take((left / 2.0 / ASK).floor().max(0.0) as usize)
        .collect();
    left -= total(&due);
    let hardest = hardest(song, wish.today);
    let rounds = in_turns(&hardest, (left / DRILL).round().max(0.0) as usize);
    let reason =
        |bar: usize| song.hard.iter().find(|h| h.bar == bar).and_then(|h| h.reasons.first().copied());
    for bar in rounds {
        items.push(item(Task::Drill { song: index, bar, reason: reason(bar) }, DRILL));
        items.extend(due.pop());
    }
    items.extend(due);
    items
}

/// The bars that need work, first the coach's goals, then the least likely to be clean.
pub(super) fn hardest(song: &PlanSong<'_>, today: f64) -> Vec<usize> {
    let chances = song.coach.chances(today);
    let open = song.coach.spacings().filter(|(bar, spacing)| spacing.is_none() && chances[*bar].mean < READY);
    let mut bars: Vec<usize> = open.map(|(bar, _)| bar).collect();
    bars.sort_by(|a, b| {
        let goal = |bar: &usize| song.goals.contains(bar);
        goal(b).cmp(&goal(a)).then(chances[*a].mean.total_cmp(&chances[*b].mean))
    });
    bars
}

/// So many turns: three bars in turn, twice each, then the next three; where fewer are left, the first ones join them.
fn in_turns(bars: &[usize], turns: usize) -> Vec<usize> {
    let fill = |three: &[usize]| -> Vec<usize> {
        let missing = TURNS.min(bars.len()) - three.len();
        [three, &bars[..missing]].concat().repeat(ROUNDS)
    };
    let round: Vec<usize> = bars.chunks(TURNS).flat_map(fill).collect();
    let mut last = None;
    let mut differs = |bar: &usize| bars.len() == 1 || last.replace(*bar) != Some(*bar);
    let mut row: Vec<usize> = Vec::new();
    while row.len() < turns && !round.is_empty() {
        row.extend(round.iter().copied().filter(|bar| differs(bar)));
    }
    row.truncate(turns);
    row
}

fn length(part: &Part) -> f64 {
    let timeline = Timeline::new(part);
    timeline.ms(timeline.end()) / 60_000.0
}

/// Puts a rest after every twenty-five minutes of playing; none at the very end.
fn with_rests(items: Vec<PlanItem>) -> Vec<PlanItem> {
    let (mut rested, mut since) = (Vec::new(), 0.0);
    for next in items {
        if since + next.minutes > PLAY && since > 0.0 {
            rested.push(item(Task::Rest, REST));
            since = 0.0;
        }
        since += next.minutes;
        rested.push(next);
    }
    rested
}
