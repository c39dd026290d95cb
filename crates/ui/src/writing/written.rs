//! The song as written, with the text of its rows and what is to be said about them.

use song::typing::{self, Mark};
use song::{Diagnostic, PlayedBar, PlayedSong, Song};

/// A song being written: its text and what was read from it. Made anew whenever the text changed.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "sections": [
///   { "name": "Verse", "bars": ["1 | 4maj7", "5 | 1"] } ] }"#;
/// let writing = ui::Writing::of(text).unwrap();
/// assert_eq!(writing.rows[0][1].text, "5 | 1");
/// assert_eq!(writing.rows[0][1].first, 2);
/// assert_eq!(writing.rows[0][0].marks[0].span, (4, 9));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Writing {
    /// The text of the file.
    pub text: String,
    /// The song as written; what is wrong in it is left out as well as that goes.
    pub song: Song,
    /// Each section once, as written, with all its passes.
    pub played: PlayedSong,
    /// Each section once, as written, whatever some passes play.
    pub written: PlayedSong,
    /// For each section its own rows; none if it is like another.
    pub rows: Vec<Vec<WrittenRow>>,
    /// Mistakes and warnings that stand in no row.
    pub elsewhere: Vec<Diagnostic>,
    /// The text of the bars that were copied last.
    pub clip: Option<String>,
    /// The chart that was pasted last, until its key is confirmed.
    pub pasted: Option<PastedChart>,
    /// What is to be said, in a sentence.
    pub told: Option<String>,
}

/// A chart by letter that was pasted.
#[derive(Clone, Debug, PartialEq)]
pub struct PastedChart {
    /// The key it was read in.
    pub key: theory::Key,
    /// The keys that its chords suggest, that one first.
    pub keys: Vec<theory::Key>,
    /// What is not certain in it.
    pub doubts: Vec<song::paste::Doubt>,
    /// The section that its first one became.
    pub begin: usize,
}

impl PastedChart {
    /// What is not certain about a bar of the song, from 0; what is about a whole row is told at its first bar.
    pub fn doubts_at(&self, section: usize, bar: u32) -> Vec<&str> {
        let here = |doubt: &&song::paste::Doubt| {
            doubt.place.as_ref().is_some_and(|place| {
                let here = place.bars.is_some_and(|(from, _)| from == bar);
                place.section + self.begin == section && here
            })
        };
        self.doubts.iter().filter(here).map(|doubt| doubt.message.as_str()).collect()
    }
}

/// A row of the chart as it was typed.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenRow {
    /// Its text.
    pub text: String,
    /// Its mistakes and warnings.
    pub marks: Vec<Mark>,
    /// Its first bar in the section, from 0.
    pub first: u32,
    /// How many bars it has.
    pub bars: u32,
}

impl Writing {
    /// What a text holds; nothing if no song can be read from it at all.
    pub fn of(text: &str) -> Option<Writing> {
        let song::Reading { song, diagnostics } = song::read(text);
        let song = song?;
        let mut each = song.clone();
        each.order = None;
        let played = each.play();
        for section in &mut each.sections {
            section.exceptions.clear();
            section.passes = Some(1);
        }
        let written = each.play();
        let rows = (0..song.sections.len()).map(|section| rows(text, &song, section, &diagnostics)).collect();
        let in_rows = |diagnostic: &Diagnostic| {
            let rows = song.sections.iter().flat_map(|section| &section.rows);
            let at = diagnostic.span.0;
            rows.into_iter().any(|row| (row.span.0..row.span.1).contains(&at))
        };
        let elsewhere = diagnostics.into_iter().filter(|diagnostic| !in_rows(diagnostic)).collect();
        Some(Writing {
            text: text.to_owned(),
            song,
            played,
            written,
            rows,
            elsewhere,
            clip: None,
            pasted: None,
            told: None,
        })
    }

    /// The row of a section that a bar stands in, by their numbers.
    pub fn row_of(&self, section: usize, bar: u32) -> Option<usize> {
        let rows = self.rows.get(self.source(section)?)?;
        rows.iter().position(|row| (row.first..row.first + row.bars).contains(&bar))
    }

    /// The section whose rows a section plays.
    pub fn source(&self, section: usize) -> Option<usize> {
        (section < self.song.sections.len()).then(|| self.song.source_of(section))
    }

    /// The bars of one pass of a section, from 1, as they are played.
    pub fn pass(&self, section: usize, pass: u32) -> impl Iterator<Item = &PlayedBar> {
        self.played.bars.iter().filter(move |bar| bar.section == section && bar.pass == pass)
    }

    /// The bars of a section as they are written.
    pub fn as_written(&self, section: usize) -> impl Iterator<Item = &PlayedBar> {
        self.written.bars.iter().filter(move |bar| bar.section == section)
    }

