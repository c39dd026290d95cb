//! The kinds of chords of MusicXML 4.0 ("kind-value") and their degrees, as qualities and extensions of the song format.

use theory::{Chord, Extension, Key, Letter, Mode, NoteName, NumberChord, Quality};

/// A kind as far as the song format can say it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Kind {
    pub quality: Quality,
    pub extension: Option<Extension>,
    /// What it cannot say.
    pub left_out: Vec<String>,
}

/// What is done with a member of a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Deed {
    Add,
    Alter,
    Subtract,
}

/// A `<degree>`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Change {
    pub deed: Deed,
    /// 1 to 13.
    pub value: u8,
    /// Semitones: of an added one from the major scale with a minor seventh, of an altered one from what it was.
    pub alter: i8,
}

use Extension as E;
use Quality as Q;

/// The kinds that the song format has as they are, first those of the standard, then what programs write in their place.
#[rustfmt::skip]
const KINDS: &[(&str, Q, Option<E>)] = &[
    ("major", Q::Major, None),
    ("minor", Q::Minor, None),
    ("augmented", Q::Augmented, None),
    ("diminished", Q::Diminished, None),
    ("dominant", Q::Major, Some(E::Seventh)),
    ("major-seventh", Q::Major, Some(E::MajorSeventh)),
    ("minor-seventh", Q::Minor, Some(E::Seventh)),
    ("diminished-seventh", Q::Diminished, Some(E::DiminishedSeventh)),
    ("augmented-seventh", Q::Augmented, Some(E::Seventh)),
    ("half-diminished", Q::Diminished, Some(E::Seventh)),
    ("major-minor", Q::Minor, Some(E::MajorSeventh)),
    ("major-sixth", Q::Major, Some(E::Sixth)),
    ("minor-sixth", Q::Minor, Some(E::Sixth)),
    ("dominant-ninth", Q::Major, Some(E::Ninth)),
    ("major-ninth", Q::Major, Some(E::MajorNinth)),
    ("minor-ninth", Q::Minor, Some(E::Ninth)),
    ("dominant-11th", Q::Major, Some(E::Eleventh)),
    ("minor-11th", Q::Minor, Some(E::Eleventh)),
    ("dominant-13th", Q::Major, Some(E::Thirteenth)),
    ("minor-13th", Q::Minor, Some(E::Thirteenth)),
    ("suspended-second", Q::Sus2, None),
    ("suspended-fourth", Q::Sus4, None),
    ("power", Q::NoThird, None),
    ("augmented-ninth", Q::Augmented, Some(E::Ninth)),
    ("dominant-seventh", Q::Major, Some(E::Seventh)),
    ("seventh", Q::Major, Some(E::Seventh)),
    ("minor-major", Q::Minor, Some(E::MajorSeventh)),
    ("major-minor-seventh", Q::Minor, Some(E::MajorSeventh)),
    ("half-diminished-seventh", Q::Diminished, Some(E::Seventh)),
    ("augmented-major-seventh", Q::Augmented, Some(E::MajorSeventh)),
    ("suspended-fourth-seventh", Q::Sus4, Some(E::Seventh)),
    ("suspended-fourth-ninth", Q::Sus4, Some(E::Ninth)),
    ("sus47", Q::Sus4, Some(E::Seventh)),
    ("", Q::Major, None),
];

/// The kinds that are said in part, with what is left out (thirteenths come without the eleventh: common practice).
#[rustfmt::skip]
const IN_PART: &[(&str, Q, Option<E>, &str)] = &[
    ("major-11th", Q::Major, Some(E::MajorNinth), "11"),
    ("major-13th", Q::Major, Some(E::MajorNinth), "13"),
    ("maj69", Q::Major, Some(E::Sixth), "9 beside the 6"),
    ("min69", Q::Minor, Some(E::Sixth), "9 beside the 6"),
    ("Neapolitan", Q::Major, None, "its name, Neapolitan"),
    ("Italian", Q::Major, Some(E::Seventh), "the augmented sixth, Italian"),
    ("French", Q::Major, Some(E::Seventh), "the augmented sixth, French"),
    ("German", Q::Major, Some(E::Seventh), "the augmented sixth, German"),
    ("Tristan", Q::Diminished, Some(E::Seventh), "its name, Tristan"),
    ("pedal", Q::NoThird, None, "that it is a pedal note alone"),
    ("other", Q::Major, None, "sign for it"),
];

/// A kind with the degrees added to it. `shown` is what the page has in its place, which helps where the kind itself says
/// nothing known.
pub(crate) fn read(kind: &str, shown: &str, changes: &[Change]) -> Kind {
    if kind == "other" && !changes.is_empty() {
        return built_up(changes);
    }
    let mut base =
        named(kind).or_else(|| by_letters(kind)).or_else(|| by_letters(shown)).unwrap_or_else(|| {
            let what = if shown.is_empty() { kind } else { shown };
            Kind { quality: Q::Major, extension: None, left_out: vec![format!("“{what}”")] }
        });
    if kind == "other" && !shown.is_empty() {
        base = by_letters(shown).unwrap_or(base);
    }
    with(base, changes)
}

