//! The rule that the published fingers of scales and arpeggios follow, for what no table has.
//!
//! Thumbs lie on white keys; where the first note is white, one of them lies on it; a thumb likes to come right after a
//! black key, seen from the hand's own outward way (the right hand's up, the left hand's down), for there it passes under
//! most easily; between two thumbs lie one to three other fingers. The tests hold the rule against every row of the tables
//! (common practice, from memory; the arithmetic is ours).

use crate::{Finger, Hand};

/// Fingers of an octave from the first note on, as they return in every octave, and what the ends have instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Pattern {
    pub first: u8,
    pub octave: Vec<u8>,
    pub last: u8,
}

impl Pattern {
    /// One finger a note, through so many octaves.
    pub fn through(&self, octaves: u8) -> Vec<Finger> {
        let top = self.octave.len() * usize::from(octaves);
        let number = |index: usize| match index {
            0 => self.first,
            _ if index == top => self.last,
            _ => self.octave[index % self.octave.len()],
        };
        let finger = |index| Finger::new(number(index)).expect("tables and rule hold 1 to 5 only");
        (0..=top).map(finger).collect()
    }
}

/// The pattern of notes, given as pitch classes from the first note up through an octave: three to seven of them.
pub(crate) fn pattern(hand: Hand, classes: &[u8]) -> Pattern {
    let outward = Outward::new(hand, classes);
    let thumbs = outward.thumbs();
    let fingers = outward.fingers(&thumbs);
    let size = classes.len();
    // Back from the outward way to the way up: the left hand's notes were counted down from the first.
    let up = |index: usize| if hand == Hand::Right { index } else { (size - index) % size };
    let octave: Vec<u8> = (0..size).map(|index| fingers[up(index)]).collect();
    let (near, far) = outward.ends(&thumbs, &fingers);
    match hand {
        // Right-hand arpeggios begin with the second finger where the thumb comes next.
        Hand::Right if size < 5 && thumbs[0] == 1 => Pattern { first: 2, octave, last: far },
        Hand::Right => Pattern { first: near, octave, last: far },
        Hand::Left => Pattern { first: far, octave, last: near },
    }
}

/// The notes as the hand meets them going outwards from the first: the right hand up, the left hand down.
struct Outward {
    classes: Vec<u8>,
    black: Vec<bool>,
}

/// The widest group: thumb and three other fingers.
const WIDEST: usize = 4;

impl Outward {
    fn new(hand: Hand, classes: &[u8]) -> Outward {
        let mut classes = classes.to_vec();
        if hand == Hand::Left {
            classes[1..].reverse();
        }
        let mut black: Vec<bool> = classes.iter().map(|c| matches!(c % 12, 1 | 3 | 6 | 8 | 10)).collect();
        // On black keys alone no key is better than another.
        if black.iter().all(|black| *black) {
            black.fill(false);
        }
        Outward { classes, black }
    }

    fn size(&self) -> usize {
        self.classes.len()
    }

    /// Where the thumbs lie, in order: the cheapest of all choices, of equal ones the farthest out.
    fn thumbs(&self) -> Vec<usize> {
        let choices = (1u32..1 << self.size())
            .map(|set| (0..self.size()).filter(|index| set & (1 << index) != 0).collect::<Vec<usize>>())
            .filter(|thumbs| self.groups(thumbs).iter().all(|group| (2..=WIDEST).contains(group)));
        choices
            .min_by_key(|thumbs| (self.cost(thumbs), std::cmp::Reverse(thumbs.clone())))
            .expect("three to seven notes fall into groups of two to four")
    }

    /// How many fingers each thumb's group has, itself included.
    fn groups(&self, thumbs: &[usize]) -> Vec<usize> {
        let next = |at: usize| thumbs.get(at + 1).map_or(thumbs[0] + self.size(), |next| *next);
        thumbs.iter().enumerate().map(|(at, thumb)| next(at) - thumb).collect()
    }

    fn cost(&self, thumbs: &[usize]) -> u32 {
        let on_black = thumbs.iter().filter(|&&thumb| self.black[thumb]).count() as u32;
        let missed = u32::from(!self.black[0] && thumbs[0] != 0);
        let before = |thumb: usize| self.black[(thumb + self.size() - 1) % self.size()];
        let level = thumbs.iter().filter(|&&thumb| !before(thumb)).count() as u32;
        // In scales of seven notes the shorter group comes first, in those with leaps the longer one.
        let groups = self.groups(thumbs);
        let shorter_first = groups[0] < *groups.last().unwrap_or(&groups[0]);
        let turned = u32::from(thumbs[0] == 0 && groups.len() > 1 && shorter_first != (self.size() == 7));
        10_000 * on_black + 1000 * missed + 100 * thumbs.len() as u32 + 2 * level + turned
    }

