//! Plans for a session, the days ahead, and a session that is played.

use crate::support::*;
use practice::learn::{Coach, Heard};
use practice::session_plan::*;
use practice::{Hands, LoopBars, Speed, history};
use voicing::Part;

/// Two sections of four bars of 4/4 at 60: a bar is four seconds, the song 32.
fn part_of_two_sections() -> Part {
    let mut part = part(&vec![bar((4, 4), 60.0, &[chord(8, &[60, 64, 67], &[36])]); 8]);
    part.sections = vec!["Verse".into(), "Chorus".into()];
    for (n, bar) in part.bars.iter_mut().enumerate() {
        bar.played.text = n.to_string();
        (bar.played.section, bar.played.place) = (n / 4, n / 4);
    }
    part
}

/// A coach who heard all bars at the tempo some times: these wrong, the others clean.
fn heard(wrong: &[usize], times: usize, day: f64) -> Coach {
    let mut coach = Coach::new(8, Speed::FULL);
    let bars: Vec<Heard> = (0..8).map(|bar| Heard { bar, clean: !wrong.contains(&bar) }).collect();
    (0..times).for_each(|_| coach.remember(&bars, Speed::FULL, Hands::Both, day));
    bars.iter().filter(|bar| bar.clean).for_each(|bar| coach.learned(bar.bar, day));
    coach
}

fn wish(minutes: f64) -> Wish {
    Wish { minutes, today: 0.5, days_left: None }
}

fn planned(part: &Part, coach: &Coach, wish: &Wish) -> SessionPlan {
    plan(&[PlanSong { part, coach, hard: &[], goals: &[] }], wish)
}

fn drilled(plan: &SessionPlan) -> Vec<usize> {
    let bar = |item: &PlanItem| match item.task {
        Task::Drill { bar, .. } => Some(bar),
        _ => None,
    };
    plan.items.iter().filter_map(bar).collect()
}

#[test]
fn twenty_minutes_are_a_warm_up_drills_in_turn_joins_and_a_run_through() {
    let (part, coach) = (part_of_two_sections(), heard(&[1, 3, 4, 6], 4, 0.0));
    let plan = planned(&part, &coach, &wish(20.0));
    let total = plan.minutes();
    assert!((18.0..=22.0).contains(&total), "{total} minutes of 20");
    assert!(matches!(plan.items[0].task, Task::Scale(_)) && matches!(plan.items[1].task, Task::Chords(_)));
    assert_eq!(plan.items[0].minutes + plan.items[1].minutes, 3.0);
    assert!(matches!(plan.items.last().unwrap().task, Task::RunThrough { song: 0 }));
    let join = Task::Join { song: 0, bars: LoopBars::new(3, 4) };
    assert!(plan.items.iter().any(|item| item.task == join), "{plan:?}");
    let drilled = drilled(&plan);
    assert!(drilled.windows(2).all(|pair| pair[0] != pair[1]), "in turn: {drilled:?}");
    assert_eq!(
        (drilled[0..3].to_vec(), drilled[3..6].to_vec()),
        (drilled[0..3].to_vec(), drilled[0..3].to_vec())
    );
    assert!(drilled.iter().all(|bar| [1, 3, 4, 6].contains(bar)), "{drilled:?}");
}

#[test]
fn long_sessions_have_a_rest_in_every_half_hour() {
    let (part, coach) = (part_of_two_sections(), heard(&[1, 3, 4, 6], 4, 0.0));
    let plan = planned(&part, &coach, &wish(90.0));
    let mut since = 0.0;
    for item in &plan.items {
        since = if item.task == Task::Rest { 0.0 } else { since + item.minutes };
        assert!(since <= 27.0, "{since} minutes without a rest");
    }
    assert!(plan.items.last().unwrap().task != Task::Rest);
    assert!(planned(&part, &coach, &wish(20.0)).items.iter().all(|item| item.task != Task::Rest));
}

