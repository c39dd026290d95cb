//! Pedalling with planted faults.

use crate::support::*;
use practice::*;
use std::sync::Arc;

/// Four bars of 4/4 at 120 (a bar lasts 2000 ms), a new chord in each.
fn song() -> voicing::Part {
    let chords = [[60, 64, 67], [57, 60, 64], [65, 69, 72], [59, 62, 67]];
    let mut part = part(&chords.map(|keys| bar((4, 4), 120.0, &[chord(8, &keys, &[keys[0] - 24])])));
    for (n, bar) in part.bars.iter_mut().enumerate() {
        bar.played.pedal = true;
        for slot in &mut bar.played.slots {
            if let song::SlotKind::Chord { chord, .. } = &mut slot.kind {
                let root = theory::Degree::new([1, 6, 4, 5][n], 0).unwrap();
                let written = theory::NumberChord { root, quality: None, extension: None, under: None };
                *chord = theory::Chord::in_key(written, c_major());
            }
        }
    }
    part
}

/// Where the foot goes down (127) and up (0), in milliseconds as played.
type Feet = Vec<(f64, u8)>;

/// How that is judged at a speed, with fingers that hold for so long.
fn judged(feet: &[(f64, u8)], percent: f64, fingers_ms: f64) -> PedalScore {
    let (part, speed) = (song(), Speed::new(percent).unwrap());
    let timeline = Timeline::new(&part);
    let chart = |ms: f64| ChartTime::from_ms(speed.shrink_ms(ms));
    let notes: Vec<PlayedNote> = exactly(&expected(&part), 0.0)
        .into_iter()
        .map(|n| PlayedNote { length: Some(chart(fingers_ms)), ..n })
        .collect();
    let controls =
        feet.iter().map(|&(ms, value)| ControlChange { at: chart(ms), controller: SUSTAIN, value });
    let take = Take::new(notes, speed, Hands::Both, None).with_controls(controls.collect());
    let score = score(&expected(&part), &take.notes, &ScoreOptions { speed, ..ScoreOptions::default() });
    judge_pedal(&part, &timeline, &take, &score)
}

/// A good take: down 200 ms after each chord, up 30 ms after the next.
fn good() -> Vec<(f64, u8)> {
    (0..4)
        .flat_map(|n| [(2000.0 * f64::from(n) + 200.0, 127), (2000.0 * f64::from(n + 1) + 30.0, 0)])
        .collect()
}

fn words(pedal: &PedalScore) -> Vec<(usize, String)> {
    (0..4).filter_map(|bar| Some((bar, pedal.words(bar)?))).collect()
}

#[test]
fn syncopated_pedalling_has_no_fault() {
    let pedal = judged(&good(), 100.0, 1900.0);
    assert_eq!(pedal.verdicts.len(), 4);
    assert_eq!((words(&pedal), pedal.wrong_polarity), (vec![], false));
}

#[test]
fn each_planted_fault_is_named_in_its_bar() {
    let with = |change: &dyn Fn(&mut Feet)| {
        let mut feet = good();
        change(&mut feet);
        words(&judged(&feet, 100.0, 1500.0))
    };
    let one = |bar, text: &str| vec![(bar, text.to_owned())];
    assert_eq!(with(&|f| drop(f.drain(1..3))), one(1, "pedal blurred: held through the change"));
    assert_eq!(with(&|f| f[3].0 = 4150.0), one(2, "pedal late: up 150 ms after the chord"));
    assert_eq!(with(&|f| f[1].0 = 1700.0), one(1, "pedal gapped: nothing sounds for 300 ms"));
    assert_eq!(
        with(&|f| (f[3].0, f[4].0) = (3985.0, 3995.0)),
        one(2, "pedal down with the chord or before it: press it once the chord sounds alone")
    );
    assert_eq!(with(&|f| f[4].0 = 5000.0), one(2, "pedal late: down again 1000 ms after the chord"));
    assert_eq!(with(&|f| drop(f.drain(6..))), one(3, "pedal not used"));
    let short = words(&judged(&good(), 100.0, 150.0));
    assert_eq!(short.len(), 4, "the fingers let go 50 ms before the foot is down: {short:?}");
}

