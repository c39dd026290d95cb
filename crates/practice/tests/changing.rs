//! Hands, bars and key are changed while the clock runs: no beat is lost, no note rings on, and every strike is judged once.

use crate::support::*;
use practice::*;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;
use theory::Hand;

fn ms(at: f64) -> Stamp {
    Stamp::from_ms(at)
}

/// Eight bars of 3/4 at 120 (a beat is 500 ms, a bar 1500 ms), a chord on each beat, the fourth and the last bar pushed.
fn song_higher(by: u8) -> Arc<voicing::Part> {
    let line = |b: u8| {
        let slot = |n: u8| SlotOf {
            push: n == 0 && (b == 3 || b == 7),
            ..chord(2, &[60 + b + 2 * n + by, 67 + b + by], &[36 + b + n + by])
        };
        bar((3, 4), 120.0, &[slot(0), slot(1), slot(2)])
    };
    Arc::new(part(&(0..8).map(line).collect::<Vec<_>>()))
}

/// The first bar line comes 120 ms after the start; there is no count-in.
const BAR_LINE: f64 = 120.0;

fn started(mode: Mode, hands: Hands, looped: Option<LoopBars>) -> Session {
    let mut session = Session::new(song_higher(0));
    let commands = [
        SessionCommand::SetMode(mode),
        SessionCommand::SetHands(hands),
        SessionCommand::SetLoop(looped),
        SessionCommand::SetCountIn(false),
        SessionCommand::Start,
    ];
    commands.into_iter().for_each(|c| session.apply(c, ms(0.0)));
    session
}

/// What is changed when.
#[derive(Clone, Copy, Debug)]
enum Change {
    Hands(Hands),
    Loop(Option<LoopBars>),
    Key(u8),
    Speed(f64),
    Click(bool),
    Style(ClickStyle),
}

impl Change {
    fn apply(self, session: &mut Session, at: f64) {
        match self {
            Change::Hands(hands) => session.apply(SessionCommand::SetHands(hands), ms(at)),
            Change::Loop(bars) => session.apply(SessionCommand::SetLoop(bars), ms(at)),
            Change::Key(by) => session.set_part(song_higher(by), ms(at)),
            Change::Speed(percent) => {
                session.apply(SessionCommand::SetSpeed(Speed::clamped(percent)), ms(at))
            }
            Change::Click(on) => session.apply(SessionCommand::SetClick(on), ms(at)),
            Change::Style(style) => session.apply(SessionCommand::SetClickStyle(style), ms(at)),
        }
    }
}

/// All cues up to a time, asked for as the program asks: every 10 ms, 100 ms ahead, and afresh only where it is told to.
/// As far as they were played: a cue that was handed out and called back before its time is not heard.
fn heard(session: &mut Session, changes: &[(f64, Change)], until: f64) -> Vec<Cue> {
    let (mut heard, mut waiting): (Vec<Cue>, Vec<Cue>) = (Vec::new(), Vec::new());
    let (mut asked, mut generation) = (0.0, session.view(ms(0.0)).cue_generation);
    let mut changes = changes.iter().peekable();
    let mut now = 0.0;
    while now < until {
        while let Some((at, change)) = changes.next_if(|c| c.0 <= now) {
            change.apply(session, *at);
        }
        session.tick(ms(now));
        let told = session.view(ms(now)).cue_generation;
        if std::mem::replace(&mut generation, told) != told {
            waiting.clear();
            asked = now;
        }
        let to = now + 100.0;
        waiting.extend(session.cues(ms(asked), ms(to)));
        asked = to;
        now += 10.0;
        let due: Vec<Cue> = waiting.iter().copied().filter(|c| c.at < ms(now)).collect();
        waiting.retain(|c| c.at >= ms(now));
        heard.extend(due);
    }
    heard.sort_by_key(|c| c.at);
    heard
}

/// Beats that clicked, in milliseconds from the first bar line, with an accent on the first of each bar.
fn beats(cues: &[Cue]) -> Vec<(i64, Accent)> {
    let click = |c: &Cue| match c.kind {
        CueKind::Click(accent) => Some((c.at.ms_since(ms(BAR_LINE)).round() as i64, accent)),
        _ => None,
    };
    cues.iter().filter_map(click).collect()
}

