//! Scales: the notes of a kind on a tonic.

use crate::{
    Chord, Degree, Interval, Key, Mode, NoteName, NumberChord, ParseKeyError, Pitch, ScaleKind, key,
};
use crate::{Extension, Quality};

/// A scale on a tonic: one of the 15 of its kind that have a signature of up to seven accidentals.
///
/// ```
/// use theory::Scale;
/// let written = |notes: Vec<theory::NoteName>| notes.iter().map(|n| n.to_string()).collect::<Vec<_>>().join(" ");
/// let scale: Scale = "D melodic minor".parse().unwrap();
/// assert_eq!(written(scale.notes()), "D E F G A B C#");
/// assert_eq!(written(scale.notes_down()), "D C Bb A G F E");
/// let blues: Scale = "c blues".parse().unwrap();
/// assert_eq!(written(blues.notes()), "C Eb F Gb G Bb");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Scale {
    tonic: NoteName,
    kind: ScaleKind,
}

impl Scale {
    /// A scale of a key; `None` where the mode does not fit the kind.
    pub fn new(key: Key, kind: ScaleKind) -> Option<Scale> {
        if key.mode() == kind.mode() { Scale::on(key.tonic(), kind) } else { None }
    }

    /// A scale on a tonic; `None` where its signature would have more than seven accidentals (G# major).
    pub fn on(tonic: NoteName, kind: ScaleKind) -> Option<Scale> {
        (-7..=7).contains(&signature(tonic, kind)).then_some(Scale { tonic, kind })
    }

    /// The first note.
    pub const fn tonic(self) -> NoteName {
        self.tonic
    }

    /// The kind.
    pub const fn kind(self) -> ScaleKind {
        self.kind
    }

    /// The key that its chords are numbered in: on its own tonic, major or minor by its third. Where that key has no
    /// signature of up to seven accidentals (Db dorian), the major key of the same signature.
    pub fn key(self) -> Key {
        Key::new(self.tonic, self.kind.mode()).unwrap_or_else(|| {
            let same = |key: &Key| key.signature() == self.signature();
            Key::all().find(same).expect("there is a major key of each signature from -7 to 7")
        })
    }

    /// The signature it is written with: sharps positive, flats negative. A mode has that of the major key whose notes it
    /// is (D dorian none), minor pentatonic and blues that of the minor key.
    pub fn signature(self) -> i8 {
        signature(self.tonic, self.kind) as i8
    }

    /// Every scale of every kind: 15 of each, from seven flats to seven sharps.
    pub fn all() -> impl Iterator<Item = Scale> {
        ScaleKind::ALL.into_iter().flat_map(Scale::of_kind)
    }

    /// The 15 scales of a kind, by fifths, from seven flats to seven sharps.
    pub fn of_kind(kind: ScaleKind) -> impl Iterator<Item = Scale> {
        (-7..=7).map(move |accidentals| {
            let tonic = key::on_line_of_fifths(accidentals - kind.signature_offset(), Mode::Major);
            Scale { tonic, kind }
        })
    }

    /// The scale of another kind on this tonic, or on the same key by another name where it has none.
    pub fn with_kind(self, kind: ScaleKind) -> Scale {
        Scale::near(self.tonic, kind)
    }

    /// The scale of a kind on a tonic, or on the same key of the keyboard by the name with the fewest accidentals.
    pub fn near(tonic: NoteName, kind: ScaleKind) -> Scale {
        let same = |scale: &Scale| scale.tonic.pitch_class() == tonic.pitch_class();
        Scale::on(tonic, kind)
            .or_else(|| Scale::of_kind(kind).filter(same).min_by_key(|scale| scale.signature().abs()))
            .expect("fifteen neighbours on the line of fifths hold every pitch class")
    }

    /// The notes going up from the tonic: seven, or five of a pentatonic scale, six of blues.
    ///
    /// Each degree has the letter of its number. The flat fifth of blues is written as a sharp fourth where it would take a
    /// double flat (Eb and Ab blues; common practice, no source).
    pub fn notes(self) -> Vec<NoteName> {
        self.intervals().map(|interval| self.tonic.up(interval)).collect()
    }

    /// The notes going down, as played: the tonic first, then the one below it. Melodic minor goes down as natural minor.
    pub fn notes_down(self) -> Vec<NoteName> {
        let mut down = self.way_down().notes();
        down[1..].reverse();
        down
    }

    /// The pitches going up through 1 to 4 octaves, the last tonic included: 8, 15, 22 or 29 of them in a scale of seven
    /// notes. `octave` is that of the first tonic.
    ///
    /// ```
    /// let scale: theory::Scale = "F major".parse().unwrap();
    /// let up: Vec<String> = scale.pitches_up(4, 1).iter().map(|p| p.to_string()).collect();
    /// assert_eq!(up.join(" "), "F4 G4 A4 Bb4 C5 D5 E5 F5");
    /// ```
    pub fn pitches_up(self, octave: i8, octaves: u8) -> Vec<Pitch> {
        let tonic = Pitch::new(self.tonic, octave);
        let mut pitches: Vec<Pitch> = (0..i32::from(octaves))
            .flat_map(|n| self.intervals().map(move |i| Interval::new(i.steps + 7 * n, i.semitones + 12 * n)))
            .map(|interval| tonic.up(interval))
            .collect();
        pitches.push(Pitch::new(self.tonic, octave.saturating_add(octaves as i8)));
        pitches
    }

    /// The pitches going down through the same octaves, in playing order; `octave` is that of the lowest tonic.
    pub fn pitches_down(self, octave: i8, octaves: u8) -> Vec<Pitch> {
        let mut pitches = self.way_down().pitches_up(octave, octaves);
        pitches.reverse();
        pitches
    }

