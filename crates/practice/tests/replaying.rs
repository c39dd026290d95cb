//! A take that is heard again.

use crate::support::*;
use practice::*;
use std::sync::Arc;
use theory::Hand;

/// A bar of C for the right hand over C2, played at half speed: one key late, the pedal down in between.
fn lap() -> Lap {
    let part = Arc::new(part(&[bar((4, 4), 120.0, &[chord(8, &[60, 64], &[36])])]));
    let ms = ChartTime::from_ms;
    let note = |at: f64, k: u8| PlayedNote { at: ms(at), length: Some(ms(500.0)), key: key(k), velocity: 90 };
    let speed = Speed::clamped(50.0);
    let take = Take::new(vec![note(0.0, 60), note(40.0, 64)], speed, Hands::Right, None);
    let take = take.with_controls(vec![ControlChange { at: ms(100.0), controller: SUSTAIN, value: 127 }]);
    let expected = take.expected(&part, &Timeline::new(&part));
    let score = score(&expected, &take.notes, &ScoreOptions { speed, ..ScoreOptions::default() });
    Lap { part, take: Arc::new(take), score: Arc::new(score) }
}

/// All cues, in milliseconds from the first, however the stretches of time fall.
fn cues(with_part: bool) -> Vec<(f64, CueKind)> {
    cues_of(&lap(), with_part)
}

fn cues_of(lap: &Lap, with_part: bool) -> Vec<(f64, CueKind)> {
    let replay = Replay::start(lap, with_part, Stamp::from_ms(1000.0));
    let mut cues = Vec::new();
    for n in 0..600 {
        let at = |n: i32| Stamp::from_ms(1000.0 + 17.0 * f64::from(n));
        cues.extend(replay.cues(at(n), at(n + 1)));
    }
    let first = cues[0].at;
    cues.into_iter().map(|cue| (cue.at.ms_since(first).round(), cue.kind)).collect()
}

#[test]
fn a_take_is_heard_as_it_was_played() {
    let on = |k: u8| CueKind::TakeOn { key: key(k), velocity: 90 };
    let off = |k: u8| CueKind::TakeOff { key: key(k) };
    let down = CueKind::TakePedal { controller: SUSTAIN, value: 127 };
    // At half speed every chart millisecond lasts two.
    let expected = [(0.0, on(60)), (80.0, on(64)), (200.0, down), (1000.0, off(60)), (1080.0, off(64))];
    assert_eq!(cues(false), expected);
}

#[test]
fn the_part_plays_along_with_both_hands_at_the_same_speed() {
    let cues = cues(true);
    let of_part = |cue: &&(f64, CueKind)| matches!(cue.1, CueKind::NoteOn { .. } | CueKind::NoteOff { .. });
    let part: Vec<_> = cues.iter().filter(of_part).collect();
    assert_eq!(part.len(), 6, "two keys of the right hand, one of the left, down and up");
    assert!(part.iter().any(|cue| matches!(cue.1, CueKind::NoteOn { hand: Hand::Left, .. }) && cue.0 == 0.0));
    // A bar of 4/4 at 120 lasts two seconds, at half speed four.
    assert!(part.iter().any(|cue| matches!(cue.1, CueKind::NoteOff { .. }) && cue.0 == 4000.0), "{part:?}");
    assert!(cues.iter().any(|cue| matches!(cue.1, CueKind::TakeOn { .. })), "and the take is heard");
}

#[test]
fn it_says_where_it_is_and_when_it_is_over() {
    let now = Stamp::from_ms(1000.0);
    let replay = Replay::start(&lap(), false, now);
    let start = replay.cues(now, now.plus_ms(500.0))[0].at;
    // A second at half speed is half a second of the song: a beat at 120.
    assert!((replay.quarters(start.plus_ms(1000.0)) - 1.0).abs() < 1e-6);
    assert!(!replay.is_over(start.plus_ms(1100.0)) && replay.is_over(start.plus_ms(1600.0)));
}

/// A bar of 4/4 at 120 and one at 60, a key on each beat; played at half speed, from the third beat on at full.
fn uneven_lap() -> Lap {
    let beats = [chord(2, &[60], &[]), chord(2, &[62], &[]), chord(2, &[64], &[]), chord(2, &[65], &[])];
    let part = Arc::new(part(&[bar((4, 4), 120.0, &beats), bar((4, 4), 60.0, &beats)]));
    let timeline = Timeline::new(&part);
    let speeds = [(0.0, Speed::clamped(50.0)), (1000.0, Speed::FULL)];
    let tempo = TakeTempo::of_bars(&timeline, LoopBars::new(0, 1), &speeds);
    let notes = part.events.iter().map(|e| PlayedNote {
        at: timeline.time(e.start),
        length: Some(ChartTime::from_ms(250.0)),
        key: e.key,
        velocity: 90,
    });
    let take = Take::over(tempo, notes.collect(), Speed::FULL, Hands::Right, None);
    let score = take.score(&part, &timeline);
    Lap { part, take: Arc::new(take), score: Arc::new(score) }
}

#[test]
fn a_take_whose_speed_changed_is_heard_again_as_it_changed() {
    let cues = cues_of(&uneven_lap(), false);
    let struck: Vec<f64> =
        cues.iter().filter(|cue| matches!(cue.1, CueKind::TakeOn { .. })).map(|cue| cue.0).collect();
    // By hand: two beats of 500 ms at half the speed, two at full; then beats of 1000 ms.
    assert_eq!(struck, [0.0, 1000.0, 2000.0, 2500.0, 3000.0, 4000.0, 5000.0, 6000.0]);
    assert_eq!(cues[1], (500.0, CueKind::TakeOff { key: key(60) }), "250 ms at half the speed");
}

#[test]
fn the_part_and_the_place_change_their_speed_with_the_take() {
    let cues = cues_of(&uneven_lap(), true);
    let of_part = |cue: &&(f64, CueKind)| matches!(cue.1, CueKind::NoteOn { .. });
    let struck: Vec<f64> = cues.iter().filter(of_part).map(|cue| cue.0).collect();
    assert_eq!(struck, [0.0, 1000.0, 2000.0, 2500.0, 3000.0, 4000.0, 5000.0, 6000.0]);
    let now = Stamp::from_ms(1000.0);
    let replay = Replay::start(&uneven_lap(), false, now);
    let start = replay.cues(now, now.plus_ms(500.0))[0].at;
    for (ms, quarters) in [(500.0, 0.5), (2000.0, 2.0), (2250.0, 2.5), (3500.0, 4.5)] {
        assert!((replay.quarters(start.plus_ms(ms)) - quarters).abs() < 1e-3, "{ms} ms");
    }
}
