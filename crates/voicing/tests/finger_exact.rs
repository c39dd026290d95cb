//! The fingers of a passage are the cheapest there are: short random passages against every possible choice, which
//! `finger_contract` makes and prices from the documents, not from the program.

use crate::finger_contract::{least_cost, moments, shown_cost};
use crate::print::song_text;
use proptest::prelude::*;
use theory::Hand;
use voicing::{FingerCosts, Part, Reach, Settings};

const CHORDS: [&str; 14] =
    ["1", "2", "3", "4", "5", "6", "5(7)", "2(7)", "1(maj7)", "5sus4", "4(add9)", "1/3", "5/7", "b7"];
const RIGHT: [&str; 7] =
    ["x - - -", "1 2 t 2", "x - ^t t", "[v12]1-- x x x", "t ^t t -", "1 . t .", "x v2 2 ^t"];
const LEFT: [&str; 5] = ["1 2 t 2", "x - - -", "1 ^1 1 -", "- 2 1 -", "12 12 1v2 2-"];
const SHAPES: [&str; 5] = ["root", "octave", "root fifth", "root fifth octave", "triad"];

#[derive(Debug)]
struct Case {
    key: &'static str,
    bars: String,
    notes: u8,
    right: &'static str,
    shape: &'static str,
    left: &'static str,
    reach: u8,
}

impl Case {
    fn part(&self) -> Part {
        let head = format!(
            r#""right": {{ "notes": {}, "figure": "{}" }}, "left": {{ "shape": "{}", "figure": "{}" }},"#,
            self.notes, self.right, self.shape, self.left
        );
        // A figure may count notes that a small shape does not have: a mistake, and its highest note.
        let song = song::read(&song_text(self.key, &head, &self.bars)).song.unwrap().play();
        let settings = Settings::default().with_reach(Reach::new(self.reach).unwrap());
        voicing::plan(&song, song.key, &settings).unwrap()
    }
}

fn case() -> impl Strategy<Value = Case> {
    let pick = |list: &'static [&'static str]| prop::sample::select(list);
    let keys = pick(&["C major", "Db major", "E minor", "B major", "F# minor"]);
    let chords = prop::collection::vec(pick(&CHORDS), 2..=3);
    (keys, chords, 1u8..=4, pick(&RIGHT), pick(&SHAPES), pick(&LEFT), 7u8..=16).prop_map(
        |(key, chords, notes, right, shape, left, reach)| Case {
            key,
            bars: chords.join(" | "),
            notes,
            right,
            shape,
            left,
            reach,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_fingers_are_cheaper_than_the_chosen_ones(case in case()) {
        let part = case.part();
        for hand in Hand::BOTH {
            let moments = moments(&part, hand);
            let costs = FingerCosts::default();
            let Some(shown) = shown_cost(&moments, &costs) else {
                return Err(TestCaseError::fail(format!("{hand:?}: fingers that are no choice")));
            };
            prop_assert_eq!(shown, least_cost(&moments, shown + 1, &costs), "{:?}", hand);
        }
    }
}

/// The check above is of passages that are worth it.
#[test]
fn the_random_passages_have_neighbours_and_held_keys() {
    let case = Case {
        key: "C major",
        bars: "1 | 4".into(),
        notes: 3,
        right: "x - ^t t",
        shape: "root fifth",
        left: "1 2 t 2",
        reach: 12,
    };
    let right = moments(&case.part(), Hand::Right);
    assert_eq!(right.iter().map(|m| m.neighbours.len()).collect::<Vec<_>>(), [0, 1, 0, 0, 1, 0]);
    assert!(right.iter().all(|m| m.keys.len() == 3 && m.choices.len() > 3));
}
