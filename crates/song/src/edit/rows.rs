//! The rows of a section as bars that can be moved, with the spaces that a person put between them.

use super::layout::{insert_item, remove_item};
use super::tree::{List, Node};

/// The rows of a section.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rows {
    pub rows: Vec<Row>,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    pub bars: Vec<Cell>,
    /// Its place in the list it was read from.
    item: Option<usize>,
    /// Its spaces are those that were typed.
    as_typed: bool,
}

/// One bar of a row: the text between two bar lines, spaces and all.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cell {
    pub raw: String,
    /// The number that the bar had when the rows were read; new bars have none.
    pub was: Option<u32>,
    /// The row that it stood in then, and whether it was the first and the last there.
    stood: Option<(usize, bool, bool)>,
}

impl Cell {
    pub fn new(text: &str) -> Cell {
        Cell { raw: format!(" {} ", text.trim()), was: None, stood: None }
    }

    /// Whether it came with no history: not moved here from another section.
    pub fn is_new(&self) -> bool {
        self.was.is_none() && self.stood.is_none()
    }

    pub fn text(&self) -> &str {
        self.raw.trim()
    }

    /// Another text between the same spaces.
    pub fn set_text(&mut self, text: &str) {
        let lead = self.raw.len() - self.raw.trim_start().len();
        let trail = self.raw.trim_end().len().max(lead);
        self.raw = format!("{}{text}{}", &self.raw[..lead], &self.raw[trail..]);
    }

    /// Whether it stands for the bar before it.
    pub fn is_repeat(&self) -> bool {
        self.text() == "%"
    }
}

impl Rows {
    /// The rows of a list of lines; what is no text in it is left alone.
    pub fn of(list: Option<&List>) -> Rows {
        let lines = list.into_iter().flat_map(|list| list.items.iter().enumerate());
        let lines = lines.filter_map(|(i, item)| Some((i, item.value.as_text()?)));
        let mut number = 0;
        let rows = lines.map(|(i, line)| {
            let bars = line.split('|').map(|raw| Cell { raw: raw.to_string(), was: None, stood: None });
            Row { bars: bars.collect(), item: Some(i), as_typed: false }
        });
        let mut rows: Vec<Row> = rows.collect();
        for (row, line) in rows.iter_mut().enumerate() {
            let last = line.bars.len() - 1;
            for (i, cell) in line.bars.iter_mut().enumerate() {
                cell.was = Some(number);
                cell.stood = Some((row, i == 0, i == last));
                number += 1;
            }
        }
        Rows { rows }
    }

    /// What each bar plays, by its number: a `%` what it repeats; nothing where that cannot be said.
    pub fn effective(&self) -> Vec<Option<String>> {
        let mut before: Option<String> = None;
        let all = self.bars().map(|bar| {
            if !bar.is_repeat() {
                before = (!bar.text().contains('%')).then(|| bar.text().to_string());
            }
            before.clone()
        });
        all.collect()
    }

    /// Writes out each `%` that would repeat another bar than it did.
    pub fn write_out(&mut self, effective: &[Option<String>]) {
        let mut before: Option<String> = None;
        for bar in self.rows.iter_mut().flat_map(|row| &mut row.bars) {
            if bar.is_repeat() {
                let meant = bar.was.and_then(|was| effective.get(was as usize)?.as_ref());
                if let Some(meant) = meant.filter(|meant| before.as_ref() != Some(*meant)) {
                    bar.set_text(meant);
                }
            }
            if !bar.is_repeat() {
                before = (!bar.text().contains('%')).then(|| bar.text().to_string());
            }
        }
    }

    pub fn count(&self) -> u32 {
        self.rows.iter().map(|row| row.bars.len() as u32).sum()
    }

    pub fn bars(&self) -> impl Iterator<Item = &Cell> {
        self.rows.iter().flat_map(|row| &row.bars)
    }

    /// The row of a bar and its place in it; behind the last bar: the end of the last row.
    pub fn place(&self, bar: u32) -> Option<(usize, usize)> {
        let mut at = bar as usize;
        for (number, row) in self.rows.iter().enumerate() {
            if at < row.bars.len() {
                return Some((number, at));
            }
            at -= row.bars.len();
        }
        let last = self.rows.len().checked_sub(1)?;
        (at == 0).then(|| (last, self.rows[last].bars.len()))
    }