/// What sounded: when, whose, which key.
fn strikes(cues: &[Cue]) -> Vec<(i64, Hand, u8)> {
    let on = |c: &Cue| match c.kind {
        CueKind::NoteOn { hand, key, .. } => {
            Some((c.at.ms_since(ms(BAR_LINE)).round() as i64, hand, key.number()))
        }
        _ => None,
    };
    cues.iter().filter_map(on).collect()
}

/// The click of 120 in 3/4, so many beats of it.
fn steady(beats: i64) -> Vec<(i64, Accent)> {
    (0..beats).map(|n| (500 * n, if n % 3 == 0 { Accent::Bar } else { Accent::Beat })).collect()
}

#[test]
fn no_beat_is_lost_when_hands_key_and_loop_change() {
    let changes = [
        (700.0, Change::Hands(Hands::Right)),
        (1900.0, Change::Key(2)),
        (3300.0, Change::Hands(Hands::Left)),
        (4000.0, Change::Loop(Some(LoopBars::new(5, 6)))),
        (9100.0, Change::Loop(Some(LoopBars::new(1, 6)))),
        (13_000.0, Change::Loop(None)),
    ];
    for mode in [Mode::PlayAlong, Mode::Listen] {
        let mut session = started(mode, Hands::Both, None);
        let cues = heard(&mut session, &changes, BAR_LINE + 16_000.0);
        // By hand: bars 0 1 2 5 6 5 6 5 6 7, and the song is over.
        assert_eq!(beats(&cues), steady(30), "{mode:?}");
    }
}

// A change of speed holds 250 ms after it is asked for.
#[test]
fn no_beat_is_lost_when_the_speed_changes() {
    let changes = [(600.0, 50.0), (2900.0, 100.0), (4600.0, 80.0), (4650.0, 125.0)];
    let changes = changes.map(|(at, percent)| (BAR_LINE + at, Change::Speed(percent)));
    let mut session = started(Mode::Listen, Hands::Both, None);
    let heard = beats(&heard(&mut session, &changes, BAR_LINE + 6000.0));
    // By hand: 150 ms of the third beat are left at half speed; at 3150 a beat falls on the change; of the beat at 5150 there
    // are 300 ms left at 4850, of which 50 go by at 80 % and the rest, 260 ms, at 125 %.
    let at = [0, 500, 1150, 2150, 3150, 3650, 4150, 4650, 5108, 5508, 5908];
    assert_eq!(heard.iter().map(|beat| beat.0).collect::<Vec<_>>(), at);
    let accents: Vec<Accent> = heard.iter().map(|beat| beat.1).collect();
    assert_eq!(accents, steady(11).iter().map(|beat| beat.1).collect::<Vec<_>>());
}

#[test]
fn neither_speed_nor_click_cuts_off_what_sounds() {
    let count_in_only = ClickStyle { bars: ClickBars::CountInOnly, ..ClickStyle::default() };
    let changes = [
        (700.0, Change::Speed(60.0)),
        (1900.0, Change::Click(false)),
        (2800.0, Change::Speed(110.0)),
        (3300.0, Change::Click(true)),
        (4100.0, Change::Style(count_in_only)),
        (6000.0, Change::Speed(30.0)),
    ];
    // Bars without a push.
    let mut session = started(Mode::Listen, Hands::Both, Some(LoopBars::new(0, 2)));
    let generation = session.view(ms(0.0)).cue_generation;
    let cues = heard(&mut session, &changes, 9000.0);
    let (mut down, mut notes) = (BTreeMap::new(), Vec::new());
    for cue in &cues {
        match cue.kind {
            CueKind::NoteOn { hand, key, .. } => drop(down.insert((hand, key), cue.at)),
            CueKind::NoteOff { hand, key } => {
                notes.push((hand, down.remove(&(hand, key)).expect("what ends was struck"), cue.at));
            }
            _ => {}
        }
    }
    assert!(session.is_running() && notes.len() > 20, "{}", notes.len());
    // Both hands strike on every beat and hold to the next: no key comes up before its hand strikes again.
    for (hand, struck, end) in notes {
        let again = |cue: &Cue| matches!(cue.kind, CueKind::NoteOn { hand: of, .. } if of == hand);
        assert!(cues.iter().any(|cue| again(cue) && struck < cue.at && cue.at <= end), "{struck:?}");
    }
    assert_eq!(session.view(ms(9000.0)).cue_generation, generation, "nothing is taken back");
}