/// Whether what the page shows behind the root is another chord than the kind says, or more than it.
pub(crate) fn shown_otherwise(shown: &str, quality: Quality, extension: Option<Extension>) -> bool {
    // A triangle stands for a major triad as well as for its seventh.
    let ambiguous = shown.contains(['Δ', '∆', '△', '^']);
    let other = by_letters(shown).filter(|_| !ambiguous);
    other.is_some_and(|other| {
        !other.left_out.is_empty() || (other.quality, other.extension) != (quality, extension)
    })
}

/// A chord as a kind and what is added to it: the kind with most of its members, and a degree for each other.
pub(crate) fn of_chord(chord: &Chord) -> (&'static str, Vec<Change>) {
    let tones: Vec<(u8, u8)> =
        chord.tones.iter().map(|tone| (tone.member.number(), tone.semitones)).collect();
    let suits = |own: &[(u8, u8)]| own.iter().all(|tone| tones.contains(tone));
    let standard = KINDS[..STANDARD].iter().map(|(name, quality, e)| (*name, members(*quality, *e)));
    let best = standard.filter(|(_, own)| suits(own)).max_by_key(|(_, own)| own.len());
    let (name, own) = best.unwrap_or(("other", vec![(1, 0)]));
    let rest = tones.iter().filter(|tone| !own.contains(tone));
    let added = |&(value, semitones): &(u8, u8)| Change {
        deed: Deed::Add,
        value,
        alter: semitones as i8 - usual(value) as i8,
    };
    (name, rest.map(added).collect())
}

/// So many of [`KINDS`] are of the standard.
const STANDARD: usize = 23;

/// The members of a chord and their semitones, from the root up.
pub(crate) fn members(quality: Quality, extension: Option<Extension>) -> Vec<(u8, u8)> {
    let c = Key::new(NoteName::new(Letter::C, 0), Mode::Major).expect("C major is a key");
    let root = theory::Degree::TONIC;
    let chord = Chord::in_key(NumberChord { root, quality: Some(quality), extension, under: None }, c);
    chord.tones.iter().map(|tone| (tone.member.number(), tone.semitones)).collect()
}

fn named(kind: &str) -> Option<Kind> {
    let whole = KINDS.iter().find(|known| known.0 == kind);
    if let Some(&(_, quality, extension)) = whole {
        return Some(Kind { quality, extension, left_out: Vec::new() });
    }
    let &(_, quality, extension, left_out) = IN_PART.iter().find(|known| known.0 == kind)?;
    let left_out = if left_out.is_empty() { Vec::new() } else { vec![left_out.to_owned()] };
    Some(Kind { quality, extension, left_out })
}

/// What a chart would write behind the root.
fn by_letters(text: &str) -> Option<Kind> {
    if text.is_empty() {
        return None;
    }
    let reading = song::letters::read(&format!("C{text}")).ok()?;
    let chord = reading.chord.filter(|chord| chord.under.is_none())?;
    let left_out = reading.unsure.map(|_| format!("“{text}”")).into_iter().collect();
    Some(Kind { quality: chord.quality, extension: chord.extension, left_out })
}

/// A kind with as many of its changes as the song format can say; the others are left out.
fn with(base: Kind, changes: &[Change]) -> Kind {
    let start = members(base.quality, base.extension);
    let changes = &changes[..changes.len().min(MOST_CHANGES)];
    let mut choices: Vec<u32> = (0..1 << changes.len()).collect();
    choices.sort_by_key(|choice| std::cmp::Reverse(choice.count_ones()));
    let chosen = |choice: u32| changes.iter().enumerate().filter(move |(at, _)| choice >> at & 1 == 1);
    let found = choices.into_iter().find_map(|choice| {
        let mut tones = start.clone();
        chosen(choice).for_each(|(_, change)| apply(&mut tones, *change));
        let same = match choice {
            0 => Some((base.quality, base.extension)),
            _ => of_members(&tones),
        };
        same.map(|same| (choice, same))
    });
    let (choice, (quality, extension)) = found.unwrap_or((0, (base.quality, base.extension)));
    let rest = changes.iter().enumerate().filter(|(at, _)| choice >> at & 1 == 0);
    let left_out = base.left_out.into_iter().chain(rest.map(|(_, change)| words(*change))).collect();
    Kind { quality, extension, left_out }
}

/// More degrees than this no symbol has.
const MOST_CHANGES: usize = 6;

/// A chord that is told by its members alone.
fn built_up(changes: &[Change]) -> Kind {
    let mut tones = vec![(1, 0)];
    changes.iter().for_each(|change| apply(&mut tones, *change));
    if let Some((quality, extension)) = of_members(&tones) {
        return Kind { quality, extension, left_out: Vec::new() };
    }
    let minor = tones.contains(&(3, 3));
    let quality = if minor { Q::Minor } else { Q::Major };
    with(Kind { quality, extension: None, left_out: Vec::new() }, changes)
}

