//! A drill of a hard bar: where it begins and ends, with which hands and how fast, and when it is over.

use super::{Belief, ByHands, Ladder, LadderStep};
use crate::{Hands, LoopBars, Speed, Timeline};
use song::Quarters;
use theory::Hand;

/// One starts at a speed at which success is at least so likely.
const LIKELY: f64 = 0.8;
/// A hand, or both, that is clean less often than this at the target is not clean.
const NOT_CLEAN: f64 = 0.7;
/// From so many passes on it is believed that a hand alone fails.
const KNOWN: u32 = 3;
/// So many passes without a new highest speed, and it no longer gets better today.
const NO_BETTER: u32 = 12;

/// The stretch that a drill goes through: from the last beat of the bar before into the first of the bar after (teachers'
/// practice), as far as there are such bars.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillBars {
    /// The bars it is about.
    pub bars: LoopBars,
    /// Where it begins.
    pub from: Quarters,
    /// Where it ends.
    pub to: Quarters,
}

impl DrillBars {
    /// Around some bars; `None` if the song has no such bars.
    pub fn around(timeline: &Timeline, bars: LoopBars) -> Option<DrillBars> {
        let first = timeline.bars().get(bars.from())?;
        let last = timeline.bars().get(bars.to())?;
        let before = bars.from().checked_sub(1).and_then(|b| timeline.beats(b).last().map(|beat| beat.at));
        let after = timeline.bars().get(bars.to() + 1).map(|b| b.start + b.beat.length);
        Some(DrillBars { bars, from: before.unwrap_or(first.start), to: after.unwrap_or(last.end()) })
    }
}

/// A drill under way.
#[derive(Clone, Debug, PartialEq)]
pub struct Drill {
    stages: Vec<Stage>,
    stage: usize,
    fastest: Speed,
    passes_since: u32,
}

/// One after the other: of a change, of the bar; a hand alone, both.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stage {
    /// The change into this chord alone, from the last beat before it into the first after; else the bar.
    change: Option<usize>,
    hands: Hands,
    ladder: Ladder,
}

/// How a drill ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DrillEnd {
    /// Clean at the target speed.
    Clean,
    /// It no longer gets better today.
    NoBetter,
}

impl Drill {
    /// Of a bar, with what is believed of it on a day. A hand that is known not to be clean alone goes first, and one that
    /// failed while both played, unless it is known alone; where each is clean alone, or nothing is known of them, both go
    /// together, slower.
    pub fn new(bar: &ByHands, target: Speed, day: f64) -> Drill {
        Drill::through(stages(None, bar, bar.suspect, target, day))
    }

    /// The same after a drill of the change into a chord, where it is that at which the bar fails: the exact place of an error
    /// is repeated until it is stable (Duke, Simmons & Cash 2009).
    #[must_use]
    pub fn after_change(self, slot: usize, change: &ByHands, target: Speed, day: f64) -> Drill {
        let of_change = stages(Some(slot), change, change.suspect, target, day);
        // Which hand fails is found at the change.
        let of_bar = self.stages.into_iter().filter(|stage| stage.hands == Hands::Both);
        Drill::through(of_change.into_iter().chain(of_bar).collect())
    }

    fn through(stages: Vec<Stage>) -> Drill {
        let fastest = stages.first().map_or(Speed::MIN, |stage| stage.ladder.speed());
        Drill { stages, stage: 0, fastest, passes_since: 0 }
    }

    /// The change into this chord of the bar alone, from the last beat before it into the first after; `None` for the bar.
    pub fn change(&self) -> Option<usize> {
        self.stages[self.stage].change
    }

    /// The hands of the next pass.
    pub fn hands(&self) -> Hands {
        self.stages[self.stage].hands
    }

    /// The speed of the next pass.
    pub fn speed(&self) -> Speed {
        self.stages[self.stage].ladder.speed()
    }

    /// A pass was heard; the end, if that was it.
    pub fn heard(&mut self, clean: bool) -> Option<DrillEnd> {
        let step = self.stages[self.stage].ladder.heard(clean);
        self.passes_since += 1;
        if step == LadderStep::Done {
            self.stage += 1;
            if self.stage == self.stages.len() {
                self.stage -= 1;
                return Some(DrillEnd::Clean);
            }
            (self.fastest, self.passes_since) = (self.speed(), 0);
        } else if self.speed().percent() > self.fastest.percent() {
            (self.fastest, self.passes_since) = (self.speed(), 0);
        }
        (self.passes_since >= NO_BETTER).then_some(DrillEnd::NoBetter)
    }

