//! What the coach advises, step by step.

use practice::Speed;
use practice::learn::*;

/// A song of eight bars; `hard` go up to 60 %, the others beyond the tempo.
struct Room {
    coach: Coach,
    hard: Vec<usize>,
}

impl Room {
    fn new(hard: &[usize]) -> Room {
        Room { coach: Coach::new(8, Speed::FULL), hard: hard.to_vec() }
    }

    /// Plays what is advised on a day.
    fn step(&mut self, day: f64) -> Advice {
        let advice = self.coach.next(day).unwrap();
        let clean = |bar: usize| !self.hard.contains(&bar) || advice.speed.percent() <= 60.0;
        let heard: Vec<Heard> =
            (advice.bars.from()..=advice.bars.to()).map(|bar| Heard { bar, clean: clean(bar) }).collect();
        self.coach.heard(&advice, &heard, day);
        advice
    }
}

#[test]
fn a_song_without_bars_has_nothing_to_play() {
    assert_eq!(Coach::new(0, Speed::FULL).next(0.0), None);
}

#[test]
fn first_the_whole_song_is_heard_slowly() {
    let advice = Room::new(&[]).step(0.0);
    assert_eq!((advice.why, advice.speed.percent()), (Why::Survey, 60.0));
    assert_eq!((advice.bars.from(), advice.bars.to()), (0, 7));
}

#[test]
fn hard_bars_take_turns_and_none_comes_twice_in_a_row() {
    let mut room = Room::new(&[2, 5, 6]);
    let mut played: Vec<usize> = Vec::new();
    for _ in 0..60 {
        let advice = room.step(0.1);
        if advice.why == Why::Hard {
            played.push(advice.bars.from());
        }
    }
    assert!(played.windows(2).all(|w| w[0] != w[1]), "{played:?}");
    let of = |bar: usize| played.iter().filter(|b| **b == bar).count();
    assert!(of(2) >= 9 && of(5) >= 9 && of(6) >= 9, "{played:?}");
}

#[test]
fn bars_that_go_climb_to_the_tempo_and_are_asked_again_the_day_after() {
    let mut room = Room::new(&[]);
    let first: Vec<Advice> = (0..60).map(|_| room.step(0.2)).collect();
    assert!(first.iter().any(|a| a.why == Why::Hard && a.speed == Speed::FULL));
    let again: Vec<usize> =
        (0..40).map(|_| room.step(1.3)).filter(|a| a.why == Why::AskedAgain).map(|a| a.bars.from()).collect();
    assert!(!again.is_empty());
    let mut once = again.clone();
    once.dedup();
    assert_eq!(once.len(), again.len());
    let all = room.coach.chances(1.3);
    assert!(all.iter().all(|c| c.mean > 0.85 && c.low <= c.mean && c.mean <= c.high), "{all:?}");
}

#[test]
fn when_nothing_is_left_the_song_is_played_through() {
    let mut room = Room::new(&[]);
    assert!((0..120).any(|_| room.step(0.2).why == Why::RunThrough));
}

#[test]
fn what_is_no_longer_there_is_worked_on_again() {
    let mut room = Room::new(&[]);
    (0..120).for_each(|_| _ = room.step(0.2));
    room.hard = vec![4];
    let advice: Vec<Advice> = (0..40).map(|_| room.step(1.2)).collect();
    let worked_on = |a: &&Advice| a.why == Why::Hard && a.bars.from() == 4;
    assert!(advice.iter().filter(worked_on).count() >= 5);
}

#[test]
fn the_song_is_as_likely_as_all_of_its_bars_together() {
    let mut room = Room::new(&[1]);
    (0..30).for_each(|_| _ = room.step(0.1));
    let bars = room.coach.chances(0.1);
    let song = room.coach.song_chance(0.1);
    let product: f64 = bars.iter().map(|c| c.mean).product();
    assert!((song.mean - product).abs() < 1e-9);
    assert!(song.low < song.mean && song.mean < song.high);
    let later = room.coach.song_chance(14.0);
    assert!(later.mean < song.mean, "two weeks without practice");
}
