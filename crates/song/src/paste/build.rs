//! Sections, order and notes put together.

use super::bars::{Reading, Row, Rows};
use super::doubt::Doubts;
use super::facts::Facts;
use super::line::{Kind, Line};
use super::settle::settle;
use crate::Span;
use crate::file;
use crate::limits::BARS_PLAYED;
use std::collections::HashMap;

/// A section as it stands in the text.
#[derive(Default)]
struct Part {
    name: String,
    passes: Option<u32>,
    rows: Vec<Row>,
    notes: Vec<String>,
    span: Span,
    /// It has a heading.
    headed: bool,
}

/// What a line of the text became.
#[derive(Clone, Debug)]
pub(super) struct Stands {
    pub line: Span,
    pub section: usize,
    /// A row of it; `None`: its heading.
    pub row: Option<usize>,
}

/// The song, and what became of its lines.
pub(super) fn song(
    lines: &[Line<'_>],
    facts: &Facts,
    reading: Reading,
    doubts: &mut Doubts,
) -> (file::Song, Vec<Stands>) {
    let mut notes = facts.kept.clone();
    let title = title(lines, facts, doubts);
    let parts = parts(lines, reading, &mut notes, doubts);
    let (sections, order, stands) = Sections::of(parts, &mut notes, doubts);
    let tempo = facts.tempo.map_or_else(
        || {
            doubts.add((0, 0), format!("no tempo is named: {USUAL_TEMPO} was put in"));
            USUAL_TEMPO
        },
        |tempo| tempo.beats_per_minute(),
    );
    let song = file::Song {
        format: crate::limits::FORMAT,
        title,
        note: joined(&notes),
        key: reading.key.to_string(),
        tempo,
        meter: facts.meter.map(|meter| meter.to_string()),
        sections,
        order,
        ..Default::default()
    };
    (song, stands)
}

/// Beats a minute of a song that names none.
const USUAL_TEMPO: f64 = 90.0;

fn title(lines: &[Line<'_>], facts: &Facts, doubts: &mut Doubts) -> String {
    let line = lines.iter().find(|line| line.kind == Kind::Title);
    if let Some(line) = line {
        doubts.add(line.span(), "this line was taken for the title");
    }
    let found = facts.title.clone().or(line.map(|line| line.text.trim().to_string()));
    found.unwrap_or_else(|| {
        doubts.add((0, 0), "no title is named");
        "Untitled".into()
    })
}

/// The text cut at its headings; without headings at empty lines.
fn parts(lines: &[Line<'_>], reading: Reading, notes: &mut Vec<String>, doubts: &mut Doubts) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    let mut gap = false;
    let mut at = 0;
    while at < lines.len() {
        // Rows of one section are read together, for a bar may repeat the one before.
        let end = lines[at + 1..]
            .iter()
            .position(|line| line.heading.is_some())
            .map_or(lines.len(), |n| at + 1 + n);
        let mut rows = Rows::new(reading, doubts);
        for line in &lines[at..end] {
            if let Some(heading) = &line.heading {
                let part = Part { name: heading.name.clone(), passes: heading.passes, ..Part::default() };
                parts.push(Part { span: line.span(), headed: true, ..part });
                if heading.unsure {
                    rows.doubts.add(line.span(), format!("“{}” was taken for a heading", heading.name));
                }
            }
            match &line.kind {
                Kind::Blank => gap |= line.heading.is_none(),
                Kind::Fact | Kind::Title => {}
                Kind::Words => {
                    if line.may_be_chords() {
                        let what = "this line may be chords: it was kept in the note as words";
                        rows.doubts.add(line.span(), what);
                    }
                    match parts.last_mut() {
                        Some(part) => part.notes.push(line.rest().to_string()),
                        None => notes.push(line.rest().to_string()),
                    }
                }
                Kind::Chords { unsure } => {
                    if parts.last().is_none_or(|part| !part.headed && gap && !part.rows.is_empty()) {
                        parts.push(Part { span: line.span(), ..Part::default() });
                        rows = Rows::new(reading, rows.doubts);
                    }
                    if *unsure {
                        rows.doubts.add(line.span(), "this row may be words: it was read as chords");
                    }
                    let row = rows.row(line);
                    let part = parts.last_mut().expect("one was made just before");
                    part.notes.extend(joined_words(&row.left).into_iter().chain(line.around.clone()));
                    if !row.bars.is_empty() {
                        part.rows.push(row);
                    }
                    gap = false;
                }
            }
        }
        at = end;
    }
    parts
}

/// Sections made so far, found by name and by what they hold.
#[derive(Default)]
struct Sections {
    all: Vec<file::Section>,
    by_name: HashMap<String, usize>,
    by_bars: HashMap<Vec<String>, usize>,
    /// By name without its number: Verse 2 is perhaps as Verse 1.
    by_family: HashMap<String, usize>,
    order: Vec<usize>,
    stands: Vec<Stands>,
}

impl Sections {
    fn of(
        parts: Vec<Part>,
        notes: &mut Vec<String>,
        doubts: &mut Doubts,
    ) -> (Vec<file::Section>, Option<Vec<String>>, Vec<Stands>) {
        let mut sections = Sections::default();
        for part in parts {
            sections.add(part, notes, doubts);
        }
        if sections.all.is_empty() {
            doubts.add((0, 0), "there are no chords in this text");
            sections.new_section("Part 1".into(), vec!["N".into()], None, None);
        }
        sections.within_limits(doubts);
        let names = sections.order.iter().map(|section| sections.all[*section].name.clone()).collect();
        let as_written = sections.order.iter().copied().eq(0..sections.all.len());
        (sections.all, (!as_written).then_some(names), sections.stands)
    }

    fn add(&mut self, part: Part, notes: &mut Vec<String>, doubts: &mut Doubts) {
        let (mut bars, passes) = part.written(doubts);
        if settle(&mut bars) {
            doubts.add(part.span, "where nothing sounds that could go on, a rest was put in");
        }
        let named = self.by_name.get(&part.name.to_lowercase()).copied().filter(|_| part.headed);
        if bars.is_empty() {
            return self.without_chords(part, named, notes, doubts);
        }
        let same = named.filter(|same| self.holds(*same, &bars) && self.all[*same].passes == passes);
        if let Some(same) = same {
            self.order.push(same);
            self.note(same, &part.notes);
            self.stands(&part, same);
            return;
        }
        let name = self.free_name(&part);
        if !part.headed {
            doubts.add(part.span, format!("there is no heading here: the section is called “{name}”"));
        } else if named.is_some() {
            doubts.add(
                part.span,
                format!("“{}” came before with other chords: this one is called “{name}”", part.name),
            );
        }
        let like = self.by_bars.get(&bars).map(|like| self.all[*like].name.clone());
        let section = self.new_section(name, bars, passes, like);
        self.note(section, &part.notes);
        self.stands(&part, section);
    }

    /// Remembers what became of the lines of a part.
    fn stands(&mut self, part: &Part, section: usize) {
        let mut row = 0;
        for written in &part.rows {
            self.stands.push(Stands { line: written.line, section, row: Some(row) });
            row += part.written_out(row, written.times);
        }
        self.stands.push(Stands { line: part.span, section, row: None });
    }

    /// A heading alone: the section again, or one that is likely alike.
    fn without_chords(
        &mut self,
        part: Part,
        named: Option<usize>,
        notes: &mut Vec<String>,
        doubts: &mut Doubts,
    ) {
        if let Some(same) = named {
            if part.passes.is_some() && part.passes != self.all[same].passes {
                doubts.add(
                    part.span,
                    "this section is played another number of times here: look at its passes",
                );
            }
            self.order.push(same);
            self.note(same, &part.notes);
            self.stands.push(Stands { line: part.span, section: same, row: None });
        } else if let Some(like) = self.by_family.get(&family(&part.name)).copied() {
            let other = self.all[like].name.clone();
            doubts.add(part.span, format!("no chords stand here: it was made like “{other}”"));
            let section = self.new_section(part.name, Vec::new(), part.passes, Some(other));
            self.note(section, &part.notes);
            self.stands.push(Stands { line: part.span, section, row: None });
        } else {
            doubts.add(part.span, "no chords stand under this heading: it is kept in the song's note");
            notes.push(part.name);
            notes.extend(part.notes);
        }
    }

    fn new_section(
        &mut self,
        name: String,
        bars: Vec<String>,
        passes: Option<u32>,
        like: Option<String>,
    ) -> usize {
        let index = self.all.len();
        self.by_name.entry(name.to_lowercase()).or_insert(index);
        if like.is_none() {
            self.by_family.entry(family(&name)).or_insert(index);
            self.by_bars.entry(bars.clone()).or_insert(index);
        }
        let bars = if like.is_none() { Some(bars) } else { None };
        // What is like another takes its passes as well, unless it has its own.
        let passes = passes.or(like.as_ref().map(|_| 1));
        self.all.push(file::Section { name, bars, like, passes, ..Default::default() });
        self.order.push(index);
        index
    }

    fn holds(&self, section: usize, bars: &Vec<String>) -> bool {
        let source = self.all[section].like.as_ref().and_then(|like| self.by_name.get(&like.to_lowercase()));
        self.all[source.copied().unwrap_or(section)].bars.as_ref() == Some(bars)
    }

    fn note(&mut self, section: usize, lines: &[String]) {
        let Some(more) = joined(lines) else { return };
        let note = &mut self.all[section].note;
        *note = Some(note.take().map_or(more.clone(), |note| format!("{note}\n{more}")));
    }

    /// A name that no section has.
    fn free_name(&self, part: &Part) -> String {
        if part.headed && !self.by_name.contains_key(&part.name.to_lowercase()) {
            return part.name.clone();
        }
        let base = if part.headed { part.name.as_str() } else { "Part" };
        let first = if part.headed { 2 } else { self.all.len() + 1 };
        let names = (first..).map(|n| format!("{base} {n}"));
        names.into_iter().find(|name| !self.by_name.contains_key(&name.to_lowercase())).unwrap_or_default()
    }

    /// Takes away repeats where the song would be too long.
    fn within_limits(&mut self, doubts: &mut Doubts) {
        if self.bars_played() > BARS_PLAYED {
            doubts
                .add((0, 0), "with all its repeats the song would be too long: each section is played once");
            self.order = (0..self.all.len()).collect();
            self.all.iter_mut().for_each(|section| section.passes = None);
        }
        if self.bars_played() > BARS_PLAYED {
            self.order = (0..self.all.len()).filter(|section| self.all[*section].like.is_none()).collect();
        }
    }

    fn bars_played(&self) -> u64 {
        let count = |section: &file::Section| -> u64 {
            let rows = section.bars.iter().flatten();
            rows.map(|row| row.split('|').count() as u64).sum()
        };
        let own: Vec<u64> = self.all.iter().map(count).collect();
        let each = self.order.iter().map(|section| {
            let section_of = &self.all[*section];
            let like = section_of.like.as_ref().and_then(|like| self.by_name.get(&like.to_lowercase()));
            let source = like.copied().unwrap_or(*section);
            own[source] * u64::from(section_of.passes.or(self.all[source].passes).unwrap_or(1))
        });
        each.sum()
    }
}

impl Part {
    /// Its rows as the song file has them, and how often it is played. A sign like `x4` behind the only row is the
    /// section's; behind one of several that row is written as often.
    fn written(&self, doubts: &mut Doubts) -> (Vec<String>, Option<u32>) {
        if let [only] = &self.rows[..] {
            let passes = match (self.passes, only.times) {
                (Some(passes), 1) => Some(passes),
                (None, 1) => None,
                (None, times) => Some(times),
                (Some(passes), times) => {
                    doubts.add(
                        self.span,
                        format!("two repeat signs: {passes} at the heading and {times} behind the row"),
                    );
                    Some(passes)
                }
            };
            return (vec![only.bars.join(" | ")], passes);
        }
        let mut rows = Vec::new();
        for row in &self.rows {
            let text = row.bars.join(" | ");
            let times = self.written_out(rows.len(), row.times);
            if times != row.times as usize {
                doubts.add(self.span, format!("a row is played {} times: it was written once", row.times));
            }
            rows.extend(std::iter::repeat_n(text, times));
        }
        (rows, self.passes)
    }
}

impl Part {
    /// How often a row behind so many others is written: as often as it is played, while that is not too often. The only
    /// row is written once, and the section is played as often.
    fn written_out(&self, rows: usize, times: u32) -> usize {
        /// The most rows that repeats are written out to.
        const LONGEST: usize = 64;
        let fits = self.rows.len() > 1 && rows + times as usize <= LONGEST;
        if fits { times as usize } else { 1 }
    }
}

/// A name without its number, in small letters.
fn family(name: &str) -> String {
    let name = name.to_lowercase();
    name.trim_end_matches(|c: char| c.is_ascii_digit() || c.is_whitespace()).to_string()
}

fn joined(lines: &[String]) -> Option<String> {
    let lines: Vec<&str> = lines.iter().map(String::as_str).filter(|line| !line.is_empty()).collect();
    (!lines.is_empty()).then(|| lines.join("\n"))
}

fn joined_words(words: &[String]) -> Option<String> {
    (!words.is_empty()).then(|| words.join(" "))
}
