use crate::support::*;
use practice::*;
use std::sync::Arc;
use theory::Hand;

fn ms(at: f64) -> Stamp {
    Stamp::from_ms(at)
}

/// 3/4 at 120 (a beat is 500 ms, the bar 1500 ms, counted in twice), then 4/4: C, a pushed F, G.
fn song() -> voicing::Part {
    let f = SlotOf { push: true, ..chord(8, &[65, 69, 72], &[41]) };
    part(&[
        bar((3, 4), 120.0, &[chord(6, &[60, 64, 67], &[36])]),
        bar((4, 4), 120.0, &[f]),
        bar((4, 4), 120.0, &[chord(8, &[59, 62, 67], &[43])]),
    ])
}

fn session(mode: Mode, settings: &[SessionCommand]) -> Session {
    let mut session = Session::new(Arc::new(song()));
    session.apply(SessionCommand::SetMode(mode), ms(0.0));
    settings.iter().for_each(|&s| session.apply(s, ms(0.0)));
    session
}

/// All cues of a run started at 10,000 ms, asked for in stretches of 37 ms, and when bar 0 begins by its first accent.
fn cues(session: &mut Session, seconds: u32) -> Vec<(f64, CueKind)> {
    session.apply(SessionCommand::Start, ms(10_000.0));
    let mut all = Vec::new();
    for n in 0..seconds * 1000 / 37 {
        let (from, to) = (10_000.0 + f64::from(n) * 37.0, 10_000.0 + f64::from(n + 1) * 37.0);
        all.extend(session.cues(ms(from), ms(to)));
        session.tick(ms(from));
    }
    all.into_iter().map(|c| (c.at.ms_since(ms(10_000.0)), c.kind)).collect()
}

fn clicks(cues: &[(f64, CueKind)]) -> Vec<(f64, Accent)> {
    let click = |c: &(f64, CueKind)| match c.1 {
        CueKind::Click(accent) => Some((c.0.round(), accent)),
        _ => None,
    };
    cues.iter().filter_map(click).collect()
}

fn onsets(cues: &[(f64, CueKind)]) -> Vec<(f64, Hand, u8)> {
    let onset = |c: &(f64, CueKind)| match c.1 {
        CueKind::NoteOn { hand, key, .. } => Some((c.0.round(), hand, key.number())),
        _ => None,
    };
    cues.iter().filter_map(onset).collect()
}

/// When the first bar line comes, after the start: with a count-in of two bars of 1500 ms.
const BAR_LINE: f64 = 120.0 + 3000.0;

#[test]
fn a_run_is_counted_in_and_clicked_to_its_end() {
    let clicks = clicks(&cues(&mut session(Mode::PlayAlong, &[]), 12));
    assert_eq!(clicks.len(), 6 + 3 + 4 + 4);
    let first: Vec<(f64, Accent)> = clicks[..4].iter().map(|c| (c.0 - 120.0, c.1)).collect();
    assert_eq!(
        first,
        [(0.0, Accent::Bar), (500.0, Accent::Beat), (1000.0, Accent::Beat), (1500.0, Accent::Bar)]
    );
    assert_eq!(clicks[6], (BAR_LINE, Accent::Bar));
    assert_eq!(clicks[9], (BAR_LINE + 1500.0, Accent::Bar), "3/4 is over after three beats");
    assert!(clicks.windows(2).all(|w| w[1].0 - w[0].0 == 500.0));
}

#[test]
fn without_click_only_the_count_in_is_heard_and_without_count_in_nothing() {
    let silent = SessionCommand::SetClick(false);
    assert_eq!(clicks(&cues(&mut session(Mode::PlayAlong, &[silent]), 12)).len(), 6);
    let straight = SessionCommand::SetCountIn(false);
    assert_eq!(clicks(&cues(&mut session(Mode::PlayAlong, &[silent, straight]), 12)).len(), 0);
}

