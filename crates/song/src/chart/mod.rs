//! The chart inside the song file: bars of numbers as players write them on paper.
//!
//! ```text
//! line = bar ("|" bar)*            bar  = [meter ":"] ( "%" | item+ )
//! item = ( ["^"] chord | "<" ["^"] chord ">" | "N" | "~" ) "."*
//! ```

mod check;
mod lexer;
mod parser;
mod printer;

pub(crate) use check::check_bar;
pub(crate) use parser::byte_of;
pub use parser::{ChartError, parse_line};
pub use printer::print_line;

use crate::{Beat, Meter, Quarters, Span, Spanned};
use theory::NumberChord;

/// A bar as written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChartBar {
    /// The meter written in front of this bar alone.
    pub meter: Option<Spanned<Meter>>,
    /// What stands in it.
    pub content: BarContent,
    /// The whole bar without the spaces around it.
    pub span: Span,
    /// Some of it could not be read, and what is here is the rest of it.
    pub broken: bool,
}

/// What stands in a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BarContent {
    /// `%`: the written bar before once more.
    Repeat,
    /// Chords, ties and rests.
    Items(Vec<Item>),
}

/// One item of a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// What it is.
    pub kind: ItemKind,
    /// Dots behind it.
    pub dots: u8,
    /// It with its marks and dots.
    pub span: Span,
}

/// What an item is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ItemKind {
    /// A chord.
    Chord {
        /// The chord.
        chord: NumberChord,
        /// It as written, without marks and dots.
        symbol: String,
        /// `^`: an eighth early.
        push: bool,
        /// `<>`: struck once, rings.
        diamond: bool,
    },
    /// `~`
    Tie,
    /// `N`
    Rest,
}

impl ChartBar {
    /// Its items; none for `%`.
    pub fn items(&self) -> &[Item] {
        match &self.content {
            BarContent::Items(items) => items,
            BarContent::Repeat => &[],
        }
    }

    /// The length of each item. A bar whose beats do not add up is shared out as well as it goes.
    pub(crate) fn lengths(&self, beat: Beat) -> Vec<Quarters> {
        let items = self.items();
        let bar = beat.length.times(beat.count.into());
        let dots: i64 = items.iter().map(|item| i64::from(item.dots)).sum();
        if dots == i64::from(beat.count) && items.iter().all(|item| item.dots > 0) {
            return items.iter().map(|item| beat.length.times(item.dots.into())).collect();
        }
        items.iter().map(|_| bar.split(items.len() as i64)).collect()
    }
}