#[test]
fn what_sounds_when_something_changes_is_let_go_and_nothing_rings_on() {
    let changes = [
        (600.0, Change::Hands(Hands::Right)),
        (1500.0, Change::Loop(Some(LoopBars::new(3, 3)))),
        (3000.0, Change::Key(1)),
        (5200.0, Change::Hands(Hands::Left)),
        (7000.0, Change::Loop(None)),
    ];
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    let cues = heard(&mut session, &changes, 30_000.0);
    assert!(!session.is_running(), "it went on to the end of the song");
    assert!(strikes(&cues).len() > 20);
    let mut down: BTreeMap<(Hand, theory::MidiKey), i32> = BTreeMap::new();
    for cue in cues {
        match cue.kind {
            CueKind::NoteOn { hand, key, .. } => *down.entry((hand, key)).or_default() += 1,
            CueKind::NoteOff { hand, key } => *down.entry((hand, key)).or_default() -= 1,
            _ => {}
        }
        assert!(down.values().all(|n| (0..=1).contains(n)), "{down:?}");
    }
    assert!(down.values().all(|n| *n == 0));
}

// A change holds 250 ms after it is asked for; the beats of the first bars lie at 0, 500, 1000, ...
#[test]
fn the_program_takes_over_the_hand_that_is_given_up() {
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    let cues = heard(&mut session, &[(BAR_LINE + 700.0, Change::Hands(Hands::Right))], BAR_LINE + 2100.0);
    assert_eq!(strikes(&cues), [(1000, Hand::Left, 38), (1500, Hand::Left, 37), (2000, Hand::Left, 38)]);
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    let cues = heard(&mut session, &[(BAR_LINE + 751.0, Change::Hands(Hands::Right))], BAR_LINE + 1600.0);
    assert_eq!(strikes(&cues), [(1500, Hand::Left, 37)], "too near to what was handed out already");
}

#[test]
fn another_key_sounds_from_its_next_strike() {
    for looped in [None, Some(LoopBars::new(0, 7))] {
        let mut session = started(Mode::PlayAlong, Hands::Right, looped);
        let cues = heard(&mut session, &[(BAR_LINE + 600.0, Change::Key(5))], BAR_LINE + 1600.0);
        let of = |at, key| (at, Hand::Left, key);
        assert_eq!(strikes(&cues), [of(0, 36), of(500, 37), of(1000, 43), of(1500, 42)]);
    }
}

#[test]
fn a_loop_that_is_entered_in_its_middle_asks_only_for_what_is_left_of_it() {
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    let change = (BAR_LINE + 2000.0, Change::Loop(Some(LoopBars::new(1, 2))));
    play(&mut session, &[change], &[(BAR_LINE, 60), (BAR_LINE + 4600.0, 61)], BAR_LINE + 4700.0);
    let view = session.view(ms(9000.0));
    let bars = |lap: &Lap| lap.score.bars.iter().map(|b| b.bar).collect::<Vec<_>>();
    let laps: Vec<Vec<usize>> = view.laps.iter().map(bars).collect();
    assert_eq!(laps, [vec![0, 1], vec![2], vec![1]]);
    assert_eq!(view.laps[1].score.expected, 9);
}

