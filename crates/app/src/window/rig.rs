//! The devices as the window has them: none before the first frame is painted, then those of [`crate::devices`].

use crate::devices::{self, Devices, MidiChoice, ScreenKeys, Setup, Status};
use crate::session::Ends;
use sound::{Bus, Gain, Key, Velocity};
use theory::MidiKey;

/// What can be asked of the devices.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// How loud everything is, 0 to 1.
    Volume(f32),
    /// Which keyboards to listen to.
    Midi(MidiChoice),
    /// A key on the screen goes down.
    KeyDown(MidiKey, u8),
    /// A key on the screen comes up.
    KeyUp(MidiKey),
    /// All keys on the screen come up.
    KeysUp,
}

/// The devices. They change in [`Rig::apply`] alone.
pub struct Rig {
    open: Option<(Devices, ScreenKeys)>,
    midi: MidiChoice,
    shown: ui::Devices,
}

impl Rig {
    /// Devices that are not open yet, with what the player chose the last time.
    pub fn closed(midi: MidiChoice, volume: f32) -> Rig {
        Rig { open: None, midi, shown: ui::Devices { volume, ..ui::Devices::default() } }
    }

    /// Opens them; gives the ends for the session thread. `on_change` is called from a thread of theirs.
    pub fn open(&mut self, on_change: impl Fn() + Send + Sync + 'static) -> Ends {
        let mut setup = Setup { midi: self.midi.clone(), ..Setup::default() };
        setup.gains[Bus::Master.index()] = gain(self.shown.volume);
        let devices::Handles { devices, part, screen, inbox, clock } = devices::open(setup, on_change);
        self.open = Some((devices, screen));
        Ends { line: part, inbox, feed: clock }
    }

    /// Carries out a change.
    pub fn apply(&mut self, change: Change) {
        match change {
            Change::Volume(volume) => {
                self.shown.volume = volume.clamp(0.0, 1.0);
                if let Some((devices, _)) = &self.open {
                    devices.set_gain(Bus::Master, gain(self.shown.volume));
                }
            }
            Change::Midi(choice) => {
                if let Some((devices, _)) = &self.open {
                    devices.choose_midi(choice.clone());
                }
                self.midi = choice;
            }
            Change::KeyDown(key, velocity) => self.on_screen(|keys| {
                if let Some(key) = Key::new(key.number()) {
                    keys.key_down(key, Velocity::clamped(velocity));
                }
            }),
            Change::KeyUp(key) => self.on_screen(|keys| {
                if let Some(key) = Key::new(key.number()) {
                    keys.key_up(key);
                }
            }),
            Change::KeysUp => self.on_screen(ScreenKeys::all_up),
        }
    }

    /// Looks at the devices as they are now; `told` is a line of the window's own that goes before theirs.
    pub fn look(&mut self, told: Option<&str>) {
        let status = self.open.as_ref().map(|(devices, _)| devices.status()).unwrap_or_default();
        let lines: Vec<&str> = told.into_iter().chain(status.messages()).collect();
        self.shown.message = (!lines.is_empty()).then(|| lines.join("  "));
        self.shown.midi_ports = status.midi.iter().map(|port| port.name.clone()).collect();
        self.shown.midi_port = listened_to(&status);
        self.shown.sound = status.sound.map(|sound| sound.name);
    }

    /// Which keyboards are listened to.
    pub fn midi(&self) -> &MidiChoice {
        &self.midi
    }

    /// What the window shows of them.
    pub fn shown(&self) -> &ui::Devices {
        &self.shown
    }

    fn on_screen(&mut self, play: impl FnOnce(&mut ScreenKeys)) {
        if let Some((_, screen)) = &mut self.open {
            play(screen);
        }
    }
}

fn listened_to(status: &Status) -> Option<String> {
    status.midi.iter().find(|port| port.open).map(|port| port.name.clone())
}

/// Loudness is felt by ratios: half way down the slider sounds about half as loud.
fn gain(volume: f32) -> Gain {
    Gain::from_factor(volume * volume)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_volume_is_kept_before_the_devices_are_open() {
        let mut rig = Rig::closed(MidiChoice::Every, 0.8);
        rig.apply(Change::Volume(1.7));
        assert_eq!(rig.shown().volume, 1.0);
    }

    #[test]
    fn a_line_of_the_window_is_shown() {
        let mut rig = Rig::closed(MidiChoice::Every, 0.8);
        rig.look(Some("The take could not be saved."));
        assert_eq!(rig.shown().message.as_deref(), Some("The take could not be saved."));
        rig.look(None);
        assert_eq!(rig.shown().message, None);
    }
}
