//! The page model: text, lines and shapes in their places. PDF, SVG and the window's preview are all written from it, so
//! that they cannot differ.

use super::{Face, Glyph};
use std::sync::Arc;

/// A place in points (1/72 inch) from the upper left corner of the page; y goes down.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point {
    /// From the left edge.
    pub x: f32,
    /// From the upper edge.
    pub y: f32,
}

/// An upright box, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f32,
    /// Upper edge.
    pub top: f32,
    /// Right edge.
    pub right: f32,
    /// Lower edge.
    pub bottom: f32,
}

/// What a thing is printed in. Colour never stands alone: the right hand is round and the left one square.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ink {
    /// Text and whatever must be seen.
    Black,
    /// Text that steps back.
    Quiet,
    /// Hairlines that only order the page, and lines to write on.
    Rule,
    /// The right hand.
    Right,
    /// The left hand.
    Left,
    /// A ground in the right hand's hue.
    RightTint,
    /// A ground in the left hand's hue.
    LeftTint,
    /// Paper, on black keys.
    White,
}

/// A stretch of text in one face and size, on one baseline.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Where the baseline begins.
    pub at: Point,
    /// What is drawn.
    pub text: String,
    /// The face.
    pub face: Face,
    /// The type size in points.
    pub size: f32,
    /// Its colour.
    pub ink: Ink,
    /// The glyphs, from the left.
    pub glyphs: Arc<[Glyph]>,
}

/// Runs that are read as one: a line of words, or a chord.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    /// What is read, searched and copied; mostly what the runs show, for a chord the chart's own notation (`5sus4..`).
    pub says: String,
    /// What is drawn.
    pub runs: Vec<Run>,
    /// The box that it was given, and stays in.
    pub room: Area,
}

/// A step of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Begin here.
    Move(Point),
    /// A straight line to here.
    Line(Point),
    /// A curve to the last point, by two handles.
    Curve(Point, Point, Point),
    /// Back to where it began.
    Close,
}

/// A line or a shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its outline.
    pub steps: Vec<Step>,
    /// What fills it. Filled outlines are convex.
    pub fill: Option<Ink>,
    /// How thick the outline is, in points, and its colour.
    pub stroke: Option<(f32, Ink)>,
}

/// A thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Text.
    Words(Words),
    /// A line or a shape.
    Mark(Mark),
}

/// What a block is to a reader, above all to one who listens.
#[derive(Clone, Debug, PartialEq)]
pub enum Role {
    /// The title of the sheet.
    Title,
    /// A heading of this text.
    Heading(String),
    /// A paragraph, or a row of the chart.
    Text,
    /// A picture, and what it shows in words.
    Picture(String),
    /// Not read out: page numbers, lines to write on.
    Ornament,
}

/// Things that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What it is.
    pub role: Role,
    /// What it holds, in reading order.
    pub items: Vec<Item>,
}

/// A page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// In points.
    pub width: f32,
    /// In points.
    pub height: f32,
    /// What stands on it, in reading order.
    pub blocks: Vec<Block>,
}

impl Point {
    /// A place.
    pub const fn new(x: f32, y: f32) -> Point {
        Point { x, y }
    }

    fn down(self, by: f32) -> Point {
        Point { y: self.y + by, ..self }
    }
}

impl Area {
    /// A box by its edges.
    pub const fn new(left: f32, top: f32, right: f32, bottom: f32) -> Area {
        Area { left, top, right, bottom }
    }

    /// Whether another box lies in it; a hair (0.05 points) is forgiven.
    pub fn holds(&self, other: &Area) -> bool {
        const HAIR: f32 = 0.05;
        other.left >= self.left - HAIR
            && other.top >= self.top - HAIR
            && other.right <= self.right + HAIR
            && other.bottom <= self.bottom + HAIR
    }

    /// Whether two boxes share ground, by more than a hair.
    pub fn overlaps(&self, other: &Area) -> bool {
        const HAIR: f32 = 0.05;
        self.left + HAIR < other.right
            && other.left + HAIR < self.right
            && self.top + HAIR < other.bottom
            && other.top + HAIR < self.bottom
    }

    pub(crate) fn with(self, other: Area) -> Area {
        Area {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    fn down(self, by: f32) -> Area {
        Area { top: self.top + by, bottom: self.bottom + by, ..self }
    }
}

impl Ink {
    /// Red, green, blue.
    pub const fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Black => [0x1A, 0x17, 0x14],
            Ink::Quiet => [0x55, 0x4E, 0x42],
            Ink::Rule => [0xC9, 0xC0, 0xB2],
            Ink::Right => [0x7A, 0x34, 0x66],
            Ink::Left => [0x6B, 0x52, 0x0B],
            Ink::RightTint => [0xEE, 0xDD, 0xE8],
            Ink::LeftTint => [0xF1, 0xE8, 0xCF],
            Ink::White => [0xFF, 0xFF, 0xFF],
        }
    }
}

impl Run {
    /// How far the pen moves, in points.
    pub fn width(&self) -> f32 {
        self.size * self.glyphs.iter().map(|glyph| glyph.advance).sum::<f32>()
    }

