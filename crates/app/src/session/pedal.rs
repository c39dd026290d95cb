//! A pedal on a port without a keyboard: each press of it turns to the next step.

use crate::devices::PortId;
use std::collections::HashSet;

/// From this value of controller 64 on a pedal is down (MIDI 1.0: 64 to 127).
const DOWN: u8 = 64;
/// Up to this value it is up again. MIDI 1.0 says 63; pedals that send values in between hover round it, so some room is
/// left (common practice, no source).
const UP: u8 = 47;

/// The pedals that are down.
#[derive(Debug, Default)]
pub(super) struct Pedals {
    down: HashSet<PortId>,
}

impl Pedals {
    /// Whether this value, 0 to 127, presses a pedal that was up. A pedal that sends its whole way down presses once.
    pub fn presses(&mut self, port: PortId, value: u8) -> bool {
        match value {
            DOWN.. => self.down.insert(port),
            ..=UP => {
                self.down.remove(&port);
                false
            }
            _ => false,
        }
    }

    /// The port's pedal is up, whatever it sent last.
    pub fn let_go(&mut self, port: PortId) {
        self.down.remove(&port);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pedal_that_sends_its_whole_way_presses_once() {
        let mut pedals = Pedals::default();
        let mut presses = |values: &[u8]| values.iter().filter(|v| pedals.presses(PortId(1), **v)).count();
        assert_eq!(presses(&[0, 30, 64, 90, 127, 127]), 1, "on the way down");
        assert_eq!(presses(&[90, 63, 64, 60, 70]), 0, "hovering round the middle");
        assert_eq!(presses(&[20, 0, 127]), 1, "up and down again");
    }

    #[test]
    fn each_port_has_its_own_pedal() {
        let mut pedals = Pedals::default();
        assert!(pedals.presses(PortId(1), 127) && pedals.presses(PortId(2), 127));
        pedals.let_go(PortId(1));
        assert!(pedals.presses(PortId(1), 127), "the keyboard went away with its pedal down and came back");
    }
}
