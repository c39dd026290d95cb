//! The planner's path is the cheapest there is: short random songs against every possible way through them, with
//! candidates and costs made from the song format by `contract`, not by the planner.

use crate::contract::{Left, left_hands, move_cost, pair_cost, right_hands};
use crate::print::song_text;
use proptest::prelude::*;
use theory::{Chord, MidiKey};
use voicing::{Costs, KeyRange, Part, Settings};

/// Few keys, so that all ways can be tried: C2 to C6.
const KEYS: (u8, u8) = (36, 84);

fn settings() -> Settings {
    let key = |number| MidiKey::new(number).unwrap();
    Settings { keys: KeyRange::new(key(KEYS.0), key(KEYS.1)).unwrap(), ..Settings::default() }
}

struct Case {
    notes: usize,
    shape: &'static str,
    chords: Vec<&'static str>,
    key: &'static str,
}

impl Case {
    fn part(&self, costs: &Costs) -> Part {
        let head =
            format!(r#""right": {{ "notes": {} }}, "left": {{ "shape": "{}" }},"#, self.notes, self.shape);
        let text = song_text(self.key, &head, &self.chords.join(" | "));
        let song = song::read(&text).sound().unwrap().play();
        voicing::plan_with(&song, song.key, &settings(), costs).unwrap()
    }

    fn chords(&self) -> Vec<Chord> {
        let key = self.key.parse().unwrap();
        self.chords.iter().map(|c| Chord::in_key(c.parse().unwrap(), key)).collect()
    }

    /// The least cost over all ways, one pair of shapes after another.
    fn least(&self, costs: &Costs) -> i64 {
        let mut before: Vec<(Vec<u8>, Left, i64)> = Vec::new();
        let mut last: Option<Chord> = None;
        for chord in self.chords() {
            let lefts = left_hands(&chord, self.shape, KEYS);
            let mut here = Vec::new();
            for right in right_hands(&chord, self.notes, 12, KEYS) {
                for left in &lefts {
                    let moved = before.iter().map(|(r, l, cost)| {
                        let chords = (last.as_ref().unwrap_or(&chord), &chord);
                        cost + move_cost(chords, (r, &right), (&l.keys, &left.keys), costs)
                    });
                    let reached = moved.min().unwrap_or(0);
                    let cost = reached + pair_cost(&chord, &right, left, costs);
                    here.push((right.clone(), left.clone(), cost));
                }
            }
            before = here;
            last = Some(chord);
        }
        before.into_iter().map(|(_, _, cost)| cost).min().unwrap()
    }

    /// What the planner's way costs by the same table. Its shapes must be among those of the contract.
    fn planned(&self, costs: &Costs) -> i64 {
        let part = self.part(costs);
        let mut cost = 0;
        let mut before: Option<(Vec<u8>, Left, Chord)> = None;
        for (bar, chord) in part.bars.iter().zip(self.chords()) {
            let keys =
                |shape: &voicing::Shape| shape.notes.iter().map(|n| n.key.number()).collect::<Vec<_>>();
            let (right, left) = (keys(&bar.chords[0].right), keys(&bar.chords[0].left));
            assert!(right_hands(&chord, self.notes, 12, KEYS).contains(&right), "{} {right:?}", chord.name());
            let left = left_hands(&chord, self.shape, KEYS).into_iter().find(|l| l.keys == left).unwrap();
            cost += pair_cost(&chord, &right, &left, costs);
            if let Some((r, l, last)) = &before {
                cost += move_cost((last, &chord), (r, &right), (&l.keys, &left.keys), costs);
            }
            before = Some((right, left, chord));
        }
        cost
    }
}

const CHORDS: [&str; 19] = [
    "1", "2", "3", "4", "5", "6", "7", "5(7)", "1(maj7)", "2(7)", "5sus4", "b7", "4(add9)", "5(9)", "6(6)",
    "1no3", "5/7", "5(7)/7", "5M/#7",
];

fn case() -> impl Strategy<Value = Case> {
    let chords = prop::collection::vec(prop::sample::select(&CHORDS[..]), 2..5);
    let shapes = prop::sample::select(&["root", "octave", "root fifth"][..]);
    let keys = prop::sample::select(&["C major", "Eb major", "F# minor", "B major"][..]);
    (1usize..=4, shapes, chords, keys).prop_map(|(notes, shape, chords, key)| Case {
        notes,
        shape,
        chords,
        key,
    })
}

impl std::fmt::Debug for Case {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} notes over {} in {}: {:?}", self.notes, self.shape, self.key, self.chords)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_way_is_cheaper_than_the_planned_one(case in case()) {
        let costs = Costs::default();
        prop_assert_eq!(case.planned(&costs), case.least(&costs));
    }

    #[test]
    fn no_way_is_cheaper_with_other_weights(case in case(), top in 0..30, held in 0..40, centre in 0..4) {
        let costs = Costs { top_leap_semitone: top, held_by_left: held, centre_semitone: centre, left_semitone: 9,
            ..Costs::default() };
        prop_assert_eq!(case.planned(&costs), case.least(&costs));
    }
}
