//! One measure of a part: how long it is, what harmony it has, and the signs of form in it.

use super::symbol;
use super::tree::{Element, number};
use crate::chart::Symbol;
use song::{Feel, Meter, Quarters};
use theory::{Key, Mode};

/// Places are counted in so many parts of a quarter, which all usual divisions divide.
pub(crate) const TICKS: i64 = 53_222_400;
/// The longest measure, in quarters.
const LONGEST: i64 = 128;

/// A measure as written.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Measure {
    /// How long its notes are together; nothing where it has none.
    pub filled: Quarters,
    pub meter: Option<Meter>,
    pub key: Option<Key>,
    /// Quarters a minute from here on.
    pub tempo: Option<f64>,
    pub feel: Option<Feel>,
    pub harmony: Vec<(Quarters, Symbol)>,
    /// The section that begins here.
    pub section: Option<String>,
    pub words: Vec<String>,
    pub form: Form,
    /// A bar that repeats so many bars before it.
    pub repeats_bars: Option<usize>,
    /// Notes with pitches in it.
    pub has_notes: bool,
    /// It says that it is no whole bar.
    pub implicit: bool,
}

/// The signs of form of a measure.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Form {
    pub forward: bool,
    /// A backward repeat, with how often all is played where it says so.
    pub backward: Option<Option<u32>>,
    /// An ending begins: for these passes.
    pub ending: Option<Vec<u32>>,
    pub ending_stops: bool,
    pub segno: bool,
    pub coda: Option<Place>,
    pub to_coda: Option<Place>,
    pub fine: bool,
    pub jump: Option<Jump>,
}

/// Where in its measure a sign stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    Start,
    Later,
}

/// Back, and until when.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Jump {
    /// To the sign rather than to the beginning.
    pub to_sign: bool,
}

/// Reads the measures of one part, one after another.
#[derive(Clone, Debug)]
pub(crate) struct Measures {
    divisions: i64,
    key: Key,
    repeating: Option<usize>,
    /// What was not understood, as it stood on the page.
    pub told: Vec<String>,
}

impl Default for Measures {
    fn default() -> Self {
        let key = "C major".parse().expect("C major is a key");
        Measures { divisions: 1, key, repeating: None, told: Vec::new() }
    }
}

impl Measures {
    /// The next measure.
    pub fn read(&mut self, element: &Element) -> Measure {
        let mut measure = Measure { implicit: element.says("implicit"), ..Measure::default() };
        let (mut at, mut end, mut chord_start) = (0, 0, 0);
        for part in &element.children {
            match part.name.as_str() {
                "attributes" => self.attributes(part, at, &mut measure),
                "note" => {
                    let length = if part.child("grace").is_some() { 0 } else { self.ticks(part) };
                    if part.child("chord").is_none() {
                        chord_start = at;
                        at = (at + length).min(LONGEST * TICKS);
                    }
                    end = end.max(at).max((chord_start + length).min(LONGEST * TICKS));
                    measure.has_notes |= part.child("pitch").is_some();
                }
                "backup" => at = (at - self.ticks(part)).max(0),
                "forward" => {
                    at = (at + self.ticks(part)).min(LONGEST * TICKS);
                    end = end.max(at);
                }
                "harmony" => self.harmony(part, at, &mut measure),
                "direction" => self.direction(part, at, &mut measure),
                "barline" => barline(part, &mut measure.form),
                "sound" => sound(part, at, &mut measure),
                _ => {}
            }
        }
        measure.filled = quarters(end);
        measure.repeats_bars = self.repeating;
        measure.harmony.sort_by_key(|(at, _)| *at);
        measure
    }

    fn ticks(&self, element: &Element) -> i64 {
        let length = element.number_of("duration").unwrap_or(0).max(0);
        in_ticks(length, self.divisions).min(LONGEST * TICKS)
    }

    /// Where something stands that has an `<offset>`.
    fn place(&self, element: &Element, at: i64) -> Quarters {
        let offset = element.number_of("offset").unwrap_or(0);
        quarters((at + in_ticks(offset, self.divisions)).clamp(0, LONGEST * TICKS))
    }

    fn attributes(&mut self, element: &Element, at: i64, measure: &mut Measure) {
        if let Some(divisions) = element.number_of("divisions").filter(|n| *n > 0) {
            self.divisions = divisions;
        }
        if let Some(key) = element.child("key").and_then(|key| self.key(key)) {
            if at > 0 {
                self.told.push(format!("the key changes to {key} within a bar: it was put at the next"));
            }
            self.key = key;
            measure.key = Some(key);
        }
        let time = element.child("time").filter(|time| time.child("senza-misura").is_none());
        if let Some(meter) = time.and_then(|time| self.meter(time)) {
            measure.meter = Some(meter);
        }
        for style in element.all("measure-style") {
            if let Some(repeat) = style.child("measure-repeat") {
                let bars = number(&repeat.text).and_then(|n| usize::try_from(n).ok()).unwrap_or(1);
                self.repeating = (repeat.attribute("type") == Some("start")).then_some(bars.clamp(1, 16));
            }
        }
        if element.child("transpose").and_then(|t| t.number_of("chromatic")).is_some_and(|n| n != 0) {
            self.tell("it is written for a transposing instrument: its key is that of the page");
        }
    }

