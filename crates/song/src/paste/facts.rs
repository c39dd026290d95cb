//! What a plain chart says about itself: title, key, tempo, meter.

use super::doubt::Doubts;
use super::line::{Kind, Line};
use crate::letters;
use crate::{Meter, Tempo};
use theory::{Key, Mode, NoteName, Quality};

/// What was found.
#[derive(Clone, Debug, Default)]
pub(super) struct Facts {
    pub title: Option<String>,
    pub key: Option<Key>,
    pub tempo: Option<Tempo>,
    pub meter: Option<Meter>,
    /// Lines that stay as they are in the song's note.
    pub kept: Vec<String>,
}

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Fact {
    Title(String),
    Key(Key),
    Tempo(Tempo),
    Meter(Meter),
    Capo,
}

/// The facts of all lines; each line is kept as well, for it may say more.
pub(super) fn facts(lines: &[Line<'_>], doubts: &mut Doubts) -> Facts {
    let mut facts = Facts::default();
    for line in lines.iter().filter(|line| line.kind == Kind::Fact) {
        let Some(all) = fact(line.text) else { continue };
        for one in all {
            match one {
                Fact::Title(title) if facts.title.is_none() => facts.title = Some(title),
                Fact::Key(key) if facts.key.is_none() => facts.key = Some(key),
                Fact::Tempo(tempo) if facts.tempo.is_none() => facts.tempo = Some(tempo),
                Fact::Meter(meter) if facts.meter.is_none() => facts.meter = Some(meter),
                Fact::Capo => {
                    doubts.add(
                        line.span(),
                        "with a capo the song sounds higher than it is written: choose the key",
                    );
                    facts.kept.push(line.text.trim().into());
                }
                _ => {
                    doubts.add(line.span(), "this was said before, and the first was taken");
                    facts.kept.push(line.text.trim().into());
                }
            }
        }
    }
    facts
}

/// What a line of nothing but facts says.
pub(crate) fn fact(line: &str) -> Option<Vec<Fact>> {
    let parts = line.split([',', ';', '\t']).map(str::trim).filter(|part| !part.is_empty());
    let facts: Option<Vec<Fact>> = match title(line.trim()) {
        Some(title) => Some(vec![Fact::Title(title)]),
        None => parts.map(one).collect(),
    };
    facts.filter(|facts| !facts.is_empty())
}

fn title(line: &str) -> Option<String> {
    let (name, value) = line.split_once(':')?;
    let is_title = matches!(name.trim().to_lowercase().as_str(), "title" | "song");
    (is_title && !value.trim().is_empty()).then(|| value.trim().to_string())
}

fn one(part: &str) -> Option<Fact> {
    let lower = part.to_lowercase();
    let value = |names: &[&str]| {
        let name = names.iter().find(|name| lower.starts_with(*name))?;
        let rest = part.get(name.len()..)?;
        let rest = rest.trim_start_matches([':', '=', ' ']);
        (rest.len() < part.len() - name.len()).then_some(rest.trim())
    };
    if let Some(text) = value(&["key of", "key"]) {
        return key(text).map(Fact::Key);
    }
    if let Some(text) = value(&["capo"]) {
        return text.starts_with(|c: char| c.is_ascii_digit()).then_some(Fact::Capo);
    }
    if let Some(text) = value(&["tempo", "bpm", "♩"]) {
        return tempo(text).map(Fact::Tempo);
    }
    if let Some(text) = value(&["time signature", "time", "meter", "metre"]) {
        return Meter::parse(text).map(Fact::Meter);
    }
    if let Some(text) = lower.strip_suffix("bpm") {
        return tempo(text).map(Fact::Tempo);
    }
    // A meter alone; over 4, 8 or 16, so that it is no chord of a number chart.
    Meter::parse(part)
        .filter(|meter| meter.lower() > 7 || meter.upper() == meter.lower() || meter.upper() > 7)
        .map(Fact::Meter)
}

fn tempo(text: &str) -> Option<Tempo> {
    let text = text.trim().trim_start_matches(['=', '~', '≈', ' ']);
    let text = text.trim_end_matches(|c: char| !c.is_ascii_digit());
    text.parse().ok().and_then(Tempo::new)
}

/// `G`, `Em`, `Bb major`, `F# minor`; a key that no signature has gives way to the one that sounds the same.
pub(super) fn key(text: &str) -> Option<Key> {
    let text = text.replace('♭', "b").replace('♯', "#");
    if let Ok(key) = text.parse() {
        return Some(key);
    }
    let mut words = text.split_whitespace();
    let chord = letters::read(words.next()?).ok()?.chord?;
    let mode = match (words.next().map(str::to_lowercase).as_deref(), chord.quality) {
        (None, Quality::Major) | (Some("major" | "maj"), Quality::Major) => Mode::Major,
        (None, Quality::Minor) | (Some("minor" | "min"), Quality::Major) => Mode::Minor,
        _ => return None,
    };
    let plain = chord.extension.is_none() && chord.under.is_none() && words.next().is_none();
    plain.then(|| nearest(chord.root, mode)).flatten()
}

fn nearest(tonic: NoteName, mode: Mode) -> Option<Key> {
    Key::new(tonic, mode).or_else(|| {
        let same = |key: &Key| key.mode() == mode && key.tonic().pitch_class() == tonic.pitch_class();
        Key::all().filter(same).min_by_key(|key| key.signature().abs())
    })
}
