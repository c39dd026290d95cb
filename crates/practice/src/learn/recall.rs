//! What a player knows of a song, from what history remembers.

use super::{Coach, Heard, HeardPass, hard_bars_of};
use crate::history::{PassRecord, Placed, Purpose, fingerprints};
use crate::learn::Reason;
use crate::{Hands, Speed};
use song::Fingerprint;
use theory::Hand;
use voicing::Part;

/// What a bar is to a learner: what is written, and every key with its time in the bar. Bars with the same are alike.
pub type BarKnownBy = (Fingerprint, Vec<(song::Quarters, Hand, u8)>);

/// What each bar of a part is known by.
pub fn bars_known_by(part: &Part) -> Vec<BarKnownBy> {
    let mut known: Vec<BarKnownBy> = fingerprints(part).into_iter().map(|bar| (bar, Vec::new())).collect();
    for event in &part.events {
        let start = part.bars[event.bar].played.start;
        known[event.bar].1.push((event.start - start, event.hand, event.key.number()));
    }
    known
}

impl Coach {
    /// A coach who has heard all these passes of a part, in order of time.
    pub fn recalling(part: &Part, target: Speed, passes: &[Placed<'_>]) -> Coach {
        let mut coach = Coach::of_part(part, target);
        for pass in passes {
            let heard = HeardPass::of_placed(pass, &coach);
            coach.recall_pass(pass.record, &heard);
        }
        let bars =
            passes.iter().filter(|p| p.record.hands == Hands::Both).flat_map(|p| p.bars.iter().copied());
        for hard in hard_bars_of(part, bars) {
            let hand = hard.reasons.iter().find_map(|reason| match reason {
                Reason::OneHand(hand) => Some(*hand),
                _ => None,
            });
            if let Some(hand) = hand {
                coach.suspect(hard.bar, hand);
            }
        }
        coach
    }

    /// Takes in a pass of which nothing but bars was heard, where they are now.
    pub fn recall(&mut self, record: &PassRecord, heard: &[Heard]) {
        self.recall_pass(record, &HeardPass::of_bars(heard.to_vec()));
    }

    /// Takes in a pass, whose bars stand where they are now.
    pub fn recall_pass(&mut self, record: &PassRecord, heard: &HeardPass) {
        let drilled = matches!(record.about.purpose, Purpose::Drill | Purpose::Join);
        let day = record.at.day();
        self.remember_pass(heard, record.speed, record.hands, day);
        let at_target = record.speed.percent() >= self.target().percent() && record.hands == Hands::Both;
        if at_target {
            let clean = heard.bars.iter().filter(|h| h.clean);
            clean.for_each(|h| self.may_be_learned(h.bar, drilled, day));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_that_comes_again_is_heard_once_for_all() {
        let mut coach = Coach::alike(&["1", "4", "1"], Speed::FULL);
        let heard = [Heard { bar: 2, clean: true }];
        (0..8).for_each(|_| coach.remember(&heard, Speed::FULL, Hands::Both, 0.0));
        let chances = coach.chances(0.0);
        assert_eq!(chances[0], chances[2]);
        assert!(chances[0].mean > chances[1].mean + 0.05, "{chances:?}");
    }
}
