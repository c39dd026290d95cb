//! The figures of a row, each hand on a line of its own, written where they change.

use super::Face;
use super::hands::ink;
use super::page::{Area, Item, Point};
use super::row::Cell;
use super::words::{Type, fitted};
use song::{Slot, SlotKind};
use theory::Hand;

/// Both hands' lines.
pub(crate) struct FigureLines {
    /// What stands in them.
    pub items: Vec<Item>,
    /// Where they end.
    pub bottom: f32,
}

/// The figures of a row whose slots begin at `xs`.
pub(crate) fn figures(cells: &[Cell<'_>], xs: &[Vec<f32>], end: f32, size: f32, top: f32) -> FigureLines {
    let mut items = Vec::new();
    let mut y = top;
    for hand in Hand::BOTH {
        let how = Type::new(Face::Sans, 0.94 * size, ink(hand));
        let places = places(cells, xs, hand);
        if places.is_empty() {
            continue;
        }
        for (index, (x, text)) in places.iter().enumerate() {
            let right = places.get(index + 1).map_or(end, |(next, _)| *next) - 0.5 * size;
            let room = Area::new(*x - 0.1 * size, y, right.max(*x), y + how.leading());
            let says = format!("{} hand figure {text}; ", hand.name());
            let line = fitted(text, how, (right - x).max(1.0), 0.55).saying(says);
            items.push(Item::Words(line.at(Point::new(*x, y + how.rise()), room)));
        }
        y += how.leading();
    }
    FigureLines { items, bottom: if y > top { y + 0.2 * size } else { top } }
}

/// Where a hand's figure is another than before, and what it is.
fn places(cells: &[Cell<'_>], xs: &[Vec<f32>], hand: Hand) -> Vec<(f32, String)> {
    let mut places = Vec::new();
    let mut last: Option<String> = None;
    for (cell, xs) in cells.iter().zip(xs) {
        for ((slot, chord), x) in cell.bar.played.slots.iter().zip(&cell.bar.chords).zip(xs) {
            if !is_struck(slot) || chord.hand(hand).notes.is_empty() {
                continue;
            }
            let style = if hand == Hand::Right { &slot.right } else { &slot.left };
            if last.as_ref() != Some(&style.figure.text) {
                last = Some(style.figure.text.clone());
                places.push((*x, style.figure.text.clone()));
            }
        }
    }
    places
}

/// A diamond is struck once, whatever the figure; a tie is not struck.
fn is_struck(slot: &Slot) -> bool {
    matches!(slot.kind, SlotKind::Chord { diamond: false, .. })
}
