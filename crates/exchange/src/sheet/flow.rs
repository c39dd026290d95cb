//! From a list of things to pages: nothing is cut, headings stay with what follows them.

use super::page::{Area, Block, Ink, Item, Mark, Page, Point, Role};
use super::words::{Line, Type, fitted, line, paragraph};
use super::{Face, Paper};

/// A thing that is never cut; its own upper edge is y = 0.
pub(crate) struct Chunk {
    /// What stands in it.
    pub blocks: Vec<Block>,
    /// How high it is.
    pub height: f32,
    /// Room above it, but for the first of a page.
    pub gap: f32,
    /// It stands on one page with the next one.
    pub with_next: bool,
}

/// The page without its margins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    /// The paper.
    pub width: f32,
    /// See above.
    pub height: f32,
    /// The edges of what is printed.
    pub left: f32,
    /// See above.
    pub right: f32,
    /// See above.
    pub top: f32,
    /// See above; page numbers stand below it.
    pub bottom: f32,
}

/// From one line to write on to the next, in points: 7 mm, as ruled paper has it (common practice, no source).
const WRITING: f32 = 20.0;
/// At least so many lines to write on.
const LEAST_LINES: f32 = 2.0;
/// At most so many.
const MOST_LINES: f32 = 11.0;

impl Frame {
    /// 15 mm all round, more at the foot for page numbers.
    pub fn of(paper: Paper) -> Frame {
        let (width, height) = paper.size();
        let margin = 42.5;
        Frame {
            width,
            height,
            left: margin,
            right: width - margin,
            top: margin,
            bottom: height - margin - 14.0,
        }
    }

    /// How much stands on a page.
    pub fn room(self) -> f32 {
        self.bottom - self.top
    }
}

impl Chunk {
    /// Blocks of a height.
    pub fn new(blocks: Vec<Block>, height: f32) -> Chunk {
        Chunk { blocks, height, gap: 0.0, with_next: false }
    }

    /// With room above it.
    pub fn below(mut self, gap: f32) -> Chunk {
        self.gap = gap;
        self
    }

    /// On one page with the next one.
    pub fn with_next(mut self) -> Chunk {
        self.with_next = true;
        self
    }
}

/// A paragraph as one chunk a line, so that it can go over pages; the first carries the role.
pub(crate) fn text(text: &str, how: Type, role: Role, left: f32, right: f32, gap: f32) -> Vec<Chunk> {
    let lines = paragraph(text, how, right - left);
    let single = lines.len() < 4;
    let last = lines.len().saturating_sub(1);
    let mut chunks = Vec::new();
    for (index, line) in lines.into_iter().enumerate() {
        let room = Area::new(left - 0.2 * how.size, 0.0, right + 0.5 * how.size, how.leading());
        let words = line.at(Point::new(left, how.rise()), room);
        let role = if index == 0 || role == Role::Text { role.clone() } else { Role::Text };
        let mut chunk = Chunk::new(vec![Block { role, items: vec![Item::Words(words)] }], how.leading());
        chunk.gap = if index == 0 { gap } else { 0.0 };
        chunk.with_next = single && index < last;
        chunks.push(chunk);
    }
    join(chunks, single)
}

/// A short paragraph becomes one chunk with one block, so that it is one paragraph to those who listen.
fn join(chunks: Vec<Chunk>, single: bool) -> Vec<Chunk> {
    if !single || chunks.is_empty() {
        return chunks;
    }
    let mut y = 0.0;
    let gap = chunks[0].gap;
    let mut joined: Option<Block> = None;
    for chunk in chunks {
        for mut block in chunk.blocks {
            block.move_down(y);
            match &mut joined {
                Some(joined) => joined.items.extend(block.items),
                None => joined = Some(block),
            }
        }
        y += chunk.height;
    }
    vec![Chunk::new(joined.into_iter().collect(), y).below(gap)]
}

/// Sets chunks on pages, with lines to write on where the last one ends and the foot of each page.
pub(crate) fn pages(chunks: Vec<Chunk>, frame: Frame, title: &str) -> Vec<Page> {
    let mut pages: Vec<Vec<Block>> = vec![Vec::new()];
    let mut y = frame.top;
    let heights = needed(&chunks);
    for (chunk, needed) in chunks.into_iter().zip(heights) {
        let gap = if y > frame.top { chunk.gap } else { 0.0 };
        let fits = y + gap + needed <= frame.bottom + 0.01 || needed > frame.room();
        let fits = fits && y + gap + chunk.height <= frame.bottom + 0.01;
        if fits || y <= frame.top {
            y += gap;
        } else {
            pages.push(Vec::new());
            y = frame.top;
        }
        let page = pages.last_mut().expect("there is always one page");
        for mut block in chunk.blocks {
            block.move_down(y);
            page.push(block);
        }
        y += chunk.height;
    }
    let lines = to_write_on(frame, y);
    pages.last_mut().expect("there is always one page").extend(lines);
    let count = pages.len();
    let page = |(index, mut blocks): (usize, Vec<Block>)| {
        blocks.extend(foot(frame, title, index + 1, count));
        Page { width: frame.width, height: frame.height, blocks }
    };
    pages.into_iter().enumerate().map(page).collect()
}

/// Whether all of it stands on one page, with a few lines to write on.
pub(crate) fn is_one_page(chunks: &[Chunk], frame: Frame) -> bool {
    height(chunks) + (LEAST_LINES + 1.0) * WRITING <= frame.room()
}

/// How high all of it would be on one long page.
pub(crate) fn height(chunks: &[Chunk]) -> f32 {
    chunks.iter().map(|chunk| chunk.gap + chunk.height).sum()
}

/// The height of each chunk with those that stay with it.
fn needed(chunks: &[Chunk]) -> Vec<f32> {
    let mut needed = vec![0.0; chunks.len()];
    for index in (0..chunks.len()).rev() {
        let next = chunks.get(index + 1).filter(|_| chunks[index].with_next);
        let more = next.map_or(0.0, |next| next.gap + needed[index + 1]);
        needed[index] = chunks[index].height + more;
    }
    needed
}

fn to_write_on(frame: Frame, from: f32) -> Option<Block> {
    let first = from + 1.6 * WRITING;
    let count = ((frame.bottom - first) / WRITING).floor().min(MOST_LINES);
    if count < 1.0 {
        return None;
    }
    let mut block = Block::new(Role::Ornament);
    for index in 0..=count as usize {
        let y = first + WRITING * index as f32;
        let (a, b) = (Point::new(frame.left, y), Point::new(frame.right, y));
        block.items.push(Item::Mark(Mark::line(a, b, 0.5, Ink::Rule)));
    }
    Some(block)
}

/// The title and the number of the page.
fn foot(frame: Frame, title: &str, page: usize, pages: usize) -> Option<Block> {
    if pages < 2 {
        return None;
    }
    let how = Type::new(Face::Sans, 8.5, Ink::Quiet);
    let y = frame.bottom + 22.0;
    let number = line(&format!("page {page} of {pages}"), how);
    let mut block = Block::new(Role::Ornament);
    let room = frame.right - frame.left - number.width - 20.0;
    let title: Line = fitted(title, how, room, 1.0);
    let at = Point::new(frame.right - number.width, y);
    block.items.push(Item::Words(title.set(Point::new(frame.left, y))));
    block.items.push(Item::Words(number.set(at)));
    Some(block)
}
