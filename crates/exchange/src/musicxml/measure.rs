//! One measure of a part: how long it is, what harmony it has, and the signs in it.

use super::form::{Form, Place, Repeat};
use super::own::OwnWords;
use super::symbol;
use super::tree::{Element, PARTS};
use crate::chart::Symbol;
use song::{Feel, Meter, Quarters};
use theory::Key;

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
    /// Chord symbols that are kept in its words alone.
    pub noted: usize,
    /// The section that begins here.
    pub section: Option<String>,
    pub words: Vec<String>,
    pub form: Form,
    /// A repeat sign, or the end of an ending, at its left bar line: it belongs to the measure before.
    pub closes_before: Option<Repeat>,
    pub ending_stops_before: bool,
    /// A bar that repeats so many bars before it.
    pub repeats_bars: Option<usize>,
    /// Notes with pitches in it, and words that are sung to them.
    pub has_notes: bool,
    pub has_lyrics: bool,
    /// A rest fills it, however long that says it is.
    pub rests: bool,
    /// It says that it is no whole bar.
    pub implicit: bool,
    /// Words of a score of ours.
    pub own: OwnWords,
}

/// Reads the measures of one part, one after another.
#[derive(Clone, Debug)]
pub(crate) struct Measures {
    /// Of a quarter, in millionths, as durations are.
    divisions: i64,
    pub(super) key: Key,
    pub(super) tempo: Option<f64>,
    pub(super) repeating: Option<usize>,
    /// What stands behind the notes of a measure, or within them, and holds from the next on.
    pub(super) next: Next,
    /// The score is of this program: its words are no signs of form.
    pub ours: bool,
    /// What was not understood, as it stood on the page.
    pub told: Vec<String>,
}

/// What the next measure begins with.
#[derive(Clone, Debug, Default)]
pub(super) struct Next {
    pub key: Option<Key>,
    pub meter: Option<Meter>,
    pub tempo: Option<f64>,
    pub forward: bool,
}

impl Default for Measures {
    fn default() -> Self {
        let key = "C major".parse().expect("C major is a key");
        let next = Next::default();
        Measures { divisions: PARTS, key, tempo: None, repeating: None, next, ours: false, told: Vec::new() }
    }
}

/// A place in a measure, in ticks, with the end of the measure's notes and how its durations are counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub at: i64,
    pub end: i64,
    divisions: i64,
}

impl Spot {
    /// The place of an element that has an `<offset>`.
    pub fn of(self, element: &Element) -> i64 {
        let offset = element.decimal_of("offset").unwrap_or(0);
        (self.at + in_ticks(offset, self.divisions)).clamp(0, LONGEST * TICKS)
    }

    /// Where in the measure a sign is.
    pub fn side(self, at: i64) -> Place {
        match at {
            ..=0 => Place::Start,
            at if at >= self.end => {
                if self.end == 0 {
                    Place::Start
                } else {
                    Place::End
                }
            }
            _ => Place::Middle,
        }
    }
}

impl Measures {
    /// The next measure.
    pub fn read(&mut self, element: &Element) -> Measure {
        let next = std::mem::take(&mut self.next);
        let mut measure = Measure {
            implicit: element.says("implicit"),
            key: next.key,
            meter: next.meter,
            tempo: next.tempo,
            form: Form { forward: next.forward, ..Form::default() },
            ..Measure::default()
        };
        let (spots, end) = self.walk(element, &mut measure);
        for (part, spot) in element.children.iter().zip(spots) {
            let spot = Spot { end, ..spot };
            match part.name.as_str() {
                "attributes" => self.attributes(part, spot, &mut measure),
                "harmony" => self.harmony(part, spot, &mut measure),
                "direction" => self.direction(part, spot, &mut measure),
                "sound" => self.sound(part, spot, spot.at, &mut measure),
                "barline" => self.barline(part, spot, &mut measure),
                _ => {}
            }
        }
        measure.filled = quarters(end);
        measure.repeats_bars = self.repeating;
        measure.harmony.sort_by_key(|(at, _)| *at);
        measure
    }

    /// The place of each thing in a measure, and the end of its notes.
    fn walk(&mut self, element: &Element, measure: &mut Measure) -> (Vec<Spot>, i64) {
        let (mut at, mut end, mut chord_start) = (0, 0, 0);
        let mut spots = Vec::with_capacity(element.children.len());
        let (mut notes, mut whole_rests) = (0, 0);
        for part in &element.children {
            if let Some(divisions) = part.decimal_of("divisions").filter(|n| *n > 0) {
                self.divisions = divisions;
            }
            spots.push(Spot { at, end: 0, divisions: self.divisions });
            match part.name.as_str() {
                "note" => {
                    let length = if part.child("grace").is_some() { 0 } else { self.ticks(part) };
                    if part.child("chord").is_none() {
                        chord_start = at;
                        at = (at + length).min(LONGEST * TICKS);
                        notes += 1;
                        whole_rests +=
                            usize::from(part.child("rest").is_some_and(|rest| rest.says("measure")));
                    }
                    end = end.max(at).max((chord_start + length).min(LONGEST * TICKS));
                    note(part, measure);
                }
                "backup" => at = (at - self.ticks(part)).max(0),
                "forward" => {
                    at = (at + self.ticks(part)).min(LONGEST * TICKS);
                    end = end.max(at);
                }
                _ => {}
            }
        }
        measure.rests = notes > 0 && notes == whole_rests;
        (spots, end)
    }

