//! Fingers for notes that come without shapes: from a file, say.

use crate::finger_grip::{FingerHand, Grip};
use crate::finger_passage::{Stage, WayBook, cheapest_fingers};
use crate::{FingerCosts, Reach};
use theory::{Finger, Hand, MidiKey};

/// Fingers a hand has.
const FINGERS: usize = 5;

/// The cheapest fingers for what one hand strikes, group by group, each from the lowest key up. Of more than five keys at
/// once, which are two players' or a pedal's, the others lie under the last finger.
///
/// ```
/// use theory::{Hand, MidiKey};
/// use voicing::{Reach, finger_notes};
/// let triad: Vec<MidiKey> = [60, 64, 67].into_iter().filter_map(MidiKey::new).collect();
/// let fingers = finger_notes(Hand::Right, Reach::OCTAVE, &[triad]);
/// // The handbooks' form of a triad in root position.
/// assert_eq!(fingers[0].iter().map(ToString::to_string).collect::<String>(), "135");
/// ```
pub fn finger_notes(hand: Hand, reach: Reach, groups: &[Vec<MidiKey>]) -> Vec<Vec<Finger>> {
    let costs = FingerCosts::default();
    let hand = FingerHand { hand, reach: reach.semitones(), costs: &costs };
    let stages: Vec<Stage> = groups.iter().map(|group| stage(group)).collect();
    let all: Vec<&Stage> = stages.iter().collect();
    let chosen = cheapest_fingers(&hand, &all, &mut WayBook::default());
    let of_group = |(group, chosen): (&Vec<MidiKey>, crate::finger_passage::Fingered)| {
        let number = |place: usize| chosen.fingers[place.min(FINGERS - 1)];
        (0..group.len()).map(|place| Finger::new(number(place)).unwrap_or(Finger::THUMB)).collect()
    };
    groups.iter().zip(chosen).map(of_group).collect()
}

fn stage(group: &[MidiKey]) -> Stage {
    let keys: Vec<u8> = group.iter().take(FINGERS).map(|key| key.number()).collect();
    let sounding = u8::MAX >> (8 - keys.len().clamp(1, FINGERS));
    Stage {
        grip: Grip::new(&keys, u8::MAX, false),
        held: 0,
        sounding,
        neighbours: Vec::new(),
        goes_on: false,
        fixed: None,
    }
}
