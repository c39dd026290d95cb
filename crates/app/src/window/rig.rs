//! The devices as the window has them: none before the first frame is painted, then those of [`crate::devices`].

use super::memory;
use crate::devices::{
    self, BUFFERS, Devices, InstrumentChoice, MidiChannel, MidiChoice, ScreenKeys, Setup, SoundChoice, Status,
};
use crate::session::Ends;
use crate::storage::Settings;
use sound::{Bus, Gain, Key, Velocity, VelocityCurve};
use std::path::{Path, PathBuf};
use theory::MidiKey;
use ui::{Touch, Voice};

/// What can be asked of the devices.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// How loud everything is, 0 to 1.
    Volume(f32),
    /// How loud one voice is, 0 to 1.
    VolumeOf(Voice, f32),
    /// Which keyboards to listen to.
    Midi(MidiChoice),
    /// Which MIDI channel to listen to, 1 to 16, or all.
    Channel(Option<u8>),
    /// Which sound device to use.
    Sound(SoundChoice),
    /// Frames in a block of sound.
    Buffer(u32),
    /// How the player's touch sounds.
    Touch(Touch),
    /// What plays the notes.
    Instrument(ui::Instrument),
    /// This bank plays the notes.
    Bank(PathBuf),
    /// Look for devices and banks.
    Look,
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
    sound: SoundChoice,
    instrument: InstrumentChoice,
    banks: Vec<PathBuf>,
    shown: ui::Devices,
}

impl Rig {
    /// Devices that are not open yet, with what the player chose the last time.
    pub fn closed(settings: &Settings) -> Rig {
        let shown = ui::Devices {
            volume: settings.volume,
            volumes: settings.volumes,
            channel: settings.channel,
            buffer: settings.buffer,
            buffers: BUFFERS.to_vec(),
            touch: memory::touch(settings),
            sound_delay_ms: settings.sound_delay_ms,
            ..ui::Devices::default()
        };
        Rig {
            open: None,
            midi: memory::midi(settings),
            sound: memory::sound(settings),
            instrument: memory::instrument(settings),
            banks: Vec::new(),
            shown,
        }
    }

    /// Opens them; gives the ends for the session thread. `on_change` is called from a thread of theirs.
    pub fn open(&mut self, on_change: impl Fn() + Send + Sync + 'static) -> Ends {
        let mut setup = Setup {
            midi: self.midi.clone(),
            channel: self.shown.channel.and_then(MidiChannel::new),
            output: self.sound.clone(),
            buffer: self.shown.buffer,
            curve: curve(self.shown.touch),
            instrument: self.instrument.clone(),
            ..Setup::default()
        };
        setup.gains[Bus::Master.index()] = gain(self.shown.volume);
        for voice in Voice::ALL {
            setup.gains[bus(voice).index()] = gain(self.shown.volumes[voice.index()]);
        }
        let devices::Handles { devices, part, screen, inbox, clock } = devices::open(setup, on_change);
        self.open = Some((devices, screen));
        Ends { line: part, inbox, feed: clock }
    }