    fn key(&mut self, element: &Element) -> Option<Key> {
        let fifths = element.number_of("fifths")?.clamp(-20, 20);
        let signature = if (-7..=7).contains(&fifths) { fifths } else { fifths - 12 * fifths.signum() };
        let word = element.text_of("mode").unwrap_or("");
        let mode = match word.to_ascii_lowercase().as_str() {
            "minor" | "aeolian" | "dorian" | "phrygian" | "locrian" => Mode::Minor,
            _ => Mode::Major,
        };
        let key = Key::all().find(|key| key.mode() == mode && i64::from(key.signature()) == signature)?;
        if signature != fifths {
            self.tell(&format!("a key of {} accidentals is read as {key}", fifths.abs()));
        }
        if !matches!(word, "" | "none" | "major" | "minor" | "ionian" | "aeolian") {
            self.tell(&format!("the mode “{word}” is read as {key}, which has its signature"));
        }
        Some(key)
    }

    fn meter(&mut self, element: &Element) -> Option<Meter> {
        let sum = |text: &str| text.split('+').map(|n| n.trim().parse::<u8>().ok()).sum::<Option<u8>>();
        let lower = element.text_of("beat-type")?.parse().ok()?;
        let meter = sum(element.text_of("beats")?).and_then(|upper| Meter::new(upper, lower));
        if meter.is_none() {
            self.tell("a meter that number charts do not have: its bars have meters of their own");
        }
        meter
    }

    fn harmony(&mut self, element: &Element, at: i64, measure: &mut Measure) {
        let Some(symbol) = symbol::read(element, self.key) else {
            self.tell("a chord symbol without a root was left out");
            return;
        };
        let place = self.place(element, at);
        // One chord by letter and by number is one chord.
        let numbered = element.child("numeral").is_some() || element.child("function").is_some();
        let same = |(own, other): &(Quarters, Symbol)| *own == place && sounds_alike(other, &symbol);
        if numbered && measure.harmony.iter().any(same) {
            return;
        }
        measure.harmony.push((place, symbol));
    }

    fn direction(&mut self, element: &Element, at: i64, measure: &mut Measure) {
        let place = self.place(element, at);
        let side = if place == Quarters::ZERO { Place::Start } else { Place::Later };
        for kind in element.all("direction-type").flat_map(|kind| &kind.children) {
            match kind.name.as_str() {
                "rehearsal" => name_section(measure, kind.text.trim()),
                "segno" => measure.form.segno = true,
                "coda" => measure.form.coda = Some(side),
                "words" => words(kind.text.trim(), place, side, measure),
                "metronome" => measure.tempo = metronome(kind).or(measure.tempo),
                _ => {}
            }
        }
        if let Some(element) = element.child("sound") {
            sound(element, at, measure);
        }
    }

    fn tell(&mut self, what: &str) {
        if !self.told.iter().any(|told| told == what) {
            self.told.push(what.to_owned());
        }
    }
}

fn sounds_alike(a: &Symbol, b: &Symbol) -> bool {
    match (&a.chord, &b.chord) {
        (Some(a), Some(b)) => a.root.pitch_class() == b.root.pitch_class() && a.quality == b.quality,
        (None, None) => true,
        _ => false,
    }
}

fn in_ticks(length: i64, divisions: i64) -> i64 {
    let ticks = i128::from(length) * i128::from(TICKS) / i128::from(divisions.max(1));
    i64::try_from(ticks).unwrap_or(i64::MAX / 4).clamp(-LONGEST * TICKS, LONGEST * TICKS)
}

fn quarters(ticks: i64) -> Quarters {
    Quarters::new(ticks, TICKS)
}

fn name_section(measure: &mut Measure, name: &str) {
    match (&measure.section, name) {
        (_, "") => {}
        (None, _) => measure.section = Some(name.chars().take(60).collect()),
        (Some(_), _) => measure.words.push(name.to_owned()),
    }
}

/// Words over the staff: where to go, where a section begins, or else a note.
fn words(text: &str, at: Quarters, side: Place, measure: &mut Measure) {
    let plain = text.to_lowercase().replace(['.', ':', ' '], "");
    let form = &mut measure.form;
    let begins = |starts: &[&str]| starts.iter().any(|start| plain.starts_with(start));
    match plain.as_str() {
        "" => {}
        "nc" | "nochord" | "tacet" => {
            if measure.harmony.iter().all(|(own, _)| *own != at) {
                measure.harmony.push((at, Symbol { chord: None, unsaid: None }));
            }
        }
        "fine" => form.fine = true,
        "tocoda" | "alcoda" => form.to_coda = Some(side),
        "coda" => form.coda = Some(side),
        "segno" => form.segno = true,
        _ if begins(&["dc", "dacapo"]) => form.jump = Some(Jump { to_sign: false }),
        _ if begins(&["ds", "dalsegno", "delsegno"]) => form.jump = Some(Jump { to_sign: true }),
        _ if names_section(text) => name_section(measure, text.trim_end_matches(':').trim()),
        _ => measure.words.push(text.chars().take(200).collect()),
    }
}

