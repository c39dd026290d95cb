//! What is shown, and how; changed by commands alone.

use crate::{Command, Question, Theme};
use theory::{Key, Letter, Mode, NoteName, Scale};

/// The pages of the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Page {
    /// The chart, the bar in hand, the reasons, the keyboard.
    #[default]
    Song,
    /// How it went.
    Results,
    /// Scales and the chords of a key.
    Room,
    /// The songs there are to open.
    Songs,
    /// Settings.
    More,
    /// All shortcuts.
    Keys,
    /// The mistakes of the song file.
    Mistakes,
    /// The first start.
    FirstStart,
}

/// How chords and notes are named.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Labels {
    /// Degrees: `5/7`.
    Numbers,
    /// Letters: `A/C♯`.
    Names,
    /// Degrees, with letters under them.
    #[default]
    Both,
}

impl Labels {
    /// The next one, round and round.
    pub const fn next(self) -> Labels {
        match self {
            Labels::Numbers => Labels::Names,
            Labels::Names => Labels::Both,
            Labels::Both => Labels::Numbers,
        }
    }
}

/// Which part of the keyboard is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum KeyboardView {
    /// All 88 keys.
    Full,
    /// The player's keyboard.
    Players,
    /// The part that the song uses, large.
    #[default]
    Song,
}

impl KeyboardView {
    /// The next one, round and round.
    pub const fn next(self) -> KeyboardView {
        match self {
            KeyboardView::Song => KeyboardView::Players,
            KeyboardView::Players => KeyboardView::Full,
            KeyboardView::Full => KeyboardView::Song,
        }
    }
}

/// What the scale room works on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Room {
    /// The scale.
    pub scale: Scale,
    /// One octave or two.
    pub octaves: u8,
    /// The scale, or the chords of the key.
    pub subject: Subject,
}

/// What of a key is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Subject {
    /// Its scale, up and down.
    Scale,
    /// Its seven triads, each in all inversions.
    Chords,
}

impl Default for Room {
    fn default() -> Self {
        let c = NoteName::new(Letter::C, 0);
        let key = Key::new(c, Mode::Major).expect("C major has a key signature");
        Room { scale: key.into(), octaves: 1, subject: Subject::Scale }
    }
}

/// What is shown. The application keeps it and stores it with the settings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ViewState {
    /// The page.
    pub page: Page,
    /// Day or night.
    pub theme: Theme,
    /// How chords and notes are named.
    pub labels: Labels,
    /// Which keys are drawn.
    pub keyboard: KeyboardView,
    /// What the scale room works on.
    pub room: Room,
    /// Whether letters of the computer keyboard play notes.
    pub piano_keys: bool,
    /// The octave of their lower row, 1 to 6.
    pub piano_octave: i8,
    /// Whether the player has been asked how far a hand reaches.
    pub asked_reach: bool,
    /// Whether the player has been asked which keyboard it is.
    pub asked_keyboard: bool,
}

impl Default for ViewState {
    fn default() -> Self {
        ViewState {
            page: Page::default(),
            theme: Theme::default(),
            labels: Labels::default(),
            keyboard: KeyboardView::default(),
            room: Room::default(),
            piano_keys: false,
            piano_octave: 3,
            asked_reach: false,
            asked_keyboard: false,
        }
    }
}

impl ViewState {
    /// Carries out the commands that concern what is shown; others change nothing here.
    ///
    /// ```
    /// use ui::{Command, Page, ViewState};
    /// let mut view = ViewState::default();
    /// view.apply(&Command::Show(Page::Room));
    /// assert_eq!(view.page, Page::Room);
    /// ```
    pub fn apply(&mut self, command: &Command) {
        match command {
            Command::Show(page) => self.page = *page,
            Command::Theme(theme) => self.theme = *theme,
            Command::Labels(labels) => self.labels = *labels,
            Command::Keyboard(keyboard) => self.keyboard = *keyboard,
            Command::Room(room) => self.room = *room,
            Command::PianoKeys(on) => self.piano_keys = *on,
            Command::PianoOctave(octave) => self.piano_octave = (*octave).clamp(1, 6),
            Command::Answered(Question::Reach) | Command::Reach(_) => self.asked_reach = true,
            Command::Answered(Question::Keyboard) | Command::PlayerKeys(_) => self.asked_keyboard = true,
            Command::OpenSong(_) | Command::Begin | Command::Practise { .. } => self.page = Page::Song,
            _ => {}
        }
    }
}
