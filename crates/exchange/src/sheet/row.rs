//! A row of the chart: bars as wide as their beats, each with its chords, and in a sheet with hands what these play.

use super::Face;
use super::Naming;
use super::allot::{allot, starts};
use super::figure_line::{Places, figure_height, figures};
use super::hands::Stack;
use super::page::{Area, Ink, Item, Mark, Point, Words};
use super::symbol::{Symbol, symbol};
use super::words::{Line, Type, line};
use song::SlotKind;
use theory::Hand;
use voicing::PartBar;

/// A bar of a row.
#[derive(Clone)]
pub(crate) struct Cell<'a> {
    /// The bar.
    pub bar: &'a PartBar,
    /// Words above it.
    pub caption: Option<String>,
    /// Its meter is written in front of it.
    pub meter: bool,
}

/// How rows are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Look {
    /// The type size of a number.
    pub size: f32,
    /// Numbers, letters or both.
    pub naming: Naming,
    /// The type size of note names, where the hands are printed.
    pub hands: Option<f32>,
}

/// A row that is drawn; its baseline lies at y = 0.
pub(crate) struct Row {
    /// What stands in it, in reading order.
    pub items: Vec<Item>,
    /// How far it reaches up (negative) and down.
    pub top: f32,
    /// See above.
    pub bottom: f32,
    /// Where the lines of each hand lie: a baseline for its name in the margin.
    pub hand_lines: Vec<(Hand, f32)>,
    /// The type size of those names.
    pub hand_size: f32,
}

/// Where a row lies on the page and what closes it.
#[derive(Clone, Copy)]
pub(crate) struct Span {
    /// The left bar line.
    pub left: f32,
    /// What a row may not go beyond.
    pub right: f32,
    /// Points for a quarter note.
    pub per_quarter: f32,
    /// A section or pass ends here.
    pub ends: bool,
}

impl Look {
    /// The same, smaller or larger.
    pub fn scaled(self, by: f32) -> Look {
        Look { size: by * self.size, hands: self.hands.map(|size| by * size), ..self }
    }
}

/// The lines of a row, from its baseline, in points.
#[derive(Clone, Copy)]
struct Lines {
    /// The highest dot, diamond or numeral.
    top: f32,
    /// The baseline of letters under numbers.
    names: f32,
    /// The line under chords that share a bar.
    shared: f32,
    /// Where the chart ends and the hands begin.
    bottom: f32,
}

impl Lines {
    /// Closer together where there is nothing to keep clear of.
    fn of(cells: &[Cell<'_>], look: Look) -> Lines {
        let slots = || cells.iter().flat_map(|cell| &cell.bar.played.slots);
        let diamond = slots().any(|slot| matches!(slot.kind, SlotKind::Chord { diamond: true, .. }));
        let over = diamond
            || slots().any(|slot| slot.dots > 0 || matches!(slot.kind, SlotKind::Chord { push: true, .. }));
        let shared = slots().filter(|slot| !slot.continued).count() > cells.len();
        let names = if diamond { 0.86 } else { 0.74 };
        let line = match (look.naming, diamond) {
            (Naming::Both, _) => names + 0.17,
            (_, true) => 0.50,
            _ => 0.36,
        };
        let bottom = if shared || look.hands.is_some() { line + 0.10 } else { line };
        let top = if over { -1.20 } else { -0.98 };
        let size = look.size;
        Lines { top: top * size, names: names * size, shared: line * size, bottom: bottom * size }
    }
}

struct Set<'a> {
    cell: &'a Cell<'a>,
    meter: Option<(Line, Line)>,
    inset: f32,
    slots: Vec<SetSlot>,
    need: f32,
}

struct SetSlot {
    symbol: Option<Symbol>,
    stacks: Vec<Stack>,
    share: f32,
    need: f32,
}

