//! The least possible movement through progressions of close triads, against `tests/reference/voice_leading.json`
//! (exhaustive enumeration, checked by dynamic programming and networkx shortest paths).

use serde_json::Value;
use theory::{Chord, MidiKey};
use voicing::{Costs, KeyRange, Reach, movement, right_path};

fn rows() -> Vec<Value> {
    serde_json::from_str(include_str!("../../../tests/reference/voice_leading.json")).unwrap()
}

fn chords(row: &Value) -> Vec<Chord> {
    let key = format!("{} major", row["key"].as_str().unwrap()).parse().unwrap();
    let degrees = row["progression"].as_str().unwrap().split(' ');
    degrees.map(|degree| Chord::in_key(degree.parse().unwrap(), key)).collect()
}

fn range(row: &Value) -> KeyRange {
    let at = |i: usize| MidiKey::new(row["range"][i].as_u64().unwrap() as u8).unwrap();
    KeyRange::new(at(0), at(1)).unwrap()
}

fn total(shapes: &[Vec<MidiKey>]) -> u32 {
    shapes.windows(2).map(|pair| movement(&pair[0], &pair[1])).sum()
}

#[test]
fn with_movement_alone_every_optimum_is_found() {
    let rows = rows();
    assert_eq!(rows.len(), 18);
    for row in &rows {
        let (chords, range) = (chords(row), range(row));
        let costs = Costs::movement_only();
        let free = right_path(&chords, 3, range, Reach::OCTAVE, &costs, None);
        assert_eq!(free.cost, row["any_start"]["min_cost"].as_i64().unwrap(), "{row}");
        assert_eq!(i64::from(total(&free.shapes)), free.cost);
        let start: Vec<MidiKey> = (row["fixed_start"]["start"].as_array().unwrap().iter())
            .map(|key| MidiKey::new(key.as_u64().unwrap() as u8).unwrap())
            .collect();
        let fixed = right_path(&chords, 3, range, Reach::OCTAVE, &costs, Some(&start));
        assert_eq!(fixed.shapes[0], start);
        assert_eq!(fixed.cost, row["fixed_start"]["min_cost"].as_i64().unwrap(), "{row}");
    }
}

#[test]
fn with_all_costs_the_right_hand_stays_within_eight_percent_of_the_least_movement() {
    let (mut moved, mut least) = (0, 0);
    for row in rows() {
        let degrees = row["progression"].as_str().unwrap().replace(' ', " | ");
        let text = crate::print::song_text(&format!("{} major", row["key"].as_str().unwrap()), "", &degrees);
        let part = crate::print::part_of(&text);
        let shapes: Vec<Vec<MidiKey>> =
            part.bars.iter().map(|bar| bar.chords[0].right.notes.iter().map(|n| n.key).collect()).collect();
        moved += u64::from(total(&shapes));
        least += row["any_start"]["min_cost"].as_u64().unwrap();
    }
    assert!(moved * 100 <= least * 108, "{moved} semitones, {least} would do");
}

#[test]
fn the_same_holds_in_all_thirty_keys() {
    let (mut moved, mut least) = (0, 0);
    for row in rows() {
        let progression = row["progression"].as_str().unwrap();
        for key in theory::Key::all() {
            let text = crate::print::song_text(&key.to_string(), "", &progression.replace(' ', " | "));
            let part = crate::print::part_of(&text);
            let keys = |bar: &voicing::PartBar| bar.chords[0].right.notes.iter().map(|n| n.key).collect();
            moved += i64::from(total(&part.bars.iter().map(keys).collect::<Vec<_>>()));
            let chords: Vec<Chord> =
                progression.split(' ').map(|degree| Chord::in_key(degree.parse().unwrap(), key)).collect();
            let costs = Costs::movement_only();
            least += right_path(&chords, 3, range(&row), Reach::OCTAVE, &costs, None).cost;
        }
    }
    assert!(moved * 100 <= least * 108, "{moved} semitones, {least} would do");
}