fn apply(tones: &mut Vec<(u8, u8)>, change: Change) {
    let at = tones.iter().position(|tone| tone.0 == change.value || tone.0 + 7 == change.value);
    let moved = |from: u8| (i16::from(from) + i16::from(change.alter)).rem_euclid(24) as u8;
    match (change.deed, at) {
        (Deed::Subtract, Some(at)) => {
            tones.remove(at);
        }
        (Deed::Subtract, None) => {}
        (Deed::Alter, Some(at)) => tones[at].1 = moved(tones[at].1),
        (Deed::Add | Deed::Alter, _) => tones.push((change.value, moved(usual(change.value)))),
    }
}

/// Semitones of a degree that is added without accidental: those of the major scale, and a minor seventh.
fn usual(value: u8) -> u8 {
    [0, 2, 4, 5, 7, 9, 10][usize::from(value - 1) % 7] + 12 * ((value - 1) / 7)
}

/// The quality and extension with just these notes, the plainest first.
fn of_members(tones: &[(u8, u8)]) -> Option<(Quality, Option<Extension>)> {
    let wanted = classes(tones.iter().map(|tone| tone.1));
    let extensions = || std::iter::once(None).chain(E::ALL.into_iter().map(Some));
    let all = extensions().flat_map(|extension| Q::ALL.into_iter().map(move |quality| (quality, extension)));
    // Nobody calls a diminished seventh a sixth.
    let named = |quality, extension| (quality, extension) != (Q::Diminished, Some(E::Sixth));
    all.into_iter().filter(|(quality, extension)| named(*quality, *extension)).find(|(quality, extension)| {
        classes(members(*quality, *extension).iter().map(|tone| tone.1)) == wanted
    })
}

fn classes(semitones: impl Iterator<Item = u8>) -> u16 {
    semitones.fold(0, |set, semitone| set | 1 << (semitone % 12))
}

fn words(change: Change) -> String {
    let sign = match change.alter {
        0 => "",
        ..0 => "b",
        1.. => "#",
    };
    let accidentals = sign.repeat(change.alter.unsigned_abs().into());
    match change.deed {
        Deed::Add if change.alter == 0 => format!("an added {}", change.value),
        Deed::Subtract => format!("no {}", change.value),
        Deed::Add | Deed::Alter => format!("{accidentals}{}", change.value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_as(kind: &str, changes: &[Change]) -> (Quality, Option<Extension>, Vec<String>) {
        let Kind { quality, extension, left_out } = read(kind, "", changes);
        (quality, extension, left_out)
    }

    const fn add(value: u8, alter: i8) -> Change {
        Change { deed: Deed::Add, value, alter }
    }

    // The kinds are those of MusicXML 4.0, "kind-value"; the names beside them common practice.
    #[test]
    fn degrees_make_the_chord_they_spell() {
        let none = Vec::<String>::new();
        assert_eq!(read_as("dominant", &[add(9, -1)]), (Q::Major, Some(E::SeventhFlatNinth), none.clone()));
        assert_eq!(read_as("major", &[add(9, 0)]), (Q::Major, Some(E::AddNinth), none.clone()));
        assert_eq!(read_as("suspended-fourth", &[add(7, 0)]), (Q::Sus4, Some(E::Seventh), none.clone()));
        assert_eq!(
            read_as("suspended-fourth", &[add(7, 0), add(9, 0)]),
            (Q::Sus4, Some(E::Ninth), none.clone())
        );
        let flat_fifth = Change { deed: Deed::Alter, value: 5, alter: -1 };
        assert_eq!(read_as("minor-seventh", &[flat_fifth]), (Q::Diminished, Some(E::Seventh), none.clone()));
        let sharp_fifth = Change { deed: Deed::Alter, value: 5, alter: 1 };
        assert_eq!(read_as("dominant", &[sharp_fifth]), (Q::Augmented, Some(E::Seventh), none.clone()));
        let no_third = Change { deed: Deed::Subtract, value: 3, alter: 0 };
        assert_eq!(read_as("major", &[no_third]), (Q::NoThird, None, none.clone()));
        assert_eq!(read_as("other", &[add(4, 0), add(5, 0)]), (Q::Sus4, None, none));
    }

    #[test]
    fn what_cannot_be_said_is_left_out_and_named() {
        assert_eq!(read_as("dominant", &[add(11, 1)]), (Q::Major, Some(E::Seventh), vec!["#11".into()]));
        let both = [add(9, -1), add(13, -1)];
        assert_eq!(read_as("dominant", &both), (Q::Major, Some(E::SeventhFlatNinth), vec!["b13".to_owned()]));
        assert_eq!(read_as("maj69", &[]), (Q::Major, Some(E::Sixth), vec!["9 beside the 6".into()]));
        assert_eq!(read_as("strange", &[]).2, ["“strange”"]);
    }
}
