//! A section on paper: its name in the margin, its rows, what differs in which pass, the coach's words.

use super::Face;
use super::flow::{Chunk, Frame, text};
use super::form::{Difference, Stretch, has_words};
use super::head::{main_bar, tempo};
use super::page::{Area, Block, Ink, Item, Point, Role};
use super::row::{Cell, Look, Row, Span, fitting, row};
use super::words::{Line, Type, line, paragraph};
use std::ops::Range;
use voicing::Part;

/// No row is longer than this: six bars of 4/4.
const LONGEST: f32 = 24.0;
/// Rows are drawn as if they had at least this: four bars of 3/4.
const LEAST: f32 = 12.0;
/// Short rows are joined up to this, where they are joined: four bars of 4/4.
const JOINED: f32 = 16.0;
/// What differs is drawn so much smaller.
const ASIDE: f32 = 0.84;

/// How the sections of a sheet are drawn.
pub(crate) struct Writing<'a> {
    /// The part.
    pub part: &'a Part,
    /// The page.
    pub frame: Frame,
    /// Rows.
    pub look: Look,
    /// The width of the margin with the names of the sections.
    pub margin: f32,
    /// Short rows are joined to save room, rather than kept as they are written.
    pub joined: bool,
}

impl<'a> Writing<'a> {
    /// All stretches, one below the other.
    pub fn chunks(&self, stretches: &[Stretch]) -> Vec<Chunk> {
        let longest = stretches.iter().flat_map(|stretch| self.rows(&stretch.bars));
        let longest = longest.map(|bars| quarters(self.part, &bars)).fold(LEAST, f32::max);
        let per_quarter = (self.frame.right - self.left()) / longest;
        stretches.iter().flat_map(|stretch| self.stretch(stretch, per_quarter)).collect()
    }

    fn left(&self) -> f32 {
        self.frame.left + self.margin
    }

    fn stretch(&self, stretch: &Stretch, per_quarter: f32) -> Vec<Chunk> {
        let mut rows: Vec<(Vec<Cell<'a>>, f32)> = Vec::new();
        for bars in self.rows(&stretch.bars) {
            let cells: Vec<Cell<'a>> = bars.map(|bar| self.cell(bar, stretch.bars.start)).collect();
            rows.extend(fitting(&cells, self.look, self.frame.right - self.left()));
        }
        let count = rows.len();
        let mut chunks = Vec::new();
        for (index, (cells, shrink)) in rows.into_iter().enumerate() {
            let span = self.span(per_quarter, index + 1 == count);
            let row = row(&cells, self.look.scaled(shrink), span);
            let (above, margin) = if index == 0 { self.heading(stretch) } else { (Vec::new(), None) };
            chunks.extend(above);
            let gap = if index == 0 { 0.62 } else { 0.34 } * self.look.size;
            let mut chunk = self.row_chunk(row, margin);
            if chunks.is_empty() || index > 0 {
                chunk.gap = gap;
            }
            chunk.with_next = index == 0 && count > 1 && count < 4;
            chunks.push(chunk);
        }
        chunks.extend(self.differences(stretch, ASIDE * per_quarter));
        let words = self.words(stretch);
        if let Some(last) = chunks.last_mut() {
            last.with_next = !words.is_empty();
        }
        chunks.extend(words);
        chunks
    }

    /// The printed rows of some bars.
    fn rows(&self, bars: &Range<usize>) -> Vec<Range<usize>> {
        let mut rows: Vec<Range<usize>> = Vec::new();
        for bar in bars.clone() {
            let row = |bar: usize| self.part.bars[bar].played.row;
            let same_row = bar > bars.start && row(bar - 1) == row(bar);
            match rows.last_mut() {
                Some(row) if same_row => row.end = bar + 1,
                _ => rows.push(bar..bar + 1),
            }
        }
        if self.joined {
            rows = self.join(rows);
        }
        rows.into_iter().flat_map(|row| self.evenly(row)).collect()
    }

    fn join(&self, rows: Vec<Range<usize>>) -> Vec<Range<usize>> {
        let mut joined: Vec<Range<usize>> = Vec::new();
        for row in rows {
            match joined.last_mut() {
                Some(last) if quarters(self.part, &(last.start..row.end)) <= JOINED => last.end = row.end,
                _ => joined.push(row),
            }
        }
        joined
    }

    /// A row that is too long in halves: one of eight bars becomes four and four.
    fn evenly(&self, row: Range<usize>) -> Vec<Range<usize>> {
        if quarters(self.part, &row) <= LONGEST || row.len() < 2 {
            return vec![row];
        }
        let middle = row.start + row.len().div_ceil(2);
        let mut rows = self.evenly(row.start..middle);
        rows.extend(self.evenly(middle..row.end));
        rows
    }

    fn cell(&self, bar: usize, first: usize) -> Cell<'a> {
        let played = &self.part.bars[bar].played;
        let usual = main_bar(self.part).map(|main| main.meter);
        let new = bar == first && usual.is_some_and(|usual| usual != played.meter);
        Cell { bar: &self.part.bars[bar], caption: None, meter: played.own_meter || new }
    }

