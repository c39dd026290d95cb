//! A score, plain or compressed, as a song in numbers.

use super::container;
use super::form::playing_order;
use super::measure::{Form, Measure, Measures};
use super::tree::{self, Element};
use crate::ExchangeError;
use crate::chart::{Imported, Sheet, SheetBar, imported};
use song::letters::{LetterChord, propose_key};
use song::limits::BARS_PLAYED;
use song::{Feel, Meter, Quarters};
use theory::{Key, Mode};

/// A field by which a score of ours says that its first measure holds nothing but a push.
pub(super) const PUSH_FIELD: &str = "first-measure";
/// And what it says.
pub(super) const PUSH_ONLY: &str = "push";
/// Parts of a score; chord symbols stand in one or two.
const MOST_PARTS: usize = 200;

/// Whether a file's bytes look like MusicXML, plain or compressed. Reading tells for sure.
pub fn looks_like(bytes: &[u8]) -> bool {
    if container::is_archive(bytes) {
        return container::unpack(bytes).is_ok();
    }
    let head = &bytes[..bytes.len().min(4000)];
    let text: String = head.iter().filter(|byte| **byte != 0).map(|byte| char::from(*byte)).collect();
    text.contains("<score-partwise") || text.contains("<score-timewise")
}

/// Reads a score with chord symbols, plain or compressed: its key, meters, bars, chords, repeats and sections become a song
/// in numbers. `title` is used where the score has none. What is not known is kept as a note and told; the melody is left
/// out.
///
/// # Errors
/// What is wrong with the file, and what to do about it. Files made to bring readers down are refused.
pub fn read(bytes: &[u8], title: &str) -> Result<Imported, ExchangeError> {
    let unpacked;
    let plain = if container::is_archive(bytes) {
        unpacked = container::unpack(bytes)?;
        &unpacked[..]
    } else {
        bytes
    };
    let text = tree::decoded(plain)?;
    let mut parts: Vec<Part> = Vec::new();
    let score = tree::read(&text, "measure", |open, measure| take(&mut parts, open, &measure))?;
    if !matches!(score.name.as_str(), "score-partwise" | "score-timewise") {
        return Err(ExchangeError::NotAScore(format!("it begins with <{}>", score.name)));
    }
    let chords = |part: &Part| part.measures.iter().map(|measure| measure.harmony.len()).sum::<usize>();
    let most = parts.iter().map(&chords).max().unwrap_or(0);
    let part = parts.into_iter().find(|part| chords(part) == most && most > 0);
    imported(&sheet(&score, part.ok_or(ExchangeError::NoChords)?, title)?)
}

/// One part of the score.
struct Part {
    id: String,
    reader: Measures,
    measures: Vec<Measure>,
}

/// A measure that is complete: of a part, or with all parts in it.
fn take(parts: &mut Vec<Part>, open: &[Element], measure: &Element) -> Result<(), ExchangeError> {
    let holder = open.last().filter(|holder| holder.name == "part");
    match holder {
        Some(part) => part_of(parts, part.attribute("id").unwrap_or_default())?.add(measure),
        None => measure.all("part").try_for_each(|own| {
            let mut own_measure = own.clone();
            own_measure.attributes.clone_from(&measure.attributes);
            part_of(parts, own.attribute("id").unwrap_or_default())?.add(&own_measure)
        }),
    }
}

fn part_of<'p>(parts: &'p mut Vec<Part>, id: &str) -> Result<&'p mut Part, ExchangeError> {
    let at = parts.iter().position(|part| part.id == id).unwrap_or(parts.len());
    if at == parts.len() {
        if at >= MOST_PARTS {
            return Err(ExchangeError::Refused("it has hundreds of parts"));
        }
        parts.push(Part { id: id.to_owned(), reader: Measures::default(), measures: Vec::new() });
    }
    Ok(&mut parts[at])
}

impl Part {
    fn add(&mut self, element: &Element) -> Result<(), ExchangeError> {
        if self.measures.len() as u64 >= BARS_PLAYED {
            return Err(ExchangeError::TooLong(BARS_PLAYED as usize));
        }
        self.measures.push(self.reader.read(element));
        Ok(())
    }
}

