//! Fingers of a shape: the handbook's form where there is one, else the least strained.

use crate::candidate::{Candidate, MOST_NOTES};
use theory::Hand;

/// Fingers from the lowest key up, 1 (thumb) to 5.
pub(crate) type Fingers = [u8; MOST_NOTES];

/// A way to finger a shape and what it costs by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Fingering {
    pub fingers: Fingers,
    pub cost: i32,
}

/// Spans of finger pairs in semitones: relaxed from, relaxed to, comfortable to, possible to. Parncutt, Sloboda, Clarke,
/// Raekallio & Desain 1997, Music Perception 14, table 2 (right hand; the left is its mirror). Made for melodies; here
/// it is read for keys held together and stretched with the player's reach, an octave being 12.
const SPANS: [((u8, u8), [i32; 4]); 10] = [
    ((1, 2), [1, 5, 8, 10]),
    ((1, 3), [3, 7, 10, 12]),
    ((1, 4), [5, 9, 12, 14]),
    ((1, 5), [7, 11, 13, 15]),
    ((2, 3), [1, 2, 3, 5]),
    ((2, 4), [3, 4, 5, 7]),
    ((2, 5), [5, 6, 8, 10]),
    ((3, 4), [1, 2, 2, 4]),
    ((3, 5), [3, 4, 5, 7]),
    ((4, 5), [1, 2, 3, 5]),
];

/// All sensible fingerings of a shape in one hand: the handbook's form alone where there is one, else every strictly
/// ascending choice of fingers with its strain.
pub(crate) fn fingerings(shape: &Candidate, hand: Hand, reach: u8) -> Vec<Fingering> {
    let keys = shape.keys();
    if let Some(form) = handbook_form(keys, hand) {
        return vec![Fingering { fingers: padded(form), cost: 0 }];
    }
    match keys.len() {
        0 => vec![Fingering { fingers: [0; MOST_NOTES], cost: 0 }],
        1..=5 => assignments(keys, hand, reach),
        _ => vec![Fingering { fingers: crowded(keys.len(), hand), cost: 0 }],
    }
}

fn padded(form: &[u8]) -> Fingers {
    std::array::from_fn(|i| form.get(i).copied().unwrap_or(0))
}

/// Forms that teachers' handbooks give, the same in every key, thumb on a black key included.
///
/// Triads: teachers' handbooks. Fifths, sixths, octaves, block sevenths (1-2-3-5, left 5-3-2-1), root-fifth-octave and
/// octave chords: common practice, no source.
fn handbook_form(keys: &[u8], hand: Hand) -> Option<&'static [u8]> {
    let third = |i: usize| matches!(keys[i + 1] - keys[i], 3 | 4);
    let fourth = |i: usize| matches!(keys[i + 1] - keys[i], 5 | 6);
    let (right, left): (&[u8], &[u8]) = match keys.len() {
        2 if (6..=12).contains(&(keys[1] - keys[0])) => (&[1, 5], &[5, 1]),
        3 if third(0) && third(1) => (&[1, 3, 5], &[5, 3, 1]),
        3 if third(0) && fourth(1) => (&[1, 2, 5], &[5, 3, 1]),
        3 if fourth(0) && third(1) => (&[1, 3, 5], &[5, 2, 1]),
        3 if keys[2] - keys[0] >= 12 && keys[1] - keys[0] >= 5 => (&[1, 2, 5], &[5, 2, 1]),
        4 if keys[3] - keys[0] == 12 && third(0) => octave_chord(third(1)),
        4 if keys[3] - keys[0] == 12 && fourth(0) => (&[1, 2, 4, 5], &[5, 3, 2, 1]),
        4 if is_block_seventh(keys) => (&[1, 2, 3, 5], &[5, 3, 2, 1]),
        _ => return None,
    };
    Some(if hand == Hand::Right { right } else { left })
}

/// Root position or first inversion with its lowest note doubled.
fn octave_chord(root_position: bool) -> (&'static [u8], &'static [u8]) {
    if root_position { (&[1, 2, 3, 5], &[5, 4, 2, 1]) } else { (&[1, 2, 4, 5], &[5, 4, 2, 1]) }
}

