//! Takes made from the timeline with planted mistakes are scored to exactly those mistakes, and a session that hears them
//! says the same as the score made afterwards.

use crate::support::*;
use practice::*;
use proptest::prelude::*;
use std::sync::Arc;

/// What a player does with an expected note. Times are as played, in tenths of a millisecond.
#[derive(Clone, Copy, Debug)]
enum Deed {
    /// Within the narrow window.
    InTime(i32),
    /// Counted, but outside of it.
    Loose(i32),
    Missed,
    /// Another key, that the song does not use, at the right time.
    Wrong(u8),
}

fn deed() -> impl Strategy<Value = Deed> {
    prop_oneof![
        6 => (-340i32..=340).prop_map(Deed::InTime),
        1 => (620i32..=1000).prop_map(Deed::Loose),
        1 => (-1000i32..=-620).prop_map(Deed::Loose),
        1 => Just(Deed::Missed),
        1 => (100u8..108).prop_map(Deed::Wrong),
    ]
}

/// Bars of 3/4, 4/4 and 6/8 at tempos whose windows hold all deeds at every speed tried, with strikes at least 350 ms
/// apart as played.
fn bars() -> impl Strategy<Value = Vec<BarOf>> {
    let slot = |eighths: i64| {
        let right = prop::collection::btree_set(55u8..80, 1..4);
        (right, 30u8..50, any::<bool>()).prop_map(move |(right, left, push)| SlotOf {
            push,
            ..chord(eighths, &right.into_iter().collect::<Vec<u8>>(), &[left])
        })
    };
    let meter = |upper: u8, lower: u8, slots: [i64; 2]| {
        (slot(slots[0]), slot(slots[1]), 60.0..90.0)
            .prop_map(move |(a, b, tempo)| bar((upper, lower), tempo, &[a, b]))
    };
    prop::collection::vec(prop_oneof![meter(4, 4, [4, 4]), meter(3, 4, [4, 2]), meter(6, 8, [3, 3])], 1..5)
}

/// A take: what was struck, in chart time, with the key and the expected note it stands for, by time.
fn take(expected: &Expected, deeds: &[Deed], speed: Speed) -> Vec<(ChartTime, u8)> {
    let late = |tenths: i32| ChartTime::from_ms(speed.shrink_ms(f64::from(tenths) / 10.0));
    let strike = |(n, note): (usize, &ExpectedNote)| match deeds[n % deeds.len()] {
        Deed::InTime(by) | Deed::Loose(by) => Some((note.at + late(by), note.key.number())),
        Deed::Missed => None,
        Deed::Wrong(key) => Some((note.at, key)),
    };
    let mut strikes: Vec<(ChartTime, u8)> = expected.notes.iter().enumerate().filter_map(strike).collect();
    strikes.sort_unstable();
    strikes
}

fn check(expected: &Expected, deeds: &[Deed], score: &Score) -> Result<(), TestCaseError> {
    let count =
        |test: fn(&Deed) -> bool| (0..expected.notes.len()).filter(|n| test(&deeds[n % deeds.len()])).count();
    let missed = count(|d| matches!(d, Deed::Missed | Deed::Wrong(_)));
    prop_assert_eq!((score.missed, score.extra), (missed, count(|d| matches!(d, Deed::Wrong(_)))));
    for (n, note) in score.notes.iter().enumerate() {
        let played = note.error.map(|e| score.as_played_ms(e));
        match deeds[n % deeds.len()] {
            Deed::InTime(by) | Deed::Loose(by) => {
                let error = played.unwrap_or(f64::NAN) - f64::from(by) / 10.0;
                // Half a tick at 60 quarters a minute is 16 µs of the chart, at 45 % 36 µs; two roundings to whole
                // microseconds come on top.
                prop_assert!(error.abs() < 0.04, "note {n} is {error} ms off");
                prop_assert_eq!(note.in_time, by.abs() < 500);
            }
            Deed::Missed | Deed::Wrong(_) => prop_assert_eq!(played, None),
        }
    }
    Ok(())
}

/// Plays a take to a session, and lets the song end.
fn perform(session: &mut Session, strikes: &[(ChartTime, u8)], speed: Speed) -> Stamp {
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), Stamp::default());
    session.apply(SessionCommand::SetSpeed(speed), Stamp::default());
    session.apply(SessionCommand::Start, Stamp::default());
    let counts = session.cues(Stamp::default(), Stamp::from_ms(60_000.0));
    let bar_lines = counts.iter().filter(|c| c.kind == CueKind::Click(Accent::Bar));
    let bar_line =
        bar_lines.clone().nth(count_in_bars(session.timeline(), 0, speed) as usize).expect("a first bar").at;
    let mut now = Stamp::default();
    for &(at, number) in strikes {
        let stamp = bar_line.plus_ms(speed.stretch_ms(at.ms()));
        while now.plus_ms(40.0) < stamp {
            now = now.plus_ms(40.0);
            session.tick(now);
        }
        session.note(stamp, key(number), NoteChange::On { velocity: 70 });
        session.note(stamp.plus_ms(60.0), key(number), NoteChange::Off);
    }
    while session.is_running() {
        now = now.plus_ms(40.0);
        session.tick(now);
    }
    now
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(80))]

    #[test]
    fn planted_mistakes_are_found_and_nothing_else(
        bars in bars(),
        deeds in prop::collection::vec(deed(), 1..40),
        percent in 45.0f64..115.0,
    ) {
        let part = Arc::new(part(&bars));
        let expected = expected(&part);
        let speed = Speed::new(percent.round()).unwrap();
        let strikes = take(&expected, &deeds, speed);
        let mut session = Session::new(part.clone());
        let now = perform(&mut session, &strikes, speed);
        let view = session.view(now);
        let (score, take) = (view.score.expect("a score"), view.take.expect("a take"));
        check(&expected, &deeds, &score)?;

        let options = ScoreOptions { speed: take.speed, ..ScoreOptions::default() };
        let again = practice::score(&take.expected(&part, session.timeline()), &take.notes, &options);
        prop_assert_eq!(&*score, &again, "the result of the session is that of the take");
        for (event, mark) in view.marks.iter().enumerate() {
            let note = score.notes.iter().find(|n| n.event == event).expect("each event is expected");
            prop_assert_eq!(*mark == Mark::Missed, note.error.is_none());
            prop_assert_eq!(matches!(mark, Mark::Hit(_)), note.in_time);
        }
    }
}

