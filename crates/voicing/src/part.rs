//! The part: what the planner makes, for the screen, the ear and the score.

use crate::Reason;
use song::{PlayedBar, Quarters, SectionWords};
use theory::{Finger, Hand, Member, MidiKey, Pitch};

/// The widest interval one hand may span, in semitones, 5 to 24; an octave by default. Never force a stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Reach(u8);

impl Reach {
    /// An octave.
    pub const OCTAVE: Reach = Reach(12);
    /// A reach in semitones; `None` outside 5 to 24.
    pub const fn new(semitones: u8) -> Option<Reach> {
        if semitones >= 5 && semitones <= 24 { Some(Reach(semitones)) } else { None }
    }
    /// In semitones.
    pub const fn semitones(self) -> u8 {
        self.0
    }
}

/// The keys a keyboard has, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct KeyRange {
    low: MidiKey,
    high: MidiKey,
}

impl KeyRange {
    /// 88 keys, A0 to C8.
    pub const FULL: KeyRange = KeyRange { low: MidiKey::A0, high: MidiKey::C8 };
    /// A range; `None` if it is narrower than two octaves.
    pub fn new(low: MidiKey, high: MidiKey) -> Option<KeyRange> {
        (low.number() + 24 <= high.number()).then_some(KeyRange { low, high })
    }
    /// The lowest key.
    pub const fn low(self) -> MidiKey {
        self.low
    }
    /// The highest key.
    pub const fn high(self) -> MidiKey {
        self.high
    }
    /// Whether a key is on it.
    pub fn contains(self, key: MidiKey) -> bool {
        self.low <= key && key <= self.high
    }
}

/// What the player brings: reach and keyboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// The widest interval of one hand.
    pub reach: Reach,
    /// The keyboard.
    pub keys: KeyRange,
}

impl Default for Settings {
    fn default() -> Self {
        Self { reach: Reach::OCTAVE, keys: KeyRange::FULL }
    }
}

/// A key held in a shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeldNote {
    /// The note, spelled in the key.
    pub pitch: Pitch,
    /// Its key.
    pub key: MidiKey,
    /// Which member of the chord it is (in the left hand: of what stands on its lowest degree).
    pub member: Member,
    /// The finger on it.
    pub finger: Finger,
}

/// What one hand holds at a chord; no notes if it rests.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Shape {
    /// From the lowest up.
    pub notes: Vec<HeldNote>,
    /// By the lowest member: 1 is 0; 3, 2, 4 are 1; 5 is 2; 6, 7 are 3; otherwise, for single notes, bare octaves and
    /// chords without a third, `None`.
    pub inversion: Option<u8>,
    /// Members of the chord that this hand leaves out.
    pub omitted: Vec<Member>,
    /// Wider than the reach: rolled from the lowest note up.
    pub rolled: bool,
}

/// A slot of a bar with both hands' shapes.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct PartChord {
    /// The right hand.
    pub right: Shape,
    /// The left hand.
    pub left: Shape,
    /// Why, right hand first.
    pub why: Vec<Reason>,
}

impl PartChord {
    /// One hand's shape.
    pub fn hand(&self, hand: Hand) -> &Shape {
        match hand {
            Hand::Right => &self.right,
            Hand::Left => &self.left,
        }
    }
}

/// A bar of the part.
#[derive(Clone, Debug, PartialEq)]
pub struct PartBar {
    /// The bar as played. Its chords are in the key of the night, as the part is.
    pub played: PlayedBar,
    /// One for each slot of the bar, in order.
    pub chords: Vec<PartChord>,
}

/// What a strike is to the harmony.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Role {
    Chord,
    Passing,
}

/// One note to play.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Whose.
    pub hand: Hand,
    /// Index of the bar its chord is in.
    pub bar: usize,
    /// Index of its slot in that bar.
    pub slot: usize,
    /// When it sounds, from the first bar line; below zero for a first push.
    pub start: Quarters,
    /// How long.
    pub length: Quarters,
    /// The note, spelled.
    pub pitch: Pitch,
    /// Its key.
    pub key: MidiKey,
    /// The finger.
    pub finger: Finger,
    /// Chord member or neighbour.
    pub role: Role,
    /// Part of a shape that is rolled from the lowest note up.
    pub rolled: bool,
}

/// The part of a whole song.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The title.
    pub title: String,
    /// The key it is in.
    pub key: theory::Key,
    /// Names of the sections; `PlayedBar::section` indexes them.
    pub sections: Vec<String>,
    /// What the coach says about the whole song.
    pub note: Option<String>,
    /// What the coach says about each section; as many as `sections`, or none.
    pub words: Vec<SectionWords>,
    /// For which player.
    pub settings: Settings,
    /// All bars in playing order.
    pub bars: Vec<PartBar>,
    /// All strikes, by start, then by key.
    pub events: Vec<Event>,
}
