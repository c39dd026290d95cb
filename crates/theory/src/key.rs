//! Keys: a tonic and a mode.

use crate::{Chord, Degree, Interval, Letter, NoteName};

/// Major or (natural) minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Mode {
    Major,
    Minor,
}

impl Mode {
    /// `major` or `minor`.
    pub const fn name(self) -> &'static str {
        match self {
            Mode::Major => "major",
            Mode::Minor => "minor",
        }
    }
}

/// A key: tonic and mode, one of the 15 major and 15 minor keys that have a key signature (up to seven accidentals).
///
/// ```
/// use theory::Key;
/// let key: Key = "Eb major".parse().unwrap();
/// assert_eq!(key.signature(), -3);
/// assert_eq!(key.degree("b7".parse().unwrap()).to_string(), "Db");
/// assert_eq!(key.transposed(2).to_string(), "F major");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    tonic: NoteName,
    mode: Mode,
}

/// Why a text is no key or no scale; the message says what to write.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct ParseKeyError {
    /// What is wrong and what would be right, for a musician.
    pub message: String,
}

impl Key {
    /// A key; `None` where it would need more than seven sharps or flats (G# major).
    pub fn new(tonic: NoteName, mode: Mode) -> Option<Key> {
        (-7..=7).contains(&fifths(tonic, mode)).then_some(Key { tonic, mode })
    }

    /// The first degree.
    pub const fn tonic(self) -> NoteName {
        self.tonic
    }

    /// Major or minor.
    pub const fn mode(self) -> Mode {
        self.mode
    }

    /// All thirty keys: the major keys from seven flats to seven sharps, then the minor ones.
    pub fn all() -> impl Iterator<Item = Key> {
        let names = |mode| {
            (-7..=7).map(move |signature| {
                let key = Key { tonic: on_line_of_fifths(signature, mode), mode };
                debug_assert_eq!(i32::from(key.signature()), signature);
                key
            })
        };
        names(Mode::Major).chain(names(Mode::Minor))
    }

    /// The key signature: sharps positive, flats negative, -7 to 7.
    pub fn signature(self) -> i8 {
        fifths(self.tonic, self.mode) as i8
    }

    /// The seven notes from the tonic up; in minor those of natural minor.
    pub fn scale(self) -> [NoteName; 7] {
        let semitones = match self.mode {
            Mode::Major => [0, 2, 4, 5, 7, 9, 11],
            Mode::Minor => [0, 2, 3, 5, 7, 8, 10],
        };
        std::array::from_fn(|i| self.tonic.up(Interval::new(i as i32, semitones[i])))
    }

    /// The note of a degree, with its accidentals: `#7` of E minor is D#.
    pub fn degree(self, degree: Degree) -> NoteName {
        let own = self.scale()[usize::from(degree.number()) - 1];
        NoteName::new(own.letter, own.alter + degree.alter())
    }

    /// Whether the note sounds like one of the key's own seven.
    pub fn contains(self, name: NoteName) -> bool {
        self.scale().iter().any(|own| own.pitch_class() == name.pitch_class())
    }

    /// The seven triads that the key gives its degrees.
    ///
    /// ```
    /// let key: theory::Key = "D major".parse().unwrap();
    /// let names: Vec<String> = key.chords().iter().map(|chord| chord.name()).collect();
    /// assert_eq!(names.join(" "), "D Em F#m G A Bm C#dim");
    /// ```
    pub fn chords(self) -> Vec<Chord> {
        Degree::all().into_iter().map(|degree| Chord::in_key(degree.into(), self)).collect()
    }

    /// The key that many semitones higher (negative: lower), in the spelling with fewer accidentals. Where six sharps
    /// and six flats tie, a flat key stays with flats and the others take sharps. A whole number of octaves
    /// changes nothing.
    pub fn transposed(self, semitones: i32) -> Key {
        if semitones.rem_euclid(12) == 0 {
            return self;
        }
        let target = (i32::from(self.tonic.pitch_class()) + semitones.rem_euclid(12)).rem_euclid(12);
        let flat = self.signature() < 0;
        Key::all()
            .filter(|key| key.mode == self.mode && i32::from(key.tonic.pitch_class()) == target)
            .min_by_key(|key| (key.signature().abs(), (key.signature() < 0) != flat))
            .expect("every pitch class is the tonic of a key with at most seven accidentals in either mode")
    }

    /// Semitones from this tonic to that of another key by the shorter way, -5 to 6 (a tritone goes up).
    pub fn semitones_to(self, other: Key) -> i32 {
        let up = (i32::from(other.tonic.pitch_class()) - i32::from(self.tonic.pitch_class())).rem_euclid(12);
        if up > 6 { up - 12 } else { up }
    }

    /// With the printed signs: `B♭ major`.
    pub fn pretty(self) -> String {
        format!("{} {}", self.tonic.pretty(), self.mode.name())
    }
}

impl std::fmt::Display for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.tonic, self.mode.name())
    }
}

impl std::str::FromStr for Key {
    type Err = ParseKeyError;
    /// Reads `Bb major`, `F# minor`, and the printed signs ♯ ♭ as well.
    fn from_str(text: &str) -> Result<Self, ParseKeyError> {
        let words: Vec<&str> = text.split_whitespace().collect();
        match words[..] {
            [tonic, "major"] => named(tonic, Mode::Major),
            [tonic, "minor"] => named(tonic, Mode::Minor),
            [tonic] if tonic.parse::<NoteName>().is_ok() => {
                Err(mistake(format!("“{tonic}” has no mode: write “{tonic} major” or “{tonic} minor”")))
            }
            _ => Err(mistake(format!(
                "“{text}” is no key: write tonic and mode, as in “Bb major” or “F# minor”"
            ))),
        }
    }
}

/// The key of a tonic's name, or what to write instead.
pub(crate) fn named(tonic: &str, mode: Mode) -> Result<Key, ParseKeyError> {
    let name: NoteName = tonic.parse().map_err(|_| {
        mistake(format!(
            "“{tonic}” is no note name: write A to G and # or b behind it, as in “Bb {}”",
            mode.name()
        ))
    })?;
    Key::new(name, mode).ok_or_else(|| {
        let same = Key::all()
            .filter(|key| key.mode == mode && key.tonic.pitch_class() == name.pitch_class())
            .min_by_key(|key| key.signature().abs());
        let instead = same.map(|key| format!(": write {key}, which sounds the same")).unwrap_or_default();
        mistake(format!("{name} {} has no key signature of up to seven accidentals{instead}", mode.name()))
    })
}

pub(crate) fn mistake(message: String) -> ParseKeyError {
    ParseKeyError { message }
}

/// The signature that a tonic and mode would have: each fifth up adds a sharp.
pub(crate) fn fifths(tonic: NoteName, mode: Mode) -> i32 {
    let white = [0, 2, 4, -1, 1, 3, 5][tonic.letter as usize];
    white + 7 * i32::from(tonic.alter) - minor_offset(mode)
}

/// The tonic of the key with a signature.
pub(crate) fn on_line_of_fifths(signature: i32, mode: Mode) -> NoteName {
    let fifths = signature + minor_offset(mode);
    NoteName::new(Letter::at(4 * fifths), (fifths + 1).div_euclid(7) as i8)
}

/// A minor tonic lies three fifths above the major tonic of the same signature.
fn minor_offset(mode: Mode) -> i32 {
    if mode == Mode::Minor { 3 } else { 0 }
}
