//! All ways to put one hand's fingers on the keys that it plays, and what each costs by itself.

use crate::FingerCosts;
use crate::candidate::MOST_NOTES;
use crate::finger_form::forms;
use crate::finger_span::{possible, stretch};
use theory::{Hand, MidiKey};

/// Fingers from the lowest key up, 1 (thumb) to 5.
pub(crate) type Fingers = [u8; MOST_NOTES];

/// The keys that one hand plays of a shape, and the room that the shape's other keys need.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Grip {
    count: u8,
    keys: [u8; MOST_NOTES],
    /// Keys of the shape that are not played: below the first, between, above the last.
    room: [u8; MOST_NOTES + 1],
    /// Played one after the other, so that the hand may move meanwhile.
    rolled: bool,
}

/// A way to finger a grip and what it costs by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Way {
    pub fingers: Fingers,
    pub cost: i32,
}

/// A hand as the choice of fingers knows it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FingerHand<'a> {
    pub hand: Hand,
    /// In semitones.
    pub reach: u8,
    pub costs: &'a FingerCosts,
}

impl Grip {
    /// The keys of a shape, from the lowest up, whose bits are set in `played`.
    pub fn new(shape: &[u8], played: u8, rolled: bool) -> Grip {
        let mut grip = Grip { count: 0, keys: [0; MOST_NOTES], room: [0; MOST_NOTES + 1], rolled };
        for (place, &key) in shape.iter().take(MOST_NOTES).enumerate() {
            if played & (1 << place) == 0 {
                grip.room[usize::from(grip.count)] += 1;
            } else {
                grip.keys[usize::from(grip.count)] = key;
                grip.count += 1;
            }
        }
        grip
    }

    /// From the lowest up.
    pub fn keys(&self) -> &[u8] {
        &self.keys[..usize::from(self.count)]
    }

    /// Whether these fingers leave some for the shape's other keys.
    pub fn has_room(&self, hand: &FingerHand<'_>, fingers: &Fingers) -> bool {
        let count = self.keys().len();
        let places: Fingers = fingers.map(|finger| hand.finger_at(finger.clamp(1, 5)));
        self.leaves_room(&places[..count])
    }

    fn leaves_room(&self, places: &[u8]) -> bool {
        let mut before = 0;
        let gaps = places.iter().chain([&6]).map(|&place| {
            let free = place - before - 1;
            before = place;
            free
        });
        gaps.zip(self.room).all(|(free, needed)| free >= needed)
    }
}

