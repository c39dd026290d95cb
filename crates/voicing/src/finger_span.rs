//! How far apart two fingers go.

use crate::FingerCosts;

/// Spans of finger pairs in semitones: relaxed from, relaxed to, comfortable to, possible to. Parncutt, Sloboda, Clarke,
/// Raekallio & Desain 1997, Music Perception 14, table 2 (right hand; the left is its mirror). Made for melodies; here
/// it is read for keys held together as well, and stretched with the player's reach, an octave being 12.
const SPANS: [[[i32; 4]; 4]; 4] = [
    [[1, 5, 8, 10], [3, 7, 10, 12], [5, 9, 12, 14], [7, 11, 13, 15]],
    [[0; 4], [1, 2, 3, 5], [3, 4, 5, 7], [5, 6, 8, 10]],
    [[0; 4], [0; 4], [1, 2, 2, 4], [3, 4, 5, 7]],
    [[0; 4], [0; 4], [0; 4], [1, 2, 3, 5]],
];

/// The nearest that 2 and 5 come; all other pairs come to a semitone. Same table.
const CLOSEST_2_5: u8 = 2;

/// How far a finger passes the thumb, by its number from 2: the table's least practical spans of 1-2, 1-3 and 1-4.
const PASSING: [u8; 3] = [5, 4, 3];

fn row(a: u8, b: u8) -> [i32; 4] {
    SPANS[usize::from(a.min(b)) - 1][usize::from(a.max(b)) - 2]
}

/// Whether a hand can hold two keys so far apart with two different fingers.
pub(crate) fn possible(a: u8, b: u8, semitones: u8, reach: u8) -> bool {
    let close_enough = 12 * i32::from(semitones) <= row(a, b)[3] * i32::from(reach);
    let wide_enough = (a.min(b), a.max(b)) != (2, 5) || semitones >= CLOSEST_2_5;
    close_enough && wide_enough
}

/// What it costs two different fingers to be so far apart.
pub(crate) fn stretch(a: u8, b: u8, semitones: u8, reach: u8, costs: &FingerCosts) -> i32 {
    let [least, relaxed, comfortable, most] = row(a, b);
    let near = costs.cramped * (least - i32::from(semitones)).max(0);
    let beyond = |limit: i32, weight: i32| weight * beyond(limit, semitones, reach);
    let too_close = !possible(a, b, semitones, reach) && beyond(most, 1) == 0;
    near + beyond(relaxed, costs.beyond_relaxed)
        + beyond(comfortable, costs.beyond_comfortable)
        + beyond(most, costs.beyond_possible)
        + if too_close { costs.beyond_possible } else { 0 }
}

/// Semitones beyond a limit, in those of a hand that reaches an octave; a begun one counts whole.
fn beyond(limit: i32, semitones: u8, reach: u8) -> i32 {
    let (distance, reach) = (12 * i32::from(semitones), i32::from(reach));
    ((distance - limit * reach).max(0) + reach - 1) / reach
}

/// Whether a finger other than the thumb passes over it (or the thumb under that finger) so far.
pub(crate) fn passes(a: u8, b: u8, semitones: u8) -> bool {
    let finger = a.max(b);
    a.min(b) == 1 && (2..=4).contains(&finger) && semitones <= PASSING[usize::from(finger) - 2]
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
        assert_eq!(paper.len(), 10);
        for (a, b) in (1..=4).flat_map(|a| (a + 1..=5).map(move |b| (a, b))) {
            let of_paper: Vec<i32> = paper[&format!("{a}-{b}")]
                .as_array()
                .unwrap()
                .iter()
                .map(|v| i32::try_from(v.as_i64().unwrap()).unwrap())
                .collect();
            for (column, limit) in (2..).zip(row(a, b)) {
                if ((a, b), column) != ((1, 5), 3) {
                    assert_eq!(limit, of_paper[column], "{a}-{b}, column {column}");
                }
            }
            // The least practical: negative where the thumb is passed.
            assert_eq!(passes(a, b, 1), of_paper[0] < -1, "{a}-{b}");
            if (2..=4).contains(&b) && a == 1 {
                assert!(passes(a, b, (-of_paper[0]) as u8) && !passes(a, b, (1 - of_paper[0]) as u8));
            } else if a > 1 {
                assert!(possible(a, b, of_paper[0] as u8, 12));
                assert!(of_paper[0] == 1 || !possible(a, b, (of_paper[0] - 1) as u8, 12));
            }
        }
    }

    #[test]
    fn a_smaller_hand_stretches_sooner() {
        let costs = FingerCosts::default();
        assert_eq!(stretch(1, 5, 11, 12, &costs), 0);
        // 11 of a hand of 10 are 13.2 of a hand of 12: two begun semitones and a fifth beyond relaxed, one beyond
        // comfortable.
        assert_eq!(stretch(1, 5, 11, 10, &costs), 3 * costs.beyond_relaxed + costs.beyond_comfortable);
        assert!(possible(2, 5, 10, 12) && !possible(2, 5, 10, 11));
    }
}
