//! A `<harmony>` as a chord of the song format: root, quality, extension and bass (MusicXML 4.0, "harmony").

use super::kind::{self, Kind};
use super::tree::{Element, number};
use crate::chart::Symbol;
use song::letters::LetterChord;
use theory::{Degree, Interval, Key, Letter, Mode, NoteName};

/// Reads a `<harmony>` in a key; `None` where it says nothing.
pub(crate) fn read(harmony: &Element, key: Key) -> Option<Symbol> {
    let mut unsaid = Vec::new();
    let groups = groups(harmony);
    let first = groups.first()?;
    let part = |name: &str| first.iter().find(|element| element.name == name).copied();
    let written = part("kind").map_or("", |kind| kind.text.trim());
    let shown = part("kind").and_then(|kind| kind.attribute("text")).unwrap_or_default();
    let bass = part("bass").and_then(|bass| note(bass, "bass-step", "bass-alter"));
    if written == "none" || (written == "other" && shows_none(shown)) {
        let unsaid = bass.map(|bass| format!("the bass note {bass} under no chord was left out"));
        return Some(Symbol { unsaid, ..Symbol::default() });
    }
    let root = root(first, key, &mut unsaid)?;
    let degrees: Vec<kind::Change> =
        first.iter().filter(|element| element.name == "degree").filter_map(|d| change(d)).collect();
    let Kind { quality, extension, left_out } = kind::read(written, shown, &degrees);
    unsaid.extend(left_out);
    let chord = LetterChord { root, quality, extension, under: None };
    let by_inversion = || inverted(&chord, part("inversion").and_then(|i| number(&i.text))?);
    let under = bass.or_else(by_inversion).filter(|under| *under != root);
    // One chord by letter and by number is one chord.
    let other = |group: &Vec<&Element>| {
        let again = group
            .first()
            .filter(|head| head.name != "root")
            .and_then(|_| self::root(group, key, &mut Vec::new()));
        again.is_none_or(|again| again.pitch_class() != root.pitch_class())
    };
    if groups[1..].iter().any(other) {
        unsaid.push("second chord over the first".to_owned());
    }
    let chord = LetterChord { under, ..chord };
    let more = degrees.is_empty() && kind::shown_otherwise(shown, quality, extension);
    let unsaid = match unsaid.is_empty() {
        true => more.then(|| format!("the page shows “{root}{shown}”: read as {chord}")),
        false => Some(format!("number charts have no {}: read as {chord}", unsaid.join(" and no "))),
    };
    Some(Symbol { chord: Some(chord), unsaid, ..Symbol::default() })
}

fn shows_none(shown: &str) -> bool {
    song::letters::read(shown).is_ok_and(|reading| reading.chord.is_none())
}

/// The chords of a symbol, each from its root on: some symbols stack several.
fn groups(harmony: &Element) -> Vec<Vec<&Element>> {
    let mut groups: Vec<Vec<&Element>> = Vec::new();
    for element in &harmony.children {
        if matches!(element.name.as_str(), "root" | "numeral" | "function") {
            groups.push(Vec::new());
        }
        if groups.is_empty() && element.name == "kind" {
            groups.push(Vec::new());
        }
        if let Some(group) = groups.last_mut() {
            group.push(element);
        }
    }
    groups
}

fn root(group: &[&Element], key: Key, unsaid: &mut Vec<String>) -> Option<NoteName> {
    let head = group.first()?;
    match head.name.as_str() {
        "root" => note(head, "root-step", "root-alter"),
        "numeral" => numeral(head, key),
        "function" => {
            let roman = function(head.text.trim());
            // A degree of another degree, V/V, is not worked out.
            if roman.is_none() || head.text.contains('/') {
                unsaid.push(format!("function “{}”", head.text.trim()));
            }
            Some(key.degree(roman.unwrap_or(Degree::TONIC)))
        }
        _ => None,
    }
}

/// A step and its accidentals. Quarter tones are rounded towards the plain note.
fn note(element: &Element, step: &str, alter: &str) -> Option<NoteName> {
    let letter = element.text_of(step)?;
    let letter = Letter::ALL.into_iter().find(|l| format!("{l:?}").eq_ignore_ascii_case(letter))?;
    let alter = element.number_of(alter).unwrap_or(0);
    i8::try_from(alter).ok().filter(|alter| alter.abs() <= 3).map(|alter| NoteName::new(letter, alter))
}

/// A degree of the key, or of the key that the numeral names.
fn numeral(element: &Element, key: Key) -> Option<NoteName> {
    let own = element.child("numeral-key").and_then(|named| {
        let minor = named.text_of("numeral-mode").is_some_and(|mode| mode.ends_with("minor"));
        let mode = if minor { Mode::Minor } else { Mode::Major };
        let fifths = named.number_of("numeral-fifths")?;
        Key::all().find(|key| key.mode() == mode && i64::from(key.signature()) == fifths)
    });
    let alter = i8::try_from(element.number_of("numeral-alter").unwrap_or(0)).ok()?;
    let degree = Degree::new(u8::try_from(element.number_of("numeral-root")?).ok()?, alter)?;
    Some(own.unwrap_or(key).degree(degree))
}

/// A roman numeral with its accidentals: `bVII`, `#iv`, `V7` (of which the kind says the rest).
fn function(text: &str) -> Option<Degree> {
    let alter = text.chars().take_while(|c| matches!(c, 'b' | '#' | '♭' | '♯'));
    let alter: i8 = alter.map(|c| if matches!(c, 'b' | '♭') { -1 } else { 1 }).sum();
    let roman: String = text
        .chars()
        .skip_while(|c| matches!(c, 'b' | '#' | '♭' | '♯'))
        .take_while(|c| matches!(c.to_ascii_uppercase(), 'I' | 'V'))
        .collect();
    let numerals = ["I", "II", "III", "IV", "V", "VI", "VII"];
    let number = numerals.iter().position(|numeral| roman.eq_ignore_ascii_case(numeral))?;
    Degree::new(number as u8 + 1, alter)
}

/// `<degree>`: a member added, altered or taken out.
fn change(element: &Element) -> Option<kind::Change> {
    let value = u8::try_from(element.number_of("degree-value")?).ok().filter(|n| (1..=13).contains(n))?;
    let alter = i8::try_from(element.number_of("degree-alter").unwrap_or(0)).ok().filter(|a| a.abs() <= 3)?;
    let deed = match element.text_of("degree-type").unwrap_or("add") {
        "alter" => kind::Deed::Alter,
        "subtract" => kind::Deed::Subtract,
        _ => kind::Deed::Add,
    };
    Some(kind::Change { deed, value, alter })
}

/// The lowest note of an inversion: 1 has the third below, 2 the fifth, 3 what is above that.
fn inverted(chord: &LetterChord, inversion: i64) -> Option<NoteName> {
    let tones = kind::members(chord.quality, chord.extension);
    let at = usize::try_from(inversion).ok().filter(|n| *n > 0)?;
    let (member, semitones) = *tones.get(at)?;
    Some(chord.root.up(Interval::new(i32::from(member) - 1, i32::from(semitones))))
}
