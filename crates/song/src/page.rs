//! The song as written, as a chart page draws it.

use crate::play::resolve;
use crate::{Meter, Row, Song};
use theory::Key;

/// A section of the page. [`crate::PlayedBar`] finds its place on it by `section`, `row` and `written_bar`.
#[derive(Clone, Debug, PartialEq)]
pub struct PageSection<'a> {
    /// Its name.
    pub name: &'a str,
    /// Free text.
    pub note: Option<&'a str>,
    /// Words to listen for.
    pub cue: Option<&'a str>,
    /// The section that it takes its bars from, if they are not its own.
    pub like: Option<&'a str>,
    /// How often it is played at each place of the order.
    pub passes: u32,
    /// The key its numbers are read in.
    pub key: Key,
    /// Its meter.
    pub meter: Meter,
    /// The eighth is counted in 6/8 and its like.
    pub count_eighths: bool,
    /// Beats a minute of its meter.
    pub beats_per_minute: f64,
    /// Its printed rows.
    pub rows: &'a [Row],
}

impl Song {
    /// All sections as written, whether they are played or not; `PlayedBar::section` indexes them.
    ///
    /// ```
    /// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
    ///   "sections": [ { "name": "Intro", "bars": ["1 | 4", "3/4: 1.. 5."] } ] }"#;
    /// let song = song::read(text).sound().unwrap();
    /// let page = song.page();
    /// assert_eq!(page[0].rows.len(), 2);
    /// assert_eq!(page[0].rows[1].bars[0].to_string(), "3/4: 1.. 5.");
    /// ```
    pub fn page(&self) -> Vec<PageSection<'_>> {
        (0..self.sections.len()).map(|index| self.page_section(index)).collect()
    }

    fn page_section(&self, index: usize) -> PageSection<'_> {
        let section = &self.sections[index];
        let resolved = resolve(self, index);
        let cue = self.lineage(index).into_iter().rev().find_map(|from| self.sections[from].cue.as_deref());
        PageSection {
            name: &section.name,
            note: section.note.as_deref(),
            cue,
            like: section.like.map(|like| self.sections[like.value].name.as_str()),
            passes: resolved.passes,
            key: resolved.key,
            meter: resolved.meter,
            count_eighths: resolved.count_eighths,
            beats_per_minute: resolved.quarters_per_minute
                / resolved.meter.beat(resolved.count_eighths).length.to_f64(),
            rows: self.rows(index),
        }
    }
}