#[test]
fn few_minutes_go_to_the_hard_bars() {
    let (part, coach) = (part_of_two_sections(), heard(&[2], 4, 0.0));
    let plan = planned(&part, &coach, &wish(5.0));
    assert_eq!(drilled(&plan).first(), Some(&2));
    assert_eq!(planned(&part, &coach, &wish(0.0)), SessionPlan::default());
}

#[test]
fn a_song_that_was_never_heard_is_heard_first() {
    let (part, coach) = (part_of_two_sections(), Coach::new(8, Speed::FULL));
    let plan = planned(&part, &coach, &wish(20.0));
    assert_eq!(plan.items[2].task, Task::Survey { song: 0 });
    assert!(plan.items[3..].iter().all(|item| item.task == Task::Hardest { song: 0 }));
}

#[test]
fn what_was_learned_is_asked_among_the_drills_once_it_is_due() {
    let (part, mut coach) = (part_of_two_sections(), heard(&[2, 5], 4, 0.0));
    coach.learned(7, 0.9);
    let asks = |today: f64| {
        let plan = planned(&part, &coach, &Wish { today, ..wish(20.0) });
        plan.items.iter().any(|item| item.task == Task::AskAgain { song: 0, bar: 7 })
    };
    assert!(!asks(0.95) && asks(1.1), "on the next day, also at an earlier hour");
}

#[test]
fn goals_of_the_coach_come_first() {
    let (part, coach) = (part_of_two_sections(), heard(&[1, 2, 5], 4, 0.0));
    let plan = plan(&[PlanSong { part: &part, coach: &coach, hard: &[], goals: &[5] }], &wish(12.0));
    assert_eq!(drilled(&plan).first(), Some(&5));
}

#[test]
fn in_a_set_each_song_ends_into_the_next() {
    let part = part_of_two_sections();
    let (easy, hard) = (heard(&[3], 4, 0.0), heard(&[1, 2, 3, 4, 5, 6], 4, 0.0));
    let song = |coach| PlanSong { part: &part, coach, hard: &[], goals: &[] };
    let plan = plan(&[song(&easy), song(&hard)], &wish(40.0));
    assert!(plan.items.iter().any(|item| item.task == Task::SongJoin { song: 0 }));
    let minutes = |song: usize| -> f64 {
        let drills =
            plan.items.iter().filter(|i| matches!(i.task, Task::Drill { .. }) && i.task.song() == Some(song));
        drills.map(|item| item.minutes).sum()
    };
    assert!(minutes(1) > 2.0 * minutes(0), "{} and {}", minutes(0), minutes(1));
    assert!(minutes(0) > 0.0);
}

#[test]
fn the_work_is_spread_over_the_days_and_asked_at_growing_distances() {
    let (part, coach) = (part_of_two_sections(), heard(&[0, 1, 2, 3, 4, 5, 6], 4, 0.0));
    let ahead = spread(&PlanSong { part: &part, coach: &coach, hard: &[], goals: &[] }, 0.5, 8);
    assert_eq!(ahead.days.len(), 9);
    let learned: Vec<usize> = ahead.days.iter().map(|day| day.learn.len()).collect();
    assert_eq!(learned, [1, 1, 1, 1, 1, 1, 1, 0, 0], "seven bars over the eight days before");
    let first = ahead.days[0].learn[0];
    let asked: Vec<i64> = ahead.days.iter().filter(|d| d.ask.contains(&first)).map(|d| d.in_days).collect();
    // Worked by hand from the rule: after one day, then two, then four.
    assert_eq!(asked, [1, 3, 7]);
    let runs: Vec<i64> = ahead.days.iter().filter(|d| d.run_through).map(|d| d.in_days).collect();
    assert_eq!(runs, [7, 8]);
}

#[test]
fn on_the_day_itself_everything_open_is_for_today() {
    let (part, coach) = (part_of_two_sections(), heard(&[0, 1], 4, 0.0));
    let ahead = spread(&PlanSong { part: &part, coach: &coach, hard: &[], goals: &[] }, 0.5, 0);
    assert_eq!((ahead.days.len(), ahead.days[0].learn.len(), ahead.days[0].run_through), (1, 2, true));
}

/// A session that is played: everything clean, but for one bar.
struct Room {
    sitting: Sitting,
    coaches: Vec<Coach>,
    never: usize,
}