/// Rows that fit: bars kept together as they are written, halved where they are too crowded; with each the factor by which
/// it is made smaller.
pub(crate) fn fitting<'a>(cells: &[Cell<'a>], look: Look, room: f32) -> Vec<(Vec<Cell<'a>>, f32)> {
    /// A row may shrink this far before it is halved.
    const CROWDED: f32 = 1.16;
    let needed: f32 = cells.iter().map(|cell| set(cell, look).need).sum();
    let crowded = needed / room;
    if cells.len() < 2 || crowded <= CROWDED {
        // A hair smaller than it must be, for rounding.
        let shrink = if crowded > 1.0 { 0.995 / crowded } else { 1.0 };
        return vec![(cells.to_vec(), shrink)];
    }
    let (first, second) = cells.split_at(cells.len().div_ceil(2));
    let mut rows = fitting(first, look, room);
    rows.extend(fitting(second, look, room));
    rows
}

/// Draws a row.
pub(crate) fn row(cells: &[Cell<'_>], look: Look, span: Span) -> Row {
    let sets: Vec<Set<'_>> = cells.iter().map(|cell| set(cell, look)).collect();
    let quarters = |set: &Set<'_>| set.cell.bar.played.meter.length().to_f64() as f32;
    let wants: Vec<f32> = sets.iter().map(|set| span.per_quarter * quarters(set)).collect();
    let needs: Vec<f32> = sets.iter().map(|set| set.need).collect();
    let widths = allot(&wants, &needs, span.right - span.left);
    let mut row = Drawing::new(look, Lines::of(cells, look), &sets);
    let lefts = starts(span.left, &widths);
    for ((set, left), width) in sets.into_iter().zip(&lefts).zip(&widths) {
        row.bar(set, *left, *width);
    }
    let end = lefts.last().zip(widths.last()).map_or(span.left, |(left, width)| left + width);
    row.bar_lines(&lefts, end, span.ends);
    row.figures(cells);
    row.done()
}

/// A bar made ready.
fn set<'a>(cell: &'a Cell<'a>, look: Look) -> Set<'a> {
    let played = &cell.bar.played;
    let meter = cell.meter.then(|| {
        let how = Type::new(Face::Serif, 0.46 * look.size, Ink::Black);
        (line(&played.meter.upper().to_string(), how), line(&played.meter.lower().to_string(), how))
    });
    let sign = meter.as_ref().map_or(0.0, |(a, b)| a.width.max(b.width) + 0.3 * look.size);
    let inset = 0.32 * look.size + sign;
    let gap = 0.30 * look.size;
    let length = played.meter.length().to_f64();
    let mut slots = Vec::new();
    for (slot, chord) in played.slots.iter().zip(&cell.bar.chords) {
        let drawn = (!slot.continued).then(|| symbol(slot, look.naming, look.size));
        let tied = matches!(slot.kind, SlotKind::Tie { .. });
        let hands = look.hands.filter(|_| !tied);
        let stacks: Vec<Stack> = hands
            .map(|size| Hand::BOTH.map(|hand| Stack::new(chord.hand(hand), hand, size)).into())
            .unwrap_or_default();
        let wide = drawn.as_ref().map_or(0.0, |symbol| symbol.width);
        let need = stacks.iter().map(|stack| stack.width).fold(wide, f32::max) + gap;
        let share = (slot.length.to_f64() / length) as f32;
        slots.push(SetSlot { symbol: drawn, stacks, share, need });
    }
    let caption = cell.caption.as_ref().map_or(0.0, |text| line(text, caption_type(look)).width + 2.0 * gap);
    let need = (inset + slots.iter().map(|slot| slot.need).sum::<f32>()).max(caption);
    Set { cell, meter, inset, slots, need }
}

fn caption_type(look: Look) -> Type {
    Type::new(Face::Italic, (0.36 * look.size).max(7.0), Ink::Quiet)
}

struct Drawing {
    look: Look,
    lines: Lines,
    chords: Vec<Item>,
    names: Vec<Item>,
    hands: Vec<Item>,
    captions: Vec<Item>,
    marks: Vec<Item>,
    top: f32,
    /// Where each hand's notes begin, and how many lines there are.
    right: (f32, usize),
    left: (f32, usize),
    /// Where the last symbol ended.
    before: Option<f32>,
    /// Where the bars lie.
    places: Vec<Places>,
    bottom: f32,
}

impl Drawing {
    fn new(look: Look, lines: Lines, sets: &[Set<'_>]) -> Drawing {
        let captioned = sets.iter().any(|set| set.cell.caption.is_some());
        let count = |hand: usize| {
            let stacks = sets.iter().flat_map(|set| &set.slots).filter_map(|slot| slot.stacks.get(hand));
            stacks.map(Stack::lines).max().unwrap_or(0)
        };
        let (mut right, mut left) = ((lines.bottom, 0), (lines.bottom, 0));
        let mut bottom = lines.bottom;
        if let Some(size) = look.hands {
            let (pitch, figure) = (Stack::pitch(size), figure_height(size));
            right = (lines.bottom + 0.3 * size, count(0));
            let more = if right.1 > 0 { figure } else { 0.0 };
            left = (right.0 + pitch * right.1 as f32 + more + 0.2 * size, count(1));
            bottom = left.0 + pitch * left.1 as f32 + if left.1 > 0 { figure } else { 0.0 } + 0.2 * size;
        }
        let captions = if captioned { caption_type(look).leading() } else { 0.0 };
        Drawing {
            look,
            lines,
            chords: Vec::new(),
            names: Vec::new(),
            hands: Vec::new(),
            captions: Vec::new(),
            marks: Vec::new(),
            top: lines.top - captions,
            right,
            left,
            before: None,
            places: Vec::new(),
            bottom,
        }
    }

    fn bar(&mut self, set: Set<'_>, left: f32, width: f32) {
        let size = self.look.size;
        let right = left + width;
        if let Some(caption) = &set.cell.caption {
            let words = line(caption, caption_type(self.look)).saying(format!("{caption} "));
            let how = caption_type(self.look);
            let at = Point::new(left + 0.32 * size, self.lines.top - how.fall());
            self.captions.push(Item::Words(words.at(at, Area::new(left, self.top, right, self.lines.top))));
        }
        if let Some(meter) = set.meter {
            self.meter(meter, &set.cell.bar.played.meter.to_string(), left + 0.26 * size);
        }
        let room = width - set.inset;
        let wants: Vec<f32> = set.slots.iter().map(|slot| slot.share * room).collect();
        let needs: Vec<f32> = set.slots.iter().map(|slot| slot.need).collect();
        let widths = allot(&wants, &needs, room);
        let xs = starts(left + set.inset, &widths);
        let shared = set.slots.iter().filter(|slot| slot.symbol.is_some()).count() > 1;
        let last = set.slots.iter().rposition(|slot| slot.symbol.is_some());
        let mut line: Option<(f32, f32)> = None;
        for (index, slot) in set.slots.into_iter().enumerate() {
            let (x, wide) = (xs[index], widths[index]);
            if let Some(symbol) = slot.symbol {
                let end = self.symbol(symbol, x, wide, last == Some(index));
                line = Some((line.map_or(x, |line| line.0), end));
            }
            self.stacks(slot.stacks, x, wide);
        }
        if let (Some((from, to)), true) = (line, shared) {
            let y = self.lines.shared;
            let stroke = 0.045 * size;
            self.marks.push(Item::Mark(Mark::line(
                Point::new(from, y),
                Point::new(to, y),
                stroke,
                Ink::Black,
            )));
        }
        self.places.push(Places { slots: xs, right });
    }

    /// The meter in front of a bar, as its two figures.
    fn meter(&mut self, (upper, lower): (Line, Line), says: &str, x: f32) {
        let size = self.look.size;
        let wide = upper.width.max(lower.width);
        let middle = -0.36 * size;
        let room = Area::new(x, middle - 0.55 * size, x + wide + 0.1 * size, middle + 0.55 * size);
        let above = upper.clone().at(Point::new(x + 0.5 * (wide - upper.width), middle - 0.09 * size), room);
        let below = lower.clone().at(Point::new(x + 0.5 * (wide - lower.width), middle + 0.44 * size), room);
        let runs = above.runs.into_iter().chain(below.runs).collect();
        self.chords.push(Item::Words(Words { says: format!("{says}: "), runs, room }));
        let (from, to) = (Point::new(x, middle), Point::new(x + wide, middle));
        self.marks.push(Item::Mark(Mark::line(from, to, 0.035 * size, Ink::Black)));
    }

    /// A chord in its slot; returns where it ends. The last of a bar says the bar line as well.
    fn symbol(&mut self, symbol: Symbol, x: f32, wide: f32, last: bool) -> f32 {
        let look = self.look;
        let at = Point::new(x, 0.0);
        let room = Area::new(x - 0.1 * look.size, -1.22 * look.size, x + wide, 0.40 * look.size);
        if symbol.tied {
            self.tie(x);
        }
        let says = format!("{} {}", symbol.line.says, if last { "| " } else { "" });
        self.chords.push(Item::Words(symbol.line.saying(says).at(at, room)));
        for mut mark in symbol.marks {
            mark.move_right(x);
            self.marks.push(Item::Mark(mark));
        }
        if let Some(name) = symbol.name {
            let at = Point::new(x + symbol.name_x, self.lines.names);
            let room = Area::new(x - 0.1 * look.size, at.y - 0.42 * look.size, x + wide, self.lines.shared);
            let says = format!("{} ", name.says);
            self.names.push(Item::Words(name.saying(says).at(at, room)));
        }
        let end = x + symbol.width;
        self.before = Some(end);
        end
    }

    /// An arc from where the chord before ends into this slot.
    fn tie(&mut self, x: f32) {
        let size = self.look.size;
        let from = self.before.map_or(x - 0.5 * size, |end| (end + 0.2 * size).max(x - 1.4 * size).min(x));
        let to = x + 1.2 * size;
        let (y, sag) = (-0.15 * size, 0.34 * size);
        let curve = |sag: f32| {
            super::page::Step::Curve(
                Point::new(from + 0.25 * (to - from), y + sag),
                Point::new(to - 0.25 * (to - from), y + sag),
                Point::new(to, y),
            )
        };
        let steps = vec![super::page::Step::Move(Point::new(from, y)), curve(sag)];
        self.marks.push(Item::Mark(Mark { steps, fill: None, stroke: Some((0.07 * size, Ink::Black)) }));
    }

    fn stacks(&mut self, stacks: Vec<Stack>, x: f32, wide: f32) {
        let Some(size) = self.look.hands else { return };
        for (index, stack) in stacks.into_iter().enumerate() {
            // The right hand stands on the middle, the left hangs from it: as they lie on the keys.
            let y = match index {
                0 => self.right.0 + Stack::pitch(size) * (self.right.1 - stack.lines()) as f32,
                _ => self.left.0,
            };
            stack.set(Point::new(x, y), wide, &mut self.hands);
        }
    }

    fn bar_lines(&mut self, lefts: &[f32], end: f32, ends: bool) {
        let size = self.look.size;
        let (top, bottom) = (-1.02 * size, self.bottom - 0.06 * size);
        let mut line = |x: f32, width: f32, ink: Ink| {
            self.marks.push(Item::Mark(Mark::line(Point::new(x, top), Point::new(x, bottom), width, ink)));
        };
        for (index, x) in lefts.iter().enumerate() {
            if index == 0 { line(*x, 1.2, Ink::Black) } else { line(*x, 0.6, Ink::Quiet) }
        }
        if ends { line(end, 1.2, Ink::Black) } else { line(end, 0.6, Ink::Quiet) }
    }

    /// The figures under each hand's notes, where they change.
    fn figures(&mut self, cells: &[Cell<'_>]) {
        let Some(size) = self.look.hands else { return };
        for (hand, (top, lines)) in Hand::BOTH.into_iter().zip([self.right, self.left]) {
            let top = top + Stack::pitch(size) * lines as f32;
            self.hands.extend(figures(hand, cells, &self.places, size, top));
        }
    }

    fn done(self) -> Row {
        let mut items = self.captions;
        items.extend(self.chords);
        items.extend(self.names);
        items.extend(self.hands);
        items.extend(self.marks);
        let hand_lines = match self.look.hands {
            Some(size) => {
                let pitch = Stack::pitch(size);
                let base = |(top, lines): (f32, usize), line: f32| {
                    (lines > 0).then_some(top + pitch * line + 0.5 * pitch + 0.36 * size)
                };
                let right = base(self.right, self.right.1.saturating_sub(1) as f32);
                let left = base(self.left, 0.0);
                right.map(|y| (Hand::Right, y)).into_iter().chain(left.map(|y| (Hand::Left, y))).collect()
            }
            None => Vec::new(),
        };
        let hand_size = self.look.hands.map_or(0.0, |size| 0.95 * size);
        Row { items, top: self.top, bottom: self.bottom, hand_lines, hand_size }
    }
}