#[test]
fn the_program_plays_the_hand_that_the_player_does_not() {
    let right = SessionCommand::SetHands(Hands::Right);
    let heard = onsets(&cues(&mut session(Mode::PlayAlong, &[right]), 12));
    let left = [(0.0, 36), (1250.0, 41), (3500.0, 43)].map(|(at, key)| (BAR_LINE + at, Hand::Left, key));
    assert_eq!(heard, left);
    assert_eq!(onsets(&cues(&mut session(Mode::PlayAlong, &[]), 12)), []);
    assert_eq!(onsets(&cues(&mut session(Mode::Listen, &[]), 12)).len(), 12);
}

#[test]
fn every_note_that_begins_ends() {
    let again = SlotOf { every: 1, ..chord(8, &[60, 64, 67], &[36]) };
    let mut s = Session::new(Arc::new(part(&[bar((4, 4), 120.0, &[again])])));
    s.apply(SessionCommand::SetMode(Mode::Listen), ms(0.0));
    let all = cues(&mut s, 6);
    assert_eq!(onsets(&all).len(), 32);
    let mut down = std::collections::HashSet::new();
    for (_, kind) in all {
        match kind {
            CueKind::NoteOn { key, .. } => assert!(down.insert(key), "{key:?} is struck while it is down"),
            CueKind::NoteOff { key, .. } => assert!(down.remove(&key)),
            _ => {}
        }
    }
    assert!(down.is_empty());
}

#[test]
fn what_is_wider_than_the_hand_is_rolled_from_the_lowest_note_up() {
    let mut wide = part(&[bar((4, 4), 120.0, &[chord(8, &[60, 64], &[36, 43, 52])])]);
    wide.events.iter_mut().filter(|e| e.hand == Hand::Left).for_each(|e| e.rolled = true);
    let mut s = Session::new(Arc::new(wide));
    s.apply(SessionCommand::SetMode(Mode::Listen), ms(0.0));
    s.apply(SessionCommand::SetCountIn(false), ms(0.0));
    let all = cues(&mut s, 4);
    let of = |hand: Hand| onsets(&all).into_iter().filter(move |o| o.1 == hand).map(|o| (o.0, o.2));
    assert!(of(Hand::Right).eq([(120.0, 60), (120.0, 64)]));
    assert!(of(Hand::Left).eq([(120.0, 36), (160.0, 43), (200.0, 52)]));
    let ends = all.iter().filter(|c| matches!(c.1, CueKind::NoteOff { .. })).map(|c| c.0.round());
    assert!(ends.eq([2120.0; 5]), "all end together");
}

#[test]
fn where_one_hand_is_practised_alone_the_other_is_silent() {
    let alone = [SessionCommand::SetOtherHand(false), SessionCommand::SetHands(Hands::Right)];
    assert_eq!(onsets(&cues(&mut session(Mode::PlayAlong, &alone), 12)), []);
    assert_eq!(onsets(&cues(&mut session(Mode::Listen, &alone), 12)).len(), 12, "listening is to both");
    let mut step = session(Mode::Step, &alone);
    [60, 64, 67].into_iter().for_each(|k| step.note(ms(0.0), key(k), NoteChange::On { velocity: 70 }));
    assert_eq!(step.view(ms(0.0)).step.map(|step| step.open_keys[0].1), Some(key(65)), "a step is done");
    assert_eq!(step.cues(ms(0.0), ms(900.0)), []);
}

#[test]
fn some_bars_are_played_once_and_no_further() {
    let mut s = session(Mode::Listen, &[SessionCommand::SetCountIn(false)]);
    s.apply(SessionCommand::SetLoop(Some(LoopBars::new(0, 2))), ms(0.0));
    s.apply(SessionCommand::StartIn(LoopBars::new(1, 1)), ms(0.0));
    let mut keys: Vec<u8> = Vec::new();
    for at in 0..60 {
        for cue in s.cues(ms(f64::from(at) * 50.0), ms(f64::from(at + 1) * 50.0)) {
            keys.extend(match cue.kind {
                CueKind::NoteOn { key, .. } => Some(key.number()),
                _ => None,
            });
        }
        s.tick(ms(f64::from(at) * 50.0));
    }
    keys.sort_unstable();
    assert_eq!(keys, [41, 65, 69, 72]);
    let view = s.view(ms(3000.0));
    assert_eq!((view.running, view.position.bar), (false, 1), "one is back where it began");
    assert_eq!(view.settings.loop_bars, Some(LoopBars::new(0, 2)), "the loop is as it was");
}

