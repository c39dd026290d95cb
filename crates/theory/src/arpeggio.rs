//! Arpeggios: the notes of a triad or a seventh chord one after another, through octaves.

use crate::scale::tonic_named;
use crate::scale_kind::MAJOR;
use crate::{Interval, NoteName, ParseKeyError, Pitch, key};

/// The kinds of chord that are practised as arpeggios.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum ArpeggioKind {
    Major,
    Minor,
    Diminished,
    Augmented,
    DominantSeventh,
    MajorSeventh,
    MinorSeventh,
    HalfDiminishedSeventh,
    DiminishedSeventh,
}

impl ArpeggioKind {
    /// All of them.
    pub const ALL: [ArpeggioKind; 9] = [
        ArpeggioKind::Major,
        ArpeggioKind::Minor,
        ArpeggioKind::Diminished,
        ArpeggioKind::Augmented,
        ArpeggioKind::DominantSeventh,
        ArpeggioKind::MajorSeventh,
        ArpeggioKind::MinorSeventh,
        ArpeggioKind::HalfDiminishedSeventh,
        ArpeggioKind::DiminishedSeventh,
    ];

    /// In plain words: `major`, `dominant seventh` …
    pub const fn name(self) -> &'static str {
        self.texts().0
    }

    /// What stands behind the root in the trade's chord names: nothing, `m`, `7`, `m7b5` …
    pub const fn suffix(self) -> &'static str {
        self.texts().1
    }

    /// How many notes it has in an octave: a triad three, a seventh chord four.
    pub const fn size(self) -> usize {
        self.degrees().len()
    }

    const fn texts(self) -> (&'static str, &'static str) {
        match self {
            ArpeggioKind::Major => ("major", ""),
            ArpeggioKind::Minor => ("minor", "m"),
            ArpeggioKind::Diminished => ("diminished", "dim"),
            ArpeggioKind::Augmented => ("augmented", "aug"),
            ArpeggioKind::DominantSeventh => ("dominant seventh", "7"),
            ArpeggioKind::MajorSeventh => ("major seventh", "maj7"),
            ArpeggioKind::MinorSeventh => ("minor seventh", "m7"),
            ArpeggioKind::HalfDiminishedSeventh => ("half-diminished seventh", "m7b5"),
            ArpeggioKind::DiminishedSeventh => ("diminished seventh", "dim7"),
        }
    }

    /// Its members as degrees of the major scale on its root (theory textbooks).
    const fn degrees(self) -> &'static [(i32, i32)] {
        match self {
            ArpeggioKind::Major => &[(1, 0), (3, 0), (5, 0)],
            ArpeggioKind::Minor => &[(1, 0), (3, -1), (5, 0)],
            ArpeggioKind::Diminished => &[(1, 0), (3, -1), (5, -1)],
            ArpeggioKind::Augmented => &[(1, 0), (3, 0), (5, 1)],
            ArpeggioKind::DominantSeventh => &[(1, 0), (3, 0), (5, 0), (7, -1)],
            ArpeggioKind::MajorSeventh => &[(1, 0), (3, 0), (5, 0), (7, 0)],
            ArpeggioKind::MinorSeventh => &[(1, 0), (3, -1), (5, 0), (7, -1)],
            ArpeggioKind::HalfDiminishedSeventh => &[(1, 0), (3, -1), (5, -1), (7, -1)],
            ArpeggioKind::DiminishedSeventh => &[(1, 0), (3, -1), (5, -1), (7, -2)],
        }
    }

    /// The kind that a text behind the root names.
    fn named(text: &str) -> Option<ArpeggioKind> {
        let short = match text {
            "" | "M" | "maj" => Some(ArpeggioKind::Major),
            "-" | "min" => Some(ArpeggioKind::Minor),
            "°" | "o" => Some(ArpeggioKind::Diminished),
            "+" => Some(ArpeggioKind::Augmented),
            "M7" => Some(ArpeggioKind::MajorSeventh),
            "-7" | "min7" => Some(ArpeggioKind::MinorSeventh),
            "ø" | "ø7" | "m7♭5" | "half-diminished" => Some(ArpeggioKind::HalfDiminishedSeventh),
            "°7" | "o7" => Some(ArpeggioKind::DiminishedSeventh),
            _ => None,
        };
        let words = text.to_lowercase();
        let full = |kind: &ArpeggioKind| kind.suffix() == text || kind.name() == words;
        short.or_else(|| Self::ALL.into_iter().find(full))
    }
}

