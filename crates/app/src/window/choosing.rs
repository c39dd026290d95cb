//! Choosing how to hold the chord in hand: what is shown of it, and what is held to be pinned. Without thread or file.

use super::chooser::Question;
use practice::{HeldKey, SlotRef};
use song::PlayedSong;
use std::collections::BTreeSet;
use theory::{Hand, MidiKey};
use ui::{Choices, Way};
use voicing::{CannotPin, Part, Pin};

/// The chord in hand while one chooses, and the notes held for it.
#[derive(Debug, Default)]
pub struct Choosing {
    at: Option<SlotRef>,
    asked: Option<Question>,
    ways: Option<Vec<Way>>,
    told: Option<String>,
    /// What was held together on a MIDI keyboard, now or last.
    grip: BTreeSet<MidiKey>,
    playing: bool,
    /// Keys clicked on the screen stay down until they are clicked again.
    latched: BTreeSet<MidiKey>,
    clicked: BTreeSet<MidiKey>,
}

impl Choosing {
    /// The chord that is chosen for.
    pub fn at(&self) -> Option<SlotRef> {
        self.at
    }

    /// Another chord is in hand, or none.
    pub fn turn_to(&mut self, at: Option<SlotRef>) {
        if self.at != at {
            *self = Choosing { at, ..Choosing::default() };
        }
    }

    /// The question to be asked, if it is another than the last.
    pub fn asks(&mut self, question: Question) -> Option<Question> {
        if self.asked.as_ref().is_some_and(|asked| asked.is(&question)) {
            return None;
        }
        self.ways = None;
        self.asked = Some(question.clone());
        Some(question)
    }

    /// Takes in an answer, unless another question was asked since.
    pub fn answered(&mut self, question: &Question, ways: Vec<Way>) {
        if self.asked.as_ref().is_some_and(|asked| asked.is(question)) {
            self.ways = Some(ways);
        }
    }

    /// One of the ways.
    pub fn way(&self, index: usize) -> Option<&Way> {
        self.ways.as_ref()?.get(index)
    }

    /// What there is to say.
    pub fn tell(&mut self, told: String) {
        self.told = Some(told);
    }

    /// A key on the screen was clicked, or its letter pressed.
    pub fn click(&mut self, key: MidiKey) {
        self.clicked.insert(key);
        if !self.latched.remove(&key) {
            self.latched.insert(key);
        }
    }

    /// What the keyboards hold now.
    pub fn hold(&mut self, held: &[HeldKey]) {
        let played: Vec<MidiKey> = held.iter().map(|h| h.key).filter(|k| !self.clicked.contains(k)).collect();
        let goes_on = std::mem::replace(&mut self.playing, !played.is_empty());
        if !played.is_empty() && !goes_on {
            self.let_go();
            self.playing = true;
        }
        self.grip.extend(played);
    }

    /// Nothing is held any more.
    pub fn let_go(&mut self) {
        self.grip.clear();
        self.latched.clear();
        self.clicked.clear();
    }

    /// The keys to be pinned, from the lowest up.
    pub fn holding(&self) -> Vec<MidiKey> {
        let keys = if self.clicked.is_empty() { &self.grip } else { &self.latched };
        keys.iter().copied().collect()
    }

    /// What the page shows.
    pub fn shown(&self, undo: Option<&str>, redo: Option<&str>) -> Choices {
        Choices {
            ways: self.ways.clone(),
            holding: self.holding(),
            pinned: false,
            told: self.told.clone(),
            undo: undo.map(str::to_owned),
            redo: redo.map(str::to_owned),
        }
    }
}

/// The pins of what is held at a chord, with what was recognised; or why there are none, for the player.
pub fn pins_as_held(
    song: &PlayedSong,
    part: &Part,
    at: SlotRef,
    keys: &[MidiKey],
) -> Result<(Vec<Pin>, String), String> {
    if keys.is_empty() {
        return Err(said(&CannotPin::NothingHeld));
    }
    let place = (at.bar, at.slot);
    let chord = part.bars.get(at.bar).and_then(|bar| bar.chords.get(at.slot));
    let Some(chord) = chord else { return Err(NO_CHORD.to_owned()) };
    let (right, left) = voicing::share_between_hands(chord, keys);
    let (mut pins, mut texts, mut foreign) = (Vec::new(), Vec::new(), false);
    for (hand, keys) in [(Hand::Right, right), (Hand::Left, left)] {
        if keys.is_empty() {
            continue;
        }
        let held = voicing::as_held(song, part, place, hand, &keys).ok_or(NO_CHORD)?;
        texts.push(held.text());
        foreign |= held.notes.iter().any(|note| note.foreign);
        pins.push(held.pin);
    }
    let text = texts.join(" ");
    if foreign {
        return Err(format!("{text} Nothing is pinned."));
    }
    let pins: Result<Vec<Pin>, CannotPin> = pins.into_iter().collect();
    pins.map(|pins| (pins, text)).map_err(|error| said(&error))
}

const NO_CHORD: &str = "No chord is struck here; go to one, and hold it again.";

fn said(error: &CannotPin) -> String {
    format!("Nothing is pinned: {error}.")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn keys(numbers: &[u8]) -> Vec<MidiKey> {
        numbers.iter().filter_map(|n| MidiKey::new(*n)).collect()
    }

    fn held(numbers: &[u8]) -> Vec<HeldKey> {
        let key = |key| HeldKey { key, verdict: practice::KeyVerdict::Neutral, hand: None };
        keys(numbers).into_iter().map(key).collect()
    }

    #[test]
    fn what_was_held_together_stays_until_something_else_is_played() {
        let mut choosing = Choosing::default();
        choosing.hold(&held(&[60]));
        choosing.hold(&held(&[60, 64]));
        choosing.hold(&held(&[64]));
        choosing.hold(&[]);
        assert_eq!(choosing.holding(), keys(&[60, 64]), "a hand is needed to press the key");
        choosing.hold(&held(&[67]));
        assert_eq!(choosing.holding(), keys(&[67]));
    }

    #[test]
    fn clicked_keys_stay_until_they_are_clicked_again() {
        let mut choosing = Choosing::default();
        for key in keys(&[60, 64, 67, 64]) {
            choosing.click(key);
            // The keyboards tell of the key as well, while the mouse is down.
            choosing.hold(&held(&[key.number()]));
            choosing.hold(&[]);
        }
        assert_eq!(choosing.holding(), keys(&[60, 67]));
        choosing.hold(&held(&[50]));
        assert_eq!(choosing.holding(), keys(&[50]), "a MIDI keyboard takes over");
    }
}
