//! A MIDI file with chords in its words, as a song in numbers.

use super::bars::bars;
use super::file::MidiFile;
use super::outline::{Outline, WordKind, Words};
use super::part::MARK;
use super::tempo_map::TempoMap;
use crate::ExchangeError;
use crate::chart::{Coach, Imported, Sheet, SheetBar, Symbol, imported};
use midly::Timing;
use midly::num::u15;
use song::letters::{self, LetterChord, propose_key};
use song::{Feel, Meter, Quarters};
use std::collections::BTreeMap;
use theory::Key;

/// A word is a chord if it is meant as one: so many of all words of its kind on its track must be.
const SHARE: f64 = 0.6;
/// Chords that were played in lie near their beats: so many quarters are put right.
const NEAR: f64 = 0.07;
/// More tempi than this follow a player; then the first holds.
pub(super) const MOST_TEMPI: usize = 24;

/// The chords that stand in a MIDI file as texts, markers, lyrics or cues, as a song; `None` if there are none. `title` is
/// used where the first track has no name.
///
/// # Errors
/// If no song can be made of them.
pub fn chart(file: &MidiFile, title: &str) -> Option<Result<Imported, ExchangeError>> {
    let outline = &file.outline;
    let chords = chords(&outline.words);
    if chords.is_empty() {
        return None;
    }
    Some(sheet(file, &chords, title).and_then(|sheet| imported(&sheet)))
}

/// A chord at a tick, or none, with what is not certain about it.
struct ChordAt {
    tick: u64,
    symbol: Symbol,
}

/// The words that are chords: of the tracks and kinds of which most are.
fn chords(words: &[Words]) -> Vec<ChordAt> {
    let mut groups: BTreeMap<(WordKind, usize), (usize, Vec<ChordAt>)> = BTreeMap::new();
    for word in words.iter().filter(|word| !word.text.starts_with(MARK)) {
        let group = groups.entry((word.kind, word.track)).or_default();
        group.0 += 1;
        if let Ok(reading) = letters::read(&word.text) {
            let symbol = Symbol { chord: reading.chord, unsaid: reading.unsure, ..Symbol::default() };
            group.1.push(ChordAt { tick: word.tick, symbol });
        }
    }
    let meant = |(all, chords): &(usize, Vec<ChordAt>)| {
        chords.len() as f64 >= SHARE * *all as f64 && !chords.is_empty()
    };
    let best = groups.into_values().filter(meant).max_by_key(|(_, chords)| chords.len());
    best.map(|(_, chords)| chords)
        .filter(|chords| chords.iter().any(|c| c.symbol.chord.is_some()))
        .unwrap_or_default()
}

/// A stretch of ticks that is a bar.
pub(super) struct Bar {
    pub from: u64,
    pub to: u64,
    pub meter: Meter,
}

fn sheet(file: &MidiFile, chords: &[ChordAt], title: &str) -> Result<Sheet, ExchangeError> {
    let outline = &file.outline;
    let mut told = Vec::new();
    if !file.notes.is_empty() {
        told.push("the notes of the file are not kept: a chart holds chords".to_owned());
    }
    let lead = lead(&outline.words);
    let last = chords.last().map_or(0, |chord| chord.tick).max(outline.last_tick.saturating_sub(1));
    let mut all = bar_spans(outline, last)?;
    all.retain(|bar| bar.from >= lead);
    let keys = keys(outline, chords, &mut told);
    let follows = changes(&outline.tempos) > MOST_TEMPI;
    if follows {
        told.push("the tempo follows a player: only the first is kept".to_owned());
    }
    let per_quarter = i64::from(outline.ticks_per_quarter.max(1));
    let mut bars: Vec<SheetBar> = all
        .iter()
        .map(|bar| SheetBar {
            length: Quarters::new((bar.to - bar.from) as i64, per_quarter),
            meter: bar.meter,
            key: held(&keys, bar.from).unwrap_or(keys[0].1),
            tempo: tempo(&outline.tempos, if follows { 0 } else { bar.from }),
            feel: Feel::Straight,
            harmony: Vec::new(),
            section: None,
            ending: None,
            words: Vec::new(),
            noted: 0,
            coach: Coach::default(),
        })
        .collect();
    for chord in chords {
        let (bar, at) = place(&all, chord.tick, per_quarter);
        if let Some(bar) = bars.get_mut(bar) {
            bar.harmony.push((at, chord.symbol.clone()));
        }
    }
    name_sections(outline, &all, &mut bars, per_quarter);
    let order = (0..bars.len()).collect();
    Ok(Sheet { title: title_of(file, title), bars, order, told, ..Sheet::default() })
}

