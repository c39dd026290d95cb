//! Scales: the notes of a key in their four kinds.

use crate::{Interval, Key, Mode, NoteName, ParseKeyError, Pitch, key};

/// The four kinds of scale that are practised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum ScaleKind {
    Major,
    NaturalMinor,
    HarmonicMinor,
    MelodicMinor,
}

impl ScaleKind {
    /// All of them.
    pub const ALL: [ScaleKind; 4] =
        [ScaleKind::Major, ScaleKind::NaturalMinor, ScaleKind::HarmonicMinor, ScaleKind::MelodicMinor];

    /// As written behind the tonic: `major`, `minor` (natural), `harmonic minor`, `melodic minor`.
    pub const fn name(self) -> &'static str {
        match self {
            ScaleKind::Major => "major",
            ScaleKind::NaturalMinor => "minor",
            ScaleKind::HarmonicMinor => "harmonic minor",
            ScaleKind::MelodicMinor => "melodic minor",
        }
    }

    /// The mode of the keys that have it.
    pub const fn mode(self) -> Mode {
        match self {
            ScaleKind::Major => Mode::Major,
            _ => Mode::Minor,
        }
    }
}

/// A scale of a key.
///
/// ```
/// use theory::Scale;
/// let scale: Scale = "D melodic minor".parse().unwrap();
/// assert_eq!(scale.notes().map(|n| n.to_string()), ["D", "E", "F", "G", "A", "B", "C#"]);
/// assert_eq!(scale.notes_down().map(|n| n.to_string()), ["D", "C", "Bb", "A", "G", "F", "E"]);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Scale {
    key: Key,
    kind: ScaleKind,
}

impl Scale {
    /// A scale of a key; `None` where the mode does not fit the kind.
    pub fn new(key: Key, kind: ScaleKind) -> Option<Scale> {
        (key.mode() == kind.mode()).then_some(Scale { key, kind })
    }

    /// The key.
    pub const fn key(self) -> Key {
        self.key
    }

    /// The kind.
    pub const fn kind(self) -> ScaleKind {
        self.kind
    }

    /// Every scale of every key: 15 major ones and 15 of each kind of minor.
    pub fn all() -> impl Iterator<Item = Scale> {
        Key::all().flat_map(|key| ScaleKind::ALL.into_iter().filter_map(move |kind| Scale::new(key, kind)))
    }

    /// The seven notes going up from the tonic.
    pub fn notes(self) -> [NoteName; 7] {
        let mut notes = self.key.scale();
        if self.kind == ScaleKind::MelodicMinor {
            notes[5].alter += 1;
        }
        if matches!(self.kind, ScaleKind::HarmonicMinor | ScaleKind::MelodicMinor) {
            notes[6].alter += 1;
        }
        notes
    }

    /// The seven notes going down, as played: the tonic first, then the seventh. Melodic minor goes down as natural
    /// minor.
    pub fn notes_down(self) -> [NoteName; 7] {
        let up = self.rising_notes_of_descent();
        std::array::from_fn(|i| up[(7 - i) % 7])
    }

    /// The pitches going up through 1 to 4 octaves, the last tonic included: 8, 15, 22 or 29 of them. `octave` is that
    /// of the first tonic.
    ///
    /// ```
    /// let scale: theory::Scale = "F major".parse().unwrap();
    /// let up: Vec<String> = scale.pitches_up(4, 1).iter().map(|p| p.to_string()).collect();
    /// assert_eq!(up.join(" "), "F4 G4 A4 Bb4 C5 D5 E5 F5");
    /// ```
    pub fn pitches_up(self, octave: i8, octaves: u8) -> Vec<Pitch> {
        run(self.notes(), octave, octaves)
    }

    /// The pitches going down through the same octaves, in playing order; `octave` is that of the lowest tonic.
    pub fn pitches_down(self, octave: i8, octaves: u8) -> Vec<Pitch> {
        let mut pitches = run(self.rising_notes_of_descent(), octave, octaves);
        pitches.reverse();
        pitches
    }

    /// With the printed signs: `B♭ harmonic minor`.
    pub fn pretty(self) -> String {
        format!("{} {}", self.key.tonic().pretty(), self.kind.name())
    }

    /// The notes of the way down, sorted upwards.
    pub(crate) fn rising_notes_of_descent(self) -> [NoteName; 7] {
        if self.kind == ScaleKind::MelodicMinor { self.key.scale() } else { self.notes() }
    }
}

impl From<Key> for Scale {
    /// The key's own scale: major or natural minor.
    fn from(key: Key) -> Self {
        let kind = if key.mode() == Mode::Major { ScaleKind::Major } else { ScaleKind::NaturalMinor };
        Scale { key, kind }
    }
}

impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.key.tonic(), self.kind.name())
    }
}

impl std::str::FromStr for Scale {
    type Err = ParseKeyError;
    /// Reads `D major`, `D minor` (natural), `D natural minor`, `D harmonic minor`, `D melodic minor`.
    fn from_str(text: &str) -> Result<Self, ParseKeyError> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let kind = match words[..] {
            [_, "major"] => ScaleKind::Major,
            [_, "minor"] | [_, "natural", "minor"] => ScaleKind::NaturalMinor,
            [_, "harmonic", "minor"] => ScaleKind::HarmonicMinor,
            [_, "melodic", "minor"] => ScaleKind::MelodicMinor,
            _ => {
                return Err(key::mistake(format!(
                    "“{text}” is no scale: write “D major”, “D minor”, “D harmonic minor” or “D melodic minor”"
                )));
            }
        };
        Ok(Scale { key: key::named(words[0], kind.mode())?, kind })
    }
}

fn run(notes: [NoteName; 7], octave: i8, octaves: u8) -> Vec<Pitch> {
    let tonic = notes[0].letter.index() as usize;
    let mut pitches = Vec::with_capacity(7 * usize::from(octaves) + 1);
    for index in 0..=7 * usize::from(octaves) {
        let first = Pitch::new(notes[index % 7], octave);
        let crossed = (tonic + index) / 7;
        pitches.push(first.up(Interval::new(7 * crossed as i32, 12 * crossed as i32)));
    }
    pitches
}
