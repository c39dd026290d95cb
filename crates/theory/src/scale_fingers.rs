//! The standard fingers of scales, and where the hand crosses.

use crate::finger_rule::{self, Pattern};
use crate::{Finger, Hand, Scale, ScaleKind, scale_tables};

/// Source of the major, harmonic and melodic minor rows.
const HANON: &str = "Hanon, The Virtuoso Pianist, no. 39";
/// Source of the natural minor rows: the fingers of the melodic scale's way down.
const NATURAL_MINORS: &str = "teachers' tables of the natural minor scales";

/// The fingers of a scale or an arpeggio for one hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScaleFingers {
    /// Going up: one finger a note, the last one an octave above the first included.
    pub up: Vec<Finger>,
    /// Going down, in playing order: from the highest note to the lowest. `up` reversed but in melodic minor, where
    /// the notes differ.
    pub down: Vec<Finger>,
    /// Crossings on the way up.
    pub crossings_up: Vec<Crossing>,
    /// Crossings on the way down, in playing order.
    pub crossings_down: Vec<Crossing>,
    /// Where the fingers are from.
    pub source: FingerSource,
}

/// Where fingers are from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FingerSource {
    /// From tables that are published; the text names them.
    Published(&'static str),
    /// No published form is known to this program: worked out by the rule that all the published ones follow.
    Rule,
}

impl FingerSource {
    /// Whether it is a published form.
    pub const fn is_published(self) -> bool {
        matches!(self, FingerSource::Published(_))
    }

    /// The source in words: `Hanon, The Virtuoso Pianist, no. 39`.
    pub const fn text(self) -> &'static str {
        match self {
            FingerSource::Published(source) => source,
            FingerSource::Rule => {
                "no published form: worked out by the rule that the published ones follow, \
                 thumbs on white keys where there are any"
            }
        }
    }
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
        let (up, source) = form(self, hand);
        let (down, _) = form(self.way_down(), hand);
        Some(fingers_of(hand, &up, &down, octaves, source))
    }
}

/// The fingers of both ways with their crossings.
pub(crate) fn fingers_of(
    hand: Hand,
    up: &Pattern,
    down: &Pattern,
    octaves: u8,
    source: FingerSource,
) -> ScaleFingers {
    let up = up.through(octaves);
    let mut down = down.through(octaves);
    let crossings_up = (1..up.len()).filter_map(|to| crossing(hand, &up, to - 1, to)).collect();
    let crossings_down =
        (1..down.len()).rev().filter_map(|from| crossing(hand, &down, from, from - 1)).collect();
    down.reverse();
    ScaleFingers { up, down, crossings_up, crossings_down, source }
}

/// The table's fingers, or where no table has the scale those of the rule.
fn form(scale: Scale, hand: Hand) -> (Pattern, FingerSource) {
    let source = match scale.kind() {
        ScaleKind::NaturalMinor => FingerSource::Published(NATURAL_MINORS),
        ScaleKind::Major | ScaleKind::HarmonicMinor | ScaleKind::MelodicMinor => {
            FingerSource::Published(HANON)
        }
        _ => FingerSource::Rule,
    };
    let pattern =
        if source.is_published() { scale_tables::pattern(scale, hand) } else { by_rule(scale, hand) };
    (pattern, source)
}

/// What the rule gives for a scale.
pub(crate) fn by_rule(scale: Scale, hand: Hand) -> Pattern {
    let steps: Vec<u8> = scale.notes().iter().map(|note| note.pitch_class()).collect();
    finger_rule::pattern(hand, &steps)
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
