//! A chord as players print it: a large serif number, quality raised, the left hand's number smaller under the slash.

use super::page::{Area, Ink, Mark, Point};
use super::words::{Line, Type, line};
use super::{Face, Naming};
use song::{Slot, SlotKind};
use theory::{Chord, Degree};

/// Room at either side of a number in a diamond, in parts of the size.
const DIAMOND: f32 = 0.34;

/// A slot made ready to be printed, its baseline beginning at (0, 0).
pub(crate) struct Symbol {
    /// The chord, rest or nothing (a tie).
    pub line: Line,
    /// Dots, diamond, push.
    pub marks: Vec<Mark>,
    /// The letters under it, where both are printed, at their own baseline (0, 0).
    pub name: Option<Line>,
    /// Where the name begins.
    pub name_x: f32,
    /// A tie is drawn into it.
    pub tied: bool,
    /// From its beginning to its right end, name and marks included.
    pub width: f32,
}

/// A slot at a type size.
pub(crate) fn symbol(slot: &Slot, naming: Naming, size: f32) -> Symbol {
    let mut symbol = match &slot.kind {
        SlotKind::Chord { chord, push, diamond } => of_chord(chord, naming, size, *push, *diamond),
        SlotKind::Tie { .. } => bare("~", 1.5 * size, true),
        SlotKind::Rest => {
            let rest = line("N", Type::new(Face::Italic, 0.7 * size, Ink::Quiet));
            let width = rest.width;
            Symbol { line: rest, ..bare("N", width, false) }
        }
    };
    symbol.line.says += &".".repeat(usize::from(slot.dots));
    for dot in 0..slot.dots {
        let x = 0.12 * size + f32::from(dot) * 0.30 * size;
        symbol.marks.push(round(Point::new(x, -1.04 * size), 0.075 * size));
        symbol.width = symbol.width.max(x + 0.1 * size);
    }
    symbol
}

fn bare(says: &str, width: f32, tied: bool) -> Symbol {
    // A blank, so that there is something to be read, searched and copied.
    let blank = line(" ", Type::new(Face::Serif, 1.0, Ink::Black));
    let line = Line { says: says.to_owned(), width, ..blank };
    Symbol { line, marks: Vec::new(), name: None, name_x: 0.0, tied, width }
}

/// A filled circle.
pub(crate) fn round(at: Point, radius: f32) -> Mark {
    let area = Area::new(at.x - radius, at.y - radius, at.x + radius, at.y + radius);
    Mark::round(area, Some(Ink::Black), None)
}

fn of_chord(chord: &Chord, naming: Naming, size: f32, push: bool, diamond: bool) -> Symbol {
    let pieces = if naming == Naming::Letters { letters(chord, size) } else { numbers(chord, size) };
    let roots = pieces.iter().filter(|piece| piece.root).count();
    let beside = if diamond { DIAMOND * size } else { 0.0 };
    let hat = if push { 0.30 * size } else { 0.0 };
    let mut x = hat + beside;
    let (from, mut to) = (x, x);
    let mut runs = Vec::new();
    for (index, piece) in pieces.into_iter().enumerate() {
        let part = line(&piece.text, piece.how);
        for mut run in part.runs {
            run.at = Point::new(run.at.x + x, -piece.rise * size);
            runs.push(run);
        }
        x += part.width;
        if index + 1 == roots {
            to = x;
            x += beside;
        }
    }
    let mut marks = Vec::new();
    if diamond {
        marks.push(rhombus(from, to, size));
    }
    if push {
        marks.push(hat_at(Point::new(0.0, 0.0), size));
    }
    let says = written(chord, naming, push, diamond);
    let both = naming == Naming::Both;
    let name = both.then(|| name_of(chord, size));
    let name_x = if push { hat } else { 0.0 };
    let width = x.max(name.as_ref().map_or(0.0, |name| name_x + name.width));
    Symbol { line: Line { says, runs, width: x }, marks, name, name_x, tied: false, width }
}

/// The chart's own notation, so that what is copied from the sheet can be pasted into a song.
fn written(chord: &Chord, naming: Naming, push: bool, diamond: bool) -> String {
    let text = if naming == Naming::Letters { chord.name() } else { chord.written.to_string() };
    let text = if push { format!("^{text}") } else { text };
    if diamond { format!("<{text}>") } else { text }
}

