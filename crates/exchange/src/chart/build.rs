//! The song of a sheet.

use super::bar::{ChartBar, chart_bar};
use super::blocks::{Blocks, blocks};
use super::{Figures, Imported, Sheet, SheetBar};
use crate::ExchangeError;
use song::file::{self, Selector};
use song::{Feel, Meter, limits};
use std::ops::Range;

/// Beats a minute of a song that names none.
const USUAL_TEMPO: f64 = 90.0;
/// Bars in a printed row.
const BARS_IN_ROW: usize = 4;
/// So many bars of a section have notes of their own; what is beyond stands in the section's note.
const NOTED_BARS: usize = 100;

/// Puts a sheet into numbers.
pub(crate) fn imported(sheet: &Sheet) -> Result<Imported, ExchangeError> {
    let first = sheet.order.first().and_then(|first| sheet.bars.get(*first));
    let first = first.ok_or_else(|| ExchangeError::NoSong("there is no bar in it".to_owned()))?;
    let mut told = sheet.told.clone();
    let tempo = sheet.bars.iter().find_map(|bar| bar.tempo);
    let beats = tempo.map(|tempo| beats_a_minute(tempo, first.meter, &mut told)).unwrap_or_else(|| {
        told.push(format!("no tempo is named: {USUAL_TEMPO} was put in"));
        USUAL_TEMPO
    });
    let blocks = blocks(sheet);
    let sounding = sounding(sheet, &blocks);
    let whole = Whole { key: first.key, meter: first.meter, tempo, feel: first.feel };
    let mut figures = Figures {
        bars: sheet.bars.len(),
        bars_played: sheet.order.len(),
        chords: sheet.bars.iter().flat_map(|bar| &bar.harmony).filter(|(_, s)| s.chord.is_some()).count(),
        ..Figures::default()
    };
    let mut sections = Vec::new();
    for ((range, name), sounds) in blocks.bars.iter().zip(&blocks.names).zip(sounding) {
        let bars = chart_bars(&sheet.bars[range.clone()], sounds);
        count(&sheet.bars[range.clone()], &bars, &mut figures);
        sections.push(section(sheet, range, name, &bars, &whole, &mut told));
    }
    let order = passes(&mut sections, &blocks.order);
    let mut notes = sheet.notes.clone();
    notes.extend(sheet.told.iter().cloned());
    let song = file::Song {
        format: limits::FORMAT,
        title: sheet.title.clone(),
        note: (!notes.is_empty()).then(|| notes.join("\n")),
        key: first.key.to_string(),
        tempo: beats,
        meter: Some(first.meter.to_string()),
        feel: (first.feel == Feel::Swing).then_some(file::Feel::Swing),
        sections,
        order,
        ..file::Song::default()
    };
    let reading = song::read(&song.to_text());
    match reading.diagnostics.into_iter().find(song::Diagnostic::is_error) {
        Some(mistake) => Err(ExchangeError::NoSong(mistake.message)),
        None => Ok(Imported { song, told, figures }),
    }
}

/// What holds for the whole song.
struct Whole {
    key: theory::Key,
    meter: Meter,
    tempo: Option<f64>,
    feel: Feel,
}

/// Quarters a minute as beats of a meter, within what a song may have.
fn beats_a_minute(quarters: f64, meter: Meter, told: &mut Vec<String>) -> f64 {
    let beats = quarters / meter.beat(false).length.to_f64();
    let beats = (beats * 1e6).round() / 1e6;
    let within = beats.clamp(*limits::TEMPO.start(), *limits::TEMPO.end());
    if within != beats {
        told.push(format!("a tempo of {beats} beats a minute: {within} was put in"));
    }
    within
}

/// Whether something sounds as each block begins, wherever it comes: only then may it go on there.
fn sounding(sheet: &Sheet, blocks: &Blocks) -> Vec<bool> {
    let after = |block: &Range<usize>| {
        let symbols = sheet.bars[block.clone()].iter().flat_map(|bar| &bar.harmony);
        symbols.last().map(|(_, symbol)| symbol.chord.is_some())
    };
    let after: Vec<Option<bool>> = blocks.bars.iter().map(after).collect();
    let mut sounds = vec![true; blocks.bars.len()];
    // A block that turns silent may silence those behind it, and so on.
    for _ in 0..=blocks.bars.len().min(1000) {
        let before = sounds.clone();
        let mut now = false;
        for &block in &blocks.order {
            sounds[block] &= now;
            now = after[block].unwrap_or(sounds[block]);
        }
        if sounds == before {
            break;
        }
    }
    sounds
}