impl FingerHand<'_> {
    /// Every choice of fingers that rises from the thumb's side and leaves room for the shape's other keys, except what
    /// the hand cannot span while it can span another. More keys than fingers have one way.
    pub fn ways(&self, grip: &Grip) -> Vec<Way> {
        let count = usize::from(grip.count);
        if count + grip.room.iter().map(|&n| usize::from(n)).sum::<usize>() > 5 {
            return vec![Way { fingers: crowded(grip.keys(), self.hand, grip.rolled), cost: 0 }];
        }
        let mut found = Vec::with_capacity(10);
        for bits in (0u8..32).filter(|bits| bits.count_ones() as usize == count) {
            let mut places = (1..=5u8).filter(|place| bits & (1 << (place - 1)) != 0);
            let places: [u8; 5] = std::array::from_fn(|_| places.next().unwrap_or(0));
            if grip.leaves_room(&places[..count]) {
                let mut fingers = [0; MOST_NOTES];
                for (finger, &place) in fingers.iter_mut().zip(&places[..count]) {
                    *finger = self.finger_at(place);
                }
                found.push(Way { fingers, cost: self.alone(grip, &fingers) });
            }
        }
        let least = found.iter().map(|way| way.cost).min().unwrap_or(0);
        found.retain(|way| way.cost < least.max(0) + self.costs.beyond_possible);
        found
    }

    /// Fingers for a whole shape of which some, by place, are known.
    pub fn completed(&self, shape: &[u8], known: impl Fn(usize) -> Option<u8>, rolled: bool) -> Fingers {
        let ways = self.ways(&Grip::new(shape, u8::MAX, rolled));
        let fits = |way: &&Way| (0..shape.len()).all(|i| known(i).is_none_or(|f| way.fingers[i] == f));
        let best = ways.iter().filter(fits).min_by_key(|way| way.cost);
        best.map_or_else(|| self.filled_up(shape, known), |way| way.fingers)
    }

    /// Where the spans fit nowhere: the nearest free finger on either side.
    fn filled_up(&self, shape: &[u8], known: impl Fn(usize) -> Option<u8>) -> Fingers {
        let mut fingers = [0; MOST_NOTES];
        let mut place = 0;
        for (i, finger) in fingers.iter_mut().enumerate().take(shape.len().min(MOST_NOTES)) {
            place = known(i).map_or(place + 1, |finger| self.finger_at(finger)).min(5);
            *finger = self.finger_at(place);
        }
        fingers
    }

    /// The finger at a place from the lowest side of the hand, or the place of a finger.
    pub fn finger_at(&self, place: u8) -> u8 {
        if self.hand == Hand::Right { place } else { 6 - place }
    }

    /// What fingers cost whatever comes before and after.
    fn alone(&self, grip: &Grip, fingers: &Fingers) -> i32 {
        let keys = grip.keys();
        if keys.len() == 1 {
            return self.single(fingers[0]) + self.on_black(keys[0], fingers[0]);
        }
        let black: i32 = keys.iter().zip(fingers).map(|(&key, &finger)| self.on_black(key, finger)).sum();
        black + self.form(grip, fingers)
    }

    fn single(&self, finger: u8) -> i32 {
        let table = if self.hand == Hand::Right { self.costs.alone_right } else { self.costs.alone_left };
        table[usize::from(finger) - 1]
    }

    /// The thumb or the little finger on a black key.
    pub fn on_black(&self, key: u8, finger: u8) -> i32 {
        match finger {
            1 if is_black(key) => self.costs.thumb_on_black,
            5 if is_black(key) => self.costs.little_on_black,
            _ => 0,
        }
    }

    fn form(&self, grip: &Grip, fingers: &Fingers) -> i32 {
        let (keys, costs) = (grip.keys(), self.costs);
        let fingers = &fingers[..keys.len()];
        let forms = forms(keys, self.hand);
        let beyond_hand =
            if grip.rolled { 0 } else { costs.beyond_possible * self.impossible(keys, fingers) };
        match forms {
            Some(forms) if forms.usual == fingers => beyond_hand,
            Some(forms) if forms.others.contains(&fingers) => {
                beyond_hand + if forms.narrow { costs.other_narrow } else { costs.other_handbook }
            }
            _ => {
                let thumb = if fingers.contains(&1) { 0 } else { costs.without_thumb };
                let own = if forms.is_some() { costs.not_handbook } else { 0 };
                beyond_hand + thumb + own + self.strain(grip, fingers)
            }
        }
    }

    /// How many pairs of fingers cannot be so far apart, or so near.
    pub fn impossible(&self, keys: &[u8], fingers: &[u8]) -> i32 {
        let pairs = (0..keys.len()).flat_map(|i| (i + 1..keys.len()).map(move |j| (i, j)));
        let bad = pairs.filter(|&(i, j)| !possible(fingers[i], fingers[j], keys[j] - keys[i], self.reach));
        bad.count() as i32
    }

    /// Each neighbouring pair and, of keys held together, the outer one against the table of spans.
    fn strain(&self, grip: &Grip, fingers: &[u8]) -> i32 {
        let keys = grip.keys();
        let last = keys.len().saturating_sub(1);
        let outer = (last > 1 && !grip.rolled).then_some((0, last));
        let pairs = (0..last).map(|i| (i, i + 1)).chain(outer);
        let most = if grip.rolled { self.costs.hand_moves } else { i32::MAX };
        pairs.map(|(i, j)| self.stretch(fingers[i], fingers[j], keys[j] - keys[i]).min(most)).sum()
    }

    /// What it costs two fingers to be so far apart.
    pub fn stretch(&self, a: u8, b: u8, semitones: u8) -> i32 {
        stretch(a, b, semitones, self.reach, self.costs)
    }
}

/// More keys than fingers. Held together, a finger may lie on two neighbouring keys of one colour, the thumb first;
/// otherwise they are rolled, with the hand following as in an arpeggio.
fn crowded(keys: &[u8], hand: Hand, rolled: bool) -> Fingers {
    let from_thumb: Vec<u8> = match hand {
        Hand::Right => keys.to_vec(),
        Hand::Left => keys.iter().rev().copied().collect(),
    };
    let doubled = if rolled { None } else { on_two_keys(&from_thumb) };
    let mut fingers = doubled.unwrap_or_else(|| arpeggio(keys.len()));
    if hand == Hand::Left {
        fingers[..keys.len()].reverse();
    }
    fingers
}

/// Keys from the thumb's side with as many fingers on two keys as needed; `None` where they do not lie so.
fn on_two_keys(keys: &[u8]) -> Option<Fingers> {
    let mut spare = keys.len().checked_sub(5)?;
    let mut fingers = [0; MOST_NOTES];
    let mut finger = 0;
    let mut shared = false;
    for (i, &key) in keys.iter().enumerate() {
        let beside = i > 0 && is_neighbour_of_one_colour(key, keys[i - 1]);
        shared = beside && spare > 0 && !shared;
        if shared {
            spare -= 1;
        } else {
            finger += 1;
        }
        fingers[i] = finger;
    }
    (spare == 0 && finger <= 5).then_some(fingers)
}

/// 1-2-3 as often as needed, then 1-2-3-5 (Hanon, The Virtuoso Pianist, no. 41, from memory).
fn arpeggio(count: usize) -> Fingers {
    const LAST: [u8; 4] = [1, 2, 3, 5];
    let start = count.saturating_sub(LAST.len());
    std::array::from_fn(|i| match i {
        i if i >= count => 0,
        i if i >= start => LAST[i - start],
        i => ((i + 3 - start % 3) % 3 + 1) as u8,
    })
}

fn is_black(key: u8) -> bool {
    MidiKey::new(key).is_some_and(MidiKey::is_black)
}

/// Whether two keys of one colour lie side by side, so that one finger can hold both: two semitones apart, or the white
/// keys E and F, B and C.
fn is_neighbour_of_one_colour(a: u8, b: u8) -> bool {
    matches!(a.abs_diff(b), 1 | 2) && is_black(a) == is_black(b)
}
