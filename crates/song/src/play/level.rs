//! What one level (song, section, exception) tells the hands.

use crate::{ChordShape, HandSettings, Quarters, Spanned, Tones};
use std::collections::HashMap;
use theory::{Hand, NumberChord};

/// One level of precedence.
pub(crate) struct Level<'a> {
    right: &'a HandSettings,
    left: &'a HandSettings,
    right_shapes: HashMap<NumberChord, &'a ChordShape>,
    left_shapes: HashMap<NumberChord, &'a ChordShape>,
    /// The beat that its figures are written in.
    pub beat: Quarters,
}

impl<'a> Level<'a> {
    pub fn new(right: &'a HandSettings, left: &'a HandSettings, beat: Quarters) -> Self {
        Self { right, left, right_shapes: by_chord(right), left_shapes: by_chord(left), beat }
    }

    pub fn hand(&self, hand: Hand) -> &'a HandSettings {
        match hand {
            Hand::Right => self.right,
            Hand::Left => self.left,
        }
    }

    /// Whether it tells neither hand anything.
    pub fn is_silent(&self) -> bool {
        let nothing = HandSettings::default();
        *self.right == nothing && *self.left == nothing
    }

    /// What `shapes` says about a chord.
    pub fn shape_of(&self, hand: Hand, chord: &NumberChord) -> Option<&'a ChordShape> {
        let shapes = match hand {
            Hand::Right => &self.right_shapes,
            Hand::Left => &self.left_shapes,
        };
        shapes.get(chord).copied()
    }

    /// The tones it asks for at a chord: those of the chord itself before those for all.
    pub fn tones(&self, hand: Hand, chord: Option<&NumberChord>) -> Option<&'a Spanned<Tones>> {
        let by_chord = chord.and_then(|chord| self.shape_of(hand, chord)).map(|shape| &shape.tones);
        by_chord.or(self.hand(hand).tones.as_ref())
    }
}

fn by_chord(hand: &HandSettings) -> HashMap<NumberChord, &ChordShape> {
    hand.shapes.iter().map(|shape| (shape.chord, shape)).collect()
}
