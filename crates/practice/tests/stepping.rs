use crate::support::*;
use practice::*;
use std::sync::Arc;
use theory::Hand;

fn now() -> Stamp {
    Stamp::from_ms(1000.0)
}

/// C struck twice, a pushed F, then the F tied over into the next bar before a G.
fn song() -> voicing::Part {
    let c = SlotOf { every: 4, ..chord(8, &[60, 64, 67], &[36]) };
    let f = SlotOf { push: true, ..chord(8, &[60, 65, 69], &[41]) };
    let tied = SlotOf { tie: true, ..chord(4, &[60, 65, 69], &[41]) };
    let g = chord(4, &[59, 62, 67], &[43]);
    part(&[bar((4, 4), 100.0, &[c]), bar((4, 4), 100.0, &[f]), bar((4, 4), 100.0, &[tied, g])])
}

fn session() -> Session {
    Session::new(Arc::new(song()))
}

fn strike(session: &mut Session, keys: &[u8]) {
    keys.iter().for_each(|&k| session.note(now(), key(k), NoteChange::On { velocity: 70 }));
}

fn release(session: &mut Session, keys: &[u8]) {
    keys.iter().for_each(|&k| session.note(now(), key(k), NoteChange::Off));
}

/// Bar and slot of the step in hand, and the keys still open.
fn step(session: &Session) -> Option<(usize, usize, Vec<u8>)> {
    let view = session.view(now());
    let mut open: Vec<u8> = view.step?.open_keys.iter().map(|k| k.1.number()).collect();
    open.sort_unstable();
    view.slot.map(|s| (s.bar, s.slot, open))
}

#[test]
fn a_step_is_done_in_any_order() {
    let mut s = session();
    assert_eq!(step(&s), Some((0, 0, vec![36, 60, 64, 67])));
    strike(&mut s, &[67, 36]);
    assert_eq!(step(&s), Some((0, 0, vec![60, 64])));
    strike(&mut s, &[64, 60]);
    assert_eq!(step(&s), Some((1, 0, vec![41, 60, 65, 69])));
}

#[test]
fn keys_from_before_may_be_held_but_must_be_struck_again() {
    let mut s = session();
    strike(&mut s, &[36, 60, 64, 67]);
    strike(&mut s, &[41, 65, 69]);
    assert_eq!(step(&s), Some((1, 0, vec![60])), "60 is still down, but was not struck since");
    release(&mut s, &[60]);
    strike(&mut s, &[60]);
    assert_eq!(step(&s).map(|s| (s.0, s.1)), Some((2, 1)), "the tie is no step");
}

#[test]
fn wrong_keys_are_shown_and_block_nothing() {
    let mut s = session();
    strike(&mut s, &[61, 60]);
    let view = s.view(now());
    let held: Vec<(u8, KeyVerdict, Option<Hand>)> =
        view.held.iter().map(|h| (h.key.number(), h.verdict, h.hand)).collect();
    assert_eq!(held, [(60, KeyVerdict::Right, Some(Hand::Right)), (61, KeyVerdict::Wrong, None)]);
    assert_eq!(view.step.unwrap().wrong, [key(61)]);
    strike(&mut s, &[64, 67, 36]);
    assert_eq!(step(&s).map(|s| s.0), Some(1));
}

#[test]
fn keys_of_a_step_that_is_done_become_neutral_with_the_next_strike() {
    let mut s = session();
    strike(&mut s, &[36, 60, 64, 67]);
    let verdict = |s: &Session, k| s.view(now()).held.iter().find(|h| h.key == key(k)).map(|h| h.verdict);
    assert_eq!(verdict(&s, 60), Some(KeyVerdict::Right));
    strike(&mut s, &[41]);
    assert_eq!(verdict(&s, 60), Some(KeyVerdict::Neutral));
    assert_eq!(verdict(&s, 41), Some(KeyVerdict::Right));
}

#[test]
fn strikes_are_finer_steps_than_chords() {
    let mut s = session();
    s.apply(SessionCommand::SetStepBy(StepBy::Strike), now());
    assert_eq!(s.view(now()).step.unwrap().of, 4, "C twice, F, G");
    strike(&mut s, &[36, 60, 64, 67]);
    assert_eq!(step(&s).map(|s| (s.0, s.2.len())), Some((0, 4)), "the second strike of the same chord");
    assert_eq!(s.view(now()).position.beat, 3);
}

#[test]
fn one_hand_steps_alone_and_the_other_is_sounded() {
    let mut s = session();
    s.apply(SessionCommand::SetHands(Hands::Right), now());
    strike(&mut s, &[60, 64, 67]);
    assert_eq!(step(&s).map(|s| s.0), Some(1));
    let cues = s.cues(now(), now().plus_ms(10_000.0));
    let kinds: Vec<CueKind> = cues.iter().map(|c| c.kind).collect();
    let (hand, key) = (Hand::Left, key(36));
    assert_eq!(kinds, [CueKind::NoteOn { hand, key, velocity: 70 }, CueKind::NoteOff { hand, key }]);
    assert!(s.cues(now(), now().plus_ms(10_000.0)).is_empty(), "each cue is given once");
}

#[test]
fn the_space_bar_goes_on_without_midi() {
    let mut s = session();
    s.apply(SessionCommand::Advance, now());
    assert_eq!(step(&s).map(|s| s.0), Some(1));
    let on = |c: &Cue| matches!(c.kind, CueKind::NoteOn { .. });
    assert_eq!(s.cues(now(), now().plus_ms(1.0)).iter().filter(|c| on(c)).count(), 4, "the step is heard");
    (0..2).for_each(|_| s.apply(SessionCommand::Advance, now()));
    assert_eq!(step(&s), None, "after the last step");
    s.apply(SessionCommand::Advance, now());
    assert_eq!(step(&s).map(|s| s.0), Some(0), "and round again");
}

#[test]
fn one_goes_back_and_forward_by_beat_and_bar() {
    let mut s = session();
    let mut go = |command| {
        s.apply(command, now());
        let p = s.view(now()).position;
        (p.bar, p.beat)
    };
    assert_eq!(go(SessionCommand::Forward(Unit::Beat)), (0, 2));
    assert_eq!(go(SessionCommand::Forward(Unit::Bar)), (1, 1));
    assert_eq!(go(SessionCommand::Back(Unit::Beat)), (0, 4));
    assert_eq!(go(SessionCommand::Back(Unit::Bar)), (0, 1));
    assert_eq!(go(SessionCommand::Back(Unit::Bar)), (0, 1), "no further than the beginning");
    assert_eq!(go(SessionCommand::GoToBar(99)), (2, 1));
    assert_eq!(go(SessionCommand::Forward(Unit::Bar)), (2, 1), "nor than the last bar");
}

#[test]
fn going_to_a_bar_takes_its_push_along() {
    let mut s = session();
    s.apply(SessionCommand::GoToBar(1), now());
    assert_eq!(step(&s), Some((1, 0, vec![41, 60, 65, 69])));
    s.apply(SessionCommand::SetStepBy(StepBy::Strike), now());
    s.apply(SessionCommand::GoToBar(1), now());
    assert_eq!(step(&s), Some((1, 0, vec![41, 60, 65, 69])));
}

#[test]
fn a_loop_steps_round() {
    let mut s = session();
    s.apply(SessionCommand::SetLoop(Some(LoopBars::new(1, 0))), now());
    strike(&mut s, &[36, 60, 64, 67]);
    strike(&mut s, &[41, 60, 65, 69]);
    assert_eq!(step(&s).map(|s| s.0), Some(0));
}
