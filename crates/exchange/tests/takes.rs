//! Takes go out and come back.

use exchange::{read_midi, write_take};
use practice::*;
use proptest::prelude::*;
use theory::MidiKey;

fn note(at_ms: f64, length: Option<f64>, key: u8, velocity: u8) -> PlayedNote {
    PlayedNote {
        at: ChartTime::from_ms(at_ms),
        length: length.map(ChartTime::from_ms),
        key: MidiKey::new(key).expect("a key"),
        velocity,
    }
}

/// Notes of one key one after another, as on a keyboard.
fn notes() -> impl Strategy<Value = Vec<PlayedNote>> {
    let of_key = (21u8..109, prop::collection::vec((5.0f64..900.0, 1.0f64..400.0, 1u8..128), 0..6)).prop_map(
        |(key, notes)| {
            let mut at = -700.0;
            notes
                .into_iter()
                .map(|(gap, length, velocity)| {
                    let note = note(at + gap, Some(length), key, velocity);
                    at += gap + length;
                    note
                })
                .collect::<Vec<_>>()
        },
    );
    prop::collection::btree_map(0u8..12, of_key, 1..6).prop_map(|keys| {
        let mut seen = std::collections::HashSet::new();
        let once = keys.into_values().filter(|notes| notes.first().is_none_or(|n| seen.insert(n.key)));
        once.flatten().collect()
    })
}

proptest! {
    #[test]
    fn a_take_comes_back_as_it_went(
        notes in notes(),
        percent in 30.0f64..=130.0,
        bars in prop::option::of((0usize..50, 0usize..50)),
        ends in prop::option::of((-900_000i64..40_000_000, 40_000_000i64..90_000_000)),
        key in prop::option::of(prop::sample::select(vec!["D major", "Gb major", "C# minor"])),
        pedals in prop::collection::vec((-900i64..60_000, prop::sample::select(vec![64u8, 66, 67]), 0u8..128), 0..20),
    ) {
        let speed = Speed::new(percent).unwrap();
        let bars = bars.map(|(a, b)| LoopBars::new(a, b));
        let (from, until) = (ends.map(|e| ChartTime::from_micros(e.0)), ends.map(|e| ChartTime::from_micros(e.1)));
        let key = key.map(|k| k.parse().expect("a key"));
        let take = Take { from, until, key, ..Take::new(notes, speed, Hands::Left, bars) };
        let control = |(ms, controller, value)| {
            ControlChange { at: ChartTime::from_ms(ms as f64), controller, value }
        };
        let take = take.with_controls(pedals.into_iter().map(control).collect());
        let back = read_midi(&write_take(&take)).unwrap().take();
        prop_assert_eq!(back, Some(take));
    }
}

#[test]
fn a_note_that_was_never_let_go_is_ended() {
    let take = Take::new(vec![note(10.0, None, 60, 80)], Speed::FULL, Hands::Both, None);
    let back = read_midi(&write_take(&take)).unwrap();
    assert_eq!(back.notes()[0].end.map(|e| e - back.notes()[0].at), Some(ChartTime::from_ms(2000.0)));
}

#[test]
fn other_programs_read_a_take_in_the_time_it_was_played_in() {
    let half = Speed::new(50.0).unwrap();
    let take = Take::new(
        vec![note(-100.0, Some(50.0), 60, 80), note(500.0, Some(50.0), 62, 80)],
        half,
        Hands::Both,
        None,
    );
    let file = read_midi(&write_take(&take)).unwrap();
    let starts: Vec<f64> = file.notes().iter().map(|n| n.at.ms()).collect();
    // The first bar line lies a bar of 4/4 at 120 into the file.
    assert_eq!(starts, [2000.0 - 200.0, 2000.0 + 1000.0]);
}

#[test]
fn a_saved_take_is_scored_to_the_same_result() {
    let bar = |bar: usize| BarSpan {
        bar,
        section: "Verse".into(),
        start: ChartTime::from_ms(1666.667 * bar as f64),
        end: ChartTime::from_ms(1666.667 * (bar + 1) as f64),
        beat_ms: 416.667,
        changes: Vec::new(),
    };
    let expected_note = |n: usize| ExpectedNote {
        hand: theory::Hand::Right,
        bar: n / 4,
        start: song::Quarters::new(n as i64, 1),
        at: ChartTime::from_ms(416.667 * n as f64),
        key: MidiKey::new(60 + (n % 12) as u8).expect("a key"),
        rolled: false,
        event: n,
    };
    let expected = Expected::new((0..40).map(expected_note).collect(), (0..10).map(bar).collect(), 4);
    let speed = Speed::new(73.0).unwrap();
    // Early, late, missed, brushed: some of everything.
    let play = |(n, e): (usize, &ExpectedNote)| {
        let late = ((n * 7919) % 1131) as f64 / 10.0 - 50.0;
        (n % 9 != 5).then(|| note(e.at.ms() + late, Some(120.0), e.key.number(), 60))
    };
    let mut notes: Vec<PlayedNote> = expected.notes.iter().enumerate().filter_map(play).collect();
    notes.push(note(5.0, Some(20.0), 61, 9));
    notes.push(note(4000.0, None, 90, 90));
    let take = Take::new(notes, speed, Hands::Both, None);
    let options = ScoreOptions { speed, ..ScoreOptions::default() };
    let before = score(&expected, &take.notes, &options);
    let back = read_midi(&write_take(&take)).unwrap().take().expect("our own");
    assert!(before.matched > 20 && before.missed > 3 && before.extra > 1, "{before:?}");
    assert_eq!(score(&expected, &back.notes, &ScoreOptions { speed: back.speed, ..options }), before);
}
