//! How the changes from chord to chord of a pass went.

use super::BarPassed;
use std::collections::BTreeMap;
use theory::Hand;

/// A change into a chord: the first strike of each hand for it, right after another chord.
///
/// What begins a pass, or comes after a silent bar, is no change: nothing was left for it. In a bar that is clean every
/// change is, for a bar may have a strike in eight a little loose; in another one a strike that was not the chord, or was not
/// in time, is not.
///
/// ```
/// use practice::history::ChangePassed;
/// let change = ChangePassed { bar: 2, slot: 1, right: Some(true), left: Some(false) };
/// assert!(!change.is_clean());
/// assert_eq!(change.fails_alone(), Some(theory::Hand::Left));
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ChangePassed {
    /// The bar of the chord it goes into, from 0.
    pub bar: usize,
    /// Which chord of that bar, from 0; the first one is reached across the bar line.
    pub slot: usize,
    /// Whether the right hand made it; `None` where it did not strike.
    pub right: Option<bool>,
    /// Whether the left hand made it.
    pub left: Option<bool>,
}

impl ChangePassed {
    /// The changes of bars that were played one after the other, in order of time. `led` is that a first bar was led into
    /// from the end of the one before it.
    pub fn of_bars(bars: &[BarPassed], led: bool) -> Vec<ChangePassed> {
        let mut changes: BTreeMap<(usize, usize), ChangePassed> = BTreeMap::new();
        let led_from = bars.first().filter(|_| led).and_then(|first| first.bar.checked_sub(1));
        for hand in Hand::BOTH {
            let mut last = led_from;
            for bar in bars {
                for strike in bar.strikes.iter().filter(|s| s.hand == hand) {
                    let from_here = last.is_some_and(|last| last == bar.bar || last + 1 == bar.bar);
                    if strike.first && from_here {
                        let made = bar.clean_in_time || strike.is_good();
                        let empty = ChangePassed { bar: bar.bar, slot: strike.slot, right: None, left: None };
                        *changes.entry((bar.bar, strike.slot)).or_insert(empty).of(hand) = Some(made);
                    }
                    last = Some(bar.bar);
                }
            }
        }
        changes.into_values().collect()
    }

    /// Whether all hands that struck made it.
    pub fn is_clean(&self) -> bool {
        [self.right, self.left].into_iter().flatten().all(|made| made)
    }

    /// The hand that did not make it while the other did.
    pub fn fails_alone(&self) -> Option<Hand> {
        match (self.right?, self.left?) {
            (false, true) => Some(Hand::Right),
            (true, false) => Some(Hand::Left),
            _ => None,
        }
    }

    fn of(&mut self, hand: Hand) -> &mut Option<bool> {
        match hand {
            Hand::Right => &mut self.right,
            Hand::Left => &mut self.left,
        }
    }
}
