//! Text made ready for the page: characters that can be drawn, lines as wide as there is room.

use super::Face;
use super::face::UNKNOWN;
use super::page::{Area, Ink, Point, Run, Words};
use unicode_linebreak::{BreakOpportunity, linebreaks};

/// How a text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Type {
    /// The face.
    pub face: Face,
    /// Points.
    pub size: f32,
    /// Its colour.
    pub ink: Ink,
}

impl Type {
    pub const fn new(face: Face, size: f32, ink: Ink) -> Type {
        Type { face, size, ink }
    }

    /// From one baseline to the next.
    pub fn leading(self) -> f32 {
        1.32 * self.size
    }

    /// From a baseline up to the highest ink of common letters.
    pub fn rise(self) -> f32 {
        0.96 * self.size
    }

    /// From a baseline down to the lowest ink of common letters.
    pub fn fall(self) -> f32 {
        0.26 * self.size
    }
}

/// Text on one line, its baseline beginning at (0, 0).
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Line {
    pub says: String,
    pub runs: Vec<Run>,
    pub width: f32,
}

/// A text on one line.
pub(crate) fn line(text: &str, how: Type) -> Line {
    let mut runs = Vec::new();
    let mut width = 0.0;
    for (text, face) in drawable(text, how.face) {
        let glyphs = face.shape(&text);
        let run = Run { at: Point::new(width, 0.0), text, face, size: how.size, ink: how.ink, glyphs };
        width += run.width();
        runs.push(run);
    }
    Line { says: text.to_owned(), runs, width }
}

/// A text broken into lines no wider than `room`, in points; none if it is empty.
pub(crate) fn paragraph(text: &str, how: Type, room: f32) -> Vec<Line> {
    let mut lines: Vec<String> = Vec::new();
    let mut open = String::new();
    let mut wide = 0.0;
    for (piece, ends) in pieces(text) {
        let width = line(piece.trim_end(), how).width;
        if wide + width > room && !open.is_empty() {
            lines.push(std::mem::take(&mut open));
            wide = 0.0;
        }
        for part in fitting(piece, how, room) {
            if !open.is_empty() && wide + line(part.trim_end(), how).width > room {
                lines.push(std::mem::take(&mut open));
                wide = 0.0;
            }
            wide += line(part, how).width;
            open += part;
        }
        if ends {
            lines.push(std::mem::take(&mut open));
            wide = 0.0;
        }
    }
    if !open.is_empty() {
        lines.push(open);
    }
    lines.iter().filter(|text| !text.trim().is_empty()).map(|text| set(text, how)).collect()
}

/// A line of a paragraph: a blank behind it parts it from the next word for those who listen or copy.
fn set(text: &str, how: Type) -> Line {
    line(&format!("{} ", text.trim()), how)
}

/// Where a text may be broken; `true` where it must be.
fn pieces(text: &str) -> impl Iterator<Item = (&str, bool)> {
    let mut from = 0;
    linebreaks(text).map(move |(to, kind)| {
        let piece = &text[from..to];
        from = to;
        (piece, kind == BreakOpportunity::Mandatory && to < text.len())
    })
}

/// A piece without places to break it, cut where it is wider than a line.
fn fitting(piece: &str, how: Type, room: f32) -> Vec<&str> {
    if line(piece.trim_end(), how).width <= room {
        return vec![piece];
    }
    let mut parts = Vec::new();
    let mut rest = piece;
    while !rest.is_empty() {
        let mut wide = 0.0;
        let mut cut = rest.len();
        for (at, character) in rest.char_indices() {
            wide += line(character.encode_utf8(&mut [0; 4]), how).width;
            if at > 0 && wide > 0.97 * room {
                cut = at;
                break;
            }
        }
        let (part, tail) = rest.split_at(cut);
        parts.push(part);
        rest = tail;
    }
    parts
}

/// A text on one line no wider than `room`: smaller where it is too wide, but not below `least` of its size; then its
/// beginning with `…`. The whole of it is what is read out.
pub(crate) fn fitted(text: &str, how: Type, room: f32, least: f32) -> Line {
    let whole = line(text, how);
    if whole.width <= room {
        return whole;
    }
    let size = how.size * (room / whole.width).max(least);
    let how = Type { size, ..how };
    let smaller = line(text, how);
    if smaller.width <= room {
        return smaller;
    }
    let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    let short = |count: usize| line(&format!("{}…", text[..ends[count]].trim_end()), how);
    let (mut low, mut high) = (0, ends.len() - 1);
    while low < high {
        let middle = (low + high).div_ceil(2);
        if short(middle).width <= room { low = middle } else { high = middle - 1 }
    }
    Line { says: text.to_owned(), ..short(low) }
}

impl Line {
    /// In its place: the baseline begins at `at`, the box is `room`.
    pub fn at(mut self, at: Point, room: Area) -> Words {
        for run in &mut self.runs {
            run.at = Point::new(run.at.x + at.x, run.at.y + at.y);
        }
        Words { says: self.says, runs: self.runs, room }
    }

    /// In its place, in a box of its own width and of the height of a line.
    pub fn set(self, at: Point) -> Words {
        let size = self.runs.iter().map(|run| run.size).fold(0.0, f32::max);
        let how = Type::new(Face::Sans, size, Ink::Black);
        let slack = 0.12 * size;
        let room = Area::new(at.x - slack, at.y - how.rise(), at.x + self.width + slack, at.y + how.fall());
        self.at(at, room)
    }

    /// The same with other words to be read and copied.
    pub fn saying(mut self, says: impl Into<String>) -> Line {
        self.says = says.into();
        self
    }
}

/// The text cut by faces: what the face lacks is taken from the sans, which has more; what that lacks becomes a sign.
/// Marks that only steer (direction, joining, variants) and line ends are left out or become blanks.
fn drawable(text: &str, face: Face) -> Vec<(String, Face)> {
    let mut runs: Vec<(String, Face)> = Vec::new();
    for character in text.chars() {
        let character = match character {
            c if steers(c) => continue,
            c if c.is_whitespace() || c.is_control() => ' ',
            c => c,
        };
        let (character, of) = if is_private(character) {
            (UNKNOWN, Face::Sans)
        } else if face.has(character) {
            (character, face)
        } else if Face::Sans.has(character) {
            (character, Face::Sans)
        } else {
            (UNKNOWN, Face::Sans)
        };
        match runs.last_mut() {
            Some((run, last)) if *last == of => run.push(character),
            _ => runs.push((character.into(), of)),
        }
    }
    runs
}

/// What it means only its makers know; a document for all may not hold it.
fn is_private(character: char) -> bool {
    matches!(character, '\u{E000}'..='\u{F8FF}' | '\u{F0000}'..='\u{10FFFF}')
}

fn steers(character: char) -> bool {
    matches!(character, '\u{AD}' | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2069}'
        | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{E0000}'..='\u{E0FFF}')
}