#[test]
fn half_speed_takes_twice_as_long() {
    let half = SessionCommand::SetSpeed(Speed::new(50.0).unwrap());
    let heard = onsets(&cues(&mut session(Mode::Listen, &[half]), 20));
    let starts: Vec<f64> = heard.iter().step_by(4).map(|o| o.0 - heard[0].0).collect();
    assert_eq!(starts, [0.0, 2500.0, 7000.0]);
}

#[test]
fn a_loop_s_first_push_sounds_in_its_last_eighth() {
    let looped = SessionCommand::SetLoop(Some(LoopBars::new(1, 1)));
    let heard = onsets(&cues(&mut session(Mode::Listen, &[looped]), 9));
    let starts: Vec<f64> = heard.iter().step_by(4).map(|o| o.0).collect();
    // Counted in for one bar of 4/4: two seconds, the first push 250 ms before they are over.
    assert_eq!(starts, [1750.0, 3750.0, 5750.0, 7750.0].map(|t| t + 120.0));
    assert!(heard.iter().all(|o| [41, 65, 69, 72].contains(&o.2)), "the next bar is not part of it");
}

#[test]
fn a_push_before_the_first_bar_line_is_heard_without_count_in_too() {
    let pushed = SlotOf { push: true, ..chord(8, &[60], &[]) };
    let mut s = Session::new(Arc::new(part(&[bar((4, 4), 120.0, &[pushed])])));
    s.apply(SessionCommand::SetMode(Mode::Listen), ms(0.0));
    s.apply(SessionCommand::SetCountIn(false), ms(0.0));
    let all = cues(&mut s, 5);
    assert_eq!(onsets(&all)[0].0, 120.0);
    assert_eq!(clicks(&all)[0], (370.0, Accent::Bar));
}

#[test]
fn the_count_is_shown_through_uneven_bars() {
    let mut s = session(Mode::PlayAlong, &[]);
    s.apply(SessionCommand::Start, ms(0.0));
    let mut shown = String::new();
    let mut last = (0, 0, 0);
    for n in 0..220 {
        let view = s.view(ms(f64::from(n) * 50.0 + 121.0));
        let (beat, bar) = match view.counting_in {
            Some(count) => (count.beat, -(count.bars_left as i32)),
            None => (view.position.beat, view.position.bar as i32),
        };
        if view.running && (beat, bar, 0) != last {
            shown += &if beat == 1 { format!("| {beat} ") } else { format!("{beat} ") };
            last = (beat, bar, 0);
        }
        s.tick(ms(f64::from(n) * 50.0 + 121.0));
    }
    assert_eq!(shown.trim_end(), "| 1 2 3 | 1 2 3 | 1 2 3 | 1 2 3 4 | 1 2 3 4");
}

/// A session under way, with its first bar line at 3120 ms.
fn running(settings: &[SessionCommand]) -> Session {
    let mut s = session(Mode::PlayAlong, settings);
    s.apply(SessionCommand::Start, ms(0.0));
    s
}

fn strike(s: &mut Session, at: f64, keys: &[u8]) {
    keys.iter().for_each(|&k| s.note(ms(at), key(k), NoteChange::On { velocity: 70 }));
    keys.iter().for_each(|&k| s.note(ms(at + 200.0), key(k), NoteChange::Off));
}

fn mark(s: &Session, at: f64, number: u8) -> Mark {
    let event = s.part().events.iter().position(|e| e.key == key(number)).unwrap();
    s.view(ms(at)).marks[event]
}

