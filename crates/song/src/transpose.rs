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
        let shift = Shift { from: self.key, to };
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
    let semitones = from.semitones_to(to);
    let steps = to.tonic().letter.index() - from.tonic().letter.index();
    let spelled = |octave: i32| Interval::new(steps + 7 * octave, semitones);
    // The letter count that lies closest to the sound: a tritone up is three or four letters.
    let off = |interval: &Interval| (12 * interval.steps - 7 * interval.semitones).abs();
    [spelled(-1), spelled(0), spelled(1)].into_iter().min_by_key(off).unwrap_or(spelled(0))
}

struct Shift {
    from: Key,
    to: Key,
}

impl Shift {
    fn bar(&self, bar: &mut PlayedBar) {
        let written = bar.key;
        bar.key = self.key(written);
        let interval = between(written, bar.key);
        for slot in &mut bar.slots {
            match &mut slot.kind {
                SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord } => self.chord(chord),
                SlotKind::Rest => {}
            }
            for hand in [&mut slot.right, &mut slot.left] {
                near(hand, interval);
            }
        }
    }

    /// An inner key, moved as far as the song is. The song's own key becomes exactly the one asked for.
    fn key(&self, written: Key) -> Key {
        if written == self.from {
            return self.to;
        }
        let target = shifted(written, self.from.semitones_to(self.to));
        enharmonic_like(target, self.to)
    }

    fn chord(&self, chord: &mut Chord) {
        *chord = Chord::in_key(chord.written, self.key(chord.key));
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
