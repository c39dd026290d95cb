//! Evenness: what is planted in a scale is what is found.

use crate::support::{bar, chord, expected, part};
use practice::{
    ChartTime, CueKind, Hands, Lap, Mode, PlayedNote, RunEvenness, ScoreOptions, Session, SessionCommand,
    Speed, Stamp, Take, score,
};
use std::sync::Arc;
use theory::{CrossingKind, Hand, NoteName, Scale};
use voicing::{Event, Part};

/// C major through two octaves up and down in eighths at 60 quarters a minute, both hands an octave apart: gaps of half a
/// second.
fn scale() -> Part {
    let scale: Scale = "C major".parse().unwrap();
    let run = |hand: Hand, octave: i8| {
        let fingers = scale.fingers(hand, 2).unwrap();
        let up = scale.pitches_up(octave, 2).into_iter().zip(fingers.up);
        let down = scale.pitches_down(octave, 2).into_iter().zip(fingers.down).skip(1);
        up.chain(down).collect::<Vec<_>>()
    };
    let runs = [run(Hand::Right, 4), run(Hand::Left, 3)];
    let slots: Vec<_> = (0..32)
        .map(|n: usize| {
            let keys = |run: &Vec<(theory::Pitch, theory::Finger)>| -> Vec<u8> {
                run.get(n).map(|(pitch, _)| pitch.key().unwrap().number()).into_iter().collect()
            };
            chord(1, &keys(&runs[0]), &keys(&runs[1]))
        })
        .collect();
    let bars: Vec<_> = slots.chunks(8).map(|slots| bar((4, 4), 60.0, slots)).collect();
    let mut part = part(&bars);
    let mut counts = [0, 0];
    for event in &mut part.events {
        let at = &mut counts[event.hand as usize];
        (event.pitch, event.finger) = runs[event.hand as usize][*at];
        *at += 1;
    }
    part
}

/// One pass: each note so much later than asked and so hard.
fn lap(part: &Arc<Part>, speed: f64, late: impl Fn(usize, &Event) -> Option<(f64, u8)>) -> Lap {
    let speed = Speed::clamped(speed);
    let expected = expected(part);
    let notes = expected.notes.iter().filter_map(|note| {
        let event = &part.events[note.event];
        let place = part.events[..note.event].iter().filter(|e| e.hand == event.hand).count();
        let (ms, velocity) = late(place, event)?;
        let at = ChartTime::from_ms(note.at.ms() + ms * speed.ratio());
        Some(PlayedNote { at, length: None, key: note.key, velocity })
    });
    let take = Take::new(notes.collect(), speed, Hands::Both, None);
    let options = ScoreOptions { speed, ..ScoreOptions::default() };
    let score = score(&expected, &take.notes, &options);
    Lap { part: part.clone(), take: Arc::new(take), score: Arc::new(score) }
}

/// Five milliseconds this way and that, so that the gaps have errors of ten.
fn wobble(place: usize) -> f64 {
    if place.is_multiple_of(2) { 5.0 } else { -5.0 }
}

/// Going up, the thumb of the right hand lies on the notes 3, 7 and 10 of two octaves of C major, F, C and F.
const THUMBS: [usize; 3] = [3, 7, 10];

#[test]
fn a_thumb_that_is_a_little_late_is_found_and_not_spoken_of() {
    let part = Arc::new(scale());
    let late = |place: usize, event: &Event| {
        // From the thumb on everything is 40 ms later, as when one waits before it.
        let waits = THUMBS.iter().filter(|thumb| place >= **thumb && place <= 14).count() as f64;
        let right = if event.hand == Hand::Right { 12.0 * waits } else { 0.0 };
        Some((wobble(place) + right, 70))
    };
    let laps = [lap(&part, 100.0, late), lap(&part, 100.0, late)];
    let even = RunEvenness::of(&part, &laps);
    let right = even.hand(Hand::Right).unwrap();
    assert_eq!(right.asked_ms, 500.0);
    assert_eq!(right.gaps.len(), 2 * 28);
    let f: NoteName = "F".parse().unwrap();
    let on_f = right.crossings.iter().find(|c| c.onto.is_some_and(|o| o.0 == f)).unwrap();
    assert_eq!((on_f.kind, on_f.count), (CrossingKind::ThumbUnder, 4));
    // 12 ms of a gap of half a second is nothing to speak of.
    assert!(!on_f.matters, "{on_f:?}");
    assert!(
        even.words().contains(&"The crossings are as even as the rest.".to_owned()),
        "{:?}",
        even.words()
    );
}

