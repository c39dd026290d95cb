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

/// The figures of a hand in a row whose slots begin at `xs` and which ends at `end`.
pub(crate) fn figures(
    hand: Hand,
    cells: &[Cell<'_>],
    xs: &[Vec<f32>],
    end: f32,
    size: f32,
    top: f32,
) -> Vec<Item> {
    let how = how(hand, size);
    let places = places(cells, xs, hand);
    let item = |(index, (x, text)): (usize, &(f32, String))| {
        let right = places.get(index + 1).map_or(end, |(next, _)| *next) - 0.5 * size;
        let room = Area::new(*x - 0.1 * size, top, right.max(*x), top + how.leading());
        let says = format!("{} hand figure {text}; ", hand.name());
        let line = fitted(text, how, (right - x).max(1.0), 0.55).saying(says);
        Item::Words(line.at(Point::new(*x, top + how.rise()), room))
    };
    places.iter().enumerate().map(item).collect()
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
