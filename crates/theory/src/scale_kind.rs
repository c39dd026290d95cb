//! The kinds of scale that are practised.

use crate::{Degree, Interval, Mode};

/// The kinds of scale that are practised. The major scale is the ionian mode, the natural minor scale the aeolian.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum ScaleKind {
    Major,
    NaturalMinor,
    HarmonicMinor,
    MelodicMinor,
    Dorian,
    Phrygian,
    Lydian,
    Mixolydian,
    Locrian,
    MajorPentatonic,
    MinorPentatonic,
    Blues,
}

/// Semitones above the tonic of the major scale's seven notes.
pub(crate) const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];

impl ScaleKind {
    /// All of them.
    pub const ALL: [ScaleKind; 12] = [
        ScaleKind::Major,
        ScaleKind::NaturalMinor,
        ScaleKind::HarmonicMinor,
        ScaleKind::MelodicMinor,
        ScaleKind::Dorian,
        ScaleKind::Phrygian,
        ScaleKind::Lydian,
        ScaleKind::Mixolydian,
        ScaleKind::Locrian,
        ScaleKind::MajorPentatonic,
        ScaleKind::MinorPentatonic,
        ScaleKind::Blues,
    ];

    /// As written behind the tonic: `major`, `minor` (natural), `harmonic minor`, `dorian`, `major pentatonic`, `blues` …
    pub const fn name(self) -> &'static str {
        match self {
            ScaleKind::Major => "major",
            ScaleKind::NaturalMinor => "minor",
            ScaleKind::HarmonicMinor => "harmonic minor",
            ScaleKind::MelodicMinor => "melodic minor",
            ScaleKind::Dorian => "dorian",
            ScaleKind::Phrygian => "phrygian",
            ScaleKind::Lydian => "lydian",
            ScaleKind::Mixolydian => "mixolydian",
            ScaleKind::Locrian => "locrian",
            ScaleKind::MajorPentatonic => "major pentatonic",
            ScaleKind::MinorPentatonic => "minor pentatonic",
            ScaleKind::Blues => "blues",
        }
    }

    /// The kind of a name, in capitals or not; other names in use are read as well: `natural minor`, `ionian`, `aeolian`.
    pub(crate) fn named(text: &str) -> Option<ScaleKind> {
        let text = text.to_lowercase();
        match text.as_str() {
            "ionian" | "maj" => Some(ScaleKind::Major),
            "natural minor" | "aeolian" | "min" => Some(ScaleKind::NaturalMinor),
            "pentatonic" | "pentatonic major" => Some(ScaleKind::MajorPentatonic),
            "pentatonic minor" => Some(ScaleKind::MinorPentatonic),
            "minor blues" => Some(ScaleKind::Blues),
            _ => Self::ALL.into_iter().find(|kind| kind.name() == text),
        }
    }

    /// Major where the third is major, else minor.
    pub const fn mode(self) -> Mode {
        match self {
            ScaleKind::Major | ScaleKind::Lydian | ScaleKind::Mixolydian | ScaleKind::MajorPentatonic => {
                Mode::Major
            }
            _ => Mode::Minor,
        }
    }

    /// Whether the way down has other notes than the way up: melodic minor comes down as natural minor.
    pub const fn comes_down_otherwise(self) -> bool {
        matches!(self, ScaleKind::MelodicMinor)
    }

    /// Its notes as degrees of the major scale on the same tonic, going up: blues is 1 b3 4 b5 5 b7 (handbook tables).
    ///
    /// ```
    /// let dorian: Vec<String> = theory::ScaleKind::Dorian.formula().iter().map(|d| d.to_string()).collect();
    /// assert_eq!(dorian.join(" "), "1 2 b3 4 5 6 b7");
    /// ```
    pub fn formula(self) -> Vec<Degree> {
        let degree = |&(number, alter): &(u8, i8)| {
            Degree::new(number, alter).expect("the formulas hold 1 to 7, lowered or raised once")
        };
        self.degrees().iter().map(degree).collect()
    }

    /// The intervals above the tonic, from the unison on.
    pub(crate) fn intervals(self) -> impl Iterator<Item = Interval> {
        self.degrees().iter().map(|&(number, alter)| {
            let steps = i32::from(number) - 1;
            Interval::new(steps, MAJOR[steps as usize] + i32::from(alter))
        })
    }

    /// Sharps in its signature (flats negative) beyond those of the major key on its tonic. The minor kinds, minor
    /// pentatonic and blues have the signature of the minor key, the modes that of the major key whose notes they are.
    pub(crate) const fn signature_offset(self) -> i32 {
        match self {
            ScaleKind::Lydian => 1,
            ScaleKind::Major | ScaleKind::MajorPentatonic => 0,
            ScaleKind::Mixolydian => -1,
            ScaleKind::Dorian => -2,
            ScaleKind::Phrygian => -4,
            ScaleKind::Locrian => -5,
            ScaleKind::NaturalMinor
            | ScaleKind::HarmonicMinor
            | ScaleKind::MelodicMinor
            | ScaleKind::MinorPentatonic
            | ScaleKind::Blues => -3,
        }
    }

    const fn degrees(self) -> &'static [(u8, i8)] {
        match self {
            ScaleKind::Major => &[(1, 0), (2, 0), (3, 0), (4, 0), (5, 0), (6, 0), (7, 0)],
            ScaleKind::NaturalMinor => &[(1, 0), (2, 0), (3, -1), (4, 0), (5, 0), (6, -1), (7, -1)],
            ScaleKind::HarmonicMinor => &[(1, 0), (2, 0), (3, -1), (4, 0), (5, 0), (6, -1), (7, 0)],
            ScaleKind::MelodicMinor => &[(1, 0), (2, 0), (3, -1), (4, 0), (5, 0), (6, 0), (7, 0)],
            ScaleKind::Dorian => &[(1, 0), (2, 0), (3, -1), (4, 0), (5, 0), (6, 0), (7, -1)],
            ScaleKind::Phrygian => &[(1, 0), (2, -1), (3, -1), (4, 0), (5, 0), (6, -1), (7, -1)],
            ScaleKind::Lydian => &[(1, 0), (2, 0), (3, 0), (4, 1), (5, 0), (6, 0), (7, 0)],
            ScaleKind::Mixolydian => &[(1, 0), (2, 0), (3, 0), (4, 0), (5, 0), (6, 0), (7, -1)],
            ScaleKind::Locrian => &[(1, 0), (2, -1), (3, -1), (4, 0), (5, -1), (6, -1), (7, -1)],
            ScaleKind::MajorPentatonic => &[(1, 0), (2, 0), (3, 0), (5, 0), (6, 0)],
            ScaleKind::MinorPentatonic => &[(1, 0), (3, -1), (4, 0), (5, 0), (7, -1)],
            ScaleKind::Blues => &[(1, 0), (3, -1), (4, 0), (5, -1), (5, 0), (7, -1)],
        }
    }
}