/// A seventh chord in close position: thirds, and one second where the octave of the root lies inside.
fn is_block_seventh(keys: &[u8]) -> bool {
    let gaps = keys.windows(2).map(|pair| pair[1] - pair[0]);
    keys[3] - keys[0] <= 11 && gaps.clone().all(|gap| gap <= 4) && gaps.filter(|&gap| gap <= 2).count() <= 1
}

fn assignments(keys: &[u8], hand: Hand, reach: u8) -> Vec<Fingering> {
    let mut found = Vec::with_capacity(10);
    for bits in 0u32..32 {
        if bits.count_ones() as usize != keys.len() {
            continue;
        }
        let mut fingers = [0; MOST_NOTES];
        let chosen = (1..=5).filter(|finger| bits & (1 << (finger - 1)) != 0);
        for (place, finger) in chosen.enumerate() {
            let place = if hand == Hand::Right { place } else { keys.len() - 1 - place };
            fingers[place] = finger;
        }
        found.push(Fingering { fingers, cost: strain(keys, &fingers, hand, reach) });
    }
    found
}

/// How strained a shape is: each neighbouring pair and the outer one against the table of spans.
fn strain(keys: &[u8], fingers: &Fingers, hand: Hand, reach: u8) -> i32 {
    if keys.len() == 1 {
        return alone(fingers[0], hand);
    }
    let last = keys.len() - 1;
    let pairs = (0..last).map(|i| (i, i + 1)).chain((last > 1).then_some((0, last)));
    let spans = pairs.map(|(i, j)| {
        stretch((fingers[i].min(fingers[j]), fingers[i].max(fingers[j])), keys[j] - keys[i], reach)
    });
    spans.sum::<i32>() + if fingers[..=last].contains(&1) { 0 } else { 4 }
}

/// A single note: the strong middle finger in the right hand, the little finger in the left, so that the hand lies
/// above its bass (common practice; a free choice).
fn alone(finger: u8, hand: Hand) -> i32 {
    match hand {
        Hand::Right => [4, 1, 0, 2, 3][usize::from(finger) - 1],
        Hand::Left => [4, 3, 2, 1, 0][usize::from(finger) - 1],
    }
}

fn stretch(pair: (u8, u8), semitones: u8, reach: u8) -> i32 {
    let row = SPANS.iter().find(|(fingers, _)| *fingers == pair).map_or([0; 4], |(_, row)| *row);
    // Against a player whose octave is `reach` wide: all in twelfths of a semitone.
    let distance = 12 * i32::from(semitones);
    let [least, relaxed, comfortable, possible] = row.map(|limit| limit * i32::from(reach));
    let beyond = |limit: i32| (distance - limit).max(0);
    ((least - distance).max(0) + 2 * beyond(relaxed) + 4 * beyond(comfortable) + 20 * beyond(possible)) / 12
}

/// More keys than fingers: the thumb takes what is left, rolled.
fn crowded(count: usize, hand: Hand) -> Fingers {
    std::array::from_fn(|i| {
        if i >= count {
            return 0;
        }
        match hand {
            Hand::Right => (i + 1).min(5) as u8,
            Hand::Left => 5u8.saturating_sub(i as u8).max(1),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Table 2 of the paper, as `tests/reference/fingerings.json` has it: least practical, least comfortable, least
    /// relaxed, most relaxed, most comfortable, most practical. Its relaxed most of 1-5 differs between reprints.
    #[test]
    fn spans_are_those_of_the_paper() {
        let all: serde_json::Value =
            serde_json::from_str(include_str!("../../../tests/reference/fingerings.json")).unwrap();
        let paper = all["spans"]["semitones"].as_object().unwrap();
        assert_eq!(paper.len(), SPANS.len());
        for ((a, b), ours) in SPANS {
            let row: Vec<i64> =
                paper[&format!("{a}-{b}")].as_array().unwrap().iter().map(|v| v.as_i64().unwrap()).collect();
            for (column, limit) in (2..).zip(ours) {
                if ((a, b), column) != ((1, 5), 3) {
                    assert_eq!(i64::from(limit), row[column], "{a}-{b}, column {column}");
                }
            }
        }
    }
}
