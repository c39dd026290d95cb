//! The standard fingers of scales, and where the hand crosses.
//!
//! Source of the major, harmonic and melodic minor rows: the scale tables of Hanon, The Virtuoso Pianist, part 2
//! (public domain), written down from memory; natural minor rows and whatever else stands out are common practice, from
//! memory. All of them follow the rule of that practice: groups of three and four, the fourth finger once in an
//! octave, no thumb on a black key.

use crate::{Finger, Hand, Mode, Scale, ScaleKind};

/// A scale's fingers for one hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScaleFingers {
    /// Going up: one finger a note, 7 an octave and one for the last tonic.
    pub up: Vec<Finger>,
    /// Going down, in playing order: from the highest note to the lowest. `up` reversed but in melodic minor, where
    /// the notes differ.
    pub down: Vec<Finger>,
    /// Crossings on the way up.
    pub crossings_up: Vec<Crossing>,
    /// Crossings on the way down, in playing order.
    pub crossings_down: Vec<Crossing>,
}

/// How the hand moves on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CrossingKind {
    /// The thumb passes under a finger.
    ThumbUnder,
    /// A finger passes over the thumb.
    FingerOver,
}

impl CrossingKind {
    /// `thumb under` or `finger over`.
    pub const fn name(self) -> &'static str {
        match self {
            CrossingKind::ThumbUnder => "thumb under",
            CrossingKind::FingerOver => "finger over",
        }
    }
}

/// A place in a scale where the hand crosses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Crossing {
    /// The note before it, counted upwards from 0, the lowest tonic; also on the way down.
    pub from: usize,
    /// The note after it, counted likewise: one more going up, one less going down.
    pub to: usize,
    /// Which of the two it is.
    pub kind: CrossingKind,
    /// The finger beside the thumb: the one that the thumb passes under, or that passes over the thumb.
    pub finger: Finger,
}

impl Scale {
    /// The most octaves that a scale is practised through.
    pub const MAX_OCTAVES: u8 = 4;

    /// The standard fingers through 1 to 4 octaves; `None` for other numbers of octaves.
    ///
    /// ```
    /// use theory::{CrossingKind, Finger, Hand, Scale};
    /// let scale: Scale = "D major".parse().unwrap();
    /// let right = scale.fingers(Hand::Right, 1).unwrap();
    /// assert_eq!(right.up.iter().map(|f| f.number()).collect::<Vec<_>>(), [1, 2, 3, 1, 2, 3, 4, 5]);
    /// let crossing = right.crossings_up[0];
    /// assert_eq!((crossing.from, crossing.to, crossing.kind), (2, 3, CrossingKind::ThumbUnder));
    /// assert_eq!(Some(crossing.finger), Finger::new(3));
    /// ```
    pub fn fingers(self, hand: Hand, octaves: u8) -> Option<ScaleFingers> {
        if !(1..=Self::MAX_OCTAVES).contains(&octaves) {
            return None;
        }
        let up = pattern(self, hand).through(octaves);
        let mut down = pattern(way_down(self), hand).through(octaves);
        let crossings_up = (1..up.len()).filter_map(|to| crossing(hand, &up, to - 1, to)).collect();
        let crossings_down =
            (1..down.len()).rev().filter_map(|from| crossing(hand, &down, from, from - 1)).collect();
        down.reverse();
        Some(ScaleFingers { up, down, crossings_up, crossings_down })
    }
}

/// The scale whose fingers serve the way down.
fn way_down(scale: Scale) -> Scale {
    if scale.kind() == ScaleKind::MelodicMinor { scale.key().into() } else { scale }
}

/// The crossing between two neighbouring notes. Within one position of the right hand finger numbers rise with the
/// notes, of the left they fall; a step the other way is a crossing, and one of its ends is the thumb.
fn crossing(hand: Hand, fingers: &[Finger], from: usize, to: usize) -> Option<Crossing> {
    let fingers_rise = fingers[from.max(to)] > fingers[from.min(to)];
    if fingers_rise == (hand == Hand::Right) {
        return None;
    }
    let (before, after) = (fingers[from], fingers[to]);
    Some(match after {
        Finger::THUMB => Crossing { from, to, kind: CrossingKind::ThumbUnder, finger: before },
        _ => Crossing { from, to, kind: CrossingKind::FingerOver, finger: after },
    })
}

/// Fingers of an octave from the tonic on, as they return in every octave, and what the ends have instead.
#[derive(Clone, Copy)]
struct Pattern {
    first: u8,
    octave: [u8; 7],
    last: u8,
}