fn chart_bars(bars: &[SheetBar], sounds: bool) -> Vec<ChartBar> {
    let mut sounds = sounds;
    let chart = |bar: &SheetBar| {
        let chart = chart_bar(bar, sounds);
        sounds = bar.harmony.last().map_or(sounds, |(_, symbol)| symbol.chord.is_some());
        chart
    };
    bars.iter().map(chart).collect()
}

fn count(bars: &[SheetBar], charts: &[ChartBar], figures: &mut Figures) {
    figures.moved += charts.iter().map(|chart| chart.moved).sum::<usize>();
    let symbols = bars.iter().flat_map(|bar| &bar.harmony);
    figures.simplified += symbols.filter(|(_, symbol)| symbol.unsaid.is_some()).count();
}

fn section(
    sheet: &Sheet,
    range: &Range<usize>,
    name: &str,
    charts: &[ChartBar],
    whole: &Whole,
    told: &mut Vec<String>,
) -> file::Section {
    let bars = &sheet.bars[range.clone()];
    let meter = bars[0].meter;
    let written: Vec<String> = charts
        .iter()
        .map(|chart| {
            if chart.meter == meter { chart.text.clone() } else { format!("{}: {}", chart.meter, chart.text) }
        })
        .collect();
    let mut except = Vec::new();
    let mut beyond = Vec::new();
    for (at, (bar, chart)) in bars.iter().zip(charts).enumerate() {
        let place = range.start + at + 1;
        told.extend(chart.told.iter().chain(&bar.words).map(|what| format!("bar {place}: {what}")));
        let notes: Vec<&str> = bar.words.iter().chain(&chart.told).map(String::as_str).collect();
        match (notes.is_empty(), except.len() < NOTED_BARS) {
            (true, _) => {}
            (false, true) => except.push(note(at, notes.join("\n"))),
            (false, false) => beyond.push(format!("bar {}: {}", at + 1, notes.join("; "))),
        }
    }
    let tempo = bars[0].tempo.filter(|tempo| Some(*tempo) != whole.tempo);
    file::Section {
        name: name.to_owned(),
        bars: Some(rows(&written)),
        key: (bars[0].key != whole.key).then(|| bars[0].key.to_string()),
        meter: (meter != whole.meter).then(|| meter.to_string()),
        tempo: tempo.map(|tempo| beats_a_minute(tempo, meter, told)),
        feel: (bars[0].feel != whole.feel).then_some(match bars[0].feel {
            Feel::Swing => file::Feel::Swing,
            Feel::Straight => file::Feel::Straight,
        }),
        except: (!except.is_empty()).then_some(except),
        note: (!beyond.is_empty()).then(|| beyond.join("\n")),
        ..file::Section::default()
    }
}

fn note(bar: usize, note: String) -> file::Exception {
    file::Exception {
        pass: None,
        bar: Selector::Number(bar as u32 + 1),
        beat: None,
        bars: None,
        replaces: None,
        right: None,
        left: None,
        note: Some(note),
        cue: None,
    }
}

fn rows(bars: &[String]) -> Vec<String> {
    bars.chunks(BARS_IN_ROW).map(|row| row.join(" | ")).collect()
}

/// A section that is always played so many times in a row has passes; the order, unless it is as written.
fn passes(sections: &mut [file::Section], order: &[usize]) -> Option<Vec<String>> {
    let mut runs: Vec<(usize, u32)> = Vec::new();
    for &section in order {
        match runs.last_mut().filter(|run| run.0 == section) {
            Some(run) => run.1 += 1,
            None => runs.push((section, 1)),
        }
    }
    let same = |section: usize| {
        let mut counts = runs.iter().filter(|run| run.0 == section).map(|run| run.1);
        let first = counts.next().unwrap_or(1);
        (counts.all(|count| count == first) && limits::PASSES.contains(&first)).then_some(first)
    };
    let counts: Vec<Option<u32>> = (0..sections.len()).map(same).collect();
    for (section, count) in sections.iter_mut().zip(&counts) {
        section.passes = count.filter(|count| *count > 1);
    }
    let places = runs.iter().flat_map(|&(section, count)| {
        let times = if counts[section].is_some() { 1 } else { count };
        std::iter::repeat_n(section, times as usize)
    });
    let places: Vec<usize> = places.collect();
    let as_written = places.iter().copied().eq(0..sections.len());
    (!as_written).then(|| places.iter().map(|at| sections[*at].name.clone()).collect())
}
