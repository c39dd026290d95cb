//! How a hand is asked to play: what it holds, where, and in which rhythm.

use crate::{Span, Spanned};
use std::sync::Arc;
use theory::{Member, NumberChord, Pitch};

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

/// One sign of a figure.
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
    pub figure: Arc<Figure>,
    /// Where the rhythm begins again.
    pub restart: Restart,
    /// The kind of beat the figure was written for: the beat length of the meter in force where it stands.
    pub figure_beat: crate::Quarters,
    /// What of this the song writes; the rest is for the level to say.
    pub written: Written,
}

/// What the song itself says about a hand at a slot, on any level of precedence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Written {
    /// What it holds: tones, shapes, notes or shape.
    pub hold: bool,
    /// Its rhythm.
    pub figure: bool,
    /// Where the rhythm begins again.
    pub restart: bool,
}

/// What one level (song, section, exception) says about a hand; `None` where it says nothing.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct HandSettings {
    /// How many keys are held, 1 to 4 (right hand).
    pub notes: Option<Spanned<u8>>,
    /// The shape (left hand).
    pub shape: Option<Spanned<LeftShape>>,
    /// Written tones, for all chords.
    pub tones: Option<Spanned<Tones>>,
    /// Written tones by chord, for all chords of this reach.
    pub shapes: Vec<ChordShape>,
    /// Where the lowest key lies.
    pub near: Option<Spanned<Pitch>>,
    /// The rhythm.
    pub figure: Option<Spanned<Arc<Figure>>>,
    /// Where the rhythm begins again.
    pub restart: Option<Restart>,
}

/// An entry of `shapes`: the tones of one chord.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChordShape {
    /// The chord.
    pub chord: NumberChord,
    /// Where the chord is written.
    pub key_span: Span,
    /// Its tones.
    pub tones: Spanned<Tones>,
}

impl LeftShape {
    /// All shapes, from the barest.
    pub const ALL: [LeftShape; 7] = [
        LeftShape::Root,
        LeftShape::Octave,
        LeftShape::RootFifth,
        LeftShape::RootFifthOctave,
        LeftShape::Triad,
        LeftShape::RootFifthTenth,
        LeftShape::None,
    ];

    /// As the song file writes it.
    pub const fn name(self) -> &'static str {
        match self {
            LeftShape::Root => "root",
            LeftShape::Octave => "octave",
            LeftShape::RootFifth => "root fifth",
            LeftShape::RootFifthOctave => "root fifth octave",
            LeftShape::Triad => "triad",
            LeftShape::RootFifthTenth => "root fifth tenth",
            LeftShape::None => "none",
        }
    }

    /// How many keys it has at most.
    pub const fn keys(self) -> u8 {
        match self {
            LeftShape::None => 0,
            LeftShape::Root => 1,
            LeftShape::Octave | LeftShape::RootFifth => 2,
            LeftShape::RootFifthOctave | LeftShape::Triad | LeftShape::RootFifthTenth => 3,
        }
    }
}

impl Hold {
    /// How many keys it has at most.
    pub fn keys(&self) -> u8 {
        match self {
            Hold::Notes(n) => *n,
            Hold::Shape(shape) => shape.keys(),
            Hold::Tones(tones) => tones.0.len() as u8,
        }
    }
}

impl std::fmt::Display for Tones {
    /// As the song file writes them: `3 1`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (i, member) in self.0.iter().enumerate() {
            write!(f, "{}{}", if i == 0 { "" } else { " " }, member.number())?;
        }
        Ok(())
    }
}