    /// The passes in which a bar is not what it is in others, and what it is there: its chords, or what else differs.
    /// Passes that differ alike stand together.
    ///
    /// ```
    /// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "sections": [
    ///   { "name": "Verse", "passes": 4, "bars": ["1 | 4"], "except": [
    ///     { "pass": "3-4", "bar": 2, "bars": "6" }, { "pass": 2, "bar": 2, "right": { "notes": 2 } } ] } ] }"#;
    /// let writing = ui::Writing::of(text).unwrap();
    /// assert_eq!(writing.differs(0, 1), [(vec![2], "right hand".to_owned()), (vec![3, 4], "6".to_owned())]);
    /// assert_eq!(writing.differs(0, 0), []);
    /// ```
    pub fn differs(&self, section: usize, bar: u32) -> Vec<(Vec<u32>, String)> {
        let mut all: Vec<(Vec<u32>, String)> = Vec::new();
        let there = |played: &&PlayedBar| {
            played.section == section
                && played.written_bar.or(played.in_place_of) == Some(bar)
                && played.unlike.is_anything()
        };
        for played in self.played.bars.iter().filter(there) {
            let what = if played.unlike.chords { played.text.clone() } else { played.unlike.to_string() };
            match all.iter_mut().find(|(_, other)| *other == what) {
                Some((passes, _)) if passes.contains(&played.pass) => {}
                Some((passes, _)) => passes.push(played.pass),
                None => all.push((vec![played.pass], what)),
            }
        }
        all
    }

    /// The text of a bar, if it is the section's own.
    pub fn bar_text(&self, section: usize, bar: u32) -> Option<String> {
        let row =
            self.rows.get(section)?.iter().find(|row| (row.first..row.first + row.bars).contains(&bar))?;
        row.text.split('|').nth((bar - row.first) as usize).map(|text| text.trim().to_owned())
    }

    /// How often a section is played at each of its places.
    pub fn passes(&self, section: usize) -> u32 {
        let lineage = self.song.lineage(section);
        lineage.iter().rev().find_map(|from| self.song.sections[*from].passes).unwrap_or(1)
    }
}

fn rows(text: &str, song: &Song, section: usize, told: &[Diagnostic]) -> Vec<WrittenRow> {
    let mut first = 0;
    let rows = song.sections[section].rows.iter().enumerate().map(|(number, row)| {
        let typed = typing::row_text(text, row);
        let marks = typing::Row::of(song, section, number).map(|of| typing::marks(&typed, &of));
        let mut marks = marks.unwrap_or_default();
        also_told(&mut marks, text, row, told);
        let bars = typed.split('|').count() as u32;
        let written = WrittenRow { text: typed, marks, first, bars };
        first += bars;
        written
    });
    rows.collect()
}

/// What only the whole song shows to be wrong in a row, such as a tie with nothing before its section.
fn also_told(marks: &mut Vec<Mark>, text: &str, row: &song::Row, told: &[Diagnostic]) {
    let from = told.partition_point(|told| told.span.0 < row.span.0);
    for told in told[from..].iter().take_while(|told| told.span.0 < row.span.1) {
        let place = |at| typing::row_place(text, row, at);
        let span = (place(told.span.0), place(told.span.1.min(row.span.1.saturating_sub(1))));
        let known =
            |mark: &Mark| mark.severity == told.severity && mark.span.0 <= span.1 && span.0 <= mark.span.1;
        if !marks.iter().any(known) {
            let hint = told.hint.clone().unwrap_or_default();
            let (severity, message) = (told.severity, told.message.clone());
            marks.push(Mark { severity, span, message, hint, instead: None });
        }
    }
    marks.sort_by_key(|mark| (mark.span, mark.severity));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_only_the_whole_song_shows_is_marked_in_its_row() {
        let text = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "sections": [
          { "name": "Intro", "bars": ["~ | 9 | 1"] }, { "name": "Verse", "bars": ["~ | 1"] } ] }"#;
        let writing = Writing::of(text).unwrap();
        let told: Vec<(&str, (usize, usize))> =
            writing.rows[0][0].marks.iter().map(|mark| (mark.message.as_str(), mark.span)).collect();
        assert_eq!(told.len(), 2, "each once: {told:?}");
        assert_eq!(told[0].1, (0, 1));
        assert!(told[0].0.contains("nothing before this ~"), "{told:?}");
        assert_eq!(told[1].1, (4, 5));
        assert_eq!(writing.rows[1][0].marks, [], "here the intro goes on");
        // What stands in a row is told there, and nowhere else.
        assert_eq!(writing.elsewhere, []);
    }
}
