//! Chords in a key: spelled members.

use crate::{Degree, Extension, Interval, Key, Member, NoteName, NumberChord, Quality};

/// One member of a chord, spelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChordTone {
    /// Which member.
    pub member: Member,
    /// Its name in the key.
    pub name: NoteName,
    /// Semitones above the root, within the octave of the root for members up to 7 and above it for 9, 11, 13.
    pub semitones: u8,
}

/// A chord in a key.
///
/// ```
/// use theory::{Chord, Member};
/// let chord = Chord::in_key("1/6".parse().unwrap(), "Bb major".parse().unwrap());
/// assert_eq!(chord.name(), "Bb/G");
/// assert_eq!(chord.names().map(|n| n.to_string()).collect::<Vec<_>>(), ["Bb", "D", "F"]);
/// assert_eq!(chord.member(Member::THIRD).unwrap().semitones, 4);
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chord {
    /// As written.
    pub written: NumberChord,
    /// The key it is read in.
    pub key: Key,
    /// Its members from the root up; the first is the root. No two sound alike.
    pub tones: Vec<ChordTone>,
    /// The note the left hand takes: the degree under the slash, or the root.
    pub bass: NoteName,
    /// The note under the slash, if one is written.
    pub under: Option<NoteName>,
}

impl Chord {
    /// A written chord read in a key.
    ///
    /// Without a written quality: an altered root is major, `(dim7)` makes the triad diminished (nobody means a
    /// diminished seventh over a major triad: common practice, no source), and else the key gives its triad. A member
    /// that would sound like an earlier one (the ninth of `1sus2(9)`) is left out.
    pub fn in_key(written: NumberChord, key: Key) -> Chord {
        let root = key.degree(written.root);
        let extension = written.extension.map_or(&[][..], Extension::members);
        let mut tones: Vec<ChordTone> = Vec::with_capacity(6);
        for &(number, semitones) in quality_in(written, key).members().iter().chain(extension) {
            if tones.iter().all(|t| (t.semitones % 12) != semitones % 12) {
                tones.push(tone(root, number, semitones));
            }
        }
        tones.sort_by_key(|t| t.member);
        let under = written.under.map(|degree| key.degree(degree));
        Chord { written, key, tones, bass: under.unwrap_or(root), under }
    }

    /// The root.
    pub fn root(&self) -> NoteName {
        self.tones[0].name
    }

    /// A member, if the chord has it: a suspended chord has no 3.
    pub fn member(&self, member: Member) -> Option<ChordTone> {
        self.tones.iter().copied().find(|t| t.member == member)
    }

    /// The member that sounds as a pitch class, 0 (C) to 11 (B).
    pub fn member_sounding(&self, pitch_class: u8) -> Option<ChordTone> {
        self.tones.iter().copied().find(|t| t.name.pitch_class() == pitch_class)
    }

    /// Whether a member sounds as the pitch class. The note under a slash is no member unless the chord has it.
    pub fn has_pitch_class(&self, pitch_class: u8) -> bool {
        self.member_sounding(pitch_class).is_some()
    }

    /// The members' names from the root up.
    pub fn names(&self) -> impl Iterator<Item = NoteName> + '_ {
        self.tones.iter().map(|t| t.name)
    }

    /// The quality, written or given by the key.
    pub fn quality(&self) -> Quality {
        quality_in(self.written, self.key)
    }

    /// Whether a degree is written under it.
    pub fn is_slash(&self) -> bool {
        self.under.is_some()
    }

    /// The seven notes of the key with the chord's altered notes put in, from the tonic's letter up. Neighbour notes
    /// are steps in it: under `5M` of E minor the step below E is D#.
    pub fn scale(&self) -> [NoteName; 7] {
        self.key.scale().map(|own| self.names().find(|name| name.letter == own.letter).unwrap_or(own))
    }

    /// The name in the trade's form: `Bb/D`, `F#m7b5`, `Asus4`.
    pub fn name(&self) -> String {
        let suffix = crate::chord_name::suffix(self.quality(), self.written.extension);
        match self.under.filter(|&under| under != self.root()) {
            Some(under) => format!("{}{suffix}/{under}", self.root()),
            None => format!("{}{suffix}", self.root()),
        }
    }

    /// [`Chord::name`] with the printed signs: `B♭/D`, `F♯m7♭5`.
    pub fn pretty_name(&self) -> String {
        // No suffix holds a letter b but as a flat.
        self.name().replace('b', "♭").replace('#', "♯")
    }
}

fn tone(root: NoteName, number: u8, semitones: u8) -> ChordTone {
    let member = Member::new(number).expect("the tables of qualities and extensions hold members only");
    let interval = Interval::new(i32::from(number) - 1, i32::from(semitones));
    ChordTone { member, name: root.up(interval), semitones }
}

fn quality_in(written: NumberChord, key: Key) -> Quality {
    match written.quality {
        Some(quality) => quality,
        None if written.extension == Some(Extension::DiminishedSeventh) => Quality::Diminished,
        None if written.root.alter() != 0 => Quality::Major,
        None => triad_of(written.root, key),
    }
}

/// The triad that a key gives an unaltered degree.
fn triad_of(degree: Degree, key: Key) -> Quality {
    let scale = key.scale();
    let pitch_class =
        |steps: u8| i32::from(scale[usize::from(degree.number() - 1 + steps) % 7].pitch_class());
    let above = |steps: u8| (pitch_class(steps) - pitch_class(0)).rem_euclid(12);
    match (above(2), above(4)) {
        (4, _) => Quality::Major,
        (_, 6) => Quality::Diminished,
        _ => Quality::Minor,
    }
}