/// A tenth of a gap of half a second is 50 ms: a wait of 40 ms before the thumb is not spoken of, one of 60 ms is (common
/// practice, no source).
#[test]
fn slow_gaps_may_differ_more_than_fast_ones() {
    let part = Arc::new(scale());
    let told = |wait: f64| {
        let late = |place: usize, event: &Event| {
            let waits = [3, 10].iter().filter(|thumb| place >= **thumb).count() as f64;
            Some((if event.hand == Hand::Right { wait * waits } else { 0.0 }, 70))
        };
        let even = RunEvenness::of(&part, &[lap(&part, 100.0, late), lap(&part, 100.0, late)]);
        let right = even.hand(Hand::Right).unwrap();
        right.standing_out().iter().map(|crossing| crossing.text()).collect::<Vec<_>>()
    };
    assert!(told(40.0).is_empty(), "{:?}", told(40.0));
    assert_eq!(told(60.0), ["The gap before the thumb on F is 60 ms longer."]);
}

#[test]
fn the_gap_before_the_thumb_is_told_when_it_is_much_and_often_enough() {
    let part = Arc::new(scale());
    // At 130 %: gaps of 385 ms as felt, so that a tenth of one is 38 ms. The note before the thumb comes 20 ms early and
    // the thumb 40 ms late.
    let late = |place: usize, event: &Event| {
        let thumb = event.hand == Hand::Right && THUMBS.contains(&place);
        let before = event.hand == Hand::Right && THUMBS.contains(&(place + 1));
        Some((
            if thumb {
                40.0
            } else if before {
                -20.0
            } else {
                0.0
            },
            70,
        ))
    };
    let one = RunEvenness::of(&part, &[lap(&part, 130.0, late)]);
    let told = |even: &RunEvenness| even.words().iter().any(|word| word.starts_with("The gap before"));
    assert!(!told(&one), "two crossings onto F, one onto C: {:?}", one.words());
    let two = RunEvenness::of(&part, &[lap(&part, 130.0, late), lap(&part, 130.0, late)]);
    let right = two.hand(Hand::Right).unwrap();
    let before: Vec<_> = right.standing_out().iter().map(|crossing| crossing.text()).collect();
    // Of 22 plain gaps each way three are 40 shorter, behind the thumbs, and three 20 shorter, before the note in front:
    // on average 180 / 22 = 8.2 ms less, so that the 60 ms before F are 68.2 more than the others'.
    assert_eq!(before, ["The gap before the thumb on F is 68 ms longer."]);
    let on_c = right.crossings.iter().find(|c| c.onto.is_some_and(|o| o.0.to_string() == "C")).unwrap();
    assert!(!on_c.matters && on_c.count == 2, "{on_c:?}");
}

#[test]
fn missed_notes_leave_no_gap() {
    let part = Arc::new(scale());
    let all = lap(&part, 100.0, |_, _| Some((0.0, 70)));
    let one_less =
        lap(&part, 100.0, |place, event| (event.hand == Hand::Left || place != 4).then_some((0.0, 70)));
    let gaps = |lap: Lap| RunEvenness::of(&part, &[lap]).hand(Hand::Right).unwrap().gaps.len();
    assert_eq!((gaps(all), gaps(one_less)), (28, 26));
}

#[test]
fn an_even_run_is_called_so() {
    let part = Arc::new(scale());
    let even = RunEvenness::of(&part, &[lap(&part, 100.0, |place, _| Some((wobble(place), 70)))]);
    for hand in &even.hands {
        // The gaps that no crossing falls into are 10 ms too long and too short by turns.
        assert!((hand.spread_ms - 10.0).abs() < 0.5, "{}", hand.spread_ms);
        assert_eq!(hand.loudness, None, "all keys went down alike, as from letters");
    }
    let together = even.together.unwrap();
    assert_eq!((together.count, together.apart_ms.round()), (29, 0.0));
    assert_eq!(even.words()[0], "Right hand: very even, 10 ms either way.");
    assert!(even.words().contains(&"The hands are together: 0 ms apart on average.".to_owned()));
}