#[test]
fn limits_are_as_played() {
    // At half speed a chord comes every 4000 ms; up 70 ms late is still in time, 90 is not.
    let feet = |late: f64| -> Vec<(f64, u8)> {
        (0..4)
            .flat_map(|n| [(4000.0 * f64::from(n) + 300.0, 127), (4000.0 * f64::from(n + 1) + late, 0)])
            .collect()
    };
    assert_eq!(words(&judged(&feet(70.0), 50.0, 3800.0)), vec![]);
    assert_eq!(words(&judged(&feet(90.0), 50.0, 3800.0)).len(), 3);
}

// MIDI 1.0: 0-63 up, 64-127 down. Pedals that send values in between waver.
#[test]
fn a_pedal_that_wavers_around_the_middle_stays_down() {
    let mut feet = good();
    // The foot lets the pedal come up a little before the second chord, and only then all the way.
    feet.extend([(1000.0, 62), (1010.0, 66), (1700.0, 60), (1985.0, 70)]);
    feet.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert_eq!(words(&judged(&feet, 100.0, 1900.0)), vec![]);
}

#[test]
fn a_pedal_the_wrong_way_round_is_told_once() {
    let turned: Vec<(f64, u8)> = good().into_iter().map(|(at, value)| (at, 127 - value)).collect();
    let pedal = judged(&turned, 100.0, 1900.0);
    assert!(pedal.wrong_polarity && pedal.remark().is_some());
    assert_eq!(words(&pedal), vec![]);
}

#[test]
fn a_session_keeps_the_pedal_in_the_take_and_is_not_asked_to_judge_it() {
    let ms = Stamp::from_ms;
    let mut session = Session::new(Arc::new(song()));
    assert!(!session.settings().pedal, "off by default");
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), ms(0.0));
    session.apply(SessionCommand::SetCountIn(false), ms(0.0));
    session.apply(SessionCommand::Start, ms(0.0));
    session.note(ms(120.0), key(60), NoteChange::On { velocity: 70 });
    session.control(ms(320.0), SUSTAIN, 127);
    session.apply(SessionCommand::Stop, ms(1000.0));
    let take = session.view(ms(1000.0)).take.unwrap();
    assert_eq!(
        take.controls,
        [ControlChange { at: ChartTime::from_ms(200.0), controller: SUSTAIN, value: 127 }]
    );
}

/// The second bar is played along with, again and again, from 120 ms on.
fn looping() -> Session {
    let mut session = Session::new(Arc::new(song()));
    for command in [
        SessionCommand::SetMode(Mode::PlayAlong),
        SessionCommand::SetCountIn(false),
        SessionCommand::SetLoop(Some(LoopBars::new(1, 1))),
        SessionCommand::Start,
    ] {
        session.apply(command, Stamp::from_ms(0.0));
    }
    session
}

#[test]
fn a_pedal_that_is_down_over_the_bar_line_of_a_loop_is_down_in_the_next_lap() {
    let ms = Stamp::from_ms;
    let mut session = looping();
    // Laps of 2000 ms, the first from 120 ms on. The sustain pedal is held half down from the first into the third, the
    // soft pedal is up again before.
    for (at, controller, value) in [(900.0, 64, 90), (1000.0, 67, 127), (1500.0, 67, 0), (4620.0, 64, 0)] {
        session.control(ms(at), controller, value);
    }
    for lap in 0..3 {
        session.note(ms(130.0 + 2000.0 * f64::from(lap)), key(57), NoteChange::On { velocity: 70 });
        session.tick(ms(2400.0 + 2000.0 * f64::from(lap)));
    }
    let view = session.view(ms(6500.0));
    let moved = |c: &ControlChange| (c.at.ms().round(), c.controller, c.value);
    let feet: Vec<Vec<(f64, u8, u8)>> =
        view.laps.iter().map(|lap| lap.take.controls.iter().map(moved).collect()).collect();
    // The bar that is looped begins at 2000 ms of the chart.
    assert_eq!(feet[0], [(2780.0, 64, 90), (2880.0, 67, 127), (3380.0, 67, 0)]);
    assert_eq!(feet[1], [(2000.0, 64, 90)]);
    assert_eq!(feet[2], [(2000.0, 64, 90), (2500.0, 64, 0)]);
}

#[test]
fn a_loop_is_stopped_with_the_pedal_down() {
    let ms = Stamp::from_ms;
    let mut session = looping();
    session.note(ms(130.0), key(57), NoteChange::On { velocity: 70 });
    session.control(ms(900.0), 64, 127);
    session.apply(SessionCommand::Stop, ms(1500.0));
    let laps = session.view(ms(1600.0)).laps;
    assert_eq!(laps.len(), 1, "the lap that was begun, and none that was not");
}
