//! Keys and pedals that mean something, such as "again" or "next": pressed while the hands are at the keyboard, they are not
//! part of what is played.

pub use ui::Trigger;

/// The sustain pedal (MIDI 1.0): it is left to the music.
const SUSTAIN: u8 = 64;

/// Which keys and pedals mean something, and which of them were pressed.
#[derive(Debug, Default)]
pub struct Triggers {
    all: Vec<Trigger>,
    /// Down now: a pedal sends many values on its way.
    down: Vec<Trigger>,
    pressed: Vec<Trigger>,
    learning: bool,
    learned: Option<Trigger>,
}

impl Triggers {
    /// These mean something from now on.
    pub fn mean(&mut self, all: Vec<Trigger>) {
        self.all = all;
    }

    /// The next one that is pressed is learned; or no longer.
    pub fn learn(&mut self, on: bool) {
        self.learning = on;
    }

    /// Something was pressed or let go: whether it is one of these, and no music.
    pub fn takes(&mut self, trigger: Trigger, down: bool) -> bool {
        if trigger == Trigger::Pedal(SUSTAIN) {
            return false;
        }
        if self.learning && down {
            (self.learning, self.learned) = (false, Some(trigger));
            self.down.push(trigger);
            return true;
        }
        let was_down = self.down.contains(&trigger);
        if !down {
            self.down.retain(|held| *held != trigger);
            return was_down || self.all.contains(&trigger);
        }
        if !self.all.contains(&trigger) {
            return was_down;
        }
        if !was_down {
            self.down.push(trigger);
            self.pressed.push(trigger);
        }
        true
    }

    /// Those that were pressed since the last call.
    pub fn pressed(&mut self) -> Vec<Trigger> {
        std::mem::take(&mut self.pressed)
    }

    /// The one that was learned.
    pub fn learned(&mut self) -> Option<Trigger> {
        self.learned.take()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use theory::MidiKey;

    const LOW: Trigger = Trigger::Key(MidiKey::A0);
    const LEFT_PEDAL: Trigger = Trigger::Pedal(67);

    #[test]
    fn a_key_that_means_something_is_pressed_once_and_not_played() {
        let mut triggers = Triggers::default();
        assert!(!triggers.takes(LOW, true), "it means nothing yet");
        triggers.takes(LOW, false);
        triggers.mean(vec![LOW, LEFT_PEDAL]);
        assert!(triggers.takes(LOW, true) && triggers.takes(LOW, false));
        // A pedal on its way down and up again sends many values.
        for down in [false, true, true, true, false, false] {
            assert!(triggers.takes(LEFT_PEDAL, down));
        }
        assert_eq!(triggers.pressed(), [LOW, LEFT_PEDAL]);
        assert_eq!(triggers.pressed(), []);
    }

    #[test]
    fn the_next_key_is_learned_and_the_sustain_pedal_is_left_to_the_music() {
        let mut triggers = Triggers::default();
        triggers.learn(true);
        assert!(!triggers.takes(Trigger::Pedal(SUSTAIN), true));
        assert_eq!(triggers.learned(), None);
        assert!(triggers.takes(LOW, true) && triggers.takes(LOW, false));
        assert_eq!((triggers.learned(), triggers.learned()), (Some(LOW), None));
        assert!(!triggers.takes(LOW, true), "what it means is told to it afterwards");
    }
}