/// The bars up to that of a tick.
pub(super) fn bar_spans(outline: &Outline, last: u64) -> Result<Vec<Bar>, ExchangeError> {
    let division = u15::new(u16::try_from(outline.ticks_per_quarter.min(32_767)).unwrap_or(480));
    let map = TempoMap::new(Timing::Metrical(division), &[]).ok_or(ExchangeError::NoDivision)?;
    let starts: Vec<u64> = bars(&map, &outline.meters, last)?.iter().map(|bar| bar.0).collect();
    let mut meter = Meter::new(4, 4).expect("4/4 is a meter");
    let bar = |(index, from): (usize, &u64)| {
        let held = outline.meters.iter().rev().find(|own| own.0 <= *from);
        let written = held.and_then(|own| Meter::new(own.1, 1u8.checked_shl(own.2.into())?));
        meter = written.unwrap_or(meter);
        let length = meter.length().to_f64() * f64::from(outline.ticks_per_quarter);
        let to = starts.get(index + 1).copied().unwrap_or(from + (length.round() as u64).max(1));
        Bar { from: *from, to, meter }
    };
    Ok(starts.iter().enumerate().map(bar).collect())
}

/// The ticks that a file of ours puts before its first bar, so that a push can be heard.
fn lead(words: &[Words]) -> u64 {
    let said = words.iter().find_map(|word| word.text.strip_prefix(MARK));
    said.and_then(|lead| lead.parse().ok()).unwrap_or(0)
}

/// The keys from their ticks on, at least one: that which the chords suggest where none is named.
fn keys(outline: &Outline, chords: &[ChordAt], told: &mut Vec<String>) -> Vec<(u64, Key)> {
    if !outline.keys.is_empty() {
        return outline.keys.clone();
    }
    let letters: Vec<LetterChord> = chords.iter().filter_map(|chord| chord.symbol.chord).collect();
    let guess = propose_key(&letters)[0].key;
    told.push(format!("no key is named: the chords suggest {guess}"));
    vec![(0, guess)]
}

pub(super) fn held<T: Copy>(changes: &[(u64, T)], tick: u64) -> Option<T> {
    let after = changes.partition_point(|change| change.0 <= tick);
    changes[..after].last().map(|change| change.1)
}

pub(super) fn tempo(tempos: &[(u64, u32)], tick: u64) -> Option<f64> {
    let micros = held(tempos, tick).or(tempos.first().map(|first| first.1))?;
    // Files have whole microseconds: a tempo that was a whole number, or had one or two places, is that again.
    let exact = 60_000_000.0 / f64::from(micros.max(1));
    let rounded = [1.0, 10.0, 100.0].map(|places| (exact * places).round() / places);
    let same = |tempo: &&f64| (60_000_000.0 / **tempo).round() as u32 == micros;
    Some(rounded.iter().find(same).copied().unwrap_or(exact))
}

pub(super) fn changes(tempos: &[(u64, u32)]) -> usize {
    tempos.windows(2).filter(|pair| pair[0].1 != pair[1].1).count()
}

/// The bar of a tick and the place in it; what lies near a beat or a half is put there.
fn place(bars: &[Bar], tick: u64, per_quarter: i64) -> (usize, Quarters) {
    let bar = bars.partition_point(|bar| bar.from <= tick).saturating_sub(1);
    let Some(own) = bars.get(bar) else { return (bar, Quarters::ZERO) };
    let at = Quarters::new(tick.saturating_sub(own.from) as i64, per_quarter);
    let half = Quarters::EIGHTH;
    let near = half.times((at.to_f64() * 2.0).round() as i64);
    let at = if (near.to_f64() - at.to_f64()).abs() <= NEAR { near } else { at };
    let length = Quarters::new((own.to - own.from) as i64, per_quarter);
    if at >= length && bar + 1 < bars.len() { (bar + 1, Quarters::ZERO) } else { (bar, at) }
}

/// Markers that are no chords are sections.
fn name_sections(outline: &Outline, spans: &[Bar], bars: &mut [SheetBar], per_quarter: i64) {
    let is_name = |word: &&Words| word.kind == WordKind::Marker && letters::read(&word.text).is_err();
    for word in outline.words.iter().filter(is_name) {
        let (bar, _) = place(spans, word.tick, per_quarter);
        if let Some(bar) = bars.get_mut(bar) {
            match &bar.section {
                None => bar.section = Some(word.text.chars().take(60).collect()),
                Some(_) => bar.words.push(word.text.clone()),
            }
        }
    }
}

pub(super) fn title_of(file: &MidiFile, other: &str) -> String {
    let first = file.track_names.first().map_or("", |name| name.trim());
    let usual = ["", "conductor", "tempo", "track 1", "piano"];
    let title = if usual.contains(&first.to_lowercase().as_str()) || file.track_names.len() < 2 {
        other
    } else {
        first
    };
    let title: String = title.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(200).collect();
    if title.is_empty() { "Untitled".to_owned() } else { title }
}
