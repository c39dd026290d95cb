//! Notes from the mouse and the computer keyboard.

use std::time::Instant;

use sound::{EventKind, Key, Source, Velocity};

use super::inbox::{InputKind, InputLine};
use super::line::SoundLine;

/// The keyboard on the screen. What is played on it sounds and reaches the session like any other keyboard.
pub struct ScreenKeys {
    player: Player,
}

impl ScreenKeys {
    pub(super) fn new(line: SoundLine, input: InputLine) -> ScreenKeys {
        ScreenKeys { player: Player::new(line, input) }
    }

    /// A key goes down, now.
    pub fn key_down(&mut self, key: Key, velocity: Velocity) {
        self.player.play(Instant::now(), InputKind::KeyDown { key, velocity });
    }

    /// A key comes up, now.
    pub fn key_up(&mut self, key: Key) {
        self.player.play(Instant::now(), InputKind::KeyUp { key });
    }

    /// The sustain pedal, now.
    pub fn sustain(&mut self, down: bool) {
        self.player.play(Instant::now(), InputKind::Sustain { value: if down { 127 } else { 0 } });
    }

    /// Lifts every key, as when the window loses the focus.
    pub fn all_up(&mut self) {
        self.player.all_up(Instant::now());
    }
}

/// One keyboard: passes what is played to the sound and to the session, and remembers which keys are down.
pub(super) struct Player {
    line: SoundLine,
    input: InputLine,
    held: u128,
    pedal: bool,
}

impl Player {
    pub(super) fn new(line: SoundLine, input: InputLine) -> Player {
        Player { line, input, held: 0, pedal: false }
    }

    /// Never waits and never allocates: the MIDI thread calls it.
    pub(super) fn play(&mut self, at: Instant, kind: InputKind) {
        let source = Source::Own;
        let heard = match kind {
            InputKind::KeyDown { key, velocity } => {
                self.held |= bit(key);
                EventKind::NoteOn { key, velocity, source }
            }
            InputKind::KeyUp { key } => {
                self.held &= !bit(key);
                EventKind::NoteOff { key, source }
            }
            InputKind::Sustain { value } => {
                self.pedal = value >= 64;
                EventKind::Sustain { source, value }
            }
            InputKind::AllUp => return self.all_up(at),
        };
        self.line.play(at, heard);
        self.input.send(at, kind);
    }

    /// Lifts what this keyboard holds, and nothing that another one holds.
    pub(super) fn all_up(&mut self, at: Instant) {
        let source = Source::Own;
        for key in Key::all().filter(|key| self.held & bit(*key) != 0) {
            self.line.play(at, EventKind::NoteOff { key, source });
        }
        if self.pedal {
            self.line.play(at, EventKind::Sustain { source, value: 0 });
        }
        (self.held, self.pedal) = (0, false);
        self.input.send(at, InputKind::AllUp);
    }
}

fn bit(key: Key) -> u128 {
    1 << key.midi()
}
