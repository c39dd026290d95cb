//! The song of a sheet.

use super::bar::{ChartBar, Context, chart_bar, needs_eighths};
use super::blocks::{Blocks, blocks};
use super::fold::Song as Folded;
use super::{Figures, Imported, Sheet, SheetBar};
use crate::ExchangeError;
use song::file::{self, Selector};
use song::{Beat, Feel, Meter, limits};
use std::collections::HashSet;
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
    let beats =
        tempo.map(|tempo| beats_a_minute(tempo, first.meter.beat(false), &mut told)).unwrap_or_else(|| {
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
    let unplayed = unplayed(sheet);
    figures.noted += unplayed.iter().map(|(_, chords)| chords).sum::<usize>();
    figures.chords -= unplayed.iter().map(|(_, chords)| chords).sum::<usize>();
    told.extend(unplayed.iter().map(|(what, _)| what.clone()));
    let mut sections = Vec::new();
    for (range, sounds) in blocks.bars.iter().zip(sounding) {
        let eighths = sheet.bars[range.clone()].iter().any(needs_eighths);
        let bars = chart_bars(&sheet.bars[range.clone()], Context { sounds, eighths });
        count(&sheet.bars[range.clone()], &bars, &mut figures);
        sections.push(section(sheet, range, (&bars, eighths), &whole, &mut told));
    }
    let Folded { mut sections, order, .. } =
        Folded { sections, headings: blocks.headings, order: blocks.order }.folded();
    let order = passes(&mut sections, &order);
    let mut notes = sheet.notes.clone();
    notes.extend(unplayed.into_iter().map(|(what, _)| what));
    notes.extend(sheet.told.iter().filter(|_| !sheet.ours).cloned());
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

/// What is said of each bar that the signs of form never lead to, and how many chords it has.
fn unplayed(sheet: &Sheet) -> Vec<(String, usize)> {
    let played: HashSet<usize> = sheet.order.iter().copied().collect();
    let bars = sheet.bars.iter().enumerate().filter(|(at, _)| !played.contains(at));
    let said = |(at, bar): (usize, &SheetBar)| {
        let chords: Vec<String> =
            bar.harmony.iter().filter_map(|(_, symbol)| Some(symbol.chord?.to_string())).collect();
        let names = if chords.is_empty() { String::new() } else { format!(", with {}", chords.join(" ")) };
        let words = bar.words.iter().chain(&bar.coach.cue).map(|words| format!("; {words}"));
        (format!("bar {} is never played{names}{}", at + 1, words.collect::<String>()), chords.len())
    };
    bars.map(said).collect()
}

/// What holds for the whole song.
struct Whole {
    key: theory::Key,
    meter: Meter,
    tempo: Option<f64>,
    feel: Feel,
}

/// Quarters a minute as beats, within what a song may have.
fn beats_a_minute(quarters: f64, beat: Beat, told: &mut Vec<String>) -> f64 {
    let beats = quarters / beat.length.to_f64();
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

fn chart_bars(bars: &[SheetBar], mut context: Context) -> Vec<ChartBar> {
    let chart = |bar: &SheetBar| {
        let chart = chart_bar(bar, context);
        context.sounds = bar.harmony.last().map_or(context.sounds, |(_, symbol)| symbol.chord.is_some());
        chart
    };
    bars.iter().map(chart).collect()
}

fn count(bars: &[SheetBar], charts: &[ChartBar], figures: &mut Figures) {
    figures.moved += charts.iter().map(|chart| chart.moved).sum::<usize>();
    // What finds no beat is told, and is not in the chart.
    let left_out = charts.iter().map(|chart| chart.noted).sum::<usize>();
    figures.noted += left_out;
    figures.chords -= left_out;
    figures.noted += bars.iter().map(|bar| bar.noted).sum::<usize>();
    let symbols = bars.iter().flat_map(|bar| &bar.harmony);
    figures.simplified += symbols.filter(|(_, symbol)| symbol.unsaid.is_some()).count();
}

fn section(
    sheet: &Sheet,
    range: &Range<usize>,
    (charts, eighths): (&[ChartBar], bool),
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
        let words = bar.words.iter().filter(|_| !sheet.ours);
        told.extend(chart.told.iter().chain(words).map(|what| format!("bar {place}: {what}")));
        let notes: Vec<&str> = bar.words.iter().chain(&chart.told).map(String::as_str).collect();
        let cue = bar.coach.cue.clone();
        match (notes.is_empty() && cue.is_none(), except.len() < NOTED_BARS) {
            (true, _) => {}
            (false, true) => except.push(said(at, (!notes.is_empty()).then(|| notes.join("\n")), cue)),
            (false, false) => {
                let said: Vec<&str> = notes.into_iter().chain(cue.as_deref()).collect();
                beyond.push(format!("bar {}: {}", at + 1, said.join("; ")));
            }
        }
    }
    let coach = &bars[0].coach;
    let notes: Vec<String> = coach.section_note.iter().cloned().chain(beyond).collect();
    let tempo = bars[0].tempo.filter(|tempo| Some(*tempo) != whole.tempo);
    file::Section {
        bars: Some(rows(&written)),
        key: (bars[0].key != whole.key).then(|| bars[0].key.to_string()),
        meter: (meter != whole.meter).then(|| meter.to_string()),
        tempo: tempo.map(|tempo| beats_a_minute(tempo, meter.beat(eighths), told)),
        count: eighths.then_some(file::Count::Eighths),
        feel: (bars[0].feel != whole.feel).then_some(match bars[0].feel {
            Feel::Swing => file::Feel::Swing,
            Feel::Straight => file::Feel::Straight,
        }),
        except: (!except.is_empty()).then_some(except),
        note: (!notes.is_empty()).then(|| notes.join("\n")),
        cue: coach.section_cue.clone(),
        ..file::Section::default()
    }
}

/// An exception with words for a bar, from 0, in every pass.
pub(super) fn said(bar: usize, note: Option<String>, cue: Option<String>) -> file::Exception {
    file::Exception {
        pass: None,
        bar: Selector::Number(bar as u32 + 1),
        beat: None,
        bars: None,
        replaces: None,
        right: None,
        left: None,
        note,
        cue,
    }
}

pub(super) fn rows(bars: &[String]) -> Vec<String> {
    bars.chunks(BARS_IN_ROW).map(|row| row.join(" | ")).collect()
}

/// A section that is always played so many times in a row has passes, unless it has some already; the order, unless it is
/// as written.
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
    let free = |at: usize| if sections[at].passes.is_none() { same(at) } else { None };
    let counts: Vec<Option<u32>> = (0..sections.len()).map(free).collect();
    for (section, count) in sections.iter_mut().zip(&counts) {
        section.passes = section.passes.or(count.filter(|count| *count > 1));
    }
    let places = runs.iter().flat_map(|&(section, count)| {
        let times = if counts[section].is_some() { 1 } else { count };
        std::iter::repeat_n(section, times as usize)
    });
    let places: Vec<usize> = places.collect();
    let as_written = places.iter().copied().eq(0..sections.len());
    (!as_written).then(|| places.iter().map(|at| sections[*at].name.clone()).collect())
}