    /// The finger of each note of the octave.
    fn fingers(&self, thumbs: &[usize]) -> Vec<u8> {
        let mut fingers = vec![0; self.size()];
        for (thumb, group) in thumbs.iter().zip(self.groups(thumbs)) {
            for finger in 0..group {
                fingers[(thumb + finger) % self.size()] = finger as u8 + 1;
            }
        }
        if self.size() == 3 {
            fingers[(thumbs[0] + 2) % 3] = self.outer_of_triad(thumbs[0]);
        }
        fingers
    }

    /// The third finger or the fourth on the outermost note of a triad's group: the third where a fourth or more follows
    /// (the thumb has far to go), and where a black key lies a minor third beyond the second finger's note.
    fn outer_of_triad(&self, thumb: usize) -> u8 {
        let class = |n: usize| i32::from(self.classes[(thumb + n) % 3]);
        let gap = |n: usize| {
            let up = (class(n + 1) - class(n)).rem_euclid(12);
            // Of notes counted downwards the intervals are turned round.
            if self.descends() { 12 - up } else { up }
        };
        let black = matches!(class(2) % 12, 1 | 3 | 6 | 8 | 10);
        if gap(2) >= 5 || (gap(1) == 3 && gap(2) == 4 && black) { 3 } else { 4 }
    }

    /// Whether the notes are counted downwards: the way through the octave is then the long way round.
    fn descends(&self) -> bool {
        let up: i32 = (0..self.size())
            .map(|n| {
                let next = i32::from(self.classes[(n + 1) % self.size()]);
                (next - i32::from(self.classes[n])).rem_euclid(12)
            })
            .sum();
        up > 12
    }

    /// The fingers at the inner and at the outer end of a run.
    fn ends(&self, thumbs: &[usize], fingers: &[u8]) -> (u8, u8) {
        if thumbs[0] == 0 {
            let beyond = fingers[self.size() - 1] + 1;
            return (1, if self.size() == 3 { 5 } else { beyond });
        }
        (fingers[0], fingers[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Arpeggio, ArpeggioKind, FingerSource, Scale, arpeggio_fingers, scale_fingers};

    /// The rule stands for the tables: what it gives where they have a row is that row. One row is not of the rule: the
    /// turn of F# and C# melodic minor.
    #[test]
    fn the_rule_gives_what_the_tables_have() {
        let mut rows = 0;
        for (scale, hand) in Scale::all().flat_map(|scale| Hand::BOTH.map(|hand| (scale, hand))) {
            let fingers = scale.fingers(hand, 2).expect("two octaves are practised");
            if fingers.source.is_published() {
                let mut ruled = scale_fingers::by_rule(scale, hand).through(2);
                let turn = ["F# melodic minor", "C# melodic minor"].contains(&scale.to_string().as_str());
                if turn && hand == Hand::Right {
                    *ruled.last_mut().expect("a run has notes") = Finger::ALL[2];
                }
                assert_eq!(fingers.up, ruled, "{scale} {}", hand.name());
                rows += 1;
            }
        }
        assert_eq!(rows, 15 * 4 * 2);
    }

    #[test]
    fn the_rule_gives_the_published_arpeggios() {
        let mut rows = 0;
        let roots = Scale::of_kind(crate::ScaleKind::Major).map(|scale| scale.tonic());
        for (root, kind) in roots.flat_map(|root| ArpeggioKind::ALL.map(|kind| (root, kind))) {
            let arpeggio = Arpeggio::new(root, kind).expect("no root here has a double accidental");
            for hand in Hand::BOTH {
                let fingers = arpeggio.fingers(hand, 2).expect("two octaves are practised");
                if let FingerSource::Published(_) = fingers.source {
                    let ruled = arpeggio_fingers::by_rule(arpeggio, hand).through(2);
                    assert_eq!(fingers.up, ruled, "{arpeggio} {}", hand.name());
                    rows += 1;
                }
            }
        }
        assert!(rows >= 15 * 2 * 2, "{rows}");
    }
}