impl Room {
    fn step(&mut self) -> Option<(NextPass, Outcome)> {
        while self.sitting.item().is_some_and(|item| matches!(item.task, Task::Scale(_) | Task::Chords(_))) {
            self.sitting.skip();
        }
        let pass = self.sitting.next_pass(&self.coaches, 0.5)?;
        let bars = pass.bars.from()..=pass.bars.to();
        let heard: Vec<Heard> = bars.map(|bar| Heard { bar, clean: bar != self.never }).collect();
        let outcome = self.sitting.heard(&pass, &heard, 10.0, &mut self.coaches[pass.song], 0.5);
        Some((pass, outcome))
    }
}

#[test]
fn a_session_goes_through_its_items_and_a_drill_up_its_ladder() {
    let (part, coach) = (part_of_two_sections(), heard(&[2, 5], 4, 0.0));
    let plan = planned(&part, &coach, &wish(20.0));
    let mut room = Room { sitting: Sitting::new(plan), coaches: vec![coach], never: 5 };
    let steps: Vec<(NextPass, Outcome)> = std::iter::from_fn(|| room.step()).take(400).collect();
    assert!(steps.len() < 400 && room.sitting.item().is_none(), "it ends");
    let of = |bar: usize| steps.iter().filter(move |(pass, _)| pass.bars == LoopBars::new(bar, bar));
    let speeds: Vec<f64> = of(2).map(|(pass, _)| pass.speed.percent()).collect();
    assert!(speeds.windows(2).all(|pair| pair[0] < pair[1]), "{speeds:?}");
    assert_eq!(of(2).next_back().map(|(_, outcome)| *outcome), Some(Outcome::Clean(2)));
    assert_eq!(speeds.last(), Some(&100.0));
    let ends: Vec<Outcome> = of(5).map(|(_, outcome)| *outcome).collect();
    assert!(ends.iter().any(|end| matches!(end, Outcome::NoBetter(5, _))), "{ends:?}");
    assert!(room.coaches[0].spacings().any(|(bar, spacing)| bar == 2 && spacing.is_some()), "learned");
}

#[test]
fn items_are_skipped_moved_and_played_again() {
    let (part, coach) = (part_of_two_sections(), heard(&[2, 5], 4, 0.0));
    let mut sitting = Sitting::new(planned(&part, &coach, &wish(20.0)));
    let last = sitting.items().len() - 1;
    let run = sitting.items()[last].clone();
    sitting.skip();
    sitting.reorder(last, 1);
    assert_eq!((sitting.at(), sitting.item()), (1, Some(&run)));
    sitting.reorder(0, 2);
    assert_eq!(sitting.item(), Some(&run), "what is done stays where it is");
    sitting.back();
    assert!(matches!(sitting.item().unwrap().task, Task::Scale(_)));
    sitting.go_to(99);
    assert_eq!(sitting.next_pass(std::slice::from_ref(&coach), 0.5), None);
}

#[test]
fn after_the_first_hearing_the_rest_is_planned_anew() {
    let (part, coach) = (part_of_two_sections(), Coach::new(8, Speed::FULL));
    let plan = planned(&part, &coach, &wish(20.0));
    let mut room = Room { sitting: Sitting::new(plan), coaches: vec![coach], never: 5 };
    let (pass, _) = room.step().unwrap();
    assert_eq!((pass.purpose, pass.speed.percent()), (history::Purpose::Survey, 60.0));
    let left = room.sitting.minutes_ahead();
    let again = planned(&part, &room.coaches[0], &wish(left));
    room.sitting.replan(again);
    assert!(room.sitting.items().iter().any(|item| matches!(item.task, Task::Drill { bar: 5, .. })));
    assert!(matches!(room.sitting.items()[2].task, Task::Survey { .. }), "what was done stays");
}

/// What is struck in an excerpt: bar, milliseconds, key.
fn struck(excerpt: &practice::learn::Excerpt) -> Vec<(usize, f64, u8)> {
    let notes = expected(&excerpt.part).notes;
    notes.iter().map(|n| (n.bar, n.at.ms(), n.key.number())).collect()
}

