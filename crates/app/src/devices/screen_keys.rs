//! Notes from the mouse and the computer keyboard.

use std::time::Instant;

use sound::{EventKind, Key, Port, Source, Velocity};

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
    source: Source,
    held: u128,
    /// The three pedals, where they are not up.
    pedals: [bool; 3],
}

impl Player {
    pub(super) fn new(line: SoundLine, input: InputLine) -> Player {
        let port = Port::new(input.port().0).expect("there are more ports than keyboards");
        Player { line, input, source: Source::Own(port), held: 0, pedals: [false; 3] }
    }

    /// Never waits and never allocates: the MIDI thread calls it.
    pub(super) fn play(&mut self, at: Instant, kind: InputKind) {
        let source = self.source;
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
                self.pedals[0] = value > 0;
                EventKind::Sustain { source, value }
            }
            InputKind::Sostenuto { value } => {
                self.pedals[1] = value > 0;
                EventKind::Sostenuto { source, value }
            }
            InputKind::UnaCorda { value } => {
                self.pedals[2] = value > 0;
                EventKind::UnaCorda { source, value }
            }
            InputKind::AllUp => return self.all_up(at),
        };
        self.line.play(at, heard);
        self.input.send(at, kind);
    }

    /// Lifts what this keyboard holds, and nothing that another one holds.
    pub(super) fn all_up(&mut self, at: Instant) {
        let source = self.source;
        for key in Key::all().filter(|key| self.held & bit(*key) != 0) {
            self.line.play(at, EventKind::NoteOff { key, source });
        }
        let up = [
            EventKind::Sustain { source, value: 0 },
            EventKind::Sostenuto { source, value: 0 },
            EventKind::UnaCorda { source, value: 0 },
        ];
        for (up, _) in up.into_iter().zip(self.pedals).filter(|(_, down)| *down) {
            self.line.play(at, up);
        }
        (self.held, self.pedals) = (0, [false; 3]);
        self.input.send(at, InputKind::AllUp);
    }
}

fn bit(key: Key) -> u128 {
    1 << key.midi()
}