fn name_of(chord: &Chord, size: f32) -> Line {
    line(&chord.pretty_name(), Type::new(Face::Sans, 0.40 * size, Ink::Quiet)).saying(chord.name())
}

fn rhombus(from: f32, to: f32, size: f32) -> Mark {
    let (x, y) = (0.5 * (from + to), -0.36 * size);
    let (wide, high) = (0.5 * (to - from) + DIAMOND * size, 0.72 * size);
    let corners =
        [Point::new(x, y - high), Point::new(x + wide, y), Point::new(x, y + high), Point::new(x - wide, y)];
    Mark::closed(&corners, None, Some((0.05 * size, Ink::Black)))
}

/// The hat of a push, before the shoulder of its number.
fn hat_at(at: Point, size: f32) -> Mark {
    let (left, middle, right) = (0.02 * size, 0.15 * size, 0.28 * size);
    let (tip, foot) = (at.y - 0.94 * size, at.y - 0.70 * size);
    let points = [Point::new(left, foot), Point::new(middle, tip), Point::new(right, foot)];
    Mark::open(&points, 0.06 * size, Ink::Black)
}

struct Piece {
    text: String,
    how: Type,
    /// Above the baseline, in parts of the size.
    rise: f32,
    /// Part of the root, which a diamond goes round.
    root: bool,
}

fn numbers(chord: &Chord, size: f32) -> Vec<Piece> {
    let written = &chord.written;
    let mut pieces = degree(written.root, size, 0.0, Ink::Black);
    let quality = written.quality.map(|q| q.symbol().to_owned()).unwrap_or_default();
    let extension = match written.extension {
        Some(e) if quality.is_empty() => e.symbol().to_owned(),
        Some(e) => format!("({})", e.symbol()),
        None => String::new(),
    };
    pieces.extend(raised(&(quality + &extension), size));
    if let Some(under) = written.under {
        pieces.push(slash(size));
        pieces.extend(degree(under, 0.76 * size, -0.22, Ink::Left));
    }
    pieces
}

fn letters(chord: &Chord, size: f32) -> Vec<Piece> {
    let name = chord.pretty_name();
    let root = chord.root().pretty();
    let (upper, under) = match name.split_once('/') {
        Some((upper, under)) => (upper, Some(under)),
        None => (name.as_str(), None),
    };
    let mut pieces = letter(&root, size, 0.0, Ink::Black);
    pieces.extend(raised(upper.strip_prefix(&root).unwrap_or_default(), size));
    if let Some(under) = under {
        pieces.push(slash(size));
        pieces.extend(letter(under, 0.76 * size, -0.22, Ink::Left));
    }
    pieces
}

fn degree(degree: Degree, size: f32, rise: f32, ink: Ink) -> Vec<Piece> {
    let text = degree.pretty();
    let (signs, digit) = text.split_at(text.len() - 1);
    let sign = Piece { rise: rise + 0.14, ..piece(signs, 0.72 * size, rise, ink) };
    let digit = piece(digit, size, rise, ink);
    if signs.is_empty() { vec![digit] } else { vec![sign, digit] }
}

fn letter(name: &str, size: f32, rise: f32, ink: Ink) -> Vec<Piece> {
    let (letter, signs) = name.split_at(1);
    let letter = piece(letter, 0.92 * size, rise, ink);
    let sign = Piece { rise: rise + 0.22, ..piece(signs, 0.62 * size, rise, ink) };
    if signs.is_empty() { vec![letter] } else { vec![letter, sign] }
}

fn piece(text: &str, size: f32, rise: f32, ink: Ink) -> Piece {
    Piece { text: text.to_owned(), how: Type::new(Face::Serif, size, ink), rise, root: rise == 0.0 }
}

fn raised(text: &str, size: f32) -> Option<Piece> {
    let text = text.replace('b', "♭").replace('#', "♯");
    let how = Type::new(Face::Sans, 0.44 * size, Ink::Black);
    (!text.is_empty()).then_some(Piece { text, how, rise: 0.40, root: false })
}

fn slash(size: f32) -> Piece {
    let how = Type::new(Face::Serif, 1.1 * size, Ink::Black);
    Piece { text: "/".into(), how, rise: -0.06, root: false }
}
