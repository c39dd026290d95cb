//! What the program remembers between two evenings.

use super::{Places, write_whole};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// Day, night, or as the desktop has it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Theme {
    #[default]
    Day,
    Night,
}

/// How chords are named.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Labels {
    Numbers,
    Names,
    #[default]
    Both,
}

/// Which part of the keyboard is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Keyboard {
    Full,
    Player,
    #[default]
    Song,
}

/// Which MIDI keyboards are listened to.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Midi {
    #[default]
    Every,
    Nothing,
    Named(Vec<String>),
}

/// How the player's touch sounds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Touch {
    Soft,
    #[default]
    Even,
    Firm,
    Same,
}

/// What plays the notes: a bank, or without one the built-in piano.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Instrument {
    /// The bank's file.
    pub bank: Option<PathBuf>,
    /// Which of its presets, from 0; nothing for its first piano.
    pub preset: Option<usize>,
}

/// What sounds between the beats of the click.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Between {
    #[default]
    Slow,
    Always,
    Never,
}

/// In which bars the click sounds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum ClickBars {
    #[default]
    All,
    Other,
    CountIn,
}

/// The click.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Click {
    /// It sounds.
    pub on: bool,
    /// A bar is counted in.
    pub count_in: bool,
    /// The first beat of a bar is accented.
    pub accents: bool,
    /// Between the beats.
    pub between: Between,
    /// In which bars.
    pub bars: ClickBars,
}

impl Default for Click {
    fn default() -> Self {
        let (between, bars) = (Between::default(), ClickBars::default());
        Click { on: true, count_in: true, accents: true, between, bars }
    }
}

/// What the scale room works on, in words that outlast the program's own types; a word that is not understood is as if it
/// were not there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Room {
    /// `the scale`, `an arpeggio` …
    pub practise: String,
    /// `Eb harmonic minor`.
    pub scale: String,
    /// The chord that is broken: `dominant seventh`.
    pub arpeggio: String,
    /// The note that the arpeggio begins with, from 0.
    pub inversion: u8,
    /// The chords of the key have sevenths.
    pub sevenths: bool,
    /// 1 to 4.
    pub octaves: u8,
    /// Hands in contrary motion.
    pub contrary: bool,
    /// Notes a beat.
    pub notes_a_beat: u8,
    /// Chords a beat.
    pub chords_a_beat: u8,
    /// Every so many notes an accent; 0 for none.
    pub accents: u8,
    /// Beats a minute.
    pub tempo: u16,
}

/// The settings file, version 1. Fields that a later version adds are kept out, fields that are missing take their
/// default, so that a file of another version is never a reason to lose the rest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Of this file's format: 1.
    pub format: u32,
    /// Ink on paper or chalk on slate.
    pub theme: Theme,
    /// The widest interval one hand may span, in semitones; `None` until the player has said.
    pub reach: Option<u8>,
    /// The same for the left hand alone, where it differs.
    pub left_reach: Option<u8>,
    /// How full the hands play, 1 to 5; nothing for as the song says.
    pub level: Option<u8>,
    /// Whether a bass player plays along; nothing for as the song says.
    pub bass: Option<bool>,
    /// Beside one the left hand stays on or above this MIDI key.
    pub left_floor: u8,
    /// The singer's range, lowest and highest MIDI key.
    pub voice: Option<(u8, u8)>,
    /// The keyboard, lowest and highest MIDI key; `None` until the player has said.
    pub keys: Option<(u8, u8)>,
    /// The MIDI keyboards.
    pub midi: Midi,
    /// 0 to 1.
    pub volume: f32,
    /// Of click, part and own playing, each 0 to 1.
    pub volumes: [f32; 3],
    /// The MIDI channel that is listened to, 1 to 16; nothing for all.
    pub channel: Option<u8>,
    /// The sound device by its name; nothing for the system's own.
    pub sound_device: Option<String>,
    /// Frames in a block of sound, 32 to 4096.
    pub buffer: u32,
    /// Beyond what the device says of itself the sound comes so much later, in milliseconds, as the player agreed to.
    pub sound_delay_ms: f64,
    /// How the player's touch sounds.
    pub touch: Touch,
    /// What plays the notes.
    pub instrument: Instrument,
    /// The click.
    pub click: Click,
    /// Whether the pedal is told and judged.
    pub pedal: bool,
    /// Numbers, names or both.
    pub labels: Labels,
    /// Which keys are drawn.
    pub keyboard: Keyboard,
    /// What the scale room works on, once the player has chosen it.
    pub room: Option<Room>,
    /// How the player practises.
    pub practice: super::PracticeSettings,
    /// The octave of the lower row of letters, when they play notes, 1 to 6.
    pub piano_octave: i8,
    /// The song that was open: a file, or a demo song by its file name.
    pub song: Option<PathBuf>,
    /// Song files that were opened, the newest first.
    pub recent: Vec<PathBuf>,
    /// Song files that were put aside.
    pub aside: Vec<PathBuf>,
    /// The first start is over: no more guided beginning.
    pub met: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            format: 1,
            theme: Theme::default(),
            reach: None,
            left_reach: None,
            level: None,
            bass: None,
            left_floor: voicing::Settings::LEFT_FLOOR.number(),
            voice: None,
            keys: None,
            midi: Midi::default(),
            volume: 0.8,
            volumes: [1.0; 3],
            channel: None,
            sound_device: None,
            buffer: 128,
            sound_delay_ms: 0.0,
            touch: Touch::default(),
            instrument: Instrument::default(),
            click: Click::default(),
            pedal: false,
            labels: Labels::default(),
            keyboard: Keyboard::default(),
            room: None,
            practice: super::PracticeSettings::default(),
            piano_octave: 3,
            song: None,
            recent: Vec::new(),
            aside: Vec::new(),
            met: false,
        }
    }
}

