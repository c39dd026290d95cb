//! The keys and pedals of one player, and what they do to the dampers.

use crate::Key;
use crate::strings::has_damper;

/// Up to this value of controller 64 the dampers lie on the strings fully, from `LIFTED` on they are off them.
const RESTING: f32 = 16.0;
const LIFTED: f32 = 64.0;
/// From this value on a pedal that only knows up and down is down (MIDI 1.0).
const DOWN: u8 = 64;

/// What is held down.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pedals {
    keys: u128,
    /// Keys whose dampers the sostenuto pedal keeps off.
    caught: u128,
    sostenuto: bool,
    /// How firmly the dampers lie on the strings by the sustain pedal: 1 at rest, 0 with the pedal down.
    pub(crate) contact: f32,
    /// How far the una corda pedal is down, 0 to 1.
    pub(crate) soft: f32,
}

impl Pedals {
    pub(crate) const UP: Pedals = Pedals { keys: 0, caught: 0, sostenuto: false, contact: 1.0, soft: 0.0 };

    pub(crate) fn key(&mut self, key: Key, down: bool) {
        if down {
            self.keys |= bit(key);
        } else {
            self.keys &= !bit(key);
        }
    }

    pub(crate) fn sustain(&mut self, value: u8) {
        let share = ((LIFTED - f32::from(value)) / (LIFTED - RESTING)).clamp(0.0, 1.0);
        // The felt loses its hold quickly as soon as it begins to lift.
        self.contact = share * share;
    }

    /// The sostenuto pedal catches the dampers that are up at the moment it goes down.
    pub(crate) fn sostenuto(&mut self, value: u8) {
        let down = value >= DOWN;
        if down && !self.sostenuto {
            self.caught = if self.contact == 0.0 { u128::MAX } else { self.keys };
        } else if !down {
            self.caught = 0;
        }
        self.sostenuto = down;
    }

    pub(crate) fn una_corda(&mut self, value: u8) {
        self.soft = f32::from(value.min(127)) / 127.0;
    }

    /// How firmly the damper of a key lies on its strings, 0 to 1.
    pub(crate) fn contact_of(&self, key: Key) -> f32 {
        if !has_damper(key) || (self.keys | self.caught) & bit(key) != 0 { 0.0 } else { self.contact }
    }

    /// Whether the key or a pedal keeps the note alive.
    pub(crate) fn holds(&self, key: Key) -> bool {
        (self.keys | self.caught) & bit(key) != 0 || self.contact < 0.1
    }

    /// The keys that are down, a bit for each.
    pub(crate) fn down(&self) -> u128 {
        self.keys
    }

    /// Whether the sostenuto pedal keeps the damper of a key off.
    pub(crate) fn is_caught(&self, key: Key) -> bool {
        self.caught & bit(key) != 0
    }

    pub(crate) fn is_down(&self, key: Key) -> bool {
        self.keys & bit(key) != 0
    }
}

fn bit(key: Key) -> u128 {
    1 << key.midi()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(midi: u8) -> Key {
        Key::new(midi).unwrap()
    }

    #[test]
    fn dampers_lift_little_by_little_with_the_pedal() {
        let mut pedals = Pedals::UP;
        let contact = |pedals: &mut Pedals, value| {
            pedals.sustain(value);
            pedals.contact_of(key(60))
        };
        let all: Vec<f32> = (0..=127).map(|value| contact(&mut pedals, value)).collect();
        assert!(all.is_sorted_by(|one, next| one >= next));
        // Down from 64 on (MIDI 1.0).
        assert_eq!((all[0], all[16], all[64], all[127]), (1.0, 1.0, 0.0, 0.0));
        assert!((0.2..0.3).contains(&all[40]), "half way: {}", all[40]);
    }

    #[test]
    fn sostenuto_catches_what_is_held_and_nothing_later() {
        let mut pedals = Pedals::UP;
        pedals.key(key(48), true);
        pedals.sostenuto(127);
        pedals.key(key(60), true);
        pedals.key(key(48), false);
        pedals.key(key(60), false);
        assert_eq!((pedals.contact_of(key(48)), pedals.contact_of(key(60))), (0.0, 1.0));
        pedals.sostenuto(0);
        assert_eq!(pedals.contact_of(key(48)), 1.0);
    }

    #[test]
    fn the_highest_strings_have_no_damper() {
        assert_eq!(Pedals::UP.contact_of(key(90)), 1.0);
        assert_eq!(Pedals::UP.contact_of(key(91)), 0.0);
        assert!(!Pedals::UP.holds(key(91)), "yet nothing holds such a note");
    }
}