// At 120 a beat is 500 ms: in time within 40, counted within 125; the push comes 250 ms early and is judged there.
#[test]
fn strikes_are_judged_on_their_own_time_as_they_come() {
    let mut s = running(&[]);
    strike(&mut s, BAR_LINE + 30.0, &[60]);
    strike(&mut s, BAR_LINE + 60.0, &[64]);
    strike(&mut s, BAR_LINE - 90.0, &[36]);
    strike(&mut s, BAR_LINE + 10.0, &[61]);
    assert_eq!(mark(&s, BAR_LINE + 100.0, 60), Mark::Hit(30.0));
    assert_eq!(mark(&s, BAR_LINE + 100.0, 64), Mark::Late(60.0));
    assert_eq!(mark(&s, BAR_LINE + 100.0, 36), Mark::Early(-90.0));
    assert_eq!(mark(&s, BAR_LINE + 100.0, 67), Mark::Open);
    assert_eq!(s.view(ms(BAR_LINE + 100.0)).wrong.iter().map(|w| w.key.number()).collect::<Vec<_>>(), [61]);
    s.tick(ms(BAR_LINE + 130.0));
    assert_eq!(mark(&s, BAR_LINE + 130.0, 67), Mark::Missed);
    strike(&mut s, BAR_LINE + 1250.0, &[65]);
    assert_eq!(mark(&s, BAR_LINE + 1300.0, 65), Mark::Hit(0.0));
}

#[test]
fn a_late_delivery_changes_no_verdict() {
    let mut s = running(&[]);
    s.tick(ms(BAR_LINE + 180.0));
    strike(&mut s, BAR_LINE + 20.0, &[60]);
    assert_eq!(mark(&s, BAR_LINE + 200.0, 60), Mark::Hit(20.0));
}

#[test]
fn what_is_played_while_counting_in_is_not_judged() {
    let mut s = running(&[]);
    strike(&mut s, 1500.0, &[60, 90]);
    strike(&mut s, BAR_LINE, &[60, 64, 67, 36]);
    s.apply(SessionCommand::Stop, ms(BAR_LINE + 700.0));
    let score = s.view(ms(BAR_LINE + 700.0)).score.unwrap();
    assert_eq!((score.expected, score.matched, score.extra), (4, 4, 0));
}

#[test]
fn a_stop_scores_what_was_played_so_far() {
    let mut s = running(&[]);
    strike(&mut s, BAR_LINE, &[60, 64, 36]);
    strike(&mut s, BAR_LINE + 1250.0, &[65, 69, 72, 41]);
    s.apply(SessionCommand::Stop, ms(BAR_LINE + 4000.0));
    let view = s.view(ms(BAR_LINE + 4100.0));
    assert!(!view.running);
    let score = view.score.unwrap();
    assert_eq!((score.expected, score.matched, score.bars.len()), (8, 7, 2), "bar 2 was not begun");
    let take = view.take.unwrap();
    assert_eq!(score.matched, take.notes.len());
    assert_eq!(*score, offline(&s, &take));
}

fn offline(s: &Session, take: &Take) -> Score {
    let options = ScoreOptions { speed: take.speed, ..ScoreOptions::default() };
    score(&take.expected(s.part(), s.timeline()), &take.notes, &options)
}

#[test]
fn the_end_of_the_song_ends_the_run_and_one_is_back_at_its_start() {
    let mut s = running(&[]);
    for at in [0.0, 1250.0, 3500.0] {
        let keys: Vec<u8> = s.part().events.iter().map(|e| e.key.number()).collect();
        let first = [0.0, 1250.0, 3500.0].iter().position(|t| *t == at).unwrap() * 4;
        strike(&mut s, BAR_LINE + at, &keys[first..first + 4]);
    }
    s.tick(ms(BAR_LINE + 5600.0));
    assert!(s.is_running(), "late strikes may still come");
    s.tick(ms(BAR_LINE + 5800.0));
    let view = s.view(ms(BAR_LINE + 5800.0));
    assert_eq!((view.running, view.position.bar), (false, 0));
    let score = view.score.unwrap();
    assert_eq!((score.matched, score.expected, score.extra), (12, 12, 0));
    assert!(view.marks.iter().all(|m| *m == Mark::Hit(0.0)));
}

