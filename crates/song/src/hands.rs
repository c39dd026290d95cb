//! How a hand is asked to play: what it holds, where, and in which rhythm.

use theory::{Member, Pitch};

/// Members from the lowest key up, stacked as close as they go.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Tones(pub Vec<Member>);

/// A left-hand shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
#[allow(missing_docs)]
pub enum LeftShape {
    Root,
    Octave,
    #[default]
    RootFifth,
    RootFifthOctave,
    Triad,
    RootFifthTenth,
    None,
}

/// What a hand holds at a chord, the innermost level that says anything decides: there `shapes` goes before `tones`,
/// `tones` before `notes` or `shape`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Hold {
    /// So many keys (right hand), 1 to 4; the planner chooses which.
    Notes(u8),
    /// A shape (left hand).
    Shape(LeftShape),
    /// Written tones.
    Tones(Tones),
}

/// Where a figure begins again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
#[allow(missing_docs)]
pub enum Restart {
    #[default]
    Bar,
    Chord,
}

/// One sign of a figure. Notes are counted from the lowest, from 0 here; `usize::MAX` never occurs, the top is `Top`.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum FigureSign {
    /// `x`: the whole shape.
    Strike,
    /// `1`, `[13]`, `v1`: some notes, each perhaps as its neighbour.
    Notes(Vec<FigureNote>),
    /// `-`
    Hold,
    /// `.`
    Silent,
}

/// A note named in a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct FigureNote {
    /// Which note of the shape.
    pub which: FigurePlace,
    /// -1: the scale step below in its place; 1: the step above; 0: the note itself.
    pub neighbour: i8,
}

/// A place in a shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FigurePlace {
    /// Counted from the lowest, from 1.
    FromLowest(u8),
    /// `t`.
    Top,
}

/// One bar's rhythm of one hand: beats, each split evenly among its signs.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Figure {
    /// As written.
    pub text: String,
    /// The signs of each beat.
    pub beats: Vec<Vec<FigureSign>>,
}

/// How one hand plays at one slot, after all precedence.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct HandStyle {
    /// What it holds.
    pub hold: Hold,
    /// Where its lowest key lies, in the written key.
    pub near: Option<Pitch>,
    /// Its rhythm.
    pub figure: Figure,
    /// Where the rhythm begins again.
    pub restart: Restart,
    /// The kind of beat the figure was written for: the beat length of the meter in force where it stands.
    pub figure_beat: crate::Quarters,
}