    /// What to try where it no longer gets better.
    pub fn advice(&self) -> &'static str {
        match self.hands() {
            Hands::Both if self.speed().percent() > 60.0 => {
                "enough of this for today: what was practised shows tomorrow. Rest your hands, or play something easy"
            }
            Hands::Both if self.change().is_some() => {
                "try each hand alone, from the chord before into this one"
            }
            Hands::Both => "try each hand alone, then half of the bar with both",
            _ => {
                "try half of the bar, or the shapes alone without their rhythm; the rest comes with a night's sleep"
            }
        }
    }
}

/// Hands alone that are to go first, then both.
fn stages(
    change: Option<usize>,
    known: &ByHands,
    suspect: Option<Hand>,
    target: Speed,
    day: f64,
) -> Vec<Stage> {
    let fails = |b: &Belief| b.heard() >= KNOWN && b.chance(target, day).mean < NOT_CLEAN;
    let ladder = |b: &Belief| Ladder::new(b.speed_with(LIKELY, day, target), target);
    let mut stages = Vec::new();
    for (hands, hand) in [(Hands::Right, Hand::Right), (Hands::Left, Hand::Left)] {
        let alone = known.of(hands);
        if fails(alone) {
            stages.push(Stage { change, hands, ladder: ladder(alone) });
        } else if suspect == Some(hand) && alone.heard() < KNOWN {
            stages.push(Stage { change, hands, ladder: ladder(&known.both) });
        }
    }
    stages.push(Stage { change, hands: Hands::Both, ladder: ladder(&known.both) });
    stages
}

#[cfg(test)]
mod tests {
    use super::*;

    fn believed(speed: f64, clean: bool) -> Belief {
        let mut belief = Belief::new();
        (0..6).for_each(|_| belief.hear(0.0, Speed::clamped(speed), clean));
        belief
    }

    fn known(both: &Belief, right: &Belief, left: &Belief) -> ByHands {
        ByHands { both: both.clone(), right: right.clone(), left: left.clone(), suspect: None }
    }

    fn hands(both: &Belief, right: &Belief, left: &Belief) -> Vec<Hands> {
        Drill::new(&known(both, right, left), Speed::FULL, 0.0).stages.iter().map(|s| s.hands).collect()
    }

    // Each hand clean alone and both together not: play together, slower; a hand not clean alone: that hand alone first
    // (common practice).
    #[test]
    fn a_hand_that_fails_alone_goes_first() {
        let (clean, fails) = (believed(110.0, true), believed(90.0, false));
        assert_eq!(hands(&fails, &clean, &clean), [Hands::Both]);
        assert_eq!(hands(&fails, &clean, &fails), [Hands::Left, Hands::Both]);
        assert_eq!(hands(&fails, &fails, &fails), [Hands::Right, Hands::Left, Hands::Both]);
        let unknown = Belief::new();
        assert_eq!(hands(&fails, &unknown, &unknown), [Hands::Both], "nothing is known of the hands alone");
    }

    #[test]
    fn it_starts_where_success_is_likely_and_ends_clean_at_the_target() {
        let (fails, clean) = (believed(90.0, false), believed(110.0, true));
        let mut drill = Drill::new(&known(&fails, &clean, &clean), Speed::FULL, 0.0);
        assert!(fails.chance(drill.speed(), 0.0).mean >= LIKELY);
        assert!(drill.speed().percent() < 90.0);
        let mut ends = (0..20).map(|_| drill.heard(true));
        assert_eq!(ends.find(Option::is_some), Some(Some(DrillEnd::Clean)));
    }

    #[test]
    fn it_stops_kindly_when_it_no_longer_gets_better() {
        let fails = believed(60.0, false);
        let mut drill = Drill::new(&known(&fails, &fails, &fails), Speed::FULL, 0.0);
        let passes = (1..100).find(|_| drill.heard(false) == Some(DrillEnd::NoBetter));
        assert_eq!(passes, Some(12));
        assert!(drill.advice().starts_with("try half of the bar"));
    }

    #[test]
    fn the_change_at_which_a_bar_fails_goes_first_and_then_the_bar() {
        let (fails, clean, unknown) = (believed(90.0, false), believed(110.0, true), Belief::new());
        let change = ByHands { suspect: Some(Hand::Right), ..known(&fails, &unknown, &unknown) };
        let bar = known(&fails, &clean, &fails);
        let drill = Drill::new(&bar, Speed::FULL, 0.0).after_change(1, &change, Speed::FULL, 0.0);
        let stages: Vec<(Option<usize>, Hands)> = drill.stages.iter().map(|s| (s.change, s.hands)).collect();
        assert_eq!(stages, [(Some(1), Hands::Right), (Some(1), Hands::Both), (None, Hands::Both)]);
    }
}
