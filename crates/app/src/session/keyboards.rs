//! What is down on which keyboard, for several may be played at once.

use crate::devices::PortId;
use std::collections::{BTreeSet, HashMap};
use theory::MidiKey;

/// The keyboards that were played on.
#[derive(Debug, Default)]
pub(super) struct Keyboards {
    ports: HashMap<PortId, Held>,
}

#[derive(Debug, Default)]
struct Held {
    keys: BTreeSet<MidiKey>,
    /// Whether any key was ever played here: then its pedal belongs to it.
    has_keys: bool,
    /// Controllers that are not at nought.
    controllers: BTreeSet<u8>,
}

impl Keyboards {
    /// A key goes down.
    pub fn down(&mut self, port: PortId, key: MidiKey) {
        let held = self.ports.entry(port).or_default();
        held.keys.insert(key);
        held.has_keys = true;
    }

    /// A key comes up. Says whether it is up now: another keyboard may hold it still.
    pub fn up(&mut self, port: PortId, key: MidiKey) -> bool {
        if let Some(held) = self.ports.get_mut(&port) {
            held.keys.remove(&key);
        }
        !self.ports.values().any(|held| held.keys.contains(&key))
    }

    /// A pedal moves.
    pub fn moves(&mut self, port: PortId, controller: u8, value: u8) {
        let controllers = &mut self.ports.entry(port).or_default().controllers;
        if value == 0 {
            controllers.remove(&controller);
        } else {
            controllers.insert(controller);
        }
    }

    /// Whether a port is only a pedal.
    pub fn is_pedal_alone(&self, port: PortId) -> bool {
        !self.ports.get(&port).is_some_and(|held| held.has_keys)
    }

    /// A keyboard lets go of everything: the keys that no other holds, and its pedals that were not up.
    pub fn all_up(&mut self, port: PortId) -> (Vec<MidiKey>, Vec<u8>) {
        let Some(held) = self.ports.get_mut(&port) else { return Default::default() };
        let (keys, pedals) = (std::mem::take(&mut held.keys), std::mem::take(&mut held.controllers));
        let free = |key: &MidiKey| !self.ports.values().any(|held| held.keys.contains(key));
        (keys.into_iter().filter(free).collect(), pedals.into_iter().collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(number: u8) -> MidiKey {
        MidiKey::new(number).unwrap()
    }

    #[test]
    fn a_keyboard_that_goes_away_lets_go_of_its_own_keys_alone() {
        let mut keyboards = Keyboards::default();
        for (port, number) in [(0, 60), (0, 64), (1, 48), (1, 64)] {
            keyboards.down(PortId(port), key(number));
        }
        keyboards.moves(PortId(0), 64, 127);
        assert_eq!(keyboards.all_up(PortId(0)), (vec![key(60)], vec![64]), "64 is held on the other");
        assert_eq!(keyboards.all_up(PortId(0)), (vec![], vec![]));
        assert_eq!(keyboards.all_up(PortId(1)), (vec![key(48), key(64)], vec![]));
    }

    #[test]
    fn a_key_held_on_two_keyboards_is_up_when_both_let_go() {
        let mut keyboards = Keyboards::default();
        keyboards.down(PortId(0), key(60));
        keyboards.down(PortId(1), key(60));
        assert!(!keyboards.up(PortId(0), key(60)));
        assert!(keyboards.up(PortId(1), key(60)));
    }

    #[test]
    fn a_port_on_which_no_key_was_ever_played_is_a_pedal() {
        let mut keyboards = Keyboards::default();
        keyboards.moves(PortId(3), 64, 127);
        assert!(keyboards.is_pedal_alone(PortId(3)));
        keyboards.down(PortId(3), key(60));
        keyboards.up(PortId(3), key(60));
        assert!(!keyboards.is_pedal_alone(PortId(3)));
    }
}
