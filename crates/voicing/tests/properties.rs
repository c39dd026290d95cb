//! What holds for every song: random charts with everything that a chart may contain.

use proptest::prelude::*;
use song::{PlayedSong, Quarters, SlotKind};
use std::collections::BTreeSet;
use theory::{Hand, MidiKey};
use voicing::{KeyRange, Part, Reach, Role, Settings, Shape, plan};

/// Chords of every kind.
pub const CHORDS: [&str; 24] = [
    "1",
    "2",
    "3",
    "4",
    "5",
    "6",
    "7",
    "5(7)",
    "2(7)",
    "1(maj7)",
    "4(add9)",
    "5sus4",
    "1sus2",
    "b7",
    "2(9)",
    "5(13)",
    "7dim(dim7)",
    "5no3",
    "1/3",
    "1/4",
    "5/7",
    "4/5",
    "6(6)",
    "1+",
];
const FIGURES: [&str; 6] = ["x - - -", "x x x x", "1 2 t 2", "[v12]1-- x x x", ". x x- x", "x - xx v1"];
const SHAPES: [&str; 5] = ["root", "octave", "root fifth", "root fifth octave", "triad"];

/// A bar of one or two items with their marks.
fn bar() -> impl Strategy<Value = String> {
    let chord = || prop::sample::select(&CHORDS[..]);
    prop_oneof![
        5 => chord().prop_map(String::from),
        3 => (chord(), chord()).prop_map(|(a, b)| format!("{a} {b}")),
        1 => (chord(), chord()).prop_map(|(a, b)| format!("3/4: {a}.. {b}.")),
        1 => chord().prop_map(|c| format!("^{c}")),
        1 => chord().prop_map(|c| format!("<{c}>")),
        1 => chord().prop_map(|c| format!("{c} ~")),
        1 => chord().prop_map(|c| format!("{c} N")),
        1 => chord().prop_map(|c| format!("6/8: {c}")),
    ]
}

/// A song of two sections, the first of which comes back, with a pass that differs.
pub fn random_song() -> impl Strategy<Value = PlayedSong> {
    let bars = || prop::collection::vec(bar(), 1..6);
    let key = prop::sample::select(&["C major", "Gb major", "E minor", "A major", "Bb minor"][..]);
    let figure = || prop::sample::select(&FIGURES[..]);
    (
        key,
        bars(),
        bars(),
        1u8..=4,
        figure(),
        figure(),
        prop::sample::select(&SHAPES[..]),
        prop::sample::select(&CHORDS[..]),
    )
        .prop_map(|(key, a, b, notes, right, left, shape, other)| {
            let text = format!(
                r#"{{ "format": 1, "title": "Random", "key": "{key}", "tempo": 90,
                    "right": {{ "notes": {notes}, "figure": "{right}" }},
                    "left": {{ "shape": "{shape}", "figure": "{left}" }},
                    "sections": [ {{ "name": "A", "bars": ["{}"], "passes": 2,
                                     "except": [ {{ "pass": 2, "bar": 1, "bars": "{other}" }} ] }},
                                  {{ "name": "B", "bars": ["{}"] }} ],
                    "order": ["A", "B", "A", "B"] }}"#,
                a.join(" | "),
                b.join(" | ")
            );
            song::read(&text).song.expect("title, key and sections are there").play()
        })
}

fn settings() -> impl Strategy<Value = Settings> {
    let keyboards = prop::sample::select(&[(21, 108), (36, 96), (48, 72), (40, 64), (60, 96)][..]);
    (keyboards, prop::sample::select(&[5u8, 7, 9, 11, 12, 14, 24][..])).prop_map(|((low, high), reach)| {
        let key = |number| MidiKey::new(number).unwrap();
        Settings::new(Reach::new(reach).unwrap(), KeyRange::new(key(low), key(high)).unwrap())
    })
}

fn hands(part: &Part) -> impl Iterator<Item = (&song::Slot, &voicing::PartChord)> {
    part.bars.iter().flat_map(|bar| bar.played.slots.iter().zip(&bar.chords))
}