#[test]
fn a_hand_that_lags_is_told() {
    let part = Arc::new(scale());
    let late = |_: usize, event: &Event| Some((if event.hand == Hand::Left { 34.0 } else { 0.0 }, 70));
    let even = RunEvenness::of(&part, &[lap(&part, 100.0, late)]);
    let together = even.together.unwrap();
    assert_eq!((together.left_after_ms.round(), together.apart_ms.round()), (34.0, 34.0));
    let words = even.words();
    assert_eq!(
        words.last().unwrap(),
        "The hands are nearly together: 34 ms apart on average; the right comes first."
    );
}

#[test]
fn a_loud_thumb_and_accents_are_heard() {
    let mut with_accents = scale();
    for event in with_accents.events.iter_mut().filter(|event| event.start.fraction().1 == 1) {
        event.accented = true;
    }
    let part = Arc::new(with_accents);
    let hard = |_: usize, event: &Event| {
        let thumb = if event.finger.number() == 1 { 15 } else { 0 };
        let accent = if event.accented { 30 } else { 0 };
        Some((0.0, 60 + thumb + accent))
    };
    let even = RunEvenness::of(&part, &[lap(&part, 100.0, hard)]);
    let loudness = even.hand(Hand::Right).unwrap().loudness.clone().unwrap();
    let thumb = loudness.fingers.iter().find(|(finger, _)| finger.number() == 1).unwrap();
    assert!((thumb.1 - 15.0).abs() < 1e-9, "{loudness:?}");
    let words = even.words();
    assert!(words.contains(&"The thumb is louder than the others by 15.".to_owned()), "{words:?}");
    assert!(loudness.accents.unwrap() > 20.0);
    assert!(words.iter().any(|word| word.starts_with("Accents stand out by")), "{words:?}");
}

#[test]
fn passes_through_another_part_say_nothing() {
    let part = Arc::new(scale());
    let mut other = scale();
    other.title = "Another".into();
    let even = RunEvenness::of(&other, &[lap(&part, 100.0, |_, _| Some((0.0, 70)))]);
    assert_eq!(even, RunEvenness::default());
    assert!(even.words().is_empty());
}

/// Crossings of the played fingers are those that the scale's own table lists.
#[test]
fn crossings_are_those_of_the_table() {
    let part = scale();
    for hand in Hand::BOTH {
        let table = "C major".parse::<Scale>().unwrap().fingers(hand, 2).unwrap();
        let own: Vec<&Event> = part.events.iter().filter(|e| e.hand == hand).collect();
        let kinds: Vec<CrossingKind> = own
            .windows(2)
            .filter_map(|two| practice::crossed(hand, two[0], two[1]))
            .map(|c| c.kind)
            .collect();
        let listed: Vec<CrossingKind> =
            table.crossings_up.iter().chain(&table.crossings_down).map(|c| c.kind).collect();
        assert_eq!(kinds, listed, "{hand:?}");
    }
}

#[test]
fn the_program_plays_accents_louder() {
    let mut with_accent = scale();
    let second =
        with_accent.events.iter().position(|e| e.hand == Hand::Right && e.start > song::Quarters::ZERO);
    with_accent.events[second.unwrap()].accented = true;
    let mut session = Session::new(Arc::new(with_accent));
    for command in
        [SessionCommand::SetMode(Mode::Listen), SessionCommand::SetCountIn(false), SessionCommand::Start]
    {
        session.apply(command, Stamp::from_ms(0.0));
    }
    let cues = session.cues(Stamp::from_ms(0.0), Stamp::from_ms(1500.0));
    let struck = cues.iter().filter_map(|cue| match cue.kind {
        CueKind::NoteOn { hand: Hand::Right, velocity, .. } => Some(velocity),
        _ => None,
    });
    let velocities: Vec<u8> = struck.collect();
    assert!(velocities[1] > velocities[0] + 10 && velocities[2] == velocities[0], "{velocities:?}");
}
