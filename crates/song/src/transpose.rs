//! A song in the key of the night.

use crate::{HandStyle, PlayedBar, PlayedSong, SlotKind, Song};
use theory::{Chord, Interval, Key, Letter, Pitch};

/// A song cannot be moved from a major key into a minor one, nor the other way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the song is in {written} and cannot be moved to {asked}; name a {} key", written.mode().name())]
pub struct OtherMode {
    /// The key of the song.
    pub written: Key,
    /// The key asked for.
    pub asked: Key,
}

impl Song {
    /// The song unfolded, in another key: its inner keys move alike.
    ///
    /// # Errors
    /// If the key is of the other mode.
    pub fn play_in(&self, key: Key) -> Result<PlayedSong, OtherMode> {
        self.play().transposed(key)
    }
}

impl PlayedSong {
    /// The same song in another key. Inner keys and the notes of `near` move along, by at most a tritone.
    ///
    /// ```
    /// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
    ///   "sections": [ { "name": "Lift", "key": "+2", "bars": ["1"] } ] }"#;
    /// let played = song::read(text).sound().unwrap().play();
    /// let in_flats = played.transposed("Bb major".parse().unwrap()).unwrap();
    /// assert_eq!(in_flats.bars[0].key.to_string(), "C major");
    /// ```
    ///
    /// # Errors
    /// If the key is of the other mode.
    pub fn transposed(&self, to: Key) -> Result<PlayedSong, OtherMode> {
        if to.mode() != self.key.mode() {
            return Err(OtherMode { written: self.key, asked: to });
        }
        let mut moved = self.clone();
        moved.key = to;
        let mut shift = Shift::new(self, to);
        moved.bars.iter_mut().for_each(|bar| shift.bar(bar));
        Ok(moved)
    }

    /// The interval from the written key to the key of the night, at most a tritone up or down.
    pub fn moved_by(&self) -> Interval {
        between(self.written_key, self.key)
    }
}

/// The key so many semitones away, in a spelling that has a key signature.
pub(crate) fn shifted(key: Key, semitones: i32) -> Key {
    key.transposed(semitones)
}

/// The interval from one key's tonic to another's by the shorter way.
fn between(from: Key, to: Key) -> Interval {
    spelled(from, to, from.semitones_to(to))
}

/// The interval of so many semitones between notes that are called like the tonics of these keys.
fn spelled(from: Key, to: Key, semitones: i32) -> Interval {
    let steps = to.tonic().letter.index() - from.tonic().letter.index();
    // The letter count that lies closest to the sound: a tritone up is three or four letters.
    let off = |interval: &Interval| (12 * interval.steps - 7 * interval.semitones).abs();
    let octaves = (-2..=2).map(|octave| Interval::new(steps + 7 * octave, semitones));
    octaves.min_by_key(off).unwrap_or(Interval::new(steps, semitones))
}

/// The way from the key a song is in now to another, by way of the key it is written in: so that going back gives
/// what was there, and nothing lies more than a tritone from where it is written.
struct Shift {
    written: Key,
    to: Key,
    /// From where the notes of `near` are now.
    semitones: i32,
    sounding: Option<Chord>,
}

impl Shift {
    fn new(song: &PlayedSong, to: Key) -> Self {
        let written = song.written_key;
        let semitones = written.semitones_to(to) - written.semitones_to(song.key);
        Self { written, to, semitones, sounding: None }
    }

    fn bar(&mut self, bar: &mut PlayedBar) {
        let before = bar.key;
        bar.key = self.key(bar.written_key);
        let interval = spelled(before, bar.key, self.semitones);
        for slot in &mut bar.slots {
            match &mut slot.kind {
                SlotKind::Chord { chord, .. } => {
                    *chord = Chord::in_key(chord.written, bar.key);
                    self.sounding = Some(chord.clone());
                }
                SlotKind::Tie { sounding } => {
                    *sounding = self.sounding.clone().unwrap_or_else(|| sounding.clone());
                }
                SlotKind::Rest => {}
            }
            near(&mut slot.right, interval);
            near(&mut slot.left, interval);
        }
    }

    /// An inner key, moved as far as the song is. The song's own key becomes exactly the one asked for.
    fn key(&self, inner: Key) -> Key {
        if self.to == self.written {
            inner
        } else if inner == self.written {
            self.to
        } else {
            enharmonic_like(shifted(inner, self.written.semitones_to(self.to)), self.to)
        }
    }
}

/// Of two spellings of a key with equally many signs the one on the side of `like`.
fn enharmonic_like(key: Key, like: Key) -> Key {
    let same =
        |other: &Key| other.mode() == key.mode() && other.tonic().pitch_class() == key.tonic().pitch_class();
    let side = |other: &Key| (other.signature().abs(), (other.signature() < 0) != (like.signature() < 0));
    Key::all().filter(same).min_by_key(side).unwrap_or(key)
}

fn near(hand: &mut HandStyle, interval: Interval) {
    if let Some(pitch) = hand.near {
        hand.near = Some(plainly(pitch.up(interval)));
    }
}

/// A pitch with at most two accidentals, spelled anew if it has more.
fn plainly(pitch: Pitch) -> Pitch {
    if pitch.name.alter.abs() <= 2 {
        return pitch;
    }
    let all = Letter::ALL
        .into_iter()
        .flat_map(|letter| [-1, 0, 1].map(|alter| theory::NoteName::new(letter, alter)));
    let fits = all.filter_map(|name| pitch.key().and_then(|key| Pitch::spelled(name, key)));
    fits.min_by_key(|other| other.name.alter.abs()).unwrap_or(pitch)
}
