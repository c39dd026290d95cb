//! What kind of player this is, as far as passes tell.
//!
//! Players differ in more than how fast they are. With one, what is a little too fast goes every other time; with another all
//! goes up to a speed and nothing beyond. With one a clean pass shows at once; with another most of it shows only the day after
//! (accuracy gains show after a day, not after minutes: Simmons 2012; Wiseheart 2017); a third is slow to gain. So everything
//! is believed for each of six kinds of player at once, and each kind has a share, by how likely it made the passes that were
//! heard (Bayes' rule over models, from memory). Bars heard in one pass go together, and players change: what a pass says
//! counts for half, and what was said before fades.
//!
//! The figures are this program's reading.

/// How steeply the chance falls with speed: at 12, ten per cent above the limit it is a quarter; at 36, one in thirty.
const GRADUAL: f64 = 12.0;
const SUDDEN: f64 = 36.0;
/// How many kinds there are.
pub(super) const KINDS_COUNT: usize = 6;

/// A kind of player. Limits are natural logarithms of shares of the chart's tempo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Kind {
    /// How steeply the chance falls with speed.
    pub steepness: f64,
    /// What a clean pass near the limit adds to it at once.
    pub gain: f64,
    /// What the first night after a pass adds to it.
    pub overnight: f64,
}

/// All kinds.
pub(super) const KINDS: [Kind; KINDS_COUNT] = [
    Kind { steepness: GRADUAL, gain: 0.025, overnight: 0.0 },
    Kind { steepness: GRADUAL, gain: 0.01, overnight: 0.09 },
    Kind { steepness: GRADUAL, gain: 0.01, overnight: 0.0 },
    Kind { steepness: SUDDEN, gain: 0.025, overnight: 0.0 },
    Kind { steepness: SUDDEN, gain: 0.01, overnight: 0.09 },
    Kind { steepness: SUDDEN, gain: 0.01, overnight: 0.0 },
];

/// How much of what a pass says counts, and what is left of all that was said before.
const COUNTS: f64 = 0.5;
const KEPT: f64 = 0.995;
/// No pass is taken to have been less likely than this.
const LEAST: f64 = 0.002;

/// How likely each kind is; together 1.
pub(super) type Shares = [f64; KINDS_COUNT];

/// A player: before anything is heard, all kinds are equally likely.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(super) struct Player {
    /// Logarithms of how likely each kind made what was heard; the greatest is 0.
    evidence: [f64; KINDS_COUNT],
}

impl Player {
    /// How likely each kind is.
    pub fn shares(&self) -> Shares {
        let likely = self.evidence.map(f64::exp);
        let all: f64 = likely.iter().sum();
        likely.map(|share| share / all)
    }

    /// Bars of a pass were heard: for each, how likely each kind made a clean one, and whether it was.
    pub fn hear(&mut self, bars: &[(Shares, bool)]) {
        for (chances, clean) in bars {
            for (evidence, chance) in self.evidence.iter_mut().zip(chances) {
                let chance = chance.clamp(LEAST, 1.0 - LEAST);
                *evidence += COUNTS * if *clean { chance.ln() } else { (1.0 - chance).ln() };
            }
        }
        let most = self.evidence.into_iter().fold(f64::MIN, f64::max);
        self.evidence = self.evidence.map(|evidence| KEPT * (evidence - most));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Two kinds that differ, by hand: 0.9 and 0.5 for a clean bar, half of it counting, is the root of 1.8 to 1.
    #[test]
    fn the_kind_that_foresaw_it_gains_share() {
        let mut player = Player::default();
        assert!(player.shares().iter().all(|share| (share - 1.0 / 6.0).abs() < 1e-12));
        let mut chances = [0.5; KINDS_COUNT];
        chances[4] = 0.9;
        player.hear(&[(chances, true)]);
        let shares = player.shares();
        assert!((shares[4] / shares[0] - 1.8_f64.powf(0.5 * KEPT)).abs() < 1e-9, "{shares:?}");
        (0..20).for_each(|_| player.hear(&[(chances, false)]));
        assert!(player.shares()[4] < 0.01, "and loses it");
    }
}