#[test]
fn another_loop_follows_at_the_next_bar_line() {
    let bars_heard = |change: (f64, Option<LoopBars>), looped| {
        let mut session = started(Mode::PlayAlong, Hands::Right, looped);
        let cues = heard(&mut session, &[(BAR_LINE + change.0, Change::Loop(change.1))], BAR_LINE + 11_700.0);
        // The left hand's first strike of bar b is on key 36 + b.
        let firsts = strikes(&cues).into_iter().filter(|s| s.0 % 1500 == 0 || s.0 % 1500 == 1250);
        firsts.map(|s| s.2 - 36).collect::<Vec<u8>>()
    };
    let bars = |a, b| Some(LoopBars::new(a, b));
    // Far ahead: at the end of bar 1, with the push of bar 3 an eighth before it.
    assert_eq!(bars_heard((2000.0, bars(3, 4)), None), [0, 1, 3, 4, 3, 4, 3, 4]);
    assert_eq!(bars_heard((2000.0, bars(1, 2)), None), [0, 1, 2, 1, 2, 1, 2, 1], "the next bar is in it");
    assert_eq!(bars_heard((5000.0, bars(0, 1)), None), [0, 1, 2, 3, 0, 1, 0, 1]);
    assert_eq!(bars_heard((5000.0, None), bars(0, 1)), [0, 1, 0, 1, 2, 3, 4, 5]);
    assert_eq!(bars_heard((5000.0, bars(6, 7)), bars(0, 1)), [0, 1, 0, 1, 6, 7, 6, 7]);
    assert_eq!(bars_heard((9_900.0, bars(0, 0)), None), [0, 1, 2, 3, 4, 5, 6, 0], "before the push of bar 7");
    let pushed = bars_heard((10_100.0, bars(0, 0)), None);
    assert_eq!(pushed, [0, 1, 2, 3, 4, 5, 6, 7], "a bar whose push is near is played");
}

#[test]
fn while_it_is_counted_in_another_loop_begins_the_run_again() {
    let mut session = Session::new(song_higher(0));
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), ms(0.0));
    session.apply(SessionCommand::Start, ms(0.0));
    session.apply(SessionCommand::SetLoop(Some(LoopBars::new(4, 5))), ms(900.0));
    let view = session.view(ms(1000.0));
    assert!(view.running && view.counting_in.is_some());
    assert_eq!(view.position.bar, 4);
}

#[test]
fn other_hands_while_it_is_counted_in_change_no_beat_of_the_count() {
    let mut session = Session::new(song_higher(0));
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), ms(0.0));
    session.apply(SessionCommand::Start, ms(0.0));
    let cues = heard(&mut session, &[(900.0, Change::Hands(Hands::Left))], 5000.0);
    let counted: Vec<i64> = beats(&cues).iter().map(|b| b.0).collect();
    assert_eq!(counted, (0..10).map(|n| 500 * n).collect::<Vec<_>>(), "two bars are counted in");
    assert_eq!(strikes(&cues)[0].0, 3000);
}

/// Plays what the hands have to play, each note at its time.
fn play(session: &mut Session, changes: &[(f64, Change)], notes: &[(f64, u8)], until: f64) {
    let mut deeds: Vec<(f64, Option<Change>, u8)> = changes.iter().map(|c| (c.0, Some(c.1), 0)).collect();
    deeds.extend(notes.iter().map(|n| (n.0, None, n.1)));
    deeds.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut deeds = deeds.into_iter().peekable();
    let mut now = 0.0;
    while now < until {
        while let Some((at, change, number)) = deeds.next_if(|d| d.0 <= now) {
            match change {
                Some(change) => change.apply(session, at),
                None => {
                    session.note(ms(at), key(number), NoteChange::On { velocity: 70 });
                    session.note(ms(at + 100.0), key(number), NoteChange::Off);
                }
            }
        }
        session.tick(ms(now));
        now += 25.0;
    }
    session.apply(SessionCommand::Stop, ms(until));
}

