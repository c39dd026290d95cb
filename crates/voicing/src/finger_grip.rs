//! All ways to put one hand's fingers on the keys that it plays, and what each costs by itself.

use crate::FingerCosts;
use crate::candidate::MOST_NOTES;
use crate::finger_form::forms;
use crate::finger_span::{possible, stretch};
use theory::{Hand, MidiKey};

/// No hand holds more keys: the song format's limit.
const FINGERS: usize = 5;

/// Fingers from the lowest key up, 1 (thumb) to 5.
pub(crate) type Fingers = [u8; MOST_NOTES];

/// The keys that one hand plays of a shape; the hand lies over the whole shape all the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Grip {
    count: u8,
    keys: [u8; MOST_NOTES],
    /// All keys of the shape.
    whole: [u8; MOST_NOTES],
    whole_count: u8,
    /// Which of them are played, by bit.
    played: u8,
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
        let whole_count = shape.len().min(FINGERS);
        let mut grip = Grip {
            count: 0,
            keys: [0; MOST_NOTES],
            whole: [0; MOST_NOTES],
            whole_count: whole_count as u8,
            played,
            rolled,
        };
        grip.whole[..whole_count].copy_from_slice(&shape[..whole_count]);
        for &key in (0..whole_count).filter(|place| played & (1 << place) != 0).map(|place| &shape[place]) {
            grip.keys[usize::from(grip.count)] = key;
            grip.count += 1;
        }
        grip
    }

    /// What is played, from the lowest up.
    pub fn keys(&self) -> &[u8] {
        &self.keys[..usize::from(self.count)]
    }

    fn whole(&self) -> &[u8] {
        &self.whole[..usize::from(self.whole_count)]
    }

    /// Of fingers on the whole shape those on what is played.
    pub fn of_whole(&self, whole: &Fingers) -> Fingers {
        let mut fingers = Fingers::default();
        let played = (0..MOST_NOTES).filter(|place| self.played & (1 << place) != 0);
        for (finger, place) in fingers.iter_mut().zip(played) {
            *finger = whole[place];
        }
        fingers
    }
}

impl FingerHand<'_> {
    /// Every choice of fingers that rises from the thumb's side and can lie on the whole shape; where none can, those that
    /// miss it in the fewest pairs.
    pub fn ways(&self, grip: &Grip) -> Vec<Way> {
        let mut found: Vec<Way> = Vec::with_capacity(10);
        for whole in self.on_whole(grip) {
            let fingers = grip.of_whole(&whole);
            if !found.iter().any(|way| way.fingers == fingers) {
                found.push(Way { fingers, cost: self.alone(grip, &fingers) });
            }
        }
        found
    }

    /// Fingers for the whole shape that has these on what is played of it.
    pub fn completed(&self, grip: &Grip, fingers: &Fingers) -> Fingers {
        if grip.count == grip.whole_count {
            return *fingers;
        }
        let all = Grip::new(grip.whole(), u8::MAX, grip.rolled);
        let fits = |whole: &Fingers| grip.of_whole(whole) == *fingers;
        let ways = self.on_whole(grip).into_iter().filter(fits);
        ways.min_by_key(|whole| self.alone(&all, whole)).unwrap_or(*fingers)
    }

    fn on_whole(&self, grip: &Grip) -> Vec<Fingers> {
        let keys = grip.whole();
        let masks = (0u8..32).filter(|bits| bits.count_ones() as usize == keys.len());
        let rising = |bits: u8| {
            let mut places = (1..=5u8).filter(|place| bits & (1 << (place - 1)) != 0);
            std::array::from_fn(
                |i| if i < keys.len() { self.finger_at(places.next().unwrap_or(1)) } else { 0 },
            )
        };
        let all: Vec<(Fingers, i32)> = masks
            .map(rising)
            .map(|fingers| (fingers, if grip.rolled { 0 } else { self.impossible(keys, &fingers) }))
            .collect();
        let fewest = all.iter().map(|(_, missed)| *missed).min().unwrap_or(0);
        all.into_iter().filter(|(_, missed)| *missed == fewest).map(|(fingers, _)| fingers).collect()
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

/// Whether some fingers of a hand can be so far apart.
pub(crate) fn can_hold(keys: &[u8], hand: Hand, reach: u8) -> bool {
    let place = |i: usize| if hand == Hand::Right { i } else { keys.len() - 1 - i };
    let gap = |i: usize, j: usize| keys[place(i)].abs_diff(keys[place(j)]);
    (0u8..32).filter(|bits| bits.count_ones() as usize == keys.len()).any(|bits| {
        let mut fingers = (1..=5u8).filter(|finger| bits & (1 << (finger - 1)) != 0);
        let fingers: [u8; 5] = std::array::from_fn(|_| fingers.next().unwrap_or(0));
        let mut pairs = (0..keys.len()).flat_map(|i| (i + 1..keys.len()).map(move |j| (i, j)));
        pairs.all(|(i, j)| possible(fingers[i], fingers[j], gap(i, j), reach))
    })
}

fn is_black(key: u8) -> bool {
    MidiKey::new(key).is_some_and(MidiKey::is_black)
}