    fn span(&self, per_quarter: f32, ends: bool) -> Span {
        Span { left: self.left(), right: self.frame.right, per_quarter, ends }
    }

    /// A row with what stands in its margin, from its upper edge down.
    fn row_chunk(&self, row: Row, margin: Option<Margin>) -> Chunk {
        let mut blocks = Vec::new();
        let mut bottom = row.bottom;
        if let Some(margin) = margin {
            bottom = bottom.max(margin.bottom);
            blocks.extend(margin.blocks);
        }
        let mut items = row.items;
        let how = Type::new(Face::Italic, row.hand_size, Ink::Quiet);
        for (hand, y) in row.hand_lines {
            let label = line(hand.name(), how);
            items.push(Item::Words(self.label(label, y)));
        }
        blocks.push(Block { role: Role::Text, items });
        let top = row.top;
        blocks.iter_mut().for_each(|block| block.move_down(-top));
        Chunk::new(blocks, bottom - top)
    }

    /// A word right before the first bar line.
    fn label(&self, label: Line, y: f32) -> super::page::Words {
        let x = self.left() - 5.0 - label.width;
        label.set(Point::new(x, y))
    }

    /// The name of a section and what is to be said of it, for the margin; a name too long for it stands above the rows.
    fn heading(&self, stretch: &Stretch) -> (Vec<Chunk>, Option<Margin>) {
        let name = self.part.sections.get(stretch.section).map_or("", String::as_str);
        let role = Role::Heading(name.to_owned());
        let how = Type::new(Face::Italic, (0.50 * self.look.size).clamp(10.5, 15.0), Ink::Black);
        let facts = self.facts(stretch);
        let room = self.margin - if self.look.hands.is_some() { 34.0 } else { 12.0 };
        let lines = paragraph(name, how, room);
        let broken = name.split_whitespace().any(|word| line(word, how).width > room);
        let mut margin = Margin::new(self, !facts.is_empty());
        let mut above = Vec::new();
        if lines.len() > 2 || broken {
            above = text(name, how, role, self.frame.left, self.frame.right, 0.62 * self.look.size);
            above.iter_mut().for_each(|chunk| chunk.with_next = true);
        } else {
            margin.lines(lines, how, role, self.frame.left, room);
        }
        let how = Type::new(Face::Sans, 8.5, Ink::Quiet);
        let facts: Vec<Line> = facts.iter().flat_map(|fact| paragraph(fact, how, room)).collect();
        margin.lines(facts, how, Role::Text, self.frame.left, room);
        (above, Some(margin))
    }

    /// How often, in which key, how fast, where it is not as in the whole song.
    fn facts(&self, stretch: &Stretch) -> Vec<String> {
        let mut facts = Vec::new();
        if stretch.times > 1 {
            facts.push(format!("{} times", stretch.times));
        }
        if let Some((pass, count)) = stretch.pass {
            facts.push(format!("pass {pass} of {count}"));
        }
        let Some(first) = self.part.bars.get(stretch.bars.start) else { return facts };
        let first = &first.played;
        if first.key != self.part.key {
            facts.push(format!("in {}", first.key.pretty()));
        }
        if let Some(main) = main_bar(self.part) {
            if (first.quarters_per_minute - main.quarters_per_minute).abs() > 0.01
                || first.beat.length != main.beat.length
            {
                facts.push(tempo(first));
            }
            if first.feel != main.feel {
                facts.push(if first.is_swung() { "swing" } else { "straight" }.to_owned());
            }
        }
        facts
    }

    /// What the coach says about a section and its bars, and what is left out or played otherwise in some passes.
    fn words(&self, stretch: &Stretch) -> Vec<Chunk> {
        let words = self.part.words.get(stretch.section);
        let note = words.and_then(|words| words.note.clone());
        let cue = words.and_then(|words| words.cue.as_ref()).map(|cue| listen(cue));
        let mut said: Vec<String> = note.into_iter().chain(cue).collect();
        said.extend(self.of_bars(stretch));
        said.extend(not_drawn(&stretch.differences));
        let mut chunks: Vec<Chunk> = said.iter().flat_map(|said| self.remark(said)).collect();
        if let Some(first) = chunks.first_mut() {
            first.gap = 5.0;
        }
        chunks
    }

    /// `Pass 4, bars 1, 3: …`; what is said of several bars or passes stands once.
    fn of_bars(&self, stretch: &Stretch) -> Vec<String> {
        let mut said: Vec<Remark> = Vec::new();
        for bars in &stretch.passes {
            for bar in self.part.bars[bars.clone()].iter().map(|bar| &bar.played).filter(|bar| has_words(bar))
            {
                let cue = bar.cue.as_ref().map(|cue| listen(cue));
                for text in bar.note.clone().into_iter().chain(cue) {
                    Remark::add(&mut said, text, bar.pass, bar.bar_in_section);
                }
            }
        }
        let all = stretch.passes.len();
        said.iter().map(|remark| remark.text(all)).collect()
    }

    fn remark(&self, said: &str) -> Vec<Chunk> {
        let how = Type::new(Face::Italic, 9.5, Ink::Black);
        text(said, how, Role::Text, self.left(), self.frame.right, 2.0)
    }

