//! Exceptions: where some pass of a section differs from what is written for all.

use crate::{HandSettings, Row, Selector, Span, Spanned};

/// An exception: certain bars in certain passes differ. A pin is an exception with tones.
#[derive(Clone, Debug, PartialEq)]
pub struct Exception {
    /// Where it stands in the file.
    pub span: Span,
    /// The passes; `None` is every pass.
    pub pass: Option<Spanned<Selector>>,
    /// Where each part of the passes stands.
    pub pass_places: Vec<Span>,
    /// The bars, as the section is written.
    pub bar: Spanned<Selector>,
    /// Where each part of the bars stands.
    pub bar_places: Vec<Span>,
    /// From which beat of the bar, from 1, to the next chord; `None` is the whole bar.
    pub beat: Option<Spanned<u8>>,
    /// Bars that take the place of written ones.
    pub bars: Option<PutIn>,
    /// The right hand.
    pub right: HandSettings,
    /// The left hand.
    pub left: HandSettings,
    /// The coach's words.
    pub note: Option<String>,
    /// Words to listen for.
    pub cue: Option<String>,
}

/// Bars that an exception puts in.
#[derive(Clone, Debug, PartialEq)]
pub struct PutIn {
    /// The bars, in rows as written.
    pub rows: Vec<Row>,
    /// How many written bars give way; `None` is as many as are put in.
    pub replaces: Option<Spanned<u32>>,
    /// Where they stand in the file.
    pub span: Span,
}

impl PutIn {
    /// How many bars are put in.
    pub fn len(&self) -> usize {
        self.rows.iter().map(|row| row.bars.len()).sum()
    }

    /// Whether bars are only taken out.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// How many written bars give way at each place.
    pub fn gives_way(&self) -> u32 {
        self.replaces.map_or(self.len() as u32, |n| n.value)
    }
}