impl Pattern {
    const fn new(first: u8, octave: [u8; 7], last: u8) -> Self {
        Pattern { first, octave, last }
    }

    fn through(self, octaves: u8) -> Vec<Finger> {
        let top = 7 * usize::from(octaves);
        let number = |index: usize| match index {
            0 => self.first,
            _ if index == top => self.last,
            _ => self.octave[index % 7],
        };
        let finger = |index| Finger::new(number(index)).expect("the tables hold 1 to 5 only");
        (0..=top).map(finger).collect()
    }
}

// Right hand. Named by the group that the tonic belongs to.

/// C, G, D, A, E, B: thumb on the tonic and the fourth degree.
const RIGHT_C: Pattern = Pattern::new(1, [1, 2, 3, 1, 2, 3, 4], 5);
/// F: thumb on the tonic and the fifth degree, for the fourth is black.
const RIGHT_F: Pattern = Pattern::new(1, [1, 2, 3, 4, 1, 2, 3], 4);
/// B flat, thumb on C and F. Some begin with 2.
const RIGHT_B_FLAT: Pattern = Pattern::new(4, [4, 1, 2, 3, 1, 2, 3], 4);
/// E flat, thumb on F and C. Some begin with 2.
const RIGHT_E_FLAT: Pattern = Pattern::new(3, [3, 1, 2, 3, 4, 1, 2], 3);
/// A flat, and F#, C#, G# minor: two black keys first. Some begin with 2.
const RIGHT_A_FLAT: Pattern = Pattern::new(3, [3, 4, 1, 2, 3, 1, 2], 3);
/// D flat, thumb on F and C.
const RIGHT_D_FLAT: Pattern = Pattern::new(2, [2, 3, 1, 2, 3, 4, 1], 2);
/// G flat, thumb on C flat and F.
const RIGHT_G_FLAT: Pattern = Pattern::new(2, [2, 3, 4, 1, 2, 3, 1], 2);
/// F# and C# melodic minor going up, where the sixth is black: thumb on the seventh. The last finger is the third, with
/// which the way down begins.
const RIGHT_SHARP_MELODIC: Pattern = Pattern::new(2, [2, 3, 1, 2, 3, 4, 1], 3);

// Left hand.

/// C, G, D, A, E, F: thumb on the tonic and the fifth degree.
const LEFT_C: Pattern = Pattern::new(5, [1, 4, 3, 2, 1, 3, 2], 1);
/// B: thumb on the tonic and the fourth degree.
const LEFT_B: Pattern = Pattern::new(4, [1, 3, 2, 1, 4, 3, 2], 1);
/// B flat, E flat, A flat, D flat, and C# minor: thumb on the third and seventh degrees.
const LEFT_B_FLAT: Pattern = Pattern::new(3, [3, 2, 1, 4, 3, 2, 1], 3);
/// G flat, and F# minor: thumb on the fourth and seventh degrees.
const LEFT_G_FLAT: Pattern = Pattern::new(4, [4, 3, 2, 1, 3, 2, 1], 4);
/// E flat minor: thumb on F and C flat (or C).
const LEFT_E_FLAT_MINOR: Pattern = Pattern::new(2, [2, 1, 4, 3, 2, 1, 3], 2);
/// B flat minor: thumb on C and F.
const LEFT_B_FLAT_MINOR: Pattern = Pattern::new(2, [2, 1, 3, 2, 1, 4, 3], 2);
/// G# natural minor, whose seventh is black: thumb on B and E. Sources differ here.
const LEFT_G_SHARP_NATURAL: Pattern = Pattern::new(3, [3, 2, 1, 3, 2, 1, 4], 3);

fn pattern(scale: Scale, hand: Hand) -> Pattern {
    match hand {
        Hand::Right => right(scale),
        Hand::Left => left(scale),
    }
}

fn right(scale: Scale) -> Pattern {
    let melodic = scale.kind() == ScaleKind::MelodicMinor;
    match (scale.key().tonic().pitch_class(), scale.key().mode()) {
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

fn left(scale: Scale) -> Pattern {
    let natural = scale.kind() == ScaleKind::NaturalMinor;
    match (scale.key().tonic().pitch_class(), scale.key().mode()) {
        (11, _) => LEFT_B,
        (6, _) => LEFT_G_FLAT,
        (3, Mode::Minor) => LEFT_E_FLAT_MINOR,
        (10, Mode::Minor) => LEFT_B_FLAT_MINOR,
        (8, Mode::Minor) if natural => LEFT_G_SHARP_NATURAL,
        (1 | 3 | 8 | 10, _) => LEFT_B_FLAT,
        _ => LEFT_C,
    }
}