/// An arpeggio of a chord, from one of its notes.
///
/// ```
/// use theory::Arpeggio;
/// let arpeggio: Arpeggio = "Eb dominant seventh".parse().unwrap();
/// let names: Vec<String> = arpeggio.inverted(1).unwrap().notes().iter().map(|n| n.to_string()).collect();
/// assert_eq!(names.join(" "), "G Bb Db Eb");
/// assert_eq!(arpeggio.name(), "Eb7");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Arpeggio {
    root: NoteName,
    kind: ArpeggioKind,
    inversion: u8,
}

impl Arpeggio {
    /// An arpeggio from the root; `None` for a root with more than one accidental.
    pub fn new(root: NoteName, kind: ArpeggioKind) -> Option<Arpeggio> {
        (root.alter.abs() <= 1).then_some(Arpeggio { root, kind, inversion: 0 })
    }

    /// The same chord from another of its notes: 0 from the root, 1 from the third; `None` beyond its notes.
    pub fn inverted(self, inversion: u8) -> Option<Arpeggio> {
        (usize::from(inversion) < self.kind.size()).then_some(Arpeggio { inversion, ..self })
    }

    /// The root of the chord.
    pub const fn root(self) -> NoteName {
        self.root
    }

    /// The kind of chord.
    pub const fn kind(self) -> ArpeggioKind {
        self.kind
    }

    /// Which of its notes it begins with: 0 is the root.
    pub const fn inversion(self) -> u8 {
        self.inversion
    }

    /// The chord's name in the trade's form: `Eb7`.
    pub fn name(self) -> String {
        format!("{}{}", self.root, self.kind.suffix())
    }

    /// The notes of an octave going up from the first.
    pub fn notes(self) -> Vec<NoteName> {
        self.intervals().map(|interval| self.root.up(interval)).collect()
    }

    /// The pitches going up through some octaves, the last note included; `octave` is that of the first note.
    pub fn pitches_up(self, octave: i8, octaves: u8) -> Vec<Pitch> {
        let notes = self.notes();
        let first = Pitch::new(notes[0], octave);
        let mut pitches: Vec<Pitch> = vec![first];
        for index in 1..=notes.len() * usize::from(octaves) {
            pitches.push(pitches[index - 1].next_above(notes[index % notes.len()]));
        }
        pitches
    }

    /// With the printed signs, in plain words: `E♭ dominant seventh, first inversion`.
    pub fn pretty(self) -> String {
        format!("{} {}{}", self.root.pretty(), self.kind.name(), INVERSIONS[usize::from(self.inversion)])
    }

    fn intervals(self) -> impl Iterator<Item = Interval> {
        let degrees = self.kind.degrees();
        (0..degrees.len()).map(move |n| {
            let at = n + usize::from(self.inversion);
            let (number, alter) = degrees[at % degrees.len()];
            let octave = (at / degrees.len()) as i32;
            Interval::new(number - 1 + 7 * octave, MAJOR[number as usize - 1] + alter + 12 * octave)
        })
    }
}

const INVERSIONS: [&str; 4] = ["", ", first inversion", ", second inversion", ", third inversion"];

impl std::fmt::Display for Arpeggio {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}{}", self.root, self.kind.name(), INVERSIONS[usize::from(self.inversion)])
    }
}

impl std::str::FromStr for Arpeggio {
    type Err = ParseKeyError;
    /// Reads a chord in words or in the trade's form: `D major`, `d minor`, `F# half-diminished seventh`, `Bb7`, `Cm7b5`.
    fn from_str(text: &str) -> Result<Self, ParseKeyError> {
        let text = text.trim();
        let signs = |c: char| matches!(c, '#' | 'b' | '♯' | '♭');
        let root = text.chars().take(1).chain(text.chars().skip(1).take_while(|c| signs(*c)));
        let root: String = root.collect();
        let kind = ArpeggioKind::named(text[root.len()..].trim());
        let name = tonic_named(&root).zip(kind);
        name.and_then(|(root, kind)| Arpeggio::new(root, kind)).ok_or_else(|| {
            let kinds: Vec<&str> = ArpeggioKind::ALL.iter().map(|kind| kind.name()).collect();
            key::mistake(format!(
                "“{text}” is no chord to break: write a root and a kind, as in “D major” or “Bb7”; the kinds are {}",
                kinds.join(", ")
            ))
        })
    }
}
