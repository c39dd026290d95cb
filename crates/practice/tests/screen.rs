//! The verdict does not depend on the screen.

use crate::support::*;
use practice::*;
use proptest::prelude::*;
use std::sync::Arc;

fn song() -> voicing::Part {
    let bars: Vec<BarOf> = (0..6u8)
        .map(|b| {
            let slots: Vec<SlotOf> =
                (0..4u8).map(|n| chord(2, &[60 + (5 * b + 4 * n) % 19, 80], &[36 + b + n])).collect();
            bar((4, 4), 96.0, &slots)
        })
        .collect();
    part(&bars)
}

/// What happens, when, on the player's side.
#[derive(Clone, Copy, Debug)]
enum Deed {
    Key(u8, NoteChange),
    Speed(f64),
    Hands(Hands),
    Loop(usize, usize),
}

/// How the program gets round to it: when it ticks and draws, in milliseconds.
fn looks(kind: usize, until: f64) -> Vec<f64> {
    let mut at = 0.0;
    let mut looks = Vec::new();
    let mut n = 0u32;
    while at < until {
        at += match kind {
            0 => 1000.0 / 60.0,
            1 => 200.0,
            // Sixty a second, and twice a second nothing for half of one.
            _ if n % 30 == 29 => 500.0,
            _ => 1000.0 / 60.0,
        };
        n += 1;
        looks.push(at);
    }
    looks
}

/// The result of a session that is looked at so.
fn result(
    part: &Arc<voicing::Part>,
    deeds: &[(f64, Deed)],
    looped: bool,
    kind: usize,
) -> Vec<(Arc<Score>, Arc<Take>)> {
    let mut session = Session::new(part.clone());
    let start = Stamp::from_ms(0.0);
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), start);
    session.apply(SessionCommand::SetCountIn(false), start);
    session.apply(SessionCommand::SetLoop(looped.then(|| LoopBars::new(1, 2))), start);
    session.apply(SessionCommand::Start, start);
    let mut due = deeds.iter().peekable();
    for look in looks(kind, 20_000.0) {
        while let Some(&(at, deed)) = due.next_if(|d| d.0 <= look) {
            let at = Stamp::from_ms(at);
            match deed {
                Deed::Key(number, change) => session.note(at, key(number), change),
                Deed::Speed(percent) => session.apply(SessionCommand::SetSpeed(Speed::clamped(percent)), at),
                Deed::Hands(hands) => session.apply(SessionCommand::SetHands(hands), at),
                Deed::Loop(a, b) => session.apply(SessionCommand::SetLoop(Some(LoopBars::new(a, b))), at),
            }
        }
        let now = Stamp::from_ms(look);
        session.cues(now, now.plus_ms(100.0));
        session.tick(now);
        session.view(now);
    }
    session.apply(SessionCommand::Stop, Stamp::from_ms(20_600.0));
    let view = session.view(Stamp::from_ms(20_600.0));
    view.laps.iter().map(|lap| (lap.score.clone(), lap.take.clone())).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn sixty_a_second_five_a_second_and_stalls_give_one_verdict(
        errors in prop::collection::vec(-90.0f64..90.0, 24),
        wrong in prop::collection::vec(any::<bool>(), 24),
        slower in prop::option::of((1000.0f64..9000.0, 60.0f64..120.0)),
        hands in prop::option::of((500.0f64..9000.0, prop::sample::select(vec![Hands::Right, Hands::Left]))),
        turn in prop::option::of((500.0f64..9000.0, 0usize..6, 0usize..6)),
        looped in any::<bool>(),
    ) {
        let part = Arc::new(song());
        let expected = expected(&part);
        let mut deeds: Vec<(f64, Deed)> = Vec::new();
        for (n, note) in expected.notes.iter().enumerate() {
            let n = n % 24;
            let at = 120.0 + note.at.ms() + errors[n];
            let number = if wrong[n] && n % 5 == 0 { 100 } else { note.key.number() };
            deeds.push((at, Deed::Key(number, NoteChange::On { velocity: 70 })));
            deeds.push((at + 90.0, Deed::Key(number, NoteChange::Off)));
        }
        deeds.extend(slower.map(|(at, percent)| (at, Deed::Speed(percent))));
        deeds.extend(hands.map(|(at, hands)| (at, Deed::Hands(hands))));
        deeds.extend(turn.map(|(at, a, b)| (at, Deed::Loop(a, b))));
        deeds.sort_by(|a, b| a.0.total_cmp(&b.0));
        let at_60 = result(&part, &deeds, looped, 0);
        prop_assert!(!at_60.is_empty());
        for kind in 1..3 {
            let other = result(&part, &deeds, looped, kind);
            // Asked for is 1 ms; what is judged by stamps is equal.
            prop_assert_eq!(&at_60, &other);
        }
    }
}
