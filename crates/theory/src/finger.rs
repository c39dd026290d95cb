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
    /// The thumb.
    pub const THUMB: Finger = Finger(1);
    /// All five, from the thumb.
    pub const ALL: [Finger; 5] = [Finger(1), Finger(2), Finger(3), Finger(4), Finger(5)];
    /// A finger by number; `None` unless 1 to 5.
    pub const fn new(number: u8) -> Option<Finger> {
        if number >= 1 && number <= 5 { Some(Finger(number)) } else { None }
    }
    /// 1 to 5.
    pub const fn number(self) -> u8 {
        self.0
    }
}

impl std::fmt::Display for Finger {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}