/// Two bars of 4/4 at 120 and two of 3/4 at 90, one key on each beat: they last 4000 ms and 4000 ms.
fn two_tempi() -> Arc<voicing::Part> {
    let beats = |n: usize| vec![chord(2, &[60], &[]); n];
    let bars = [((4, 4), 120.0), ((4, 4), 120.0), ((3, 4), 90.0), ((3, 4), 90.0)];
    Arc::new(part(&bars.map(|(meter, tempo)| bar(meter, tempo, &beats(meter.0.into())))))
}

/// Plays on every beat that is heard, with commands at their times, until it stops by itself or at the end.
fn laps(session: &mut Session, commands: &[(f64, SessionCommand)], until: f64) -> Vec<Lap> {
    let mut commands = commands.iter().peekable();
    let mut now = 0.0;
    while now < until {
        while let Some((at, command)) = commands.next_if(|c| c.0 <= now) {
            session.apply(*command, Stamp::from_ms(*at));
        }
        let (from, to) = (Stamp::from_ms(now), Stamp::from_ms(now + 10.0));
        for cue in session.cues(from, to) {
            if matches!(cue.kind, CueKind::Click(_)) {
                session.note(cue.at, key(60), NoteChange::On { velocity: 70 });
                session.note(cue.at.plus_ms(50.0), key(60), NoteChange::Off);
            }
        }
        session.tick(to);
        now += 10.0;
    }
    session.apply(SessionCommand::Stop, Stamp::from_ms(now));
    session.view(Stamp::from_ms(now)).laps.to_vec()
}

/// The steps of a take's tempo: where in the song, quarters a minute, percent.
fn steps(take: &Take) -> Vec<(f64, f64, f64)> {
    let step = |t: &TempoStep| (take.tempo.time(t.tick).ms(), t.quarters_per_minute, t.speed.percent());
    take.tempo.tempi().iter().map(step).collect()
}

#[test]
fn a_take_knows_the_tempi_it_was_played_to() {
    let mut session = Session::new(two_tempi());
    let begin = [
        (0.0, SessionCommand::SetMode(Mode::PlayAlong)),
        (0.0, SessionCommand::SetCountIn(false)),
        (0.0, SessionCommand::SetSpeed(Speed::clamped(50.0))),
        (0.0, SessionCommand::Start),
        // The first bar line comes 120 ms after the start, and a change holds 250 ms after it is asked for: this is 3000 ms
        // into the song, at half the speed.
        (5870.0, SessionCommand::SetSpeed(Speed::clamped(80.0))),
    ];
    let laps = laps(&mut session, &begin, 16_000.0);
    let take = &laps[0].take;
    assert_eq!(take.tempo.start(), ChartTime::ZERO);
    assert_eq!(steps(take), [(0.0, 120.0, 50.0), (3000.0, 120.0, 80.0), (4000.0, 90.0, 80.0)]);
    let meters: Vec<String> = take.tempo.meters().iter().map(|m| m.meter.to_string()).collect();
    assert_eq!((meters, take.speed.percent()), (vec!["4/4".to_owned(), "3/4".to_owned()], 80.0));
    let worst = laps[0].score.notes.iter().filter_map(|n| n.error).map(ChartTime::abs).max();
    assert!(worst.is_some_and(|worst| worst < ChartTime::from_micros(50)), "{worst:?}");
}

#[test]
fn each_lap_of_a_loop_has_its_own_tempi() {
    let mut session = Session::new(two_tempi());
    let begin = [
        (0.0, SessionCommand::SetMode(Mode::PlayAlong)),
        (0.0, SessionCommand::SetCountIn(false)),
        (0.0, SessionCommand::SetLoop(Some(LoopBars::new(1, 2)))),
        (0.0, SessionCommand::Start),
        // The two bars last 4000 ms: 1000 ms into the second lap, which is in the bar at 120.
        (4870.0, SessionCommand::SetSpeed(Speed::clamped(50.0))),
    ];
    let laps = laps(&mut session, &begin, 18_000.0);
    assert_eq!(laps.iter().map(|lap| lap.take.tempo.start().ms()).collect::<Vec<_>>(), [2000.0; 3]);
    assert_eq!(steps(&laps[0].take), [(2000.0, 120.0, 100.0), (4000.0, 90.0, 100.0)]);
    assert_eq!(steps(&laps[1].take), [(2000.0, 120.0, 100.0), (3000.0, 120.0, 50.0), (4000.0, 90.0, 50.0)]);
    assert_eq!(steps(&laps[2].take), [(2000.0, 120.0, 50.0), (4000.0, 90.0, 50.0)]);
}
