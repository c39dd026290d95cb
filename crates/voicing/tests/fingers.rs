//! Fingers of triads and octaves, against `tests/reference/fingerings.json` (teachers' handbooks; the rows name their
//! sources), and the fingers of other shapes.

use crate::print::{part_of, shapes, song_text};
use expect_test::expect;
use serde_json::Value;
use theory::Hand;
use voicing::Shape;

fn rows() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../../../tests/reference/fingerings.json")).unwrap();
    all["triads"].as_array().unwrap().clone()
}

fn fingers(shape: &Shape) -> Vec<u64> {
    shape.notes.iter().map(|n| u64::from(n.finger.number())).collect()
}

fn is_listed(row: &Value, hand: &str, fingers: &[u64]) -> bool {
    let as_numbers =
        |v: &Value| v.as_array().unwrap().iter().map(|f| f.as_u64().unwrap()).collect::<Vec<_>>();
    let others = row["alternatives"][hand].as_array().cloned().unwrap_or_default();
    as_numbers(&row[hand]) == fingers || others.iter().any(|other| as_numbers(other) == fingers)
}

#[test]
fn triads_of_every_degree_and_key_have_the_handbook_fingers() {
    let rows = rows();
    for (inversion, tones) in ["1 3 5", "3 5 1", "5 1 3"].into_iter().enumerate() {
        let row = (rows.iter())
            .find(|r| r["what"] == "blocked triad, close position" && r["inversion"] == inversion)
            .unwrap();
        for key in theory::Key::all() {
            // The triad of the seventh degree is diminished; the left hand's tones count from the degree it takes.
            let head = format!(r#""right": {{ "tones": "{tones}" }}, "left": {{ "shape": "triad" }},"#);
            let part = part_of(&song_text(&key.to_string(), &head, "1 | 2 | 3 | 4 | 5 | 6 | 7"));
            for chord in part.bars.iter().map(|bar| &bar.chords[0]) {
                let right = fingers(&chord.right);
                assert!(is_listed(row, "R", &right), "{key} {tones}: {right:?}");
                assert_eq!(fingers(&chord.left), [5, 3, 1], "{key}");
            }
        }
    }
}

#[test]
fn left_hand_inversions_have_the_handbook_fingers() {
    let rows = rows();
    // In C major with the chord's root in the left hand: 1 3 5, then a sixth chord and a six-four chord as intervals of
    // the key above the degree under the slash.
    for (inversion, chart, tones) in [(0, "1", "1 3 5"), (1, "1/3", "1 3 6"), (2, "1/5", "1 4 6")] {
        let head = format!(r#""left": {{ "tones": "{tones}" }},"#);
        let part = part_of(&song_text("C major", &head, chart));
        let left = fingers(&part.bars[0].chords[0].left);
        let row = (rows.iter())
            .find(|r| r["what"] == "blocked triad, close position" && r["inversion"] == inversion)
            .unwrap();
        assert!(is_listed(row, "L", &left), "{chart}: {left:?}");
    }
}

#[test]
fn octaves_have_the_outer_fingers() {
    let row = rows().into_iter().find(|r| r["what"] == "octave").unwrap();
    let head = r#""right": { "tones": "1 1" }, "left": { "shape": "octave" },"#;
    let part = part_of(&song_text("Eb major", head, "1 | 4 | 5"));
    for bar in &part.bars {
        assert!(is_listed(&row, "R", &fingers(&bar.chords[0].right)));
        assert!(is_listed(&row, "L", &fingers(&bar.chords[0].left)));
    }
}

#[test]
fn right_hand_fingers_rise_and_left_hand_fingers_fall() {
    let head = r#""right": { "notes": 4 }, "left": { "shape": "root fifth octave" },"#;
    let part = part_of(&song_text("G major", head, "1(maj7) | 2(9) | 5(13) | 5sus4(7) | 4(add9) | 1(6)"));
    for chord in part.bars.iter().map(|bar| &bar.chords[0]) {
        for hand in Hand::BOTH {
            let fingers = fingers(chord.hand(hand));
            let rising = fingers.windows(2).all(|pair| (pair[0] < pair[1]) == (hand == Hand::Right));
            assert!(rising, "{hand:?} {fingers:?}");
        }
    }
}

#[test]
fn a_single_line_goes_with_the_fingers() {
    // Read through: the bass starts on the little finger; a step up takes a finger further in, and repeated keys keep
    // theirs.
    let head = r#""right": { "tones": "1" }, "left": { "shape": "root" },"#;
    let part = part_of(&song_text("C major", head, "1 | 2 | 3 | 3 | 2 | 1"));
    expect![[r#"
        1.1 C: C3/5 | C4/2
        2.1 Dm: D3/4 | D4/3
        3.1 Em: E3/3 | E4/4
        4.1 Em: E3/3 | E4/4
        5.1 Dm: D3/4 | D4/3
        6.1 C: C3/5 | C4/2
    "#]]
    .assert_eq(&shapes(&part));
}