    /// The triads on its seven notes, from the first up, numbered in [`Scale::key`]. Pentatonic scales and blues give those
    /// of their key.
    ///
    /// ```
    /// let names = |scale: &str| {
    ///     let scale: theory::Scale = scale.parse().unwrap();
    ///     scale.chords().iter().map(|chord| chord.name()).collect::<Vec<_>>().join(" ")
    /// };
    /// assert_eq!(names("A harmonic minor"), "Am Bdim Caug Dm E F G#dim");
    /// assert_eq!(names("D dorian"), "Dm Em F G Am Bdim C");
    /// ```
    pub fn chords(self) -> Vec<Chord> {
        self.stacked(false)
    }

    /// The seventh chords on its seven notes, likewise.
    pub fn seventh_chords(self) -> Vec<Chord> {
        self.stacked(true)
    }

    /// With the printed signs: `B♭ harmonic minor`.
    pub fn pretty(self) -> String {
        format!("{} {}", self.tonic.pretty(), self.kind.name())
    }

    /// The scale whose notes the way down has.
    pub(crate) fn way_down(self) -> Scale {
        let kind = if self.kind.comes_down_otherwise() { ScaleKind::NaturalMinor } else { self.kind };
        Scale { kind, ..self }
    }

    fn intervals(self) -> impl Iterator<Item = Interval> {
        self.kind.intervals().map(move |interval| {
            let blue = self.kind == ScaleKind::Blues && interval.semitones == 6;
            let double = self.tonic.up(interval).alter < -1;
            if blue && double { Interval::new(interval.steps - 1, interval.semitones) } else { interval }
        })
    }

    fn stacked(self, sevenths: bool) -> Vec<Chord> {
        let notes = self.notes();
        let notes = if notes.len() == 7 { notes } else { self.key().scale().to_vec() };
        (0..7).map(|at| chord_on(self.key(), &notes, at, sevenths)).collect()
    }
}

impl From<Key> for Scale {
    /// The key's own scale: major or natural minor.
    fn from(key: Key) -> Self {
        let kind = if key.mode() == Mode::Major { ScaleKind::Major } else { ScaleKind::NaturalMinor };
        Scale { tonic: key.tonic(), kind }
    }
}

impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.tonic, self.kind.name())
    }
}

impl std::str::FromStr for Scale {
    type Err = ParseKeyError;
    /// Reads a tonic and a kind: `D major`, `d minor` (natural), `Bb harmonic minor`, `D dorian`, `A minor pentatonic`,
    /// `C blues`. The tonic may be a small letter, for no chart is read here.
    fn from_str(text: &str) -> Result<Self, ParseKeyError> {
        let words: Vec<&str> = text.split_whitespace().collect();
        let (tonic, rest) = words.split_first().map_or(("", String::new()), |(t, r)| (*t, r.join(" ")));
        let kind = ScaleKind::named(&rest).ok_or_else(|| no_scale(text, tonic, &rest))?;
        let name = tonic_named(tonic).ok_or_else(|| {
            key::mistake(format!(
                "“{tonic}” is no note name: write A to G and # or b behind it, as in “Bb {}”",
                kind.name()
            ))
        })?;
        Scale::on(name, kind).ok_or_else(|| {
            let instead = Scale::near(name, kind);
            key::mistake(format!(
                "{name} {} has no key signature of up to seven accidentals: write {instead}, which sounds the same",
                kind.name()
            ))
        })
    }
}

/// A note name whose letter may be small: `bb` is B flat.
pub(crate) fn tonic_named(text: &str) -> Option<NoteName> {
    let mut chars = text.chars();
    let letter = chars.next()?.to_ascii_uppercase();
    format!("{letter}{}", chars.as_str()).parse().ok()
}

fn no_scale(text: &str, tonic: &str, kind: &str) -> ParseKeyError {
    if kind.is_empty() && tonic_named(tonic).is_some() {
        return key::mistake(format!(
            "“{text}” has no kind: write “{text} major”, “{text} minor” or another"
        ));
    }
    let kinds: Vec<&str> = ScaleKind::ALL.iter().map(|kind| kind.name()).collect();
    key::mistake(format!(
        "“{text}” is no scale: write a tonic and a kind, as in “D major”; the kinds are {}",
        kinds.join(", ")
    ))
}

fn signature(tonic: NoteName, kind: ScaleKind) -> i32 {
    key::fifths(tonic, Mode::Major) + kind.signature_offset()
}

fn chord_on(key: Key, notes: &[NoteName], at: usize, seventh: bool) -> Chord {
    let above = |steps: usize| {
        let class = |n: usize| i32::from(notes[n % 7].pitch_class());
        (class(at + steps) - class(at)).rem_euclid(12)
    };
    let quality = match (above(2), above(4)) {
        (4, 8) => Quality::Augmented,
        (4, _) => Quality::Major,
        (_, 6) => Quality::Diminished,
        _ => Quality::Minor,
    };
    let extension = seventh.then(|| match above(6) {
        11 => Extension::MajorSeventh,
        9 => Extension::DiminishedSeventh,
        _ => Extension::Seventh,
    });
    let root = degree_in(key, notes[at]);
    let plain = NumberChord { root, quality: None, extension, under: None };
    let fits = root.alter() == 0 && Chord::in_key(root.into(), key).quality() == quality;
    let written = if fits { plain } else { NumberChord { quality: Some(quality), ..plain } };
    Chord::in_key(written, key)
}

/// The degree of a key that a note is, by its letter.
fn degree_in(key: Key, name: NoteName) -> Degree {
    let own = key.scale();
    let at = own.iter().position(|own| own.letter == name.letter).expect("a key has every letter");
    Degree::new(at as u8 + 1, name.alter - own[at].alter).expect("a scale's note lies near its key's own")
}
