//! The place in the song that what is set at the side is about, and the line that is typed anew.

use song::edit::Place;
use std::ops::Range;

/// What is chosen on the page: the song, a section, a pass, a bar or a chord in it; or several bars.
///
/// ```
/// use song::edit::Place;
/// let bars = ui::Chosen { last: Some(3), ..ui::Chosen::bar(0, 1) };
/// assert_eq!(bars.bars(), Some(1..4));
/// assert_eq!(ui::Chosen::from(Place::Section(2)).section(), Some(2));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Chosen {
    /// The place, as an edit names it.
    pub place: Place,
    /// The last of several bars, from 0; they begin with that of `place`.
    pub last: Option<u32>,
}

impl Chosen {
    /// One bar, for every pass.
    pub const fn bar(section: usize, bar: u32) -> Chosen {
        Chosen { place: Place::Bar { section, bar, pass: None, beat: None }, last: None }
    }

    /// The section that it is in.
    pub const fn section(self) -> Option<usize> {
        match self.place {
            Place::Song => None,
            Place::Section(section)
            | Place::Pass { section, .. }
            | Place::Bar { section, .. }
            | Place::Exception { section, .. } => Some(section),
        }
    }

    /// The pass, from 1, if it is about one alone.
    pub const fn pass(self) -> Option<u32> {
        match self.place {
            Place::Pass { pass, .. } => Some(pass),
            Place::Bar { pass, .. } => pass,
            _ => None,
        }
    }

    /// The bars, from 0, if any are chosen.
    pub fn bars(self) -> Option<Range<u32>> {
        let Place::Bar { bar, .. } = self.place else { return None };
        Some(bar..self.last.unwrap_or(bar).max(bar) + 1)
    }
}

impl From<Place> for Chosen {
    fn from(place: Place) -> Chosen {
        Chosen { place, last: None }
    }
}

/// A line that is typed and is not in the song yet: a row, or the heading of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NewLine {
    /// The section that it stands in; the number of sections where there is none.
    pub section: usize,
    /// The row it stands in front of; the number of rows behind the last.
    pub row: usize,
}

/// What is shown of a song being written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WritingView {
    /// What is chosen.
    pub chosen: Chosen,
    /// Where a new line is typed.
    pub line: Option<NewLine>,
    /// What is looked for, while one looks.
    pub find: Option<String>,
    /// What of the side column is open.
    pub side: super::Side,
}

impl Default for WritingView {
    fn default() -> WritingView {
        WritingView { chosen: Place::Song.into(), line: None, find: None, side: super::Side::default() }
    }
}