    /// The box of its ink; `None` for spaces.
    pub fn ink_area(&self) -> Option<Area> {
        let ink = self.face.extent(&self.glyphs)?;
        let (x, y, size) = (self.at.x, self.at.y, self.size);
        Some(Area::new(x + size * ink.left, y + size * ink.top, x + size * ink.right, y + size * ink.bottom))
    }
}

impl Words {
    /// The box of all its ink; `None` for spaces.
    pub fn ink_area(&self) -> Option<Area> {
        self.runs.iter().filter_map(Run::ink_area).reduce(Area::with)
    }

    /// What the runs show.
    pub fn shown(&self) -> String {
        self.runs.iter().map(|run| run.text.as_str()).collect()
    }
}

impl Step {
    fn map(self, to: impl Fn(Point) -> Point) -> Step {
        match self {
            Step::Move(p) => Step::Move(to(p)),
            Step::Line(p) => Step::Line(to(p)),
            Step::Curve(a, b, c) => Step::Curve(to(a), to(b), to(c)),
            Step::Close => Step::Close,
        }
    }
}

impl Mark {
    /// A straight line.
    pub(crate) fn line(from: Point, to: Point, width: f32, ink: Ink) -> Mark {
        Mark { steps: vec![Step::Move(from), Step::Line(to)], fill: None, stroke: Some((width, ink)) }
    }

    /// A box.
    pub(crate) fn square(area: Area, fill: Option<Ink>, stroke: Option<(f32, Ink)>) -> Mark {
        let corners = [
            (area.left, area.top),
            (area.right, area.top),
            (area.right, area.bottom),
            (area.left, area.bottom),
        ];
        Mark::closed(&corners.map(|(x, y)| Point::new(x, y)), fill, stroke)
    }

    /// A polygon.
    pub(crate) fn closed(points: &[Point], fill: Option<Ink>, stroke: Option<(f32, Ink)>) -> Mark {
        let mut steps = open(points);
        steps.push(Step::Close);
        Mark { steps, fill, stroke }
    }

    /// A line of several pieces.
    pub(crate) fn open(points: &[Point], width: f32, ink: Ink) -> Mark {
        Mark { steps: open(points), fill: None, stroke: Some((width, ink)) }
    }

    /// A box with half circles at its left and right, or a circle where it is no wider than high.
    pub(crate) fn round(area: Area, fill: Option<Ink>, stroke: Option<(f32, Ink)>) -> Mark {
        /// Of a cubic's handles for a quarter of a circle, in radii.
        const HANDLE: f32 = 0.552_285;
        let radius = (0.5 * (area.bottom - area.top)).min(0.5 * (area.right - area.left));
        let (h, y) = (HANDLE * radius, 0.5 * (area.top + area.bottom));
        let (left, right) = (area.left + radius, area.right - radius);
        let at = Point::new;
        let steps = vec![
            Step::Move(at(left, area.top)),
            Step::Line(at(right, area.top)),
            Step::Curve(at(right + h, area.top), at(area.right, y - h), at(area.right, y)),
            Step::Curve(at(area.right, y + h), at(right + h, area.bottom), at(right, area.bottom)),
            Step::Line(at(left, area.bottom)),
            Step::Curve(at(left - h, area.bottom), at(area.left, y + h), at(area.left, y)),
            Step::Curve(at(area.left, y - h), at(left - h, area.top), at(left, area.top)),
            Step::Close,
        ];
        Mark { steps, fill, stroke }
    }

    /// Moves it to the right.
    pub(crate) fn move_right(&mut self, by: f32) {
        self.steps.iter_mut().for_each(|step| *step = step.map(|p| Point::new(p.x + by, p.y)));
    }

    /// The box of its points, half of its stroke included.
    pub fn area(&self) -> Option<Area> {
        let half = self.stroke.map_or(0.0, |(width, _)| 0.5 * width);
        let dot = |p: &Point| Area::new(p.x - half, p.y - half, p.x + half, p.y + half);
        let points = self.steps.iter().flat_map(|step| match step {
            Step::Move(p) | Step::Line(p) => vec![dot(p)],
            Step::Curve(a, b, c) => vec![dot(a), dot(b), dot(c)],
            Step::Close => Vec::new(),
        });
        points.reduce(Area::with)
    }
}

fn open(points: &[Point]) -> Vec<Step> {
    let step =
        |(index, point): (usize, &Point)| if index == 0 { Step::Move(*point) } else { Step::Line(*point) };
    points.iter().enumerate().map(step).collect()
}

impl Block {
    /// A block of a role with nothing in it yet.
    pub(crate) fn new(role: Role) -> Block {
        Block { role, items: Vec::new() }
    }

    /// Moves everything down.
    pub(crate) fn move_down(&mut self, by: f32) {
        for item in &mut self.items {
            match item {
                Item::Words(words) => {
                    words.room = words.room.down(by);
                    words.runs.iter_mut().for_each(|run| run.at = run.at.down(by));
                }
                Item::Mark(mark) => {
                    mark.steps.iter_mut().for_each(|step| *step = step.map(|p| p.down(by)));
                }
            }
        }
    }
}

impl Page {
    /// All text of the page, in reading order.
    pub fn words(&self) -> impl Iterator<Item = &Words> {
        self.blocks.iter().flat_map(|block| &block.items).filter_map(|item| match item {
            Item::Words(words) => Some(words),
            Item::Mark(_) => None,
        })
    }
}
