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

fn triad_row(rows: &[Value], inversion: usize) -> &Value {
    let is_row = |r: &&Value| r["what"] == "blocked triad, close position" && r["inversion"] == inversion;
    rows.iter().find(is_row).unwrap()
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
fn left_hand_inversions_have_the_handbook_fingers_in_every_key() {
    let rows = rows();
    // Intervals of the key above each degree: a triad, a sixth chord, a six-four chord. Tritones above the bass make
    // shapes that are no triads; handbooks have no form for those.
    for (inversion, tones) in ["1 3 5", "1 3 6", "1 4 6"].into_iter().enumerate() {
        let row = triad_row(&rows, inversion);
        for key in theory::Key::all() {
            let head = format!(r#""left": {{ "tones": "{tones}" }},"#);
            let part = part_of(&song_text(&key.to_string(), &head, "1 | 2 | 3 | 4 | 5 | 6 | 7"));
            for chord in part.bars.iter().map(|bar| &bar.chords[0]) {
                let keys: Vec<u8> = chord.left.notes.iter().map(|n| n.key.number()).collect();
                let gaps = (keys[1] - keys[0], keys[2] - keys[1]);
                let triad = match inversion {
                    0 => matches!(gaps, (3 | 4, 3 | 4)),
                    1 => matches!(gaps, (3 | 4, 5 | 6)),
                    _ => matches!(gaps, (5 | 6, 3 | 4)),
                };
                let left = fingers(&chord.left);
                assert!(!triad || is_listed(row, "L", &left), "{key} {tones}: {left:?}");
            }
        }
    }
}

/// A broken chord is fingered as the same chord struck together (common practice, no source).
#[test]
fn broken_chords_have_the_fingers_of_their_block_forms_in_every_key() {
    let rows = rows();
    for (inversion, tones) in ["1 3 5", "3 5 1", "5 1 3"].into_iter().enumerate() {
        for key in theory::Key::all() {
            let head = format!(
                r#""right": {{ "tones": "{tones}", "figure": "1 2 3 2" }},
                   "left": {{ "shape": "triad", "figure": "1 3 2 3" }},"#
            );
            let part = part_of(&song_text(&key.to_string(), &head, "1 | 4 | 5 | 1"));
            for event in &part.events {
                let place = usize::from(event.place);
                let (row, hand) = match event.hand {
                    Hand::Right => (triad_row(&rows, inversion), "R"),
                    Hand::Left => (triad_row(&rows, 0), "L"),
                };
                let usual = row[hand][place].as_u64().unwrap();
                assert_eq!(u64::from(event.finger.number()), usual, "{key} {tones}: {event:?}");
            }
        }
    }
}

/// Triads with the octave, as arpeggios begin and end: right hand 1-2-3-5 (Hanon, The Virtuoso Pianist, no. 41, from
/// memory); left hand 1-5-8 as 5-2-1 (common practice, no source).
#[test]
fn octave_chords_have_the_fingers_of_arpeggios() {
    for key in theory::Key::all() {
        let head =
            r#""right": { "notes": 4 }, "left": { "shape": "root fifth octave", "figure": "1 2 3 2" },"#;
        let part = part_of(&song_text(&key.to_string(), head, "1 | 4 | 1"));
        let mut octaves = 0;
        for chord in part.bars.iter().map(|bar| &bar.chords[0]) {
            let notes = &chord.right.notes;
            if notes.len() == 4 && notes[3].key.number() == notes[0].key.number() + 12 {
                octaves += 1;
                assert_eq!(fingers(&chord.right), [1, 2, 3, 5], "{key}");
            }
            if chord.left.notes.len() == 3 {
                assert_eq!(fingers(&chord.left), [5, 2, 1], "{key}");
            }
        }
        assert!(octaves > 0, "{key}: no triad with the octave to look at");
    }
}

#[test]
fn five_keys_have_five_fingers() {
    let head = r#""right": { "tones": "1 2 3 4 5", "near": "C4" }, "left": { "tones": "1 2 3 4 5" },"#;
    let part = part_of(&song_text("C major", head, "1"));
    assert_eq!(fingers(&part.bars[0].chords[0].right), [1, 2, 3, 4, 5]);
    assert_eq!(fingers(&part.bars[0].chords[0].left), [5, 4, 3, 2, 1]);
}

/// Held notes and a neighbour: the neighbour has a finger of its own, and nothing that is held changes its finger or has
/// to be let go.
#[test]
fn neighbours_are_fingered_without_lifting_what_is_held() {
    // Read through: 1-2-4 leaves the little finger free for the neighbour.
    let head = r#""right": { "tones": "1 3 5", "near": "C4", "figure": "x ^t t -" },"#;
    let part = part_of(&song_text("C major", head, "1 | 5"));
    expect![[r#"
        0 C4:4/1 E4:4/2 G4:1/4
        1 ~A4:1/5
        2 G4:2/4
        4 G3:4/1 B3:4/2 D4:1/4
        5 ~E4:1/5
        6 D4:2/4
    "#]]
    .assert_eq(&crate::print::strikes(&part, Hand::Right));
}

/// A chord that is still held when another pass of its section, fingered by itself, takes it over.
#[test]
fn a_held_key_that_must_change_its_finger_is_marked() {
    let text = r#"{ "format": 1, "title": "Join", "key": "C major", "tempo": 90,
        "right": { "tones": "1 3 5", "near": "C4" },
        "sections": [ { "name": "A", "right": { "figure": "x ^t t -" }, "bars": ["1"] },
                      { "name": "B", "right": { "figure": "- - - x" }, "bars": ["1 | 4"] } ] }"#;
    let part = part_of(text);
    // Read through: the first bar takes 1-2-4 for its neighbour; the second, by itself, has the handbook's 1-3-5.
    let held: Vec<String> = (part.events.iter())
        .filter(|e| e.hand == Hand::Right && !e.substitutions.is_empty())
        .map(|e| format!("{} {} at {}", e.pitch, e.finger_text(), e.substitutions[0].at.to_f64()))
        .collect();
    assert_eq!(held, ["E4 2-3 at 4", "G4 4-5 at 4"]);
    let told: Vec<String> = part.bars[1].chords[0].why.iter().map(voicing::Reason::text).collect();
    assert!(told.contains(&"On E4, which stays down, finger 2 gives way to 3.".to_string()), "{told:?}");
}

/// An exception that changes how a hand plays also changes its fingers, and nothing has to change while it is held.
#[test]
fn an_exception_that_plays_otherwise_is_fingered_otherwise() {
    let text = r#"{ "format": 1, "title": "Passes", "key": "C major", "tempo": 90,
        "right": { "tones": "1 3 5", "near": "C4" },
        "sections": [ { "name": "A", "bars": ["1 | 4"], "passes": 2,
                        "except": [ { "pass": 2, "bar": 1, "right": { "figure": "x - ^t t" } } ] } ] }"#;
    let part = part_of(text);
    let right = |bar: usize| fingers(&part.bars[bar].chords[0].right);
    assert_eq!((right(0), right(2)), (vec![1, 3, 5], vec![1, 2, 4]));
    assert!(part.events.iter().all(|e| e.substitutions.is_empty()));
}

/// Over the demo songs: of the keys that a hand has in two chords that follow one another, how many keep their finger;
/// and of the keys that stay down while something else is struck, how many do. Run with `--nocapture` to see the figures.
#[test]
fn most_keys_keep_their_finger_from_chord_to_chord() {
    let (mut common, mut kept, mut held, mut changed) = (0, 0, 0, 0);
    for part in crate::finger_reasons::demo_parts() {
        let chords: Vec<_> = part.bars.iter().flat_map(|bar| &bar.chords).collect();
        for pair in chords.windows(2) {
            for hand in Hand::BOTH {
                for note in &pair[1].hand(hand).notes {
                    let before = pair[0].hand(hand).notes.iter().find(|n| n.key == note.key);
                    common += usize::from(before.is_some());
                    kept += usize::from(before.is_some_and(|b| b.finger == note.finger));
                }
            }
        }
        for event in &part.events {
            let end = event.start + event.length;
            let meanwhile = |other: &&voicing::Event| {
                other.hand == event.hand && event.start < other.start && other.start < end
            };
            held += usize::from(part.events.iter().any(|other| meanwhile(&other)));
            changed += event.substitutions.len();
        }
    }
    println!("keys in two chords in a row: {kept} of {common} keep their finger");
    println!("keys that stay down while others are struck: {} of {held} keep their finger", held - changed);
    // The rest are keys that change their place in the hand, as the top of one octave that is the bottom of the next.
    assert!(common > 500 && kept * 100 >= common * 70, "{kept} of {common}");
    assert!(held > 300 && changed * 100 <= held, "{changed} of {held} change");
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
