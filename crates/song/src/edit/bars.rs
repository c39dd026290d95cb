//! Bars put in, taken out, moved and typed over; what was said about them goes with them.

use super::document::Document;
use super::renumber::{Moves, renumber};
use super::rows::{Cell, Row, Rows};
use super::tree::{List, Node};
use super::{EditError, align};
use crate::limits::fields::SECTION;

/// Types over a row.
pub(super) fn set_row(
    document: &mut Document,
    section: usize,
    row: usize,
    text: &str,
) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    let count = rows.rows.len();
    let old = rows.rows.get_mut(row).ok_or(EditError::NoRow(row + 1, count))?;
    let new: Vec<&str> = text.split('|').collect();
    let before: Vec<&str> = old.bars.iter().map(Cell::text).collect();
    let after: Vec<&str> = new.iter().map(|bar| bar.trim()).collect();
    let was = align::typed(&before, &after);
    let numbers: Vec<Option<u32>> = was.into_iter().map(|at| at.and_then(|at| old.bars[at].was)).collect();
    old.set_text(&new, &numbers);
    replace(document, section, rows)
}

pub(super) fn insert_row(
    document: &mut Document,
    section: usize,
    row: usize,
    text: &str,
) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    if row > rows.rows.len() {
        return Err(EditError::NoRow(row + 1, rows.rows.len()));
    }
    let effective = rows.effective();
    rows.rows.insert(row, Row::new(cells(text)));
    rows.write_out(&effective);
    replace(document, section, rows)
}

pub(super) fn remove_row(document: &mut Document, section: usize, row: usize) -> Result<(), EditError> {
    let rows = own_rows(document, section)?;
    let count = rows.rows.len();
    let gone = rows.rows.get(row).ok_or(EditError::NoRow(row + 1, count))?;
    let from: u32 = rows.rows[..row].iter().map(|row| row.bars.len() as u32).sum();
    remove(document, section, from, from + gone.bars.len() as u32)
}

pub(super) fn break_row(document: &mut Document, section: usize, bar: u32) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    let (row, at) = inside(&rows, bar)?;
    if at > 0 {
        let tail = rows.rows[row].split_off(at);
        rows.rows.insert(row + 1, tail);
    }
    replace(document, section, rows)
}

pub(super) fn join_row(document: &mut Document, section: usize, row: usize) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    if row + 1 >= rows.rows.len() {
        return Err(EditError::NoRow(row + 2, rows.rows.len()));
    }
    let tail = rows.rows.remove(row + 1).bars;
    rows.rows[row].bars.extend(tail);
    replace(document, section, rows)
}

/// The text of one bar for all passes. More bars than one are put in behind it.
pub(super) fn set_bar(
    document: &mut Document,
    section: usize,
    bar: u32,
    text: &str,
) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    let (row, at) = inside(&rows, bar)?;
    let mut typed = text.split('|');
    let first = typed.next().unwrap_or_default();
    rows.rows[row].bars[at].set_text(first.trim());
    let behind: Vec<Cell> = typed.map(Cell::new).collect();
    rows.rows[row].bars.splice(at + 1..at + 1, behind);
    replace(document, section, rows)
}

pub(super) fn insert(document: &mut Document, section: usize, at: u32, text: &str) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    if at > rows.count() {
        return Err(EditError::NoBar(at + 1, rows.count()));
    }
    let effective = rows.effective();
    rows.insert(at, cells(text));
    rows.write_out(&effective);
    replace(document, section, rows)
}

pub(super) fn remove(document: &mut Document, section: usize, from: u32, to: u32) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    in_rows(&rows, from, to)?;
    let effective = rows.effective();
    rows.take(from, to);
    if rows.count() == 0 {
        return Err(EditError::Last("section"));
    }
    rows.write_out(&effective);
    replace(document, section, rows)
}

/// Moves bars within a section or to another, with what was said about them.
pub(super) fn carry(
    document: &mut Document,
    (section, from, to): (usize, u32, u32),
    (into, at): (usize, u32),
) -> Result<(), EditError> {
    let mut rows = own_rows(document, section)?;
    in_rows(&rows, from, to)?;
    let effective = rows.effective();
    if section == into {
        if at > rows.count() {
            return Err(EditError::NoBar(at + 1, rows.count()));
        }
        if (from..=to).contains(&at) {
            return Ok(());
        }
        let taken = rows.take(from, to);
        rows.insert(if at > from { at - (to - from) } else { at }, taken);
        rows.write_out(&effective);
        return replace(document, section, rows);
    }
    let mut target = own_rows(document, into)?;
    if at > target.count() {
        return Err(EditError::NoBar(at + 1, target.count()));
    }
    let there = target.effective();
    let said = super::renumber::said_about(document.section(section)?, from, to, rows.count());
    let mut taken = rows.take(from, to);
    if rows.count() == 0 {
        return Err(EditError::Last("section"));
    }
    for (cell, text) in taken.iter_mut().zip(&effective[from as usize..to as usize]) {
        // What a repeat meant goes along; the numbers belong to the section that they come from.
        if let (Some(text), true) = (text, cell.is_repeat()) {
            cell.set_text(text);
        }
        cell.was = None;
    }
    target.insert(at, taken);
    target.write_out(&there);
    rows.write_out(&effective);
    replace(document, section, rows)?;
    replace(document, into, target)?;
    super::renumber::say_about(document.section_mut(into)?, said, at);
    Ok(())
}

/// The rows of a section, if they are its own.
pub(super) fn own_rows(document: &Document, section: usize) -> Result<Rows, EditError> {
    let object = document.section(section)?;
    match document.like(section) {
        Some(like) if object.get("bars").is_none() => Err(EditError::BarsOfAnother(document.name(like))),
        _ => Ok(Rows::of(object.get("bars").and_then(Node::as_list))),
    }
}

/// The rows that a section plays, its own or those of the section it is like.
pub(super) fn played_rows(document: &Document, section: usize) -> Result<Rows, EditError> {
    let object = document.section(document.source(section))?;
    document.section(section)?;
    Ok(Rows::of(object.get("bars").and_then(Node::as_list)))
}

/// Puts the rows in place of the old ones, and renumbers what is said about their bars, wherever they are played.
fn replace(document: &mut Document, section: usize, rows: Rows) -> Result<(), EditError> {
    let old = own_rows(document, section)?.count();
    let moves = Moves::new(old, &rows);
    let object = document.section_mut(section)?;
    if object.get("bars").and_then(Node::as_list).is_none() {
        object.set("bars", Node::List(List::default()), SECTION);
    }
    if let Some(list) = object.get_mut("bars").and_then(Node::as_list_mut) {
        rows.write(list);
    }
    if !moves.is_identity() {
        for player in document.players(section) {
            renumber(document.section_mut(player)?, &moves);
            let name = document.name(player);
            super::goals::renumber(document, &name, &moves);
        }
    }
    Ok(())
}

fn inside(rows: &Rows, bar: u32) -> Result<(usize, usize), EditError> {
    let place = rows.place(bar).filter(|_| bar < rows.count());
    place.ok_or(EditError::NoBar(bar + 1, rows.count()))
}

fn in_rows(rows: &Rows, from: u32, to: u32) -> Result<(), EditError> {
    let count = rows.count();
    match (from < count, to <= count) {
        (false, _) => Err(EditError::NoBar(from + 1, count)),
        (true, false) => Err(EditError::NoBar(to, count)),
        (true, true) if to <= from => Err(EditError::NoBars),
        (true, true) => Ok(()),
    }
}

fn cells(text: &str) -> Vec<Cell> {
    text.split('|').map(Cell::new).collect()
}
