//! What the controls can ask for. Views return commands; the application carries them out.

use crate::FilesCommand;
use crate::{
    Instrument, KeyboardView, Labels, Page, Room, Tab, TakeDeed, TapDeed, Theme, Touch, Voice, WritingCommand,
};
use practice::{LoopBars, SessionCommand, Speed};
use theory::{Key, MidiKey};
use voicing::{KeyRange, PinScope, Settings};

/// What a control asks for. The view's own ones are carried out by [`crate::ViewState::apply`], all others by the
/// application.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Open a song of the list, by its index in [`crate::Model::songs`].
    OpenSong(usize),
    /// Let the player choose a song file.
    OpenFile,
    /// What the session does: start, stop, place, mode, speed, loop, hands, click, count-in, octave shift.
    Session(SessionCommand),
    /// Repeat these bars slower: what the list of bars to work on asks for.
    Practise {
        /// The bars.
        bars: LoopBars,
        /// Of the chart's tempo.
        speed: Speed,
    },
    /// Read and plan the song in this key.
    KeyOfSong(Key),
    /// How loud everything is, 0 to 1.
    Volume(f32),
    /// The first start's two bars: the demo song, the right hand alone, at 60 percent.
    Begin,

    /// What the pages of practice ask for.
    Practice(crate::PracticeCommand),

    /// Something with a take, by its place in [`crate::Model::takes`].
    Take(usize, TakeDeed),
    /// Let the player choose a take that was recorded elsewhere.
    OpenTakeFile,
    /// Hear the pass whose result is shown, alone or with the part.
    Hear {
        /// The part plays along.
        with_part: bool,
    },
    /// No longer hear a take.
    StopReplay,
    /// Taps to a click and to a light.
    Taps(TapDeed),

    /// Show and hear one of [`crate::Choices::ways`] by its place, or none.
    Way(Option<usize>),
    /// Pin that one: write it into the song.
    TakeWay(usize),
    /// Pin what is held.
    AsHeld,
    /// What is held for that is let go.
    LetGo,
    /// Take out what is pinned at the chord in hand.
    Unpin,
    /// In which passes a pin holds.
    PinFor(PinScope),
    /// Take the last change of the song back.
    Undo,
    /// Make the change that was taken back again.
    Redo,

    /// What the page of writing asks for.
    Writing(WritingCommand),

    /// What has to do with the song's file.
    Files(FilesCommand),

    /// What the page of the sheet to print asks for.
    Paper(crate::PaperCommand),

    /// Show a page.
    Show(Page),
    /// Show a page of the settings.
    Tab(Tab),
    /// Show how this pass of a run went, by its place in [`crate::Model::laps`], or the last.
    Lap(Option<usize>),
    /// Day or night.
    Theme(Theme),
    /// Numbers, names or both.
    Labels(Labels),
    /// Which of the ways with a capo a guitarist reads, or none.
    Capo(Option<usize>),
    /// Which part of the keyboard is drawn.
    Keyboard(KeyboardView),
    /// What the scale room works on. The application then makes [`crate::exercise`] of it the part of the session.
    Room(Room),
    /// Letters of the computer keyboard play notes.
    PianoKeys(bool),
    /// The octave of the lower row of the computer keyboard, 1 to 6.
    PianoOctave(i8),
    /// The player has answered or put away the quiet question of this kind.
    Answered(Question),

    /// All that the player and the band bring, in place of what was set.
    Player(Settings),
    /// The whole song fuller by a level (`true`), or simpler.
    Fuller(bool),
    /// The keys of the player's keyboard.
    PlayerKeys(KeyRange),
    /// Listen to this MIDI input, by its name, or to none.
    MidiPort(Option<String>),
    /// Listen to every MIDI input there is.
    EveryMidiPort,
    /// Listen to one MIDI channel, 1 to 16, or to all.
    Channel(Option<u8>),
    /// Use this sound device, by its name, or the one that the system sends everything to.
    SoundOutput(Option<String>),
    /// Ask the sound device for blocks of so many frames.
    Buffer(u32),
    /// How loud one voice is, 0 to 1.
    VolumeOf(Voice, f32),
    /// How the player's touch sounds.
    Touch(Touch),
    /// What plays the notes.
    Instrument(Instrument),
    /// Look for MIDI inputs, sound devices and banks again.
    LookForDevices,
    /// A key went down, by mouse or computer keyboard; velocity 1 to 127.
    KeyDown(MidiKey, u8),
    /// A key came up.
    KeyUp(MidiKey),
    /// All keys of mouse and computer keyboard came up (the window lost the focus, or their mode ended).
    KeysUp,
    /// Close the window.
    Quit,
}

/// What is asked in passing, in one quiet line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Question {
    /// How far a hand reaches.
    Reach,
    /// Which keyboard it is.
    Keyboard,
}