#[test]
fn verdicts_stay_exact_when_the_speed_changes() {
    let mut s = running(&[]);
    strike(&mut s, BAR_LINE + 20.0, &[60]);
    // It holds 250 ms later.
    s.apply(SessionCommand::SetSpeed(Speed::new(50.0).unwrap()), ms(BAR_LINE));
    // Chart time 1250 ms: 250 at full speed, 1000 more at half.
    strike(&mut s, BAR_LINE + 250.0 + 2000.0 + 30.0, &[65]);
    assert_eq!(mark(&s, BAR_LINE + 2300.0, 65), Mark::Hit(30.0), "30 ms as played");
    s.note(ms(BAR_LINE + 249.0), key(64), NoteChange::On { velocity: 70 });
    assert!(s.view(ms(BAR_LINE + 2300.0)).wrong.iter().any(|w| w.at == ChartTime::from_ms(249.0)));
}

#[test]
fn each_pass_of_a_loop_is_a_take_of_its_own() {
    let looped = SessionCommand::SetLoop(Some(LoopBars::new(1, 2)));
    let mut s = running(&[looped]);
    let start = 120.0 + 2000.0;
    strike(&mut s, start - 250.0, &[65, 69, 72, 41]);
    strike(&mut s, start + 2000.0, &[59, 62, 67]);
    // The push of the second pass sounds in the last eighth of the first.
    strike(&mut s, start + 3750.0 - 40.0, &[65, 69, 72, 41]);
    s.tick(ms(start + 4100.0));
    assert_eq!(s.view(ms(start + 4100.0)).position.pass, 1);
    s.tick(ms(start + 4300.0));
    let first = s.view(ms(start + 4300.0)).score.unwrap();
    assert_eq!((first.expected, first.matched, first.extra), (8, 7, 0));
    assert_eq!(mark(&s, start + 4300.0, 43), Mark::Open, "the second pass begins with open marks");
    strike(&mut s, start + 6000.0, &[59, 62, 67, 43]);
    s.tick(ms(start + 8300.0));
    let view = s.view(ms(start + 8300.0));
    let second = view.score.unwrap();
    assert_eq!((second.expected, second.matched, second.extra), (8, 8, 0));
    // On the grid of takes, of which a tick lasts 16 µs at this tempo.
    let error = second.notes[0].error.map(|error| (error + ChartTime::from_ms(40.0)).abs());
    assert!(error.is_some_and(|off| off <= ChartTime::from_micros(8)), "{error:?}");
    assert_eq!(*second, offline(&s, &view.take.unwrap()));
}

#[test]
fn an_octave_off_is_offered_and_accepted() {
    let bars: Vec<BarOf> =
        (0..3).map(|row| BarOf { row, ..bar((4, 4), 120.0, &[chord(8, &[60, 64, 67], &[36])]) }).collect();
    let mut s = Session::new(Arc::new(part(&bars)));
    s.apply(SessionCommand::SetMode(Mode::PlayAlong), ms(0.0));
    s.apply(SessionCommand::Start, ms(0.0));
    let start = 120.0 + 2000.0;
    strike(&mut s, start, &[72, 76, 79, 48]);
    s.tick(ms(start + 2100.0));
    let at = start + 2100.0;
    assert_eq!(s.view(ms(at)).octave_offer, Some(-12));
    s.apply(SessionCommand::SetOctaveShift(-12), ms(at));
    assert_eq!(s.view(ms(at)).octave_offer, None);
    strike(&mut s, start + 4000.0, &[72, 76, 79, 48]);
    let view = s.view(ms(start + 4050.0));
    assert!(view.marks[8..].iter().all(|m| *m == Mark::Hit(0.0)));
}

