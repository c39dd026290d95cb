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
    /// The reach of a hand that holds an interval between white keys without strain, wherever it lies: `octave`, `a ninth`.
    /// From a fourth to a fifteenth.
    ///
    /// ```
    /// use voicing::Reach;
    /// assert_eq!(Reach::named("octave"), Some(Reach::OCTAVE));
    /// assert_eq!(Reach::named("a ninth"), Reach::new(14));
    /// assert_eq!(Reach::named("a handful"), None);
    /// ```
    pub fn named(interval: &str) -> Option<Reach> {
        let words = interval.trim().to_lowercase();
        let name = words.strip_prefix("an ").or_else(|| words.strip_prefix("a ")).unwrap_or(&words).trim();
        // A narrower hand holds a fourth too, though not from F.
        (6..=24).filter_map(Reach::new).find(|reach| reach.white_keys() == name)
    }
    /// In semitones.
    pub const fn semitones(self) -> u8 {
        self.0
    }
    /// The widest interval between white keys that fits everywhere, as players name it: 12 is an octave, 14 a ninth.
    ///
    /// ```
    /// use voicing::Reach;
    /// assert_eq!(Reach::new(15).unwrap().white_keys(), "ninth");
    /// assert_eq!(Reach::new(16).unwrap().white_keys(), "tenth");
    /// ```
    pub const fn white_keys(self) -> &'static str {
        match self.0 {
            ..=6 => "fourth",
            7..=8 => "fifth",
            9..=10 => "sixth",
            11 => "seventh",
            12..=13 => "octave",
            14..=15 => "ninth",
            16 => "tenth",
            17..=18 => "eleventh",
            19..=20 => "twelfth",
            21..=22 => "thirteenth",
            23 => "fourteenth",
            _ => "fifteenth",
        }
    }
}

/// How full the hands play: 1 (held roots under two notes) to 5 (octaves or tenths under four notes, moving figures).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Level(u8);

impl Level {
    /// 3, as a song that says nothing is played.
    pub const MIDDLE: Level = Level(3);
    /// A level; `None` outside 1 to 5.
    pub const fn new(level: u8) -> Option<Level> {
        if level >= 1 && level <= 5 { Some(Level(level)) } else { None }
    }
    /// Its number.
    pub const fn number(self) -> u8 {
        self.0
    }

    /// One simpler; `None` at the simplest.
    pub const fn simpler(self) -> Option<Level> {
        Level::new(self.0 - 1)
    }

    /// One fuller; `None` at the fullest.
    pub const fn fuller(self) -> Option<Level> {
        Level::new(self.0 + 1)
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
    /// A keyboard of the usual sizes by the number of its keys: 49 (C2-C6), 61 (C2-C7), 73 (E1-E7), 76 (E1-G7), 88
    /// (A0-C8), where makers usually begin them (common practice, no source); `None` for other numbers.
    pub fn of_size(keys: u8) -> Option<KeyRange> {
        let (low, high) = match keys {
            49 => (36, 84),
            61 => (36, 96),
            73 => (28, 100),
            76 => (28, 103),
            88 => (21, 108),
            _ => return None,
        };
        KeyRange::new(MidiKey::new(low)?, MidiKey::new(high)?)
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

/// What the player and the band bring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// The widest interval of the right hand.
    pub reach: Reach,
    /// The widest interval of the left hand.
    pub left_reach: Reach,
    /// The keyboard.
    pub keys: KeyRange,
    /// How full the player wants the song: in place of the song's own level, its sections as far from it as they are
    /// from that. `None`: as the song says.
    pub level: Option<Level>,
    /// Whether a bass player plays along tonight; `None`: as the song says.
    pub bass: Option<bool>,
    /// With a bass player the left hand stays on or above this key.
    pub left_floor: MidiKey,
    /// The singer's range, to stay out of with the right hand's top line; `None`: nothing to stay out of.
    pub voice: Option<KeySpan>,
}

impl Settings {
    /// E2: below it the bass player is at home.
    pub const LEFT_FLOOR: MidiKey = MidiKey::E2;

    /// For hands of one reach, as the song says in all else.
    pub fn new(reach: Reach, keys: KeyRange) -> Settings {
        Settings { keys, ..Settings::default() }.with_reach(reach)
    }

    /// With one reach for both hands.
    #[must_use]
    pub fn with_reach(self, reach: Reach) -> Settings {
        Settings { reach, left_reach: reach, ..self }
    }

    /// The widest interval of a hand.
    pub fn reach_of(&self, hand: Hand) -> Reach {
        match hand {
            Hand::Right => self.reach,
            Hand::Left => self.left_reach,
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            reach: Reach::OCTAVE,
            left_reach: Reach::OCTAVE,
            keys: KeyRange::FULL,
            level: None,
            bass: None,
            left_floor: Settings::LEFT_FLOOR,
            voice: None,
        }
    }
}

/// A stretch of keys, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct KeySpan {
    low: MidiKey,
    high: MidiKey,
}

impl KeySpan {
    /// A stretch; `None` if the ends are the wrong way round.
    pub fn new(low: MidiKey, high: MidiKey) -> Option<KeySpan> {
        (low <= high).then_some(KeySpan { low, high })
    }
    /// The lowest key.
    pub const fn low(self) -> MidiKey {
        self.low
    }
    /// The highest key.
    pub const fn high(self) -> MidiKey {
        self.high
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
    /// The finger that takes over while the key stays down: a substitution, as paper has it `5-4`.
    pub substitute: Option<Finger>,
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

    pub(crate) fn hand_mut(&mut self, hand: Hand) -> &mut Shape {
        match hand {
            Hand::Right => &mut self.right,
            Hand::Left => &mut self.left,
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

/// Another finger on a key that stays down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Substitution {
    /// When, from the first bar line.
    pub at: Quarters,
    /// The finger that takes over.
    pub finger: Finger,
}

impl Event {
    /// The finger as paper has it, with those that take over: `5-4`.
    pub fn finger_text(&self) -> String {
        let others = self.substitutions.iter().map(|change| change.finger);
        std::iter::once(self.finger).chain(others).map(|f| f.to_string()).collect::<Vec<_>>().join("-")
    }
}

impl HeldNote {
    /// The finger as paper has it, with one that takes over: `5-4`.
    pub fn finger_text(&self) -> String {
        self.substitute.map_or(self.finger.to_string(), |other| format!("{}-{other}", self.finger))
    }
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
    /// Its place in its shape, from 0 for the lowest note; a neighbour's is that of the note it stands beside.
    pub place: u8,
    /// The finger that strikes it.
    pub finger: Finger,
    /// Fingers that take over while the key stays down, in order; seldom any.
    pub substitutions: Vec<Substitution>,
    /// Chord member or neighbour.
    pub role: Role,
    /// Part of a shape that is rolled from the lowest note up.
    pub rolled: bool,
    /// To be played louder than the others: in exercises.
    pub accented: bool,
}

/// What a part costs by the planner's table, and what is proven about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Proof {
    /// Of all shapes and movements, as often as they are played, in the written key. Costs have no unit; the table is
    /// [`crate::Costs`].
    pub cost: i64,
    /// No choice of shapes costs less than `cost - gap`: 0 where this one is proven to be the cheapest.
    pub gap: i64,
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
    /// How many bars are counted in before the song; `None`: one in slow songs, two in fast ones.
    pub count_in: Option<u8>,
    /// For which player.
    pub settings: Settings,
    /// All bars in playing order.
    pub bars: Vec<PartBar>,
    /// All strikes, by start, then by key.
    pub events: Vec<Event>,
    /// What the planner can say for its choice.
    pub proof: Proof,
}
