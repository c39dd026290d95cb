//! What a row of the chart is read in.

use crate::play::resolve;
use crate::{Beat, ChartBar, Meter, Song};
use theory::{Key, Letter, Mode, NoteName};

/// What a row is read in: key and meter, and what stands before it.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The key of its numbers.
    pub key: Key,
    /// The meter in force.
    pub meter: Meter,
    /// In 6/8 and its like eighths are counted.
    pub count_eighths: bool,
    /// The written bar before it in its section, that a `%` in front would repeat.
    pub before: Option<ChartBar>,
    /// Chords of the song as they are written, the most frequent first; they are offered first.
    pub used: Vec<String>,
}

impl Default for Row {
    /// The first row of a section in C major and 4/4.
    fn default() -> Self {
        let c = Key::new(NoteName::new(Letter::C, 0), Mode::Major).expect("C major has a key signature");
        Row {
            key: c,
            meter: Meter::new(4, 4).expect("4/4 is a meter"),
            count_eighths: false,
            before: None,
            used: Vec::new(),
        }
    }
}

impl Row {
    /// A row of a song; nothing if there is no such section. Behind the last row it is a new one.
    pub fn of(song: &Song, section: usize, row: usize) -> Option<Row> {
        song.sections.get(section)?;
        let resolved = resolve(song, section);
        let rows = song.rows(section);
        let before = rows[..row.min(rows.len())].iter().flat_map(|row| &row.bars).next_back();
        Some(Row {
            key: resolved.key,
            meter: resolved.meter,
            count_eighths: resolved.count_eighths,
            before: before.cloned(),
            used: used(song),
        })
    }

    /// What is counted in a bar.
    pub(super) fn beat(&self, own: Option<Meter>) -> (Meter, Beat) {
        let meter = own.unwrap_or(self.meter);
        (meter, meter.beat(self.count_eighths))
    }
}

/// The chords of a song, the most frequent first.
fn used(song: &Song) -> Vec<String> {
    let bars = song.sections.iter().flat_map(|section| &section.rows).flat_map(|row| &row.bars);
    let mut counts: std::collections::BTreeMap<&str, usize> = std::collections::BTreeMap::new();
    for item in bars.flat_map(|bar| bar.items()) {
        if let crate::ItemKind::Chord { symbol, .. } = &item.kind {
            *counts.entry(symbol).or_default() += 1;
        }
    }
    let mut all: Vec<(&str, usize)> = counts.into_iter().collect();
    all.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    all.into_iter().map(|(symbol, _)| symbol.to_string()).collect()
}

/// The text of a row of a song file, escapes undone.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "bars": ["1 |  4"] } ] }"#;
/// let song = song::read(text).song.unwrap();
/// assert_eq!(song::typing::row_text(text, &song.sections[0].rows[0]), "1 |  4");
/// ```
pub fn row_text(file: &str, row: &crate::Row) -> String {
    let raw = file.get(row.span.0..row.span.1).unwrap_or_default();
    serde_json::from_str(raw).unwrap_or_else(|_| raw.trim_matches('"').to_owned())
}

/// The place in the text of a row that a place in the file stands for, both in bytes.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "bars": ["\u0031 |  9"] } ] }"#;
/// let reading = song::read(text);
/// let row = &reading.song.unwrap().sections[0].rows[0];
/// assert_eq!(song::typing::row_place(text, row, reading.diagnostics[0].span.0), 5);
/// ```
pub fn row_place(file: &str, row: &crate::Row, at: usize) -> usize {
    let begun = file.get(row.span.0 + 1..at).unwrap_or_default();
    serde_json::from_str::<String>(&format!("\"{begun}\"")).map_or(begun.len(), |text| text.len())
}