/// No sound device is later than this, in milliseconds; beyond it something else was measured.
pub const MOST_DELAY_MS: f64 = 500.0;

/// Settings as read, and what there is to tell about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Loaded {
    /// What holds from now on.
    pub settings: Settings,
    /// One line for the player if the file could not be used.
    pub told: Option<String>,
}

impl Settings {
    /// Reads the settings. A file that cannot be understood is set aside under another name, and the defaults hold.
    pub fn load(places: &Places) -> Loaded {
        let file = places.settings_file();
        let told = match std::fs::read(&file) {
            Ok(bytes) => match serde_json::from_slice::<Settings>(&bytes) {
                Ok(settings) => return Loaded { settings: settings.within_limits(), told: None },
                Err(error) => Some(set_aside(&file, &error)),
            },
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
            Err(error) => Some(format!("Settings could not be read ({error}); the defaults hold.")),
        };
        Loaded { settings: Settings::default(), told }
    }

    /// Writes the settings, whole or not at all.
    ///
    /// # Errors
    /// What the file system says.
    pub fn save(&self, places: &Places) -> std::io::Result<()> {
        let mut text = serde_json::to_vec_pretty(self).expect("plain fields always become JSON");
        text.push(b'\n');
        write_whole(&places.settings_file(), &text)
    }

    /// For which player the part is planned.
    pub fn player(&self) -> voicing::Settings {
        let key = |n| theory::MidiKey::new(n);
        let range = self.keys.and_then(|(low, high)| voicing::KeyRange::new(key(low)?, key(high)?));
        let reach = self.reach.and_then(voicing::Reach::new).unwrap_or(voicing::Reach::OCTAVE);
        voicing::Settings {
            reach,
            left_reach: self.left_reach.and_then(voicing::Reach::new).unwrap_or(reach),
            keys: range.unwrap_or(voicing::KeyRange::FULL),
            level: self.level.and_then(voicing::Level::new),
            bass: self.bass,
            left_floor: key(self.left_floor).unwrap_or(voicing::Settings::LEFT_FLOOR),
            voice: self.voice.and_then(|(low, high)| voicing::KeySpan::new(key(low)?, key(high)?)),
        }
    }

    fn within_limits(mut self) -> Settings {
        self.volume = if self.volume.is_finite() { self.volume.clamp(0.0, 1.0) } else { 0.8 };
        for volume in &mut self.volumes {
            *volume = if volume.is_finite() { volume.clamp(0.0, 1.0) } else { 1.0 };
        }
        self.channel = self.channel.filter(|channel| (1..=16).contains(channel));
        self.buffer = self.buffer.clamp(32, 4096);
        let delay = self.sound_delay_ms;
        self.sound_delay_ms =
            if delay.is_finite() { delay.clamp(-MOST_DELAY_MS, MOST_DELAY_MS) } else { 0.0 };
        self.piano_octave = self.piano_octave.clamp(1, 6);
        self.reach = self.reach.filter(|&r| voicing::Reach::new(r).is_some());
        self
    }
}

fn set_aside(file: &std::path::Path, error: &serde_json::Error) -> String {
    let aside = file.with_extension("json.damaged");
    match std::fs::rename(file, &aside) {
        Ok(()) => format!(
            "The settings could not be understood ({error}); they were put aside as {}, and the defaults hold.",
            aside.display()
        ),
        Err(_) => format!("The settings could not be understood ({error}); the defaults hold."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn home() -> (tempfile::TempDir, Places) {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::under(folder.path());
        (folder, places)
    }

    #[test]
    fn what_was_saved_comes_back() {
        let (_folder, places) = home();
        let settings = Settings {
            reach: Some(14),
            keys: Some((36, 96)),
            midi: Midi::Named(vec!["Stage piano".to_owned()]),
            theme: Theme::Night,
            ..Settings::default()
        };
        settings.save(&places).unwrap();
        assert_eq!(Settings::load(&places), Loaded { settings, told: None });
    }

    #[test]
    fn a_damaged_file_is_put_aside_and_told() {
        let (folder, places) = home();
        std::fs::write(places.settings_file(), b"{ \"volume\": ").unwrap();
        let loaded = Settings::load(&places);
        assert_eq!(loaded.settings, Settings::default());
        assert!(loaded.told.unwrap().contains("put aside"));
        assert_eq!(std::fs::read(folder.path().join("settings.json.damaged")).unwrap(), b"{ \"volume\": ");
        assert_eq!(Settings::load(&places).told, None, "the second start has nothing left to tell");
    }

    #[test]
    fn values_out_of_range_fall_back() {
        let (_folder, places) = home();
        std::fs::write(
            places.settings_file(),
            br#"{ "volume": 9, "volumes": [2, -1, 0.5], "channel": 17, "sound_delay_ms": 9e9, "reach": 200, "keys": [60, 61], "new": 1 }"#,
        )
        .unwrap();
        let settings = Settings::load(&places).settings;
        assert_eq!(settings.volume, 1.0);
        assert_eq!((settings.volumes, settings.channel), ([1.0, 0.0, 0.5], None));
        assert_eq!(settings.sound_delay_ms, MOST_DELAY_MS);
        assert_eq!(settings.player(), voicing::Settings::default());
    }
}