/// Words that songs' sections are called by, alone or with one or two before or behind them (common practice, no source).
fn names_section(text: &str) -> bool {
    const NAMES: [&str; 17] = [
        "intro",
        "introduction",
        "verse",
        "chorus",
        "refrain",
        "bridge",
        "outro",
        "ending",
        "interlude",
        "solo",
        "vamp",
        "tag",
        "trio",
        "pre-chorus",
        "prechorus",
        "channel",
        "coda",
    ];
    let words: Vec<String> =
        text.split_whitespace().map(|word| word.trim_matches([':', '(', ')', ',']).to_lowercase()).collect();
    words.len() <= 3 && words.iter().any(|word| NAMES.contains(&word.as_str()))
}

/// Quarters a minute of a metronome mark; of an equation between note values nothing.
fn metronome(element: &Element) -> Option<f64> {
    let per_minute: f64 = element.text_of("per-minute")?.parse().ok()?;
    let unit = match element.text_of("beat-unit")? {
        "whole" => 4.0,
        "half" => 2.0,
        "quarter" => 1.0,
        "eighth" => 0.5,
        "16th" => 0.25,
        _ => return None,
    };
    let dots = element.all("beat-unit-dot").count().min(2) as i32;
    let tempo = per_minute * unit * (2.0 - 0.5f64.powi(dots));
    (tempo.is_finite() && tempo > 0.0).then_some(tempo)
}

fn sound(element: &Element, at: i64, measure: &mut Measure) {
    let tempo = element.attribute("tempo").and_then(|tempo| tempo.parse::<f64>().ok());
    if let Some(tempo) = tempo.filter(|tempo| tempo.is_finite() && *tempo > 0.0) {
        measure.tempo = Some(tempo);
    }
    let side = if at == 0 { Place::Start } else { Place::Later };
    let form = &mut measure.form;
    let set = |name: &str| element.attribute(name).is_some_and(|value| !value.is_empty() && value != "no");
    form.fine |= set("fine");
    form.segno |= set("segno");
    if set("coda") {
        form.coda = form.coda.or(Some(side));
    }
    if set("tocoda") {
        form.to_coda = Some(side);
    }
    if set("dacapo") {
        form.jump = Some(Jump { to_sign: false });
    }
    if set("dalsegno") {
        form.jump = Some(Jump { to_sign: true });
    }
    if let Some(swing) = element.child("swing") {
        let swings = swing.number_of("first").unwrap_or(1) > swing.number_of("second").unwrap_or(1);
        measure.feel = Some(if swings { Feel::Swing } else { Feel::Straight });
    }
}

fn barline(element: &Element, form: &mut Form) {
    form.segno |= element.child("segno").is_some();
    if element.child("coda").is_some() {
        form.coda = form.coda.or(Some(Place::Start));
    }
    for repeat in element.all("repeat") {
        match repeat.attribute("direction") {
            Some("forward") => form.forward = true,
            _ => {
                let times = repeat.attribute("times").and_then(number).and_then(|n| u32::try_from(n).ok());
                form.backward = Some(times.filter(|times| (1..=99).contains(times)));
            }
        }
    }
    for ending in element.all("ending") {
        match ending.attribute("type") {
            Some("start") => {
                let numbers = ending.attribute("number").unwrap_or_default();
                form.ending = Some(passes(numbers));
            }
            _ => form.ending_stops = true,
        }
    }
}

/// `1, 2` or `1-3`; nothing where it says no number.
fn passes(text: &str) -> Vec<u32> {
    let mut passes = Vec::new();
    for part in text.split([',', ' ']).filter(|part| !part.is_empty()) {
        let mut ends = part.split('-').map(|end| end.trim_end_matches('.').parse::<u32>().ok());
        let from = ends.next().flatten().filter(|n| (1..=99).contains(n));
        let to = ends.next().flatten().filter(|n| (1..=99).contains(n));
        if let Some(from) = from {
            passes.extend(from..=to.unwrap_or(from));
        }
    }
    passes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endings_name_one_pass_or_several() {
        assert_eq!(passes("1"), [1]);
        assert_eq!(passes("1, 2"), [1, 2]);
        assert_eq!(passes("1-3"), [1, 2, 3]);
        assert_eq!(passes("1., 4."), [1, 4]);
        assert!(passes("first").is_empty());
    }

    #[test]
    fn usual_divisions_are_exact() {
        for divisions in [1, 24, 96, 120, 480, 768, 960, 1024, 10_080, 25_200] {
            assert_eq!(quarters(in_ticks(1, divisions)), Quarters::new(1, divisions));
        }
    }
}
