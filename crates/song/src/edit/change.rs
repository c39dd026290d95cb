//! What can be changed in a song: one plain value each.

use crate::{Feel, Figure, Goal, LeftShape, Meter, Restart, SectionKey, Tempo, Tones};
use theory::{Hand, Key, NumberChord, Pitch};

/// One edit of a song. Sections, rows and bars count from 0, as the section is written; passes count from 1.
///
/// Wherever bars are put in, taken out or moved, the exceptions that name them (pins among them) move with them, in
/// every section that plays them.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// The text of a row, as typed. Bars are found again by what stands in them.
    Row {
        /// The section.
        section: usize,
        /// The row.
        row: usize,
        /// The new text, e.g. `1 | 4 5`.
        text: String,
    },
    /// A new row before the one of that number.
    InsertRow {
        /// The section.
        section: usize,
        /// Where; the number of rows to put it last.
        row: usize,
        /// Its text.
        text: String,
    },
    /// Takes a row away.
    RemoveRow {
        /// The section.
        section: usize,
        /// The row.
        row: usize,
    },
    /// A new row begins at this bar, on paper only.
    BreakRow {
        /// The section.
        section: usize,
        /// The first bar of the new row.
        bar: u32,
    },
    /// A row goes on with the row behind it, on paper only.
    JoinRow {
        /// The section.
        section: usize,
        /// The first of the two rows.
        row: usize,
    },
    /// The text of one bar: as written, or in one pass alone ("this pass differs here").
    Bar {
        /// The section.
        section: usize,
        /// The bar.
        bar: u32,
        /// The pass that differs; `None` changes what is written for all.
        pass: Option<u32>,
        /// The new text, e.g. `4. 5...`; in one pass alone it may be several bars.
        text: String,
    },
    /// The bars that one of a section's own exceptions puts in.
    PutIn {
        /// The section.
        section: usize,
        /// Its number in the section's own list, from 0.
        exception: usize,
        /// The new bars, e.g. `5sus4 5 | 5`. As many written bars give way as before.
        text: String,
    },
    /// New bars before the one of that number.
    InsertBars {
        /// The section.
        section: usize,
        /// Where; the number of bars to put them last.
        at: u32,
        /// The bars, e.g. `4 | 5`.
        text: String,
    },
    /// Bars that were copied, before the one of that number, with what is said about them.
    PasteBars {
        /// The section.
        section: usize,
        /// Where; the number of bars to put them last.
        at: u32,
        /// The bars.
        clip: super::Clip,
    },
    /// Takes bars away, with what was said about them.
    RemoveBars {
        /// The section.
        section: usize,
        /// The first bar.
        from: u32,
        /// The bar behind the last.
        to: u32,
    },
    /// Moves bars, within a section or to another.
    MoveBars {
        /// The section they are taken from.
        section: usize,
        /// The first bar.
        from: u32,
        /// The bar behind the last.
        to: u32,
        /// The section they go to.
        into: usize,
        /// The bar they go in front of, counted before they are taken out.
        at: u32,
    },
    /// A new section with rows of its own.
    InsertSection {
        /// Where; the number of sections to put it last.
        at: usize,
        /// Its name.
        name: String,
        /// Its rows.
        rows: Vec<String>,
    },
    /// A new section that is like another, behind it.
    LikeSection {
        /// The other section.
        section: usize,
        /// Its name.
        name: String,
    },
    /// A copy of a section, behind it.
    CopySection {
        /// The section.
        section: usize,
        /// The name of the copy.
        name: String,
    },
    /// Gives a section that is like another everything it takes over for its own.
    OwnBars {
        /// The section.
        section: usize,
    },
    /// Takes a section away, out of the order as well.
    RemoveSection {
        /// The section.
        section: usize,
    },
    /// Moves a section among the written ones.
    MoveSection {
        /// The section.
        section: usize,
        /// The place it has afterwards.
        to: usize,
    },
    /// Another name; the order and `like` follow.
    RenameSection {
        /// The section.
        section: usize,
        /// The new name.
        name: String,
    },
    /// The sections in playing order; `None`: each once, as written.
    Order(Option<Vec<usize>>),
    /// Something that the song, a section or a bar says about itself.
    Field {
        /// Where.
        place: Place,
        /// What.
        field: Field,
    },
    /// Something that a hand is told. A pin is [`HandField::Tones`] at a bar.
    Hand {
        /// Where.
        place: Place,
        /// Which hand.
        hand: Hand,
        /// What.
        field: HandField,
    },
    /// Takes one of a section's own exceptions away.
    RemoveException {
        /// The section.
        section: usize,
        /// Its number in the section's own list, from 0.
        exception: usize,
    },
    /// A goal that the coach marks; `None` takes it away.
    Goal {
        /// Its number in the song's list, from 0; the number of goals to put it last.
        at: usize,
        /// What it is.
        goal: Option<Goal>,
    },
}

/// What an edit is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// The song.
    Song,
    /// A section.
    Section(usize),
    /// One pass of a section, all its bars.
    Pass {
        /// The section.
        section: usize,
        /// The pass, from 1.
        pass: u32,
    },
    /// A bar, or a chord in it.
    Bar {
        /// The section.
        section: usize,
        /// The bar as written, from 0.
        bar: u32,
        /// The pass, from 1; `None` for every pass.
        pass: Option<u32>,
        /// The beat, from 1, from which to the next chord it holds; `None` for the whole bar.
        beat: Option<u8>,
    },
    /// One of a section's own exceptions as it stands.
    Exception {
        /// The section.
        section: usize,
        /// Its number in the section's own list, from 0.
        exception: usize,
    },
}

/// What the song, a section or a bar says about itself; `None` says nothing.
#[derive(Clone, Debug, PartialEq)]
pub enum Field {
    /// The title (song).
    Title(String),
    /// Words to the player (everywhere).
    Note(Option<String>),
    /// Words to listen for (section, bar).
    Cue(Option<String>),
    /// The key (song).
    Key(Key),
    /// The section's own key (section).
    OwnKey(Option<SectionKey>),
    /// Beats a minute (song, section).
    Tempo(Option<Tempo>),
    /// The meter (song, section).
    Meter(Option<Meter>),
    /// Whether 6/8 and its like count eighths (song, section).
    CountEighths(bool),
    /// How many bars are counted in (song).
    CountIn(Option<u8>),
    /// Straight or swung (song, section).
    Feel(Option<Feel>),
    /// How full the hands play, 1 to 5 (song, section).
    Level(Option<u8>),
    /// Whether a bass player plays along (song, section).
    Bass(Option<bool>),
    /// Whether the part carries pedal marks (song, section).
    Pedal(Option<bool>),
    /// How often a section is played at each place of the order (section).
    Passes(Option<u32>),
}

/// What a hand is told; `None` tells it nothing.
#[derive(Clone, Debug, PartialEq)]
pub enum HandField {
    /// How many keys it holds, 1 to 4 (right hand).
    Notes(Option<u8>),
    /// Its shape (left hand).
    Shape(Option<LeftShape>),
    /// Its tones at every chord there; at a bar or chord this is a pin.
    Tones(Option<Tones>),
    /// Its tones at one chord.
    ChordTones(NumberChord, Option<Tones>),
    /// Where its lowest key lies, in the written key.
    Near(Option<Pitch>),
    /// Its rhythm.
    Figure(Option<Figure>),
    /// Where the rhythm begins again.
    Restart(Option<Restart>),
}