#[test]
fn cues_given_before_a_change_are_known_to_be_stale() {
    let mut s = running(&[]);
    let generation = |s: &Session| s.view(ms(0.0)).cue_generation;
    let before = generation(&s);
    s.apply(SessionCommand::SetSpeed(Speed::MIN), ms(500.0));
    s.apply(SessionCommand::SetClick(false), ms(500.0));
    assert_eq!(before, generation(&s), "what was handed out already stays right");
    s.apply(SessionCommand::Stop, ms(600.0));
    assert!(before < generation(&s));
    assert!(s.cues(ms(600.0), ms(9000.0)).is_empty());
}

#[test]
fn another_part_ends_the_run_and_keeps_the_bar() {
    let mut s = session(Mode::Step, &[SessionCommand::GoToBar(2)]);
    let shorter =
        part(&[bar((4, 4), 100.0, &[chord(8, &[60], &[])]), bar((4, 4), 100.0, &[chord(8, &[62], &[])])]);
    s.set_part(Arc::new(shorter), ms(0.0));
    let view = s.view(ms(0.0));
    assert_eq!((view.position.bar, view.marks.len()), (1, 2));
    assert_eq!(view.step.unwrap().open_keys, [(Hand::Right, key(62))]);
}

/// Plays the right hand of bar 0 in three laps: all of it, none of it, and a lap that is stopped.
fn laps_of_a_bar() -> Session {
    let looped = SessionCommand::SetLoop(Some(LoopBars::new(0, 0)));
    let straight = SessionCommand::SetCountIn(false);
    let mut session = session(Mode::PlayAlong, &[SessionCommand::SetHands(Hands::Right), looped, straight]);
    session.apply(SessionCommand::Start, ms(0.0));
    [60, 64, 67].into_iter().for_each(|k| session.note(ms(120.0), key(k), NoteChange::On { velocity: 70 }));
    session.tick(ms(120.0 + 3000.0 + 300.0));
    session.note(ms(120.0 + 3000.0), key(60), NoteChange::On { velocity: 70 });
    session.apply(SessionCommand::Stop, ms(120.0 + 3600.0));
    session
}

fn counts(session: &Session) -> Vec<usize> {
    session.view(ms(9000.0)).laps.iter().map(|lap| lap.score.matched).collect()
}

#[test]
fn every_lap_of_a_loop_is_kept() {
    assert_eq!(counts(&laps_of_a_bar()), [3, 0, 1]);
}

#[test]
fn laps_stay_with_what_they_were_played_to_until_another_run_has_one() {
    let mut session = laps_of_a_bar();
    let played_to = session.part().clone();
    let other = Arc::new(voicing::Part { key: "D major".parse().expect("a key"), ..song() });
    session.apply(SessionCommand::SetLoop(None), ms(9000.0));
    session.apply(SessionCommand::SetHands(Hands::Both), ms(9000.0));
    session.set_part(other, ms(9000.0));
    session.apply(SessionCommand::Start, ms(10_000.0));
    assert_eq!(counts(&session), [3, 0, 1]);
    assert!(session.view(ms(10_000.0)).laps.iter().all(|lap| Arc::ptr_eq(&lap.part, &played_to)));
    session.note(ms(10_120.0), key(36), NoteChange::On { velocity: 70 });
    session.apply(SessionCommand::Stop, ms(10_600.0));
    assert_eq!(counts(&session), [1]);
}

#[test]
fn what_was_struck_in_step_leaves_no_mark_in_another_mode() {
    let mut session = session(Mode::Step, &[]);
    session.apply(SessionCommand::Advance, ms(0.0));
    assert!(session.view(ms(0.0)).marks.contains(&Mark::Struck));
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), ms(0.0));
    assert!(!session.view(ms(0.0)).marks.contains(&Mark::Struck));
}
