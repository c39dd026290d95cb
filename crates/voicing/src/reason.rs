//! Reasons: typed claims with their numbers, from which sentences are made.

use theory::Hand;

/// A claim that can be checked against the keys alone. (being written: variants)
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Claim {}

/// Why a hand plays what it plays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// Which hand it is about; `None` for both or the bar.
    pub hand: Option<Hand>,
    /// What is claimed.
    pub claim: Claim,
}

impl Reason {
    /// The sentence, in a musician's words.
    pub fn text(&self) -> String {
        match self.claim {}
    }
}
