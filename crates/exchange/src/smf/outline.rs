//! What a file says beside its notes: meters, keys, tempi and words, in ticks.

use theory::{Key, Mode};

/// What a track may say in words (Standard MIDI Files 1.0, meta events 01, 05, 06, 07).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) enum WordKind {
    Text,
    Lyric,
    Marker,
    Cue,
}

/// Words at a tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Words {
    pub tick: u64,
    pub track: usize,
    pub kind: WordKind,
    pub text: String,
}

/// All of it, by tick.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Outline {
    pub ticks_per_quarter: u32,
    pub tempos: Vec<(u64, u32)>,
    pub meters: Vec<(u64, u8, u8)>,
    pub keys: Vec<(u64, Key)>,
    pub words: Vec<Words>,
    pub last_tick: u64,
}

/// So many words are kept; a song has fewer.
const MOST_WORDS: usize = 100_000;
/// The longest of them, in bytes.
const LONGEST_WORDS: usize = 200;

impl Outline {
    /// Adds words.
    pub fn add(&mut self, tick: u64, track: usize, kind: WordKind, bytes: &[u8]) {
        let text = String::from_utf8_lossy(&bytes[..bytes.len().min(LONGEST_WORDS)]).trim().to_owned();
        if !text.is_empty() && self.words.len() < MOST_WORDS {
            self.words.push(Words { tick, track, kind, text });
        }
    }

    /// Adds a key signature: sharps, or flats as negative numbers.
    pub fn add_key(&mut self, tick: u64, signature: i8, minor: bool) {
        let mode = if minor { Mode::Minor } else { Mode::Major };
        let key = Key::all().find(|key| key.mode() == mode && key.signature() == signature);
        self.keys.extend(key.map(|key| (tick, key)));
    }

    /// Puts everything in order.
    pub fn sort(&mut self) {
        self.words.sort_by_key(|words| words.tick);
        self.keys.sort_by_key(|key| key.0);
        self.last_tick = self.last_tick.max(self.words.last().map_or(0, |words| words.tick));
    }
}