    /// The bars that some passes play otherwise, smaller, side by side.
    fn differences(&self, stretch: &Stretch, per_quarter: f32) -> Vec<Chunk> {
        let look = self.look.scaled(ASIDE);
        let shown = stretch.differences.iter().filter(|difference| !difference.hands);
        let cells: Vec<Cell<'a>> =
            shown.flat_map(|difference| self.other_cells(stretch, difference)).collect();
        let mut rows: Vec<(Vec<Cell<'a>>, f32)> = Vec::new();
        for cells in cells.chunks(4) {
            rows.extend(fitting(cells, look, self.frame.right - self.left()));
        }
        let mut chunks = Vec::new();
        for (cells, shrink) in rows {
            let drawn = row(&cells, look.scaled(shrink), self.span(per_quarter, true));
            chunks.push(self.row_chunk(drawn, None).below(0.24 * look.size));
        }
        chunks
    }

    fn other_cells(&self, stretch: &Stretch, difference: &Difference) -> Vec<Cell<'a>> {
        let caption = format!("bar {}, {}", difference.bar, numbered("pass", &difference.passes));
        let cell = |(index, bar): (usize, &usize)| Cell {
            caption: Some(if index == 0 { caption.clone() } else { "and".to_owned() }),
            ..self.cell(*bar, stretch.bars.start)
        };
        difference.bars.iter().enumerate().map(cell).collect()
    }
}

/// Differences that no row shows: `Pass 2, bars 3, 4: the same chords, played otherwise`.
fn not_drawn(differences: &[Difference]) -> Vec<String> {
    let mut said: Vec<(&[u32], Vec<u32>, &str)> = Vec::new();
    for difference in differences {
        let what = match (difference.bars.is_empty(), difference.hands) {
            (true, _) => "left out",
            (_, true) => "the same chords, played otherwise",
            _ => continue,
        };
        match said.last_mut() {
            Some((passes, bars, known)) if *passes == difference.passes && *known == what => {
                bars.push(difference.bar)
            }
            _ => said.push((&difference.passes, vec![difference.bar], what)),
        }
    }
    let text = |(passes, bars, what): &(&[u32], Vec<u32>, &str)| {
        format!("{}, {}: {what}", capital(&numbered("pass", passes)), numbered("bar", bars))
    };
    said.iter().map(text).collect()
}

/// What is said of some bars.
struct Remark {
    words: String,
    passes: Vec<u32>,
    bars: Vec<u32>,
}

impl Remark {
    fn add(all: &mut Vec<Remark>, words: String, pass: u32, bar: u32) {
        let known = all.iter_mut().find(|known| known.words == words);
        let Some(known) = known else {
            return all.push(Remark { words, passes: vec![pass], bars: vec![bar] });
        };
        for (list, number) in [(&mut known.passes, pass), (&mut known.bars, bar)] {
            if !list.contains(&number) {
                list.push(number);
            }
        }
    }

    /// With the bars before it, and the passes where they are not all of so many.
    fn text(&self, all: usize) -> String {
        let bars = numbered("bar", &self.bars);
        let place = if self.passes.len() == all {
            bars
        } else {
            format!("{}, {bars}", numbered("pass", &self.passes))
        };
        format!("{}: {}", capital(&place), self.words)
    }
}

/// What stands in the margin beside a row whose baseline is y = 0.
struct Margin {
    blocks: Vec<Block>,
    y: f32,
    bottom: f32,
}

impl Margin {
    fn new(writing: &Writing<'_>, with_facts: bool) -> Margin {
        let y = if with_facts { -0.34 * writing.look.size } else { 0.0 };
        Margin { blocks: Vec::new(), y, bottom: 0.0 }
    }

    fn lines(&mut self, lines: Vec<Line>, how: Type, role: Role, left: f32, room: f32) {
        if lines.is_empty() {
            return;
        }
        let mut block = Block::new(role);
        for line in lines {
            if self.bottom > 0.0 || !block.items.is_empty() {
                self.y += how.leading();
            }
            let area = Area::new(left - 2.0, self.y - how.rise(), left + room + 6.0, self.y + how.fall());
            block.items.push(Item::Words(line.at(Point::new(left, self.y), area)));
            self.bottom = (self.y + how.fall()).max(f32::MIN_POSITIVE);
        }
        self.blocks.push(block);
    }
}

fn quarters(part: &Part, bars: &Range<usize>) -> f32 {
    part.bars[bars.clone()].iter().map(|bar| bar.played.meter.length().to_f64() as f32).sum()
}

fn listen(cue: &str) -> String {
    format!("Listen for: {cue}")
}

/// `bar 3`, `bars 1, 3`; `pass 2`, `passes 2, 3`.
pub(crate) fn numbered(noun: &str, numbers: &[u32]) -> String {
    let list: Vec<String> = numbers.iter().map(u32::to_string).collect();
    let ending = match (numbers.len(), noun.ends_with('s')) {
        (1, _) => "",
        (_, true) => "es",
        (_, false) => "s",
    };
    format!("{noun}{ending} {}", list.join(", "))
}

/// With a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|first| first.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