#[test]
fn each_stretch_is_a_take_of_its_own_and_every_strike_counts_once() {
    let song = expected(&song_higher(0));
    let change_at = BAR_LINE + 4000.0;
    // Both hands up to 250 ms after the change, from there on the right hand alone.
    let wanted = |n: &&ExpectedNote| n.at.ms() < 4250.0 || n.hand == Hand::Right;
    let notes: Vec<(f64, u8)> =
        song.notes.iter().filter(wanted).map(|n| (BAR_LINE + n.at.ms() + 20.0, n.key.number())).collect();
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    play(&mut session, &[(change_at, Change::Hands(Hands::Right))], &notes, BAR_LINE + 12_300.0);
    let view = session.view(ms(20_000.0));
    let counts: Vec<(usize, usize, usize)> =
        view.laps.iter().map(|l| (l.score.expected, l.score.matched, l.score.extra)).collect();
    // By hand: eight beats of three notes and the push of bar 3, which comes at 4250 ms and is the second stretch's; then
    // sixteen beats of two.
    assert_eq!(counts, [(27, 27, 0), (30, 30, 0)]);
    assert_eq!(counts.iter().map(|c| c.1).sum::<usize>(), notes.len());
    for lap in view.laps.iter() {
        let timeline = Timeline::new(&lap.part);
        assert_eq!(*lap.score, lap.take.score(&lap.part, &timeline), "scored again to the same result");
    }
    assert_eq!(view.laps[1].take.hands, Hands::Right);
    let open = view.marks.iter().filter(|m| **m == Mark::Open).count();
    assert_eq!(view.marks.len() - open, notes.len(), "the marks of both stretches are seen together");
}

#[test]
fn marks_of_before_stay_in_sight_while_it_runs() {
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    session.note(ms(BAR_LINE + 10.0), key(60), NoteChange::On { velocity: 70 });
    session.apply(SessionCommand::SetHands(Hands::Right), ms(BAR_LINE + 100.0));
    session.tick(ms(BAR_LINE + 900.0));
    let view = session.view(ms(BAR_LINE + 900.0));
    let event = session.part().events.iter().position(|e| e.key == key(60)).unwrap();
    assert_eq!(view.marks[event], Mark::Hit(10.0));
    assert_eq!(view.settings.hands, Hands::Right);
    assert!(view.running);
}

#[test]
fn a_part_with_other_bars_still_ends_the_run() {
    let mut session = started(Mode::PlayAlong, Hands::Both, None);
    let slower = part(&[bar((3, 4), 119.0, &[chord(6, &[60], &[])])]);
    session.set_part(Arc::new(slower), ms(1000.0));
    assert!(!session.is_running());
}

fn change() -> impl Strategy<Value = Change> {
    let hands = prop::sample::select(vec![Hands::Both, Hands::Right, Hands::Left]);
    prop_oneof![
        hands.prop_map(Change::Hands),
        (0usize..8, 0usize..8).prop_map(|(a, b)| Change::Loop(Some(LoopBars::new(a, b)))),
        Just(Change::Loop(None)),
        (0u8..6).prop_map(Change::Key),
        (40.0f64..120.0).prop_map(Change::Speed),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Whatever is changed when, takes are scored again to the same result, bars follow one another without a gap, and no
    /// strike is lost or counted twice.
    #[test]
    fn any_changes_leave_takes_whole(
        mut changes in prop::collection::vec((200.0f64..14_000.0, change()), 0..6),
        strikes in prop::collection::vec((0.0f64..15_000.0, 30u8..80), 0..60),
    ) {
        changes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut session = started(Mode::PlayAlong, Hands::Both, None);
        play(&mut session, &changes, &strikes, 15_500.0);
        let view = session.view(ms(16_000.0));
        let mut kept = 0;
        for lap in view.laps.iter() {
            prop_assert_eq!(&*lap.score, &lap.take.score(&lap.part, &Timeline::new(&lap.part)));
            kept += lap.take.notes.len();
        }
        prop_assert!(kept <= strikes.len());
        let slower = changes.iter().any(|c| matches!(c.1, Change::Speed(_)));
        let mut session = started(Mode::Listen, Hands::Both, None);
        let clicks = beats(&heard(&mut session, &changes, 11_000.0));
        let clicks: Vec<(i64, Accent)> =
            clicks.into_iter().filter(|click| click.1 != Accent::Subdivision).collect();
        let steady = steady(clicks.len() as i64);
        if slower {
            // Each beat once, and none further from the next than at the slowest speed.
            prop_assert!(clicks.iter().zip(&steady).all(|(click, beat)| click.1 == beat.1), "{clicks:?}");
            let gaps = clicks.windows(2).map(|pair| pair[1].0 - pair[0].0);
            prop_assert!(gaps.into_iter().all(|gap| (416..=1251).contains(&gap)), "{clicks:?}");
        } else {
            prop_assert_eq!(&clicks[..], &steady[..]);
        }
    }
}
