//! Hands and fingers.

/// A hand of the player.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)]
pub enum Hand {
    Right,
    Left,
}

impl Hand {
    /// Both, right first as charts are read.
    pub const BOTH: [Hand; 2] = [Hand::Right, Hand::Left];
    /// `right` or `left`.
    pub const fn name(self) -> &'static str {
        match self {
            Hand::Right => "right",
            Hand::Left => "left",
        }
    }
}

/// A finger, 1 (thumb) to 5 (little finger).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Finger(u8);

impl Finger {
    /// A finger by number; `None` unless 1 to 5.
    pub const fn new(number: u8) -> Option<Finger> {
        if number >= 1 && number <= 5 { Some(Finger(number)) } else { None }
    }
    /// 1 to 5.
    pub const fn number(self) -> u8 {
        self.0
    }
}
