//! The figures of a row, each hand on a line of its own, written where they change.

use super::Face;
use super::hands::ink;
use super::page::{Area, Item, Point};
use super::row::Cell;
use super::words::{Type, fitted};
use song::{Slot, SlotKind};
use theory::Hand;

/// How high a line of figures is, at a size of note names.
pub(crate) fn figure_height(size: f32) -> f32 {
    how(Hand::Right, size).leading()
}

fn how(hand: Hand, size: f32) -> Type {
    Type::new(Face::Sans, 0.94 * size, ink(hand))
}

/// Where a bar of a row lies: where each of its slots begins, and its right bar line.
pub(crate) struct Places {
    /// One for each slot.
    pub slots: Vec<f32>,
    /// The bar line.
    pub right: f32,
}

/// The figures of a hand in a row, written where they change. Each stays in its bar: a long one gets smaller, then `…`.
pub(crate) fn figures(hand: Hand, cells: &[Cell<'_>], places: &[Places], size: f32, top: f32) -> Vec<Item> {
    let how = how(hand, size);
    let changes = changes(cells, places, hand);
    let item = |(index, (x, bar_line, text)): (usize, &(f32, f32, String))| {
        let next = changes.get(index + 1).map_or(*bar_line, |(next, ..)| *next);
        let right = next.min(*bar_line) - 0.4 * size;
        let room = Area::new(*x - 0.1 * size, top, right.max(*x), top + how.leading());
        let says = format!("{} hand figure {text}; ", hand.name());
        let line = fitted(text, how, (right - x).max(1.0), 0.6).saying(says);
        Item::Words(line.at(Point::new(*x, top + how.rise()), room))
    };
    changes.iter().enumerate().map(item).collect()
}

/// Where a hand's figure is another than before, the bar line behind it, and what it is.
fn changes(cells: &[Cell<'_>], places: &[Places], hand: Hand) -> Vec<(f32, f32, String)> {
    let mut changes = Vec::new();
    let mut last: Option<&str> = None;
    for (cell, places) in cells.iter().zip(places) {
        for ((slot, chord), x) in cell.bar.played.slots.iter().zip(&cell.bar.chords).zip(&places.slots) {
            if !is_struck(slot) || chord.hand(hand).notes.is_empty() {
                continue;
            }
            let style = if hand == Hand::Right { &slot.right } else { &slot.left };
            if last != Some(&style.figure.text) {
                last = Some(&style.figure.text);
                changes.push((*x, places.right, style.figure.text.clone()));
            }
        }
    }
    changes
}

/// A diamond is struck once, whatever the figure; a tie is not struck.
fn is_struck(slot: &Slot) -> bool {
    matches!(slot.kind, SlotKind::Chord { diamond: false, .. })
}
