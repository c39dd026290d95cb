//! What is shown, and how; changed by commands alone.

use crate::{Command, PaperCommand, Question, Room, Theme, WritingView};
use voicing::PinScope;

/// The pages of the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Page {
    /// The chart, the bar in hand, the reasons, the keyboard.
    #[default]
    Song,
    /// The song, with other ways to hold the chord in hand in place of the reasons.
    Ways,
    /// The song being written.
    Writing,
    /// What a new song begins with.
    NewSong,
    /// The song, with what is practised in place of the reasons.
    Practice,
    /// How ready the song is, and how it went over the days.
    Ready,
    /// The chart alone, for the stage.
    Stage,
    /// How it went.
    Results,
    /// Scales and the chords of a key.
    Room,
    /// The songs there are to open.
    Songs,
    /// The sheet to print.
    Paper,
    /// Takes that are kept.
    Takes,
    /// How late the sound is: taps to a click and to a light.
    Timing,
    /// Settings.
    More,
    /// All shortcuts.
    Keys,
    /// The mistakes of the song file.
    Mistakes,
    /// Earlier versions of the song.
    Versions,
    /// The first start.
    FirstStart,
}

/// The pages of the settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Tab {
    /// Click, pedal, steps, the player's hands and keyboard.
    #[default]
    Playing,
    /// How full the part is, the band, each hand's reach, the singer.
    Part,
    /// MIDI inputs, sound, volumes, instrument.
    Devices,
    /// What is drawn, and how.
    Screen,
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
    /// Which of [`crate::Choices::ways`] is shown and heard.
    pub way: Option<usize>,
    /// In which passes a choice holds.
    pub pin_scope: PinScope,
    /// Which pass of a run the results show; `None` for the last one.
    pub lap: Option<usize>,
    /// Which page of the settings.
    pub tab: Tab,
    /// What is shown of a song being written.
    pub writing: WritingView,
    /// Which of the ways with a capo a guitarist reads, the lowest fret first; `None`: none is shown.
    pub capo: Option<usize>,
    /// What is chosen for the sheet to print.
    pub paper: crate::PaperChoice,
    /// Which page of it is shown, from 0.
    pub paper_page: usize,
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
            way: None,
            pin_scope: PinScope::EveryPass,
            lap: None,
            tab: Tab::default(),
            writing: WritingView::default(),
            capo: None,
            paper: crate::PaperChoice::default(),
            paper_page: 0,
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
            Command::Show(page) => (self.page, self.way) = (*page, None),
            Command::Way(way) => self.way = *way,
            Command::TakeWay(_) | Command::AsHeld | Command::Unpin => self.way = None,
            Command::PinFor(scope) => self.pin_scope = *scope,
            Command::Writing(command) => self.writing.apply(command),
            Command::Paper(PaperCommand::Choose(paper)) => (self.paper, self.paper_page) = (*paper, 0),
            Command::Paper(PaperCommand::Turn(page)) => self.paper_page = *page,
            Command::Theme(theme) => self.theme = *theme,
            Command::Capo(capo) => self.capo = *capo,
            Command::Labels(labels) => self.labels = *labels,
            Command::Keyboard(keyboard) => self.keyboard = *keyboard,
            Command::Room(room) => self.room = *room,
            Command::Lap(lap) => self.lap = *lap,
            Command::Tab(tab) => (self.page, self.way, self.tab) = (Page::More, None, *tab),
            Command::PianoKeys(on) => self.piano_keys = *on,
            Command::PianoOctave(octave) => self.piano_octave = (*octave).clamp(1, 6),
            Command::Answered(Question::Reach) | Command::Player(_) => self.asked_reach = true,
            Command::Answered(Question::Keyboard) | Command::PlayerKeys(_) => self.asked_keyboard = true,
            Command::OpenSong(_) | Command::Begin | Command::Practise { .. } => self.page = Page::Song,
            _ => {}
        }
    }
}
