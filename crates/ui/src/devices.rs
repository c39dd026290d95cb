//! MIDI and sound as the player needs to know them, and what can be chosen of them.

/// MIDI and sound.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Devices {
    /// The MIDI inputs found, by name.
    pub midi_ports: Vec<String>,
    /// The one that is listened to; the first, where it is several.
    pub midi_port: Option<String>,
    /// Whether every keyboard that is plugged in is listened to.
    pub every_midi_port: bool,
    /// The MIDI channel that is listened to, 1 to 16; `None` for all.
    pub channel: Option<u8>,
    /// The sound device, if one is open.
    pub sound: Option<String>,
    /// The sound devices there are, by name.
    pub sound_outputs: Vec<String>,
    /// The one that was chosen; `None` for the one that the system sends everything to.
    pub sound_output: Option<String>,
    /// Frames in a block of sound, as asked for.
    pub buffer: u32,
    /// The sizes there are to choose from.
    pub buffers: Vec<u32>,
    /// How loud everything is, 0 to 1.
    pub volume: f32,
    /// How loud each voice is, 0 to 1, in the order of [`Voice::ALL`].
    pub volumes: [f32; 3],
    /// How the player's touch sounds.
    pub touch: Touch,
    /// The banks that were found, by name.
    pub banks: Vec<String>,
    /// The one that plays, by its place among them or by its own name; `None` for the built-in piano.
    pub bank: Option<String>,
    /// The names of its presets.
    pub presets: Vec<String>,
    /// The one that plays.
    pub preset: Option<usize>,
    /// So much later than the light the sound was set to be, in milliseconds.
    pub sound_delay_ms: f64,
    /// One quiet line: no MIDI, no sound, a lost device, a file that could not be saved.
    pub message: Option<String>,
}

/// What has a volume of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Voice {
    /// The click.
    Click,
    /// What the program plays.
    Part,
    /// What the player plays.
    Own,
}

impl Voice {
    /// All of them.
    pub const ALL: [Voice; 3] = [Voice::Click, Voice::Part, Voice::Own];

    /// Its place in [`Voice::ALL`].
    pub const fn index(self) -> usize {
        match self {
            Voice::Click => 0,
            Voice::Part => 1,
            Voice::Own => 2,
        }
    }

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Voice::Click => "click",
            Voice::Part => "the program",
            Voice::Own => "your playing",
        }
    }
}

/// How the velocity that a keyboard sends becomes the strength of the blow.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Touch {
    /// A light touch already sounds full.
    Soft,
    /// As the keyboard sends it.
    #[default]
    Even,
    /// Loud only when struck firmly.
    Firm,
    /// Every blow alike.
    Same,
}

impl Touch {
    /// All of them, from the lightest touch up.
    pub const ALL: [Touch; 4] = [Touch::Soft, Touch::Even, Touch::Firm, Touch::Same];

    /// What it means, in a few words.
    pub const fn words(self) -> &'static str {
        match self {
            Touch::Soft => "light: full sound early",
            Touch::Even => "as the keyboard sends it",
            Touch::Firm => "firm: loud only when struck hard",
            Touch::Same => "every strike alike",
        }
    }
}

/// What plays the notes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// The built-in piano.
    Piano,
    /// A bank, by its place in [`Devices::banks`].
    Bank(usize),
    /// A preset of the bank that plays, by its place in [`Devices::presets`].
    Preset(usize),
    /// A bank that the player looks for.
    File,
}
