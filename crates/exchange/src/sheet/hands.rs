//! Both hands under a chord: note names from the highest down, each with its finger, in a round mark for the right hand
//! and a square one for the left.

use super::Face;
use super::page::{Area, Ink, Item, Mark, Point, Words};
use super::words::{Line, Type, line};
use theory::Hand;
use voicing::Shape;

/// One hand's notes at one chord, ready to be set.
pub(crate) struct Stack {
    hand: Hand,
    size: f32,
    /// Finger and name, from the highest note down.
    notes: Vec<(Line, Line)>,
    /// Added under the notes.
    rolled: Option<Line>,
    mark: f32,
    says: String,
    /// How wide it is.
    pub width: f32,
}

impl Stack {
    /// A hand's shape at a size of type.
    pub fn new(shape: &Shape, hand: Hand, size: f32) -> Stack {
        let ink = ink(hand);
        let finger =
            |note: &voicing::HeldNote| line(&note.finger_text(), Type::new(Face::Bold, 0.78 * size, ink));
        let name =
            |note: &voicing::HeldNote| line(&note.pitch.pretty(), Type::new(Face::Sans, size, Ink::Black));
        let notes: Vec<(Line, Line)> =
            shape.notes.iter().rev().map(|note| (finger(note), name(note))).collect();
        let rolled = shape.rolled.then(|| line("rolled", Type::new(Face::Italic, 0.9 * size, Ink::Quiet)));
        let widest = |lines: &mut dyn Iterator<Item = f32>| lines.fold(0.0, f32::max);
        let mark = (widest(&mut notes.iter().map(|(finger, _)| finger.width)) + 0.5 * size).max(1.16 * size);
        let names = widest(&mut notes.iter().map(|(_, name)| name.width));
        let width = if notes.is_empty() { 0.0 } else { mark + 0.25 * size + names };
        let width = width.max(rolled.as_ref().map_or(0.0, |rolled| rolled.width));
        Stack { hand, size, notes, rolled, mark, says: says(shape, hand), width }
    }

    /// How many lines it takes.
    pub fn lines(&self) -> usize {
        self.notes.len() + usize::from(self.rolled.is_some())
    }

    /// From one note to the next, at a size of type.
    pub fn pitch(size: f32) -> f32 {
        1.38 * size
    }

    /// Sets it with its upper left corner at `at`, no wider than `room`.
    pub fn set(self, at: Point, room: f32, items: &mut Vec<Item>) {
        if self.lines() == 0 {
            return;
        }
        let (size, pitch) = (self.size, Stack::pitch(self.size));
        let mut runs = Vec::new();
        let mut y = at.y;
        let area = Area::new(at.x - 0.1 * size, at.y, at.x + room, at.y + pitch * self.lines() as f32);
        for (finger, name) in self.notes {
            let base = y + 0.5 * pitch + 0.36 * size;
            items.push(Item::Mark(mark(
                self.hand,
                Area::new(at.x, y + 0.1 * size, at.x + self.mark, y + pitch - 0.1 * size),
            )));
            let x = at.x + 0.5 * (self.mark - finger.width);
            runs.extend(finger.at(Point::new(x, base - 0.07 * size), area).runs);
            runs.extend(name.at(Point::new(at.x + self.mark + 0.25 * size, base), area).runs);
            y += pitch;
        }
        if let Some(rolled) = self.rolled {
            runs.extend(rolled.at(Point::new(at.x, y + 0.5 * pitch + 0.3 * size), area).runs);
        }
        items.push(Item::Words(Words { says: self.says, runs, room: area }));
    }
}

/// The outline of a hand's mark: round for the right, square for the left.
pub(crate) fn mark(hand: Hand, area: Area) -> Mark {
    let stroke = Some((0.7, ink(hand)));
    match hand {
        Hand::Right => Mark::round(area, None, stroke),
        Hand::Left => Mark::square(area, None, stroke),
    }
}

/// A hand's colour.
pub(crate) const fn ink(hand: Hand) -> Ink {
    match hand {
        Hand::Right => Ink::Right,
        Hand::Left => Ink::Left,
    }
}

/// `right hand D4 1, F♯4 3;`
fn says(shape: &Shape, hand: Hand) -> String {
    let note = |note: &voicing::HeldNote| format!("{} {}", note.pitch.pretty(), note.finger_text());
    let notes: Vec<String> = shape.notes.iter().map(note).collect();
    let rolled = if shape.rolled { ", rolled" } else { "" };
    format!("{} hand {}{rolled}; ", hand.name(), notes.join(", "))
}
