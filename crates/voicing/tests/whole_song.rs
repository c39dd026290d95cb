//! The song is planned as it is played: small songs with repeats and returns against every possible choice, with
//! candidates and costs made from the song format by `contract`, not by the planner.

use crate::contract::{Left, left_hands, move_cost, pair_cost, right_hands};
use proptest::prelude::*;
use std::collections::HashMap;
use theory::{Chord, MidiKey};
use voicing::{Costs, KeyRange, Part, Settings};

/// Few keys, so that all ways can be tried: E2 to A4.
const KEYS: (u8, u8) = (40, 69);

#[derive(Debug, Clone)]
struct Case {
    key: &'static str,
    /// The chords of two sections.
    sections: [Vec<&'static str>; 2],
    passes: [usize; 2],
    order: Vec<usize>,
}

impl Case {
    fn part(&self, costs: &Costs) -> Part {
        let section = |at: usize| {
            let name = ["A", "B"][at];
            let bars = self.sections[at].join(" | ");
            format!(r#"{{ "name": "{name}", "passes": {}, "bars": ["{bars}"] }}"#, self.passes[at])
        };
        let order: Vec<&str> = self.order.iter().map(|&at| [r#""A""#, r#""B""#][at]).collect();
        let text = format!(
            r#"{{ "format": 1, "title": "Test", "key": "{}", "tempo": 90, "right": {{ "notes": 2 }},
                 "left": {{ "shape": "root" }}, "sections": [ {}, {} ], "order": [{}] }}"#,
            self.key,
            section(0),
            section(1),
            order.join(", ")
        );
        let song = song::read(&text).sound().unwrap().play();
        let key = |number| MidiKey::new(number).unwrap();
        let settings =
            Settings { keys: KeyRange::new(key(KEYS.0), key(KEYS.1)).unwrap(), ..Settings::default() };
        voicing::plan_with(&song, song.key, &settings, costs).unwrap()
    }

    /// The places in the order in which they are played.
    fn played(&self) -> Vec<usize> {
        let first = [0, self.sections[0].len()];
        let places = |at: usize| (0..self.sections[at].len()).map(move |n| first[at] + n);
        let passes = |at: &usize| std::iter::repeat_n(*at, self.passes[*at]);
        self.order.iter().flat_map(passes).flat_map(places).collect()
    }

    fn chords(&self) -> Vec<Chord> {
        let key = self.key.parse().unwrap();
        self.sections.iter().flatten().map(|c| Chord::in_key(c.parse().unwrap(), key)).collect()
    }

    /// The least cost over all ways to give every place a pair of shapes.
    fn least(&self, costs: &Costs) -> i64 {
        let chords = self.chords();
        let played = self.played();
        let mut joins: HashMap<(usize, usize), i64> = HashMap::new();
        played.windows(2).for_each(|pair| *joins.entry((pair[0], pair[1])).or_default() += 1);
        let shapes = chords.iter().enumerate().map(|(place, chord)| {
            let times = played.iter().filter(|&&p| p == place).count() as i64;
            let rights = right_hands(chord, 2, 12, KEYS);
            let lefts = left_hands(chord, "root", KEYS);
            let pairs = rights.iter().flat_map(|r| lefts.iter().map(move |l| (r.clone(), l.clone())));
            pairs.map(|(r, l)| (times * pair_cost(chord, &r, &l, costs), r, l)).collect()
        });
        let open = Open { chords: &chords, shapes: shapes.collect(), joins: &joins, costs };
        let mut best = i64::MAX;
        open.try_all(&mut Vec::new(), 0, &mut best);
        best
    }
}

struct Open<'a> {
    chords: &'a [Chord],
    shapes: Vec<Vec<(i64, Vec<u8>, Left)>>,
    joins: &'a HashMap<(usize, usize), i64>,
    costs: &'a Costs,
}

impl Open<'_> {
    /// All costs are positive, so a beginning that costs more than the best whole is not gone on with.
    fn try_all(&self, chosen: &mut Vec<usize>, cost: i64, best: &mut i64) {
        let at = chosen.len();
        if at == self.chords.len() {
            *best = (*best).min(cost);
            return;
        }
        for (number, shape) in self.shapes[at].iter().enumerate() {
            let moved: i64 = chosen
                .iter()
                .enumerate()
                .map(|(before, &other)| {
                    let other = &self.shapes[before][other];
                    self.join(before, other, at, shape) + self.join(at, shape, before, other)
                })
                .sum();
            let reached = cost + shape.0 + moved;
            if reached < *best {
                chosen.push(number);
                self.try_all(chosen, reached, best);
                chosen.pop();
            }
        }
    }

    fn join(&self, a: usize, from: &(i64, Vec<u8>, Left), b: usize, to: &(i64, Vec<u8>, Left)) -> i64 {
        let Some(times) = self.joins.get(&(a, b)) else { return 0 };
        let chords = (&self.chords[a], &self.chords[b]);
        times * move_cost(chords, (&from.1, &to.1), (&from.2.keys, &to.2.keys), self.costs)
    }
}

fn case() -> impl Strategy<Value = Case> {
    const CHORDS: [&str; 10] = ["1", "2", "3", "4", "5", "6", "5(7)", "5sus4", "4(maj7)", "1sus2"];
    let chords = || prop::collection::vec(prop::sample::select(&CHORDS[..]), 1..3);
    let keys = prop::sample::select(&["C major", "Eb major", "F# minor", "B major"][..]);
    let order = prop::collection::vec(0usize..2, 2..5);
    (keys, chords(), chords(), 1usize..4, 1usize..4, order).prop_map(|(key, a, b, p, q, order)| Case {
        key,
        sections: [a, b],
        passes: [p, q],
        order: if order.contains(&0) && order.contains(&1) { order } else { vec![0, 1, 0, 1, 1] },
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_choice_for_the_song_as_played_is_cheaper(case in case(), left in 1..12) {
        let costs = Costs { left_semitone: left, ..Costs::default() };
        let part = case.part(&costs);
        prop_assert_eq!(part.proof.gap, 0);
        prop_assert_eq!(part.proof.cost, case.least(&costs));
    }
}

/// A ring of chords in which a plan section by section, with free ends, would have to jump back at every repeat.
#[test]
fn the_way_back_to_the_beginning_counts_as_often_as_it_is_played() {
    let ring = |passes| Case {
        key: "C major",
        sections: [vec!["1", "2"], vec!["4", "5"]],
        passes: [passes, 1],
        order: vec![0, 1],
    };
    for passes in [1, 2, 9] {
        let case = ring(passes);
        assert_eq!(case.part(&Costs::default()).proof.cost, case.least(&Costs::default()), "{passes} passes");
    }
}
