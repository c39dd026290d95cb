//! Sheets to print and write on: a part laid out on pages, and the pages as PDF and SVG.
//!
//! [`pages`] sets a part on paper: placed text, lines and shapes ([`Page`]), all in points (1/72 inch) from the upper left
//! corner. [`pdf`] and [`svg`] write what is there, and so does the window's preview, so that they cannot differ. Text is
//! measured with the faces that are embedded ([`Face`]); nothing leaves the box it was given, and nothing overlaps.
//!
//! ```
//! use exchange::sheet::{self, Kind, SheetOptions};
//! let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
//!   "sections": [ { "name": "Intro", "bars": ["3/4: 1.. 5. | 6"] } ] }"#;
//! let song = song::read(text).sound().unwrap().play();
//! let part = voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap();
//! let pages = sheet::pages(&part, &SheetOptions { kind: Kind::Hands, ..SheetOptions::default() });
//! assert_eq!(pages.len(), 1);
//! assert!(sheet::pdf(&pages, &sheet::Meta::of(&part)).unwrap().starts_with(b"%PDF-1.7"));
//! assert!(sheet::svg(&pages[0]).contains("<title>Lock</title>"));
//! ```
//!
//! It does not read right-to-left scripts in their order, and prints a sign for characters that the faces lack.

mod allot;
mod face;
mod figure_line;
mod flow;
mod form;
mod hands;
mod head;
mod keys;
mod lesson;
mod options;
mod page;
mod pdf;
mod row;
mod section;
mod svg;
mod symbol;
mod words;

pub use face::{Face, Glyph};
pub use options::{Kind, Naming, Paper, Passes, SheetOptions};
pub use page::{Area, Block, Ink, Item, Mark, Page, Point, Role, Run, Step, Words};
pub use pdf::pdf;
pub use svg::svg;

use flow::{Chunk, Frame};
use row::Look;
use section::Writing;
use voicing::Part;

/// What a document says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meta {
    /// Its title.
    pub title: String,
    /// Its language, as BCP 47 has it.
    pub language: String,
}

impl Meta {
    /// That of a part: its title, British English.
    pub fn of(part: &Part) -> Meta {
        Meta { title: part.title.clone(), language: "en-GB".to_owned() }
    }
}

/// A sheet of a part, in the part's key and for its player. There is at least one page.
///
/// A song that can be read on one page is set as large as that page allows; a longer one goes over as many as it takes.
pub fn pages(part: &Part, options: &SheetOptions) -> Vec<Page> {
    let frame = Frame::of(options.paper);
    let chunks = match options.kind {
        Kind::Lesson => {
            let mut chunks = head::head(part, Kind::Lesson, frame);
            chunks.extend(lesson::lesson(part, options.naming, frame));
            chunks
        }
        kind => charted(part, kind, options, frame),
    };
    flow::pages(chunks, frame, &part.title)
}

/// Said where a shape is wider than the hand.
const ROLLED: &str = "Rolled shapes are wider than the reach that was set: from the lowest note up, without a stretch. Stop \
                      at pain, and ask a teacher or a clinician where something hurts.";

fn has_rolled(part: &Part) -> bool {
    part.bars.iter().flat_map(|bar| &bar.chords).any(|chord| chord.right.rolled || chord.left.rolled)
}

/// Sizes of a number, from the largest: where one page suffices, the largest that fits it.
const SIZES: [f32; 8] = [30.0, 28.0, 26.0, 24.0, 22.0, 20.0, 18.5, 17.0];
/// No row is kept as it is written below this size, if joining short rows gives larger numbers.
const SMALL: f32 = 22.0;
/// The size where several pages are needed anyway.
const USUAL: f32 = 25.0;

fn charted(part: &Part, kind: Kind, options: &SheetOptions, frame: Frame) -> Vec<Chunk> {
    let stretches = form::stretches(part, options.passes, kind == Kind::Hands);
    let at = |size: f32, joined: bool| {
        let size = if kind == Kind::Hands { 0.84 * size } else { size };
        let hands = (kind == Kind::Hands).then_some((0.40 * size).max(7.4));
        let look = Look { size, naming: options.naming, hands };
        let margin = if hands.is_some() { 98.0 } else { 84.0 };
        let mut chunks = head::head(part, kind, frame);
        chunks.extend(Writing { part, frame, look, margin, joined }.chunks(&stretches));
        if hands.is_some() && has_rolled(part) {
            chunks.extend(head::remark(ROLLED, frame));
        }
        chunks
    };
    let fits = |chunks: &Vec<Chunk>| flow::is_one_page(chunks, frame);
    let smallest = at(SIZES[SIZES.len() - 1], true);
    if !fits(&smallest) {
        let (written, joined) = (at(USUAL, false), at(USUAL, true));
        let shorter = flow::height(&joined) < 0.85 * flow::height(&written);
        return if shorter { joined } else { written };
    }
    let written = SIZES.into_iter().filter(|size| *size >= SMALL).map(|size| (size, false));
    let ways = written.chain(SIZES.into_iter().map(|size| (size, true)));
    let mut ways = ways.map(|(size, joined)| at(size, joined));
    ways.find(fits).unwrap_or(smallest)
}
