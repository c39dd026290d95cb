//! What a player can choose otherwise at the chord in hand: plain values that the page of other ways shows.

use theory::{Hand, MidiKey};
use voicing::Alternative;

/// Other ways to hold the chord in hand, and what there is to say about a choice.
///
/// ```
/// assert!(ui::Choices::default().ways.is_none(), "they are still being worked out");
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choices {
    /// The right hand's, the best first, then the left hand's; `None` while they are being worked out.
    pub ways: Option<Vec<Way>>,
    /// The keys that “as I hold it” would pin, from the lowest up: those held now, or last.
    pub holding: Vec<MidiKey>,
    /// There is a pin at the chord, in the passes that a choice holds for.
    pub pinned: bool,
    /// What came of the last choice, in whole sentences.
    pub told: Option<String>,
    /// What undo would take back.
    pub undo: Option<String>,
    /// What redo would do again.
    pub redo: Option<String>,
}

/// One way to hold the chord in one hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The hand.
    pub hand: Hand,
    /// Its notes, cost and reason.
    pub other: Alternative,
}

impl Way {
    /// `F♯4 A4 D5`.
    pub fn notes(&self) -> String {
        let notes: Vec<String> = self.other.notes.iter().map(|note| note.pretty()).collect();
        notes.join(" ")
    }

    /// What is read out where it is offered.
    pub fn name(&self) -> String {
        let (hand, notes, fingers) = (self.hand.name(), self.notes(), self.fingers());
        format!("Take in the {hand} hand: {notes}, fingers {fingers}, {}", self.cost())
    }

    /// `1 2 5`, with the finger that takes over where one does: `5-4`.
    pub fn fingers(&self) -> String {
        let fingers: Vec<String> =
            self.other.shape.notes.iter().map(voicing::HeldNote::finger_text).collect();
        fingers.join(" ")
    }

    /// What it costs more, as the movement of a voice that would cost as much.
    pub fn cost(&self) -> String {
        match (self.other.costs_more, semitones(self.other.costs_more)) {
            (..0, _) => "costs less than what the song asks for".into(),
            (0, _) => "costs no more".into(),
            (_, 0) => "costs hardly more".into(),
            (_, 1) => "costs as much as a semitone more to move".into(),
            (_, n) => format!("costs as much as {n} semitones more to move"),
        }
    }

    /// Why it lost, as a sentence.
    pub fn why(&self) -> String {
        let reason = voicing::Reason { hand: None, claim: self.other.why.clone() };
        crate::sentence(&reason.text())
    }
}

/// Costs as the movement of a voice that would cost as much, in whole semitones.
fn semitones(cost: i64) -> i64 {
    let semitone = i64::from(voicing::Costs::default().right_semitone);
    (cost + semitone / 2) / semitone
}

/// The same in words, at least one: `3 semitones`.
pub(crate) fn in_semitones(cost: i64) -> String {
    match semitones(cost) {
        ..=1 => "a semitone".into(),
        n => format!("{n} semitones"),
    }
}
