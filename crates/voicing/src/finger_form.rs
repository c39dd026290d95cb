//! The forms that handbooks give for the fingers of a shape, the same in every key, thumb on a black key included.

use theory::Hand;

/// Fingers from the lowest key up, right hand or left.
type Form = &'static [u8];

/// What handbooks give for a shape: the usual form, and those that some give beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Forms {
    pub usual: Form,
    pub others: &'static [Form],
    /// A third, a fourth or a tritone, where what lies around it decides between them.
    pub narrow: bool,
}

/// The forms for keys from the lowest up; none where handbooks leave it to the hand.
///
/// Triads: teachers' handbooks (`tests/reference/fingerings.json` names them). Block sevenths, octaves, sixths, fifths,
/// 1-5-8: common practice, no source. Triads with the octave: the arpeggios in Hanon, The Virtuoso Pianist, no. 41, from
/// memory. Thirds and fourths: common practice, no source.
pub(crate) fn forms(keys: &[u8], hand: Hand) -> Option<Forms> {
    let gap = |i: usize| keys[i + 1] - keys[i];
    let (right, left) = match keys.len() {
        2 => two(gap(0))?,
        3 => three(gap(0), gap(1))?,
        4 => four([gap(0), gap(1), gap(2)])?,
        _ => return None,
    };
    Some(if hand == Hand::Right { right } else { left })
}

fn both(right: Form, left: Form) -> (Forms, Forms) {
    (form(right, &[]), form(left, &[]))
}

fn form(usual: Form, others: &'static [Form]) -> Forms {
    Forms { usual, others, narrow: false }
}

fn narrow(usual: Form, others: &'static [Form]) -> Forms {
    Forms { usual, others, narrow: true }
}

fn two(gap: u8) -> Option<(Forms, Forms)> {
    Some(match gap {
        3 | 4 => {
            (narrow(&[1, 3], &[&[2, 4], &[3, 5], &[1, 2]]), narrow(&[3, 1], &[&[4, 2], &[5, 3], &[2, 1]]))
        }
        5 => (narrow(&[1, 4], &[&[2, 5], &[1, 3], &[1, 5]]), narrow(&[4, 1], &[&[5, 2], &[3, 1], &[5, 1]])),
        6 => (narrow(&[1, 5], &[&[1, 4], &[2, 5]]), narrow(&[5, 1], &[&[4, 1], &[5, 2]])),
        7 => (form(&[1, 5], &[]), form(&[5, 1], &[&[5, 2]])),
        8 | 9 => (form(&[1, 5], &[&[1, 4]]), form(&[5, 1], &[&[4, 1]])),
        10 | 11 => both(&[1, 5], &[5, 1]),
        12 => (form(&[1, 5], &[&[1, 4]]), form(&[5, 1], &[&[4, 1]])),
        13.. => both(&[1, 5], &[5, 1]),
        _ => return None,
    })
}

fn three(low: u8, high: u8) -> Option<(Forms, Forms)> {
    Some(match (low, high) {
        (3 | 4, 3 | 4) => both(&[1, 3, 5], &[5, 3, 1]),
        (3 | 4, 5 | 6) => (form(&[1, 2, 5], &[&[1, 3, 5]]), form(&[5, 3, 1], &[])),
        (5 | 6, 3 | 4) => both(&[1, 3, 5], &[5, 2, 1]),
        (5.., _) if low + high >= 12 => both(&[1, 2, 5], &[5, 2, 1]),
        _ => return None,
    })
}

fn four(gaps: [u8; 3]) -> Option<(Forms, Forms)> {
    let octave = gaps.iter().sum::<u8>() == 12;
    Some(match gaps {
        [3 | 4, 3 | 4, 5 | 6] if octave => {
            (form(&[1, 2, 3, 5], &[&[1, 2, 4, 5]]), form(&[5, 4, 2, 1], &[&[5, 3, 2, 1]]))
        }
        [3 | 4, 5 | 6, 3 | 4] if octave => both(&[1, 2, 4, 5], &[5, 4, 2, 1]),
        [5 | 6, 3 | 4, 3 | 4] if octave => (form(&[1, 2, 4, 5], &[&[1, 2, 3, 5]]), form(&[5, 3, 2, 1], &[])),
        _ if is_block_seventh(gaps) => {
            (form(&[1, 2, 3, 5], &[&[1, 2, 4, 5]]), form(&[5, 3, 2, 1], &[&[5, 4, 2, 1]]))
        }
        _ => return None,
    })
}

/// A seventh chord in close position: thirds, and one second where the octave of the root lies inside.
fn is_block_seventh(gaps: [u8; 3]) -> bool {
    gaps.iter().sum::<u8>() <= 11
        && gaps.iter().all(|&gap| (1..=4).contains(&gap))
        && gaps.iter().filter(|&&gap| gap <= 2).count() <= 1
}
