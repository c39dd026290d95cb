//! A drill of a hard bar: where it begins and ends, with which hands and how fast, and when it is over.

use super::{Belief, Ladder, LadderStep};
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
    stages: Vec<(Hands, Ladder)>,
    stage: usize,
    fastest: Speed,
    passes_since: u32,
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
    /// With what is believed of both hands and of each alone on a day. A hand that is known not to be clean alone goes
    /// first; where each is clean alone, or nothing is known of them, both go together, slower.
    pub fn new(both: &Belief, right: &Belief, left: &Belief, target: Speed, day: f64) -> Drill {
        Drill::beginning_with(None, both, right, left, target, day)
    }

    /// The same, where one hand failed while both played: unless it is known alone, it is tried alone first, from where
    /// both would begin.
    pub fn beginning_with(
        suspect: Option<Hand>,
        both: &Belief,
        right: &Belief,
        left: &Belief,
        target: Speed,
        day: f64,
    ) -> Drill {
        let fails = |b: &Belief| b.heard() >= KNOWN && b.chance(target, day).mean < NOT_CLEAN;
        let ladder = |b: &Belief| Ladder::new(b.speed_with(LIKELY, day, target), target);
        let mut stages = Vec::new();
        for (hands, hand, belief) in [(Hands::Right, Hand::Right, right), (Hands::Left, Hand::Left, left)] {
            if fails(belief) {
                stages.push((hands, ladder(belief)));
            } else if suspect == Some(hand) && belief.heard() < KNOWN {
                stages.push((hands, ladder(both)));
            }
        }
        stages.push((Hands::Both, ladder(both)));
        let fastest = stages[0].1.speed();
        Drill { stages, stage: 0, fastest, passes_since: 0 }
    }

    /// The hands of the next pass.
    pub fn hands(&self) -> Hands {
        self.stages[self.stage].0
    }

    /// The speed of the next pass.
    pub fn speed(&self) -> Speed {
        self.stages[self.stage].1.speed()
    }

    /// A pass was heard; the end, if that was it.
    pub fn heard(&mut self, clean: bool) -> Option<DrillEnd> {
        let step = self.stages[self.stage].1.heard(clean);
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
            Hands::Both => "try each hand alone, then half of the bar with both",
            _ => {
                "try half of the bar, or the shapes alone without their rhythm; the rest comes with a night's sleep"
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn believed(speed: f64, clean: bool) -> Belief {
        let mut belief = Belief::new();
        (0..6).for_each(|_| belief.hear(0.0, Speed::clamped(speed), clean));
        belief
    }

    fn stages(both: &Belief, right: &Belief, left: &Belief) -> Vec<Hands> {
        Drill::new(both, right, left, Speed::FULL, 0.0).stages.iter().map(|s| s.0).collect()
    }

    // Each hand clean alone and both together not: play together, slower; a hand not clean alone: that hand alone first
    // (common practice).
    #[test]
    fn a_hand_that_fails_alone_goes_first() {
        let (clean, fails) = (believed(110.0, true), believed(90.0, false));
        assert_eq!(stages(&fails, &clean, &clean), [Hands::Both]);
        assert_eq!(stages(&fails, &clean, &fails), [Hands::Left, Hands::Both]);
        assert_eq!(stages(&fails, &fails, &fails), [Hands::Right, Hands::Left, Hands::Both]);
        let unknown = Belief::new();
        assert_eq!(stages(&fails, &unknown, &unknown), [Hands::Both], "nothing is known of the hands alone");
    }

    #[test]
    fn it_starts_where_success_is_likely_and_ends_clean_at_the_target() {
        let (fails, clean) = (believed(90.0, false), believed(110.0, true));
        let mut drill = Drill::new(&fails, &clean, &clean, Speed::FULL, 0.0);
        assert!(fails.chance(drill.speed(), 0.0).mean >= LIKELY);
        assert!(drill.speed().percent() < 90.0);
        let mut ends = (0..20).map(|_| drill.heard(true));
        assert_eq!(ends.find(Option::is_some), Some(Some(DrillEnd::Clean)));
    }

    #[test]
    fn it_stops_kindly_when_it_no_longer_gets_better() {
        let fails = believed(60.0, false);
        let mut drill = Drill::new(&fails, &fails, &fails, Speed::FULL, 0.0);
        let passes = (1..100).find(|_| drill.heard(false) == Some(DrillEnd::NoBetter));
        assert_eq!(passes, Some(12));
        assert!(drill.advice().starts_with("try half of the bar"));
    }
}