    /// Carries out a change.
    pub fn apply(&mut self, change: Change) {
        match change {
            Change::Volume(volume) => {
                self.shown.volume = volume.clamp(0.0, 1.0);
                let gain = gain(self.shown.volume);
                self.on_devices(|devices| devices.set_gain(Bus::Master, gain));
            }
            Change::VolumeOf(voice, volume) => {
                self.shown.volumes[voice.index()] = volume.clamp(0.0, 1.0);
                let gain = gain(self.shown.volumes[voice.index()]);
                self.on_devices(|devices| devices.set_gain(bus(voice), gain));
            }
            Change::Midi(choice) => {
                self.on_devices(|devices| devices.choose_midi(choice.clone()));
                self.midi = choice;
            }
            Change::Channel(channel) => {
                let channel = channel.and_then(MidiChannel::new);
                self.on_devices(|devices| devices.choose_channel(channel));
                self.shown.channel = channel.map(MidiChannel::number);
            }
            Change::Sound(choice) => {
                self.on_devices(|devices| devices.choose_sound(choice.clone()));
                self.sound = choice;
            }
            Change::Buffer(frames) => {
                self.on_devices(|devices| devices.set_buffer(frames));
                self.shown.buffer = frames;
            }
            Change::Touch(touch) => {
                self.on_devices(|devices| devices.set_curve(curve(touch)));
                self.shown.touch = touch;
            }
            Change::Instrument(instrument) => {
                if let Some(choice) = self.choice(instrument) {
                    self.play_with(choice);
                }
            }
            Change::Bank(file) => self.play_with(InstrumentChoice::Bank { file, preset: None }),
            Change::Look => self.on_devices(Devices::look),
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

    /// So much later the sound is taken to be, in milliseconds.
    pub fn set_sound_delay(&mut self, ms: f64) {
        self.shown.sound_delay_ms = ms;
    }

    /// Looks at the devices as they are now; `told` is a line of the window's own that goes before theirs.
    pub fn look(&mut self, told: Option<&str>) {
        let Some((devices, _)) = &self.open else {
            self.shown.message = told.map(str::to_owned);
            return;
        };
        let status = devices.status();
        self.shown.message = message(told, &status);
        self.shown.midi_ports = status.midi.iter().map(|port| port.name.clone()).collect();
        self.shown.midi_port = listened_to(&status);
        self.shown.every_midi_port = self.midi == MidiChoice::Every;
        self.shown.sound_outputs = status.sound_outputs.iter().map(|output| output.name.clone()).collect();
        self.shown.sound_output = match &self.sound {
            SoundChoice::System => None,
            SoundChoice::Named(name) => Some(name.clone()),
        };
        self.shown.sound = status.sound.map(|sound| sound.name);
        self.show_instrument(status.banks.to_vec(), status.presets.to_vec(), status.preset);
    }

    fn show_instrument(&mut self, mut banks: Vec<PathBuf>, presets: Vec<String>, preset: Option<usize>) {
        // A bank from elsewhere stands with those that were found.
        if let InstrumentChoice::Bank { file, .. } = &self.instrument
            && !banks.contains(file)
        {
            banks.push(file.clone());
        }
        self.shown.banks = banks.iter().map(|bank| file_name(bank)).collect();
        self.banks = banks;
        self.shown.bank = match &self.instrument {
            InstrumentChoice::Piano => None,
            InstrumentChoice::Bank { file, .. } => Some(file_name(file)),
        };
        (self.shown.presets, self.shown.preset) = (presets, preset);
    }

    /// Keeps what was chosen.
    pub fn keep(&self, settings: &mut Settings) {
        settings.volume = self.shown.volume;
        settings.volumes = self.shown.volumes;
        settings.sound_delay_ms = self.shown.sound_delay_ms;
        settings.sound_device = match &self.sound {
            SoundChoice::System => None,
            SoundChoice::Named(name) => Some(name.clone()),
        };
        settings.channel = self.shown.channel;
        settings.buffer = self.shown.buffer;
        memory::keep_midi(settings, &self.midi);
        memory::keep_touch(settings, self.shown.touch);
        memory::keep_instrument(settings, &self.instrument);
    }

    /// What the window shows of them.
    pub fn shown(&self) -> &ui::Devices {
        &self.shown
    }

    fn choice(&self, instrument: ui::Instrument) -> Option<InstrumentChoice> {
        match instrument {
            ui::Instrument::Piano => Some(InstrumentChoice::Piano),
            ui::Instrument::Bank(at) => {
                self.banks.get(at).map(|file| InstrumentChoice::Bank { file: file.clone(), preset: None })
            }
            ui::Instrument::Preset(at) => match &self.instrument {
                InstrumentChoice::Piano => None,
                InstrumentChoice::Bank { file, .. } => {
                    Some(InstrumentChoice::Bank { file: file.clone(), preset: Some(at) })
                }
            },
            // The window asks for the file first.
            ui::Instrument::File => None,
        }
    }

    fn play_with(&mut self, choice: InstrumentChoice) {
        self.on_devices(|devices| devices.choose_instrument(choice.clone()));
        self.instrument = choice;
    }

    fn on_devices(&self, ask: impl FnOnce(&Devices)) {
        if let Some((devices, _)) = &self.open {
            ask(devices);
        }
    }

    fn on_screen(&mut self, play: impl FnOnce(&mut ScreenKeys)) {
        if let Some((_, screen)) = &mut self.open {
            play(screen);
        }
    }
}

/// One quiet line; where both MIDI and sound are missing, they are told in one short sentence.
fn message(told: Option<&str>, status: &Status) -> Option<String> {
    let neither = status.sound.is_none() && status.sound_message.is_some() && !status.hears_a_keyboard();
    let lines: Vec<&str> = match neither {
        true => told.into_iter().chain([NEITHER]).chain(status.instrument_message.as_deref()).collect(),
        false => told.into_iter().chain(status.messages()).collect(),
    };
    (!lines.is_empty()).then(|| lines.join("  "))
}

const NEITHER: &str = "No sound device and no MIDI keyboard: mouse and letters play, in silence.";

fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn listened_to(status: &Status) -> Option<String> {
    status.midi.iter().find(|port| port.open).map(|port| port.name.clone())
}

fn bus(voice: Voice) -> Bus {
    match voice {
        Voice::Click => Bus::Click,
        Voice::Part => Bus::Part,
        Voice::Own => Bus::Own,
    }
}

fn curve(touch: Touch) -> VelocityCurve {
    match touch {
        Touch::Soft => VelocityCurve::Soft,
        Touch::Even => VelocityCurve::Even,
        Touch::Firm => VelocityCurve::Firm,
        Touch::Same => VelocityCurve::Same,
    }
}

/// Loudness is felt by ratios: half way down the slider sounds about half as loud.
fn gain(volume: f32) -> Gain {
    Gain::from_factor(volume * volume)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn closed() -> Rig {
        Rig::closed(&Settings::default())
    }

    #[test]
    fn the_midi_channel_is_kept() {
        let mut rig = closed();
        rig.apply(Change::Channel(Some(10)));
        let mut settings = Settings::default();
        rig.keep(&mut settings);
        assert_eq!((settings.channel, Rig::closed(&settings).shown().channel), (Some(10), Some(10)));
        rig.apply(Change::Channel(None));
        rig.keep(&mut settings);
        assert_eq!(settings.channel, None);
    }

    #[test]
    fn a_volume_is_kept_before_the_devices_are_open() {
        let mut rig = closed();
        rig.apply(Change::Volume(1.7));
        rig.apply(Change::VolumeOf(Voice::Click, 0.25));
        let mut settings = Settings::default();
        rig.keep(&mut settings);
        assert_eq!((settings.volume, settings.volumes), (1.0, [0.25, 1.0, 1.0]));
    }

    #[test]
    fn a_line_of_the_window_is_shown() {
        let mut rig = closed();
        rig.look(Some("The take could not be saved."));
        assert_eq!(rig.shown().message.as_deref(), Some("The take could not be saved."));
        rig.look(None);
        assert_eq!(rig.shown().message, None);
    }

    #[test]
    fn without_sound_and_without_a_keyboard_there_is_one_short_line() {
        let missing = |sound: Option<&str>| Status {
            midi_message: Some("No MIDI keyboard yet: plug one in.".to_owned()),
            sound_message: sound.map(str::to_owned),
            ..Status::default()
        };
        assert_eq!(message(None, &missing(Some("No sound: nothing was found."))).as_deref(), Some(NEITHER));
        assert_eq!(message(None, &missing(None)).as_deref(), Some("No MIDI keyboard yet: plug one in."));
    }

    #[test]
    fn a_bank_from_elsewhere_is_listed_and_its_presets_can_be_chosen() {
        let mut rig = closed();
        rig.apply(Change::Instrument(ui::Instrument::Preset(2)));
        assert_eq!(rig.instrument, InstrumentChoice::Piano, "the piano has no presets");
        rig.apply(Change::Bank("banks/Grand.sf2".into()));
        rig.show_instrument(vec!["usual/Organ.sf2".into()], Vec::new(), None);
        assert_eq!(rig.shown().banks, ["Organ.sf2", "Grand.sf2"]);
        rig.apply(Change::Instrument(ui::Instrument::Preset(2)));
        let grand = InstrumentChoice::Bank { file: "banks/Grand.sf2".into(), preset: Some(2) };
        assert_eq!(rig.instrument, grand);
        rig.apply(Change::Instrument(ui::Instrument::Bank(0)));
        let organ = InstrumentChoice::Bank { file: "usual/Organ.sf2".into(), preset: None };
        assert_eq!(rig.instrument, organ);
    }
}
