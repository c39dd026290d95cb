//! What is believed of one thing, with both hands and with each alone.

use super::Belief;
use super::player::Shares;
use crate::{Hands, Speed};
use theory::Hand;

/// What is believed of a bar, or of a change, with both hands and with each alone.
///
/// ```
/// use practice::{Hands, Speed, learn::ByHands};
/// let mut believed = ByHands::default();
/// believed.hear(Hands::Left, 0.0, Speed::FULL, false);
/// believed.hear(Hands::Both, 0.0, Speed::clamped(60.0), true);
/// // What is clean with both hands is clean with each that was heard.
/// let heard = [Hands::Both, Hands::Right, Hands::Left].map(|hands| believed.of(hands).heard());
/// assert_eq!(heard, [1, 0, 2]);
/// ```
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ByHands {
    /// Both.
    pub both: Belief,
    /// The right hand alone.
    pub right: Belief,
    /// The left hand alone.
    pub left: Belief,
    /// The hand that failed while both played and the other did not.
    pub suspect: Option<Hand>,
}

impl ByHands {
    /// The belief for these hands.
    pub fn of(&self, hands: Hands) -> &Belief {
        match hands {
            Hands::Both => &self.both,
            Hands::Right => &self.right,
            Hands::Left => &self.left,
        }
    }

    /// A pass with these hands was heard. What is clean with both is clean with each.
    pub fn hear(&mut self, hands: Hands, day: f64, speed: Speed, clean: bool) {
        match hands {
            Hands::Right => self.right.hear(day, speed, clean),
            Hands::Left => self.left.hear(day, speed, clean),
            Hands::Both => self.hear_both(day, speed, clean),
        }
    }

    /// What kind of player it is.
    pub(super) fn of_player(&mut self, shares: Shares) {
        [&mut self.both, &mut self.right, &mut self.left].into_iter().for_each(|b| b.of_player(shares));
    }

    fn hear_both(&mut self, day: f64, speed: Speed, clean: bool) {
        self.both.hear(day, speed, clean);
        if clean {
            self.suspect = None;
            let alone = [&mut self.right, &mut self.left].into_iter().filter(|belief| belief.heard() > 0);
            alone.for_each(|belief| belief.hear(day, speed, true));
        }
    }
}
