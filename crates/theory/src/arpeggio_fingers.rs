//! The standard fingers of arpeggios.
//!
//! Source of the rows for major and minor triads from the root: Hanon, The Virtuoso Pianist, no. 41 (public domain), and
//! teachers' manuals, from memory. Dominant and diminished sevenths from the root: the same, no. 43 and no. 42, from
//! memory, for roots on white keys. Everything else is worked out by the rule.

use crate::finger_rule::{self, Pattern};
use crate::scale_fingers::fingers_of;
use crate::{Arpeggio, ArpeggioKind, FingerSource, Hand, Scale, ScaleFingers};

impl Arpeggio {
    /// The standard fingers through 1 to 4 octaves; `None` for other numbers of octaves. The way down has those of the
    /// way up.
    ///
    /// ```
    /// use theory::{Arpeggio, Hand};
    /// let arpeggio: Arpeggio = "D major".parse().unwrap();
    /// let numbers = |hand| arpeggio.fingers(hand, 2).unwrap().up.iter().map(|f| f.number()).collect::<Vec<_>>();
    /// assert_eq!(numbers(Hand::Right), [1, 2, 3, 1, 2, 3, 5]);
    /// assert_eq!(numbers(Hand::Left), [5, 3, 2, 1, 3, 2, 1]);
    /// ```
    pub fn fingers(self, hand: Hand, octaves: u8) -> Option<ScaleFingers> {
        if !(1..=Scale::MAX_OCTAVES).contains(&octaves) {
            return None;
        }
        let (pattern, source) = match published(self, hand) {
            Some((pattern, source)) => (pattern, FingerSource::Published(source)),
            None => (by_rule(self, hand), FingerSource::Rule),
        };
        Some(fingers_of(hand, &pattern, &pattern, octaves, source))
    }
}

/// What the rule gives for an arpeggio.
pub(crate) fn by_rule(arpeggio: Arpeggio, hand: Hand) -> Pattern {
    let classes: Vec<u8> = arpeggio.notes().iter().map(|note| note.pitch_class()).collect();
    finger_rule::pattern(hand, &classes)
}

/// The first finger, those of an octave, and the last.
struct Row(u8, &'static [u8], u8);

const TRIADS: &str = "Hanon, The Virtuoso Pianist, no. 41";
const DOMINANT: &str = "Hanon, The Virtuoso Pianist, no. 43";
const DIMINISHED: &str = "Hanon, The Virtuoso Pianist, no. 42";

// Right hand.

/// Roots on white keys, and F#/Gb major and Eb minor, which lie on black keys alone.
const RIGHT_ROOT: Row = Row(1, &[1, 2, 3], 5);
/// Black roots: thumb on the first white note, and a fourth to bridge.
const RIGHT_BLACK: Row = Row(2, &[4, 1, 2], 4);
/// B flat minor: thumb on F.
const RIGHT_B_FLAT_MINOR: Row = Row(2, &[2, 3, 1], 2);
/// Sevenths from a white root.
const RIGHT_SEVENTH: Row = Row(1, &[1, 2, 3, 4], 5);

// Left hand.

/// Roots on white keys, and E flat minor.
const LEFT_ROOT: Row = Row(5, &[1, 4, 2], 1);
/// D, A, E, B major, whose third is black, and F#/Gb major.
const LEFT_BLACK_THIRD: Row = Row(5, &[1, 3, 2], 1);
/// B flat: thumb on F.
const LEFT_B_FLAT: Row = Row(3, &[3, 2, 1], 3);
/// Other black roots: thumb on the third.
const LEFT_BLACK: Row = Row(2, &[2, 1, 4], 2);
/// Sevenths from a white root.
const LEFT_SEVENTH: Row = Row(5, &[1, 4, 3, 2], 1);

fn published(arpeggio: Arpeggio, hand: Hand) -> Option<(Pattern, &'static str)> {
    if arpeggio.inversion() != 0 {
        return None;
    }
    let class = arpeggio.root().pitch_class();
    let white = !matches!(class, 1 | 3 | 6 | 8 | 10);
    let (row, source) = match arpeggio.kind() {
        kind @ (ArpeggioKind::Major | ArpeggioKind::Minor) => {
            (triad(class, kind == ArpeggioKind::Major, hand), TRIADS)
        }
        ArpeggioKind::DominantSeventh if white => (seventh(hand), DOMINANT),
        ArpeggioKind::DiminishedSeventh if white => (seventh(hand), DIMINISHED),
        _ => return None,
    };
    let Row(first, octave, last) = row;
    Some((Pattern { first, octave: octave.to_vec(), last }, source))
}

fn triad(class: u8, major: bool, hand: Hand) -> Row {
    match (hand, class, major) {
        (Hand::Right, 10, false) => RIGHT_B_FLAT_MINOR,
        (Hand::Right, 6, true) | (Hand::Right, 3, false) => RIGHT_ROOT,
        (Hand::Right, 1 | 3 | 6 | 8 | 10, _) => RIGHT_BLACK,
        (Hand::Right, _, _) => RIGHT_ROOT,
        (Hand::Left, 2 | 4 | 6 | 9 | 11, true) => LEFT_BLACK_THIRD,
        (Hand::Left, 10, _) => LEFT_B_FLAT,
        (Hand::Left, 3, false) => LEFT_ROOT,
        (Hand::Left, 1 | 3 | 6 | 8, _) => LEFT_BLACK,
        (Hand::Left, _, _) => LEFT_ROOT,
    }
}

fn seventh(hand: Hand) -> Row {
    if hand == Hand::Right { RIGHT_SEVENTH } else { LEFT_SEVENTH }
}
