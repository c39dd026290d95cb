//! Tables of the fingers of major and minor scales.
//!
//! Source of the major, harmonic and melodic minor rows: the scale tables of Hanon, The Virtuoso Pianist, no. 39
//! (public domain), written down from memory; natural minor rows and whatever else stands out are common practice, from
//! memory. All of them follow the rule of that practice: groups of three and four, the fourth finger once in an
//! octave, no thumb on a black key.

use crate::finger_rule::Pattern;
use crate::{Hand, Mode, Scale, ScaleKind};

/// The first finger, those of an octave from the tonic on as they return in every octave, and the last.
#[derive(Clone, Copy)]
struct Row(u8, [u8; 7], u8);

// Right hand. Named by the group that the tonic belongs to.

/// C, G, D, A, E, B: thumb on the tonic and the fourth degree.
const RIGHT_C: Row = Row(1, [1, 2, 3, 1, 2, 3, 4], 5);
/// F: thumb on the tonic and the fifth degree, for the fourth is black.
const RIGHT_F: Row = Row(1, [1, 2, 3, 4, 1, 2, 3], 4);
/// B flat, thumb on C and F. Some begin with 2.
const RIGHT_B_FLAT: Row = Row(4, [4, 1, 2, 3, 1, 2, 3], 4);
/// E flat, thumb on F and C. Some begin with 2.
const RIGHT_E_FLAT: Row = Row(3, [3, 1, 2, 3, 4, 1, 2], 3);
/// A flat, and F#, C#, G# minor: two black keys first. Some begin with 2.
const RIGHT_A_FLAT: Row = Row(3, [3, 4, 1, 2, 3, 1, 2], 3);
/// D flat, thumb on F and C.
const RIGHT_D_FLAT: Row = Row(2, [2, 3, 1, 2, 3, 4, 1], 2);
/// G flat, thumb on C flat and F.
const RIGHT_G_FLAT: Row = Row(2, [2, 3, 4, 1, 2, 3, 1], 2);
/// F# and C# melodic minor going up, where the sixth is black: thumb on the seventh. The last finger is the third, with
/// which the way down begins.
const RIGHT_SHARP_MELODIC: Row = Row(2, [2, 3, 1, 2, 3, 4, 1], 3);

// Left hand.

/// C, G, D, A, E, F: thumb on the tonic and the fifth degree.
const LEFT_C: Row = Row(5, [1, 4, 3, 2, 1, 3, 2], 1);
/// B: thumb on the tonic and the fourth degree.
const LEFT_B: Row = Row(4, [1, 3, 2, 1, 4, 3, 2], 1);
/// B flat, E flat, A flat, D flat, and C# minor: thumb on the third and seventh degrees.
const LEFT_B_FLAT: Row = Row(3, [3, 2, 1, 4, 3, 2, 1], 3);
/// G flat, and F# minor: thumb on the fourth and seventh degrees.
const LEFT_G_FLAT: Row = Row(4, [4, 3, 2, 1, 3, 2, 1], 4);
/// E flat minor: thumb on F and C flat (or C).
const LEFT_E_FLAT_MINOR: Row = Row(2, [2, 1, 4, 3, 2, 1, 3], 2);
/// B flat minor: thumb on C and F.
const LEFT_B_FLAT_MINOR: Row = Row(2, [2, 1, 3, 2, 1, 4, 3], 2);
/// G# natural minor, whose seventh is black: thumb on B and E. Sources differ here.
const LEFT_G_SHARP_NATURAL: Row = Row(3, [3, 2, 1, 3, 2, 1, 4], 3);

/// The table's row for a scale of a major or minor kind.
pub(crate) fn pattern(scale: Scale, hand: Hand) -> Pattern {
    let Row(first, octave, last) = match hand {
        Hand::Right => right(scale),
        Hand::Left => left(scale),
    };
    Pattern { first, octave: octave.to_vec(), last }
}

fn right(scale: Scale) -> Row {
    let melodic = scale.kind() == ScaleKind::MelodicMinor;
    match (scale.tonic().pitch_class(), scale.kind().mode()) {
        (5, _) => RIGHT_F,
        (10, _) => RIGHT_B_FLAT,
        (3, _) => RIGHT_E_FLAT,
        (8, _) => RIGHT_A_FLAT,
        (1, Mode::Major) => RIGHT_D_FLAT,
        (6, Mode::Major) => RIGHT_G_FLAT,
        (1 | 6, Mode::Minor) if melodic => RIGHT_SHARP_MELODIC,
        (1 | 6, Mode::Minor) => RIGHT_A_FLAT,
        _ => RIGHT_C,
    }
}

fn left(scale: Scale) -> Row {
    let natural = scale.kind() == ScaleKind::NaturalMinor;
    match (scale.tonic().pitch_class(), scale.kind().mode()) {
        (11, _) => LEFT_B,
        (6, _) => LEFT_G_FLAT,
        (3, Mode::Minor) => LEFT_E_FLAT_MINOR,
        (10, Mode::Minor) => LEFT_B_FLAT_MINOR,
        (8, Mode::Minor) if natural => LEFT_G_SHARP_NATURAL,
        (1 | 3 | 8 | 10, _) => LEFT_B_FLAT,
        _ => LEFT_C,
    }
}
