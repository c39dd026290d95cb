//! A score, plain or compressed, as a song in numbers.

use super::about::{field, notes, title_of};
use super::container;
use super::form::{Form, Played, playing_order};
use super::measure::{Measure, Measures};
use super::merge;
use super::own;
use super::tree::{self, Element};
use crate::ExchangeError;
use crate::chart::{Coach, Imported, Sheet, SheetBar, imported};
use song::letters::{LetterChord, propose_key};
use song::limits::BARS_PLAYED;
use song::{Feel, Meter, Quarters};
use std::collections::BTreeMap;
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
    let at = parts.iter().position(|part| chords(part) == most && most > 0);
    let mut part = parts.remove(at.ok_or(ExchangeError::NoChords)?);
    parts.iter().for_each(|other| merge::hear(&mut part.measures, &other.measures));
    imported(&sheet(&score, part, title)?)
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
        Some(part) => {
            let part = part_of(parts, part.attribute("id").unwrap_or_default())?;
            part.reader.ours = open.first().is_some_and(own::is_ours);
            part.add(measure)
        }
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
        let measure = self.reader.read(element);
        if let Some(before) = self.measures.last_mut() {
            before.form.backward = before.form.backward.or(measure.closes_before);
            before.form.ending_stops |= measure.ending_stops_before;
        }
        self.measures.push(measure);
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
        if let Some((_, chord)) = next.harmony.first_mut() {
            chord.push = !first.own.pushes.is_empty();
        }
    }
    repeat_bars(&mut measures);
    let ours = own::is_ours(score);
    if measures.iter().any(|measure| measure.has_notes) {
        let notes = match ours {
            true => "the notes of the hands are not kept: they are worked out anew from the chart",
            false if measures.iter().any(|measure| measure.has_lyrics) => {
                "the notes on the page, and what is sung to them, are not kept: a chart holds chords"
            }
            false => "the notes on the page are not kept: a chart holds chords",
        };
        told.insert(0, notes.to_owned());
    }
    let forms: Vec<Form> = measures.iter().map(|measure| measure.form.clone()).collect();
    let Played { order, told: doubts } = playing_order(&forms)?;
    told.extend(doubts);
    let key = first_key(&measures, &mut told);
    let meter = first_meter(&measures, &mut told);
    steady_tempo(&mut measures, &mut told);
    let words: Vec<_> = measures.iter_mut().map(|measure| std::mem::take(&mut measure.own)).collect();
    let mut bars = bars(measures, key, meter);
    own::mark(&mut bars, &words);
    for (bar, own) in bars.iter_mut().zip(&words) {
        let (coach, notes) = own.coach();
        bar.coach = coach;
        bar.words.extend(notes);
    }
    Ok(Sheet { title: title_of(score, title), notes: notes(score), bars, order, told, ours })
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

/// The meter of the page; where it names none, that of the length which most of its bars have.
fn first_meter(measures: &[Measure], told: &mut Vec<String>) -> Meter {
    let usual = Meter::new(4, 4).expect("4/4 is a meter");
    if let Some(meter) = measures.first().and_then(|first| first.meter) {
        return meter;
    }
    let mut counts: BTreeMap<Quarters, usize> = BTreeMap::new();
    for measure in measures.iter().filter(|measure| measure.filled > Quarters::ZERO) {
        *counts.entry(measure.filled).or_default() += 1;
    }
    let most = counts.into_iter().max_by_key(|count| count.1).map(|count| count.0);
    let of_length = |length: Quarters| {
        let quarters = (1..=12).filter_map(|upper| Meter::new(upper, 4));
        let eighths = (1..=24).filter_map(|upper| Meter::new(upper, 8));
        quarters.chain(eighths).find(|meter| meter.length() == length)
    };
    let meter = most.and_then(of_length).unwrap_or(usual);
    told.push(format!("no meter is named: {meter} was put in"));
    meter
}

/// More tempi than this follow a player, or a slowing that is written out for a machine; then the first holds.
const MOST_TEMPI: usize = 24;

fn steady_tempo(measures: &mut [Measure], told: &mut Vec<String>) {
    if measures.iter().filter(|measure| measure.tempo.is_some()).count() <= MOST_TEMPI {
        return;
    }
    let first = measures.iter().find_map(|measure| measure.tempo);
    measures.iter_mut().for_each(|measure| measure.tempo = None);
    measures[0].tempo = first;
    told.push("the tempo changes all the time: only the first is kept".to_owned());
}

fn bars(measures: Vec<Measure>, mut key: Key, mut meter: Meter) -> Vec<SheetBar> {
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
            noted: measure.noted,
            coach: Coach::default(),
        }
    };
    measures.into_iter().enumerate().map(bar).collect()
}

/// How long a measure is: as long as its notes, for pickups seldom say that they are; whole where it has none.
fn length(measure: &Measure, meter: Meter, at_end: bool) -> Quarters {
    let whole = meter.length();
    // Durations of tuplets that were cut off add up to less than a bar; it is whole all the same.
    let off = if measure.filled > whole { measure.filled - whole } else { whole - measure.filled };
    if (measure.rests && !measure.implicit) || off < Quarters::new(1, 24) {
        return whole;
    }
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
    field(score, PUSH_FIELD) == Some(PUSH_ONLY)
}