fn keys(shape: &Shape) -> Vec<u8> {
    shape.notes.iter().map(|n| n.key.number()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_voicing_holds_its_chord_in_reach_and_on_the_keyboard(song in random_song(), settings in settings()) {
        let part = plan(&song, song.key, &settings).unwrap();
        for (slot, chord) in hands(&part) {
            let SlotKind::Chord { chord: harmony, .. } = &slot.kind else { continue };
            let reach = settings.reach.semitones();
            for hand in Hand::BOTH {
                let shape = chord.hand(hand);
                prop_assert!(!shape.notes.is_empty());
                prop_assert!(shape.notes.iter().all(|n| settings.keys.contains(n.key)));
                prop_assert!(shape.notes.windows(2).all(|pair| pair[0].key < pair[1].key));
                prop_assert!(shape.notes.iter().all(|n| n.pitch.key() == Some(n.key)));
                let span = keys(shape).last().unwrap() - keys(shape)[0];
                prop_assert_eq!(shape.rolled, span > reach);
            }
            prop_assert!(!chord.right.rolled, "the planner's own right hand fits the reach");
            prop_assert!(chord.right.notes.iter().all(|n| harmony.has_pitch_class(n.key.number() % 12)));
            prop_assert_eq!(chord.left.notes[0].pitch.name, harmony.bass);
        }
    }

    #[test]
    fn hands_do_not_cross_on_a_full_keyboard(song in random_song()) {
        let part = plan(&song, song.key, &Settings::default()).unwrap();
        for (_, chord) in hands(&part) {
            let (right, left) = (keys(&chord.right), keys(&chord.left));
            prop_assert!(right.is_empty() || left.is_empty() || left.last() < right.first());
        }
    }

    #[test]
    fn fingers_rise_in_the_right_hand_and_fall_in_the_left(song in random_song(), settings in settings()) {
        let part = plan(&song, song.key, &settings).unwrap();
        for (_, chord) in hands(&part) {
            let fingers = |shape: &Shape| shape.notes.iter().map(|n| n.finger).collect::<Vec<_>>();
            prop_assert!(fingers(&chord.right).windows(2).all(|pair| pair[0] < pair[1]));
            prop_assert!(fingers(&chord.left).windows(2).all(|pair| pair[0] > pair[1]));
        }
    }

    #[test]
    fn events_are_in_order_inside_the_song_and_never_overlap_on_a_key(song in random_song()) {
        let part = plan(&song, song.key, &Settings::default()).unwrap();
        let order = |e: &voicing::Event| (e.start, e.key);
        prop_assert!(part.events.windows(2).all(|pair| order(&pair[0]) <= order(&pair[1])));
        for hand in Hand::BOTH {
            let mut ends = std::collections::HashMap::new();
            for event in part.events.iter().filter(|e| e.hand == hand) {
                let bar = &part.bars[event.bar].played;
                let slot = &bar.slots[event.slot];
                let (start, end) = (bar.start + slot.start, bar.start + slot.start + slot.length);
                let early = matches!(slot.kind, SlotKind::Chord { push: true, .. });
                let from = if early { start - Quarters::EIGHTH } else { start };
                prop_assert!(from <= event.start && event.start < end);
                prop_assert!(Quarters::ZERO < event.length && event.start + event.length <= part.length());
                let before = ends.insert(event.key, event.start + event.length);
                prop_assert!(before.is_none_or(|end| end <= event.start), "a key is struck while it sounds");
                let shape = part.bars[event.bar].chords[event.slot].hand(hand);
                let held = shape.notes.iter().any(|n| n.key == event.key);
                prop_assert_eq!(held, event.role == Role::Chord);
            }
        }
    }

    #[test]
    fn the_same_section_has_the_same_voicing_at_every_return(song in random_song(), settings in settings()) {
        let part = plan(&song, song.key, &settings).unwrap();
        let mut first = std::collections::HashMap::new();
        for bar in &part.bars {
            for (slot, chord) in bar.played.slots.iter().zip(&bar.chords) {
                if let SlotKind::Chord { .. } = slot.kind {
                    let hands = (chord.right.clone(), chord.left.clone());
                    let place = (bar.played.section, bar.played.pass, slot.source);
                    let seen = first.entry(place).or_insert_with(|| hands.clone());
                    prop_assert_eq!(&*seen, &hands);
                }
            }
        }
    }

    #[test]
    fn each_hand_leaves_out_just_what_it_says(song in random_song()) {
        let part = plan(&song, song.key, &Settings::default()).unwrap();
        for (slot, chord) in hands(&part) {
            let SlotKind::Chord { chord: harmony, .. } = &slot.kind else { continue };
            let sounding: BTreeSet<u8> = keys(&chord.right).iter().map(|k| k % 12).collect();
            let missing = harmony.tones.iter().filter(|t| !sounding.contains(&t.name.pitch_class()));
            prop_assert!(missing.map(|t| t.member).eq(chord.right.omitted.iter().copied()));
        }
    }
}