    /// Puts bars in before a bar; behind the last in the last row.
    pub fn insert(&mut self, at: u32, cells: Vec<Cell>) {
        let Some((row, bar)) = self.place(at) else {
            self.rows.push(Row::new(cells));
            return;
        };
        self.rows[row].bars.splice(bar..bar, cells);
    }

    /// Takes bars out; rows that are left with none go as well.
    pub fn take(&mut self, from: u32, to: u32) -> Vec<Cell> {
        let mut taken = Vec::new();
        let mut number = 0;
        for row in &mut self.rows {
            let (inside, left) = std::mem::take(&mut row.bars).into_iter().partition(|_| {
                number += 1;
                (from..to).contains(&(number - 1))
            });
            let inside: Vec<Cell> = inside;
            taken.extend(inside);
            row.bars = left;
        }
        self.rows.retain(|row| !row.bars.is_empty());
        taken
    }

    /// Writes the rows into the list; rows that are as they were keep every byte.
    pub fn write(&self, list: &mut List) {
        let kept: Vec<usize> = self.rows.iter().filter_map(|row| row.item).collect();
        let text = |list: &List, at: usize| list.items[at].value.as_text();
        let mut removed = 0;
        let mut where_now: Vec<usize> = Vec::new();
        for at in 0..list.items.len() {
            let here = at - removed;
            where_now.push(here);
            if text(list, here).is_some() && !kept.contains(&at) {
                remove_item(list, here);
                removed += 1;
            }
        }
        let mut inserted = 0;
        let mut next = 0;
        for row in &self.rows {
            let line = row.line();
            match row.item {
                Some(item) => {
                    let here = where_now[item] + inserted;
                    if text(list, here).as_deref() != Some(&line) {
                        list.items[here].value = Node::text(&line);
                    }
                    next = here + 1;
                }
                None => {
                    insert_item(list, next, Node::text(&line));
                    inserted += 1;
                    next += 1;
                }
            }
        }
    }
}

impl Row {
    /// The bars from one on, as a row of their own.
    pub fn split_off(&mut self, at: usize) -> Row {
        Row::new(self.bars.split_off(at))
    }

    /// The row as typed, with the number that each bar had before.
    pub fn set_text(&mut self, typed: &[&str], was: &[Option<u32>]) {
        let cells =
            typed.iter().zip(was).map(|(raw, was)| Cell { raw: raw.to_string(), was: *was, stood: None });
        self.bars = cells.collect();
        self.as_typed = true;
    }

    pub fn new(bars: Vec<Cell>) -> Row {
        Row { bars, item: None, as_typed: false }
    }

    /// The row as text: what stands beside the same bar as before keeps its spaces, the rest is spaced like it.
    fn line(&self) -> String {
        if self.as_typed {
            return self.bars.iter().map(|bar| bar.raw.as_str()).collect::<Vec<_>>().join("|");
        }
        let pad = if self.is_spaced() { " " } else { "" };
        let mut line = String::new();
        for (i, bar) in self.bars.iter().enumerate() {
            let text = bar.text();
            let lead = &bar.raw[..bar.raw.len() - bar.raw.trim_start().len()];
            let trail = &bar.raw[bar.raw.trim_end().len().max(lead.len())..];
            line += match i.checked_sub(1).map(|before| &self.bars[before]) {
                None if bar.stood.is_some_and(|(_, first, _)| first) => lead,
                None => "",
                Some(before) if self.were_neighbours(before, bar) => lead,
                Some(_) => pad,
            };
            line += text;
            match self.bars.get(i + 1) {
                None => line += if bar.stood.is_some_and(|(_, _, last)| last) { trail } else { "" },
                Some(next) => {
                    line += if self.were_neighbours(bar, next) { trail } else { pad };
                    line.push('|');
                }
            }
        }
        line
    }

    /// Whether a bar line with its spaces stood between the two in one row.
    fn were_neighbours(&self, before: &Cell, after: &Cell) -> bool {
        let in_row = |cell: &Cell| cell.was.zip(cell.stood.map(|(row, ..)| row));
        in_row(before).map(|(was, row)| (was + 1, row)) == in_row(after) && after.was.is_some()
    }

    /// Whether its bar lines have spaces around them.
    fn is_spaced(&self) -> bool {
        let mut lines =
            self.bars.windows(2).filter(|pair| self.were_neighbours(&pair[0], &pair[1])).peekable();
        let spaced = |pair: &[Cell]| pair[0].raw.ends_with(' ') || pair[1].raw.starts_with(' ');
        lines.peek().is_none() || lines.any(spaced)
    }
}