fn sheet(score: &Element, part: Part, title: &str) -> Result<Sheet, ExchangeError> {
    let Part { reader, mut measures, .. } = part;
    let mut told = reader.told;
    if says_push(score)
        && measures.first().is_some_and(|first| first.harmony.is_empty())
        && measures.len() > 1
    {
        let first = measures.remove(0);
        let next = &mut measures[0];
        next.key = next.key.or(first.key);
        next.meter = next.meter.or(first.meter);
        next.tempo = next.tempo.or(first.tempo);
        next.feel = next.feel.or(first.feel);
    }
    repeat_bars(&mut measures);
    if measures.iter().any(|measure| measure.has_notes) {
        told.insert(0, "the notes on the page are not kept: a chart holds chords".to_owned());
    }
    let forms: Vec<Form> = measures.iter().map(|measure| measure.form.clone()).collect();
    let order = playing_order(&forms)?;
    if forms.iter().any(|form| form.jump.is_some()) {
        told.push("on the way back (D.C., D.S.) repeats are not played again".to_owned());
    }
    let key = first_key(&measures, &mut told);
    Ok(Sheet { title: title_of(score, title), notes: notes(score), bars: bars(measures, key), order, told })
}

/// A bar that repeats others has their chords.
fn repeat_bars(measures: &mut [Measure]) {
    for at in 1..measures.len() {
        let from = measures[at].repeats_bars.and_then(|bars| at.checked_sub(bars));
        if let Some(from) = from.filter(|_| measures[at].harmony.is_empty()) {
            measures[at].harmony = measures[from].harmony.clone();
        }
    }
}

/// The key of the page; where it names none, that which its chords suggest.
fn first_key(measures: &[Measure], told: &mut Vec<String>) -> Key {
    if let Some(key) = measures.first().and_then(|first| first.key) {
        return key;
    }
    let chords: Vec<LetterChord> =
        measures.iter().flat_map(|measure| &measure.harmony).filter_map(|(_, symbol)| symbol.chord).collect();
    let key = propose_key(&chords).first().map(|guess| guess.key);
    let key = key.or(Key::all().find(|key| key.signature() == 0 && key.mode() == Mode::Major));
    let key = key.expect("there is a key without accidentals");
    told.push(format!("no key is named: the chords suggest {key}"));
    key
}

fn bars(measures: Vec<Measure>, key: Key) -> Vec<SheetBar> {
    let mut key = key;
    let mut meter = Meter::new(4, 4).expect("4/4 is a meter");
    let (mut tempo, mut feel) = (None, Feel::Straight);
    let last = measures.len().saturating_sub(1);
    let bar = |(at, measure): (usize, Measure)| {
        key = measure.key.unwrap_or(key);
        meter = measure.meter.unwrap_or(meter);
        tempo = measure.tempo.or(tempo);
        feel = measure.feel.unwrap_or(feel);
        let length = length(&measure, meter, at == 0 || at == last);
        SheetBar {
            length,
            meter,
            key,
            tempo,
            feel,
            harmony: measure.harmony,
            section: measure.section,
            ending: measure.form.ending.map(|passes| passes.first().copied().unwrap_or(1)),
            words: measure.words,
        }
    };
    measures.into_iter().enumerate().map(bar).collect()
}

/// How long a measure is: as long as its notes, for pickups seldom say that they are; whole where it has none.
fn length(measure: &Measure, meter: Meter, at_end: bool) -> Quarters {
    let whole = meter.length();
    let short = measure.filled < whole;
    let latest = measure.harmony.last().map_or(Quarters::ZERO, |last| last.0);
    // Notes may be missing where only chords were entered.
    let only_chords = !measure.has_notes && !measure.implicit && !at_end;
    if measure.filled == Quarters::ZERO || (short && (only_chords || latest >= measure.filled)) {
        return whole;
    }
    measure.filled
}

fn says_push(score: &Element) -> bool {
    let fields = score.child("identification").and_then(|id| id.child("miscellaneous"));
    fields.is_some_and(|fields| {
        fields
            .all("miscellaneous-field")
            .any(|field| field.attribute("name") == Some(PUSH_FIELD) && field.text.trim() == PUSH_ONLY)
    })
}

fn title_of(score: &Element, other: &str) -> String {
    let work = score.child("work").and_then(|work| work.text_of("work-title"));
    let title = work.or_else(|| score.text_of("movement-title")).unwrap_or(other).trim();
    let title: String = title.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(200).collect();
    if title.is_empty() { "Untitled".to_owned() } else { title }
}

/// Who wrote it, and under which terms.
fn notes(score: &Element) -> Vec<String> {
    let Some(about) = score.child("identification") else { return Vec::new() };
    let credit = |element: &Element| {
        let kind = element.attribute("type").unwrap_or("author");
        let mut letters = kind.chars();
        let kind: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
        let name = element.text.split_whitespace().collect::<Vec<_>>().join(" ");
        (!name.is_empty()).then(|| format!("{kind}: {name}"))
    };
    let creators = about.all("creator").filter_map(credit);
    let rights = about.text_of("rights").map(|rights| format!("Rights: {rights}"));
    creators.chain(rights).take(20).collect()
}