    fn ticks(&self, element: &Element) -> i64 {
        let length = element.decimal_of("duration").unwrap_or(0).max(0);
        in_ticks(length, self.divisions).min(LONGEST * TICKS)
    }

    fn harmony(&mut self, element: &Element, spot: Spot, measure: &mut Measure) {
        let place = tidy(spot.of(element));
        let Some(symbol) = symbol::read(element, self.key) else {
            let shown = element.child("kind").and_then(|kind| kind.attribute("text")).unwrap_or_default();
            let shown = if shown.is_empty() { String::new() } else { format!(" (“{shown}”)") };
            add_words(measure, format!("a chord symbol without a root{shown} was left out"));
            measure.noted += 1;
            return;
        };
        // One chord by letter and by number is one chord, and so is one over each of two staves.
        let numbered = element.child("numeral").is_some() || element.child("function").is_some();
        if measure.harmony.len() >= MOST_CHORDS {
            add_words(measure, "more chords stand here than a bar can have".to_owned());
            measure.noted += 1;
            return;
        }
        let here = || measure.harmony.iter().filter(|(own, _)| *own == place).map(|(_, symbol)| symbol);
        let again = here().next_back() == Some(&symbol);
        if again || (numbered && here().any(|other| sounds_alike(other, &symbol))) {
            return;
        }
        if element.attribute("type") == Some("alternate") && here().next().is_some() {
            let chord = symbol.chord.map_or_else(|| "no chord".to_owned(), |chord| chord.to_string());
            add_words(measure, format!("or {chord}"));
            measure.noted += 1;
            return;
        }
        measure.harmony.push((place, symbol));
    }

    pub(super) fn tell(&mut self, what: &str) {
        if !self.told.iter().any(|told| told == what) {
            self.told.push(what.to_owned());
        }
    }
}

/// What a note says beside its length.
fn note(element: &Element, measure: &mut Measure) {
    measure.has_notes |= element.child("pitch").is_some();
    measure.has_lyrics |= element.child("lyric").is_some();
    if element.all("notations").any(|notations| notations.child("fermata").is_some()) {
        add_words(measure, "fermata".to_owned());
    }
}

/// A measure has no more words over it than this, and no more chords.
const MOST_WORDS: usize = 100;
const MOST_CHORDS: usize = 200;

/// Words that stand over a measure, each once.
pub(super) fn add_words(measure: &mut Measure, words: String) {
    if measure.words.len() > MOST_WORDS || measure.words.contains(&words) {
        return;
    }
    let full = measure.words.len() == MOST_WORDS;
    measure.words.push(if full { "more stands here than can be told".to_owned() } else { words });
}

fn sounds_alike(a: &Symbol, b: &Symbol) -> bool {
    match (&a.chord, &b.chord) {
        (Some(a), Some(b)) => a.root.pitch_class() == b.root.pitch_class() && a.quality == b.quality,
        (None, None) => true,
        _ => false,
    }
}

/// A length as ticks, both counted in the same parts.
fn in_ticks(length: i64, divisions: i64) -> i64 {
    let ticks = i128::from(length) * i128::from(TICKS) / i128::from(divisions.max(1));
    i64::try_from(ticks).unwrap_or(i64::MAX / 4).clamp(-LONGEST * TICKS, LONGEST * TICKS)
}

pub(super) fn quarters(ticks: i64) -> Quarters {
    Quarters::new(ticks, TICKS)
}

/// A place in quarters. Durations of tuplets are rounded where the divisions do not divide them: what lies beside a
/// thirty-second or a third of an eighth by so little that nobody hears it is put there.
pub(super) fn tidy(ticks: i64) -> Quarters {
    let beside = |parts: i64| {
        let unit = TICKS / parts;
        let at = (ticks + unit / 2).div_euclid(unit) * unit;
        Some(at).filter(|at| (at - ticks).abs() <= TICKS / 100)
    };
    quarters(beside(8).or_else(|| beside(6)).unwrap_or(ticks))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn usual_divisions_are_exact() {
        for divisions in [1, 24, 96, 120, 480, 768, 960, 1024, 10_080, 25_200] {
            assert_eq!(quarters(in_ticks(1, divisions)), Quarters::new(1, divisions));
        }
    }

    #[test]
    fn rounded_tuplets_are_put_right() {
        // Three in the time of two, in 480ths that were cut off: 159 and 319 in place of 160 and 320.
        assert_eq!(tidy(in_ticks(159, 480)), Quarters::new(1, 3));
        assert_eq!(tidy(in_ticks(319, 480)), Quarters::new(2, 3));
        assert_eq!(tidy(in_ticks(959, 480)), Quarters::new(2, 1));
        // A sixty-fourth is one.
        assert_eq!(tidy(in_ticks(1, 16)), Quarters::new(1, 16));
    }
}