#[test]
fn a_drill_goes_from_the_last_beat_before_into_the_first_after() {
    // A beat is a second; each bar a chord in each half, struck every beat, so that it can be told where it begins.
    let every_beat = |n: u8| bar((4, 4), 60.0, &[SlotOf { every: 2, ..chord(8, &[60 + n], &[]) }]);
    let part = part(&[every_beat(0), every_beat(1), every_beat(2), every_beat(3)]);
    let excerpt = practice::learn::Excerpt::of(&part, LoopBars::new(1, 1), true).unwrap();
    // By hand: the last beat of the bar before, four beats of the bar, one of the bar after.
    let expected = [
        (0, 3000.0, 60),
        (1, 4000.0, 61),
        (1, 5000.0, 61),
        (1, 6000.0, 61),
        (1, 7000.0, 61),
        (2, 8000.0, 62),
    ];
    assert_eq!(struck(&excerpt), expected);
    assert_eq!(excerpt.bars, [None, Some(1), None]);
    assert_eq!(excerpt.part.bars[2].played.meter.to_string(), "1/4");
    let ends = practice::learn::Excerpt::of(&part, LoopBars::new(0, 0), true).unwrap();
    assert_eq!(ends.bars, [Some(0), None], "nothing leads into the first bar");
    assert_eq!(practice::learn::Excerpt::of(&part, LoopBars::new(2, 4), true), None);
}

#[test]
fn what_is_held_over_the_last_beat_before_is_struck_on_it() {
    let whole = |n: u8| bar((4, 4), 60.0, &[chord(8, &[60 + n], &[])]);
    let excerpt =
        practice::learn::Excerpt::of(&part(&[whole(0), whole(1)]), LoopBars::new(1, 1), true).unwrap();
    assert_eq!(struck(&excerpt), [(0, 3000.0, 60), (1, 4000.0, 61)]);
}

#[test]
fn the_join_of_two_songs_is_the_end_of_one_and_the_beginning_of_the_next() {
    let (ends, mut begins) =
        (part_of_two_sections(), part(&vec![bar((3, 4), 60.0, &[chord(6, &[72], &[])]); 3]));
    begins.title = "Weir".into();
    let join = practice::learn::Excerpt::between(&ends, &begins, 2);
    assert_eq!(join.part.title, "Towpath into Weir");
    let meters: Vec<String> = join.part.bars.iter().map(|bar| bar.played.meter.to_string()).collect();
    assert_eq!(meters, ["4/4", "4/4", "3/4", "3/4"]);
    assert_eq!(struck(&join).iter().filter(|(_, _, key)| *key == 72).count(), 2);
    assert_eq!(join.part.sections[join.part.bars[2].played.section], "Verse");
    assert!(join.bars.iter().all(Option::is_none));
}

#[test]
fn goals_of_a_coach_are_taken_up() {
    let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
        "sections": [ { "name": "Verse", "bars": ["1 | 4 | 5"] }, { "name": "Chorus", "bars": ["4 | 1"] } ],
        "goals": [ { "section": "Chorus", "speed": 80, "day": "2026-12-04" }, { "section": "Verse", "bar": 2 } ] }"#;
    let song = song::read(text).sound().unwrap().play();
    let goals = practice::learn::goal_bars(&song);
    assert_eq!(goals.iter().map(|goal| goal.bars.clone()).collect::<Vec<_>>(), [vec![3, 4], vec![1]]);
    // 4 December 2026 is the 20791st day after 1 January 1970: 56 years with 14 leap days, and 337 days.
    assert_eq!(practice::learn::first_day(&goals, 20_790), Some(20_791));
    assert_eq!(practice::learn::first_day(&goals, 20_792), None);
    let mut coach = Coach::new(5, Speed::FULL);
    coach.aim(&goals);
    let mut drill = coach.drill(3, 0.0).unwrap();
    let passes = (1..20).find(|_| drill.heard(true).is_some()).unwrap();
    assert_eq!(drill.speed().percent(), 80.0, "after {passes} passes");
}
