//! What holds for the fingers of every song, at every reach, also while neighbours sound and shapes are broken.

use crate::finger_contract::possible;
use crate::print::strikes;
use crate::properties::random_song;
use proptest::prelude::*;
use song::Quarters;
use std::collections::HashMap;
use theory::Hand;
use voicing::{Event, Part, Reach, Role, Settings, Shape, plan};

/// What one hand has down at a moment: key, finger, and whether it is a neighbour note.
type Down = Vec<(u8, u8, bool)>;

fn finger_at(event: &Event, at: Quarters) -> u8 {
    let mut changes = event.substitutions.iter().filter(|change| change.at <= at);
    changes.next_back().map_or(event.finger, |change| change.finger).number()
}

/// What a hand has down at each of its strikes, with the shape that it lies on.
fn moments(part: &Part, hand: Hand) -> Vec<(Down, &Shape)> {
    let mut open: Vec<&Event> = Vec::new();
    let events: Vec<&Event> = part.events.iter().filter(|event| event.hand == hand).collect();
    let together = events.chunk_by(|a, b| a.start == b.start);
    together
        .map(|struck| {
            let at = struck[0].start;
            open.retain(|event| event.start + event.length > at);
            open.extend(struck);
            let mut down: Down =
                open.iter().map(|e| (e.key.number(), finger_at(e, at), e.role == Role::Passing)).collect();
            down.sort_unstable();
            (down, part.bars[struck[0].bar].chords[struck[0].slot].hand(hand))
        })
        .collect()
}

fn settings() -> impl Strategy<Value = Settings> {
    (7u8..=16, 7u8..=16).prop_map(|(right, left)| Settings {
        reach: Reach::new(right).unwrap(),
        left_reach: Reach::new(left).unwrap(),
        ..Settings::default()
    })
}

/// What is wrong with the fingers on keys that are down together; nothing if all is well. A neighbour that the song
/// writes may lie further from what is held than the hand can spread; then it hops.
fn fault(down: &Down, hand: Hand, reach: u8) -> Option<String> {
    for (i, &(low, a, neighbour)) in down.iter().enumerate() {
        for &(high, b, other_neighbour) in &down[i + 1..] {
            if (a < b) != (hand == Hand::Right) || a == b {
                return Some(format!("{hand:?}: {a} on {low} under {b} on {high}"));
            }
            if !neighbour && !other_neighbour && !possible(a, b, high - low, reach) {
                return Some(format!("{hand:?}: {a} on {low} and {b} on {high} for a reach of {reach}"));
            }
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_down_together_has_fingers_in_order_that_the_hand_can_spread(
        song in random_song(), settings in settings(),
    ) {
        let part = plan(&song, song.key, &settings).unwrap();
        for hand in Hand::BOTH {
            let reach = settings.reach_of(hand).semitones();
            for (down, shape) in moments(&part, hand) {
                if !shape.rolled {
                    prop_assert_eq!(fault(&down, hand, reach), None, "{:?}\n{}", down, strikes(&part, hand));
                }
            }
        }
    }

    #[test]
    fn a_key_that_stays_down_keeps_its_finger_or_says_that_it_changes(
        song in random_song(), settings in settings(),
    ) {
        let part = plan(&song, song.key, &settings).unwrap();
        for event in &part.events {
            let inside = |at: Quarters| event.start < at && at < event.start + event.length;
            prop_assert!(event.substitutions.iter().all(|change| inside(change.at)));
            let mut fingers = vec![event.finger];
            fingers.extend(event.substitutions.iter().map(|change| change.finger));
            prop_assert!(fingers.windows(2).all(|pair| pair[0] != pair[1]), "a change to the same finger");
        }
    }

    #[test]
    fn strikes_and_shapes_show_the_same_fingers(song in random_song(), settings in settings()) {
        let part = plan(&song, song.key, &settings).unwrap();
        // The first strike of each note of a shape, where no neighbour note of that hand made it take others before.
        let mut first: HashMap<(usize, usize, Hand, u8), &Event> = HashMap::new();
        let mut neighbours: HashMap<(usize, usize, Hand), Quarters> = HashMap::new();
        for event in &part.events {
            if event.role == Role::Passing {
                neighbours.entry((event.bar, event.slot, event.hand)).or_insert(event.start);
            } else {
                first.entry((event.bar, event.slot, event.hand, event.place)).or_insert(event);
            }
        }
        for ((bar, slot, hand, place), event) in first {
            if neighbours.get(&(bar, slot, hand)).is_none_or(|&at| event.start <= at) {
                let note = &part.bars[bar].chords[slot].hand(hand).notes[usize::from(place)];
                let there = note.substitute.unwrap_or(note.finger);
                prop_assert!(event.finger == note.finger || event.finger == there);
            }
        }
    }
}
