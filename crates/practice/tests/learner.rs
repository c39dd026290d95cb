//! Simulated learners: made-up players with bars of different difficulty, who learn, forget, slip and tire. Three models; the
//! third breaks what the program assumes. Models and seeds were fixed before any plan was tried on them.

/// Seeds of the learners of every model; a small bench takes the first ones.
pub const SEEDS: [u64; 60] = {
    let mut seeds = [0; 60];
    let mut n = 0;
    while n < 60 {
        seeds[n] = 1_000_003 * (n as u64 + 1) + 17;
        n += 1;
    }
    seeds
};

/// How a learner learns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Model {
    /// Each bar has a speed up to which it goes; clean repetitions near it raise it, days lower it, the less the better the
    /// bar is known. The chance falls smoothly with speed.
    Limit,
    /// Skill grows with the logarithm of clean repetitions and shrinks with wrong ones; few bars are very hard.
    Power,
    /// Breaks the assumptions: beyond a wall nothing goes, below it nearly all; most of the gain shows only the day after;
    /// the form of the day moves all bars; the same bar more than four times in a row teaches nothing.
    Wall,
}

/// From nought to one, always the same row for a seed (the linear congruential generator of Knuth's MMIX, from memory).
#[derive(Clone, Debug)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        let mut dice = Dice(seed);
        (0..4).for_each(|_| {
            dice.roll();
        });
        dice
    }

    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// About normal, by twelve even ones.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.roll()).sum::<f64>() - 6.0
    }
}

/// A bar as a learner has it. Speeds are natural logarithms of shares of the chart's tempo.
#[derive(Clone, Debug)]
struct Known {
    /// The speed at which it goes half the time.
    limit: f64,
    /// Where that was before any practice.
    first: f64,
    /// What was gained today and shows tomorrow.
    overnight: f64,
    clean: f64,
}

#[derive(Clone, Debug)]
pub struct Learner {
    model: Model,
    dice: Dice,
    bars: Vec<Known>,
    /// How much a clean repetition gives.
    gain: f64,
    /// How much goes in a day.
    forgets: f64,
    /// How often a bar fails for no reason.
    slip: f64,
    form: f64,
    last: Option<usize>,
    in_a_row: u32,
}

impl Learner {
    pub fn new(model: Model, seed: u64, bars: usize) -> Learner {
        let mut dice = Dice::new(seed ^ (model as u64) << 40);
        let own_speed = -0.30 + 0.15 * dice.normal();
        let known = |dice: &mut Dice| {
            let hard = match model {
                Model::Limit => 0.30 * dice.normal(),
                // One bar in six is very hard.
                Model::Power if dice.roll() < 0.17 => 0.55 + 0.15 * dice.normal(),
                Model::Power => 0.15 * dice.normal() - 0.05,
                Model::Wall => 0.35 * dice.normal(),
            };
            let first = (own_speed - hard).clamp(-1.3, 0.25);
            Known { limit: first, first, overnight: 0.0, clean: 0.0 }
        };
        let bars = (0..bars).map(|_| known(&mut dice)).collect();
        let (gain, forgets) = (0.02 + 0.02 * dice.roll(), 0.08 + 0.12 * dice.roll());
        Learner { model, dice, bars, gain, forgets, slip: 0.004, form: 0.0, last: None, in_a_row: 0 }
    }

    /// How likely a bar is clean at a speed (1 is the chart's tempo), truly.
    pub fn chance(&self, bar: usize, speed: f64) -> f64 {
        let room = self.bars[bar].limit + self.form - speed.ln();
        let steepness = match self.model {
            Model::Limit => 14.0,
            Model::Power => 12.0,
            Model::Wall => 45.0,
        };
        (1.0 - self.slip) / (1.0 + (-steepness * room).exp())
    }

    /// How likely the whole song is clean at the chart's tempo.
    pub fn whole_song(&self) -> f64 {
        (0..self.bars.len()).map(|bar| self.chance(bar, 1.0)).product()
    }

    /// Plays a bar: whether it was clean.
    pub fn play(&mut self, bar: usize, speed: f64) -> bool {
        self.in_a_row = if self.last == Some(bar) { self.in_a_row + 1 } else { 1 };
        self.last = Some(bar);
        let clean = self.dice.roll() < self.chance(bar, speed);
        let tired = self.model == Model::Wall && self.in_a_row > 4;
        let known = &mut self.bars[bar];
        // What is far easier than one can teaches little.
        let worth = (1.0 - 2.0 * (known.limit - speed.ln()).max(0.0)).clamp(0.1, 1.0);
        let clean_gains = match self.model {
            Model::Power => 4.0 * self.gain * worth / (1.0 + known.clean / 4.0),
            _ => self.gain * worth,
        };
        let gained = match (clean, tired) {
            (_, true) => 0.0,
            (true, _) => clean_gains,
            (false, _) if self.model == Model::Power => -0.3 * clean_gains,
            (false, _) => 0.1 * self.gain,
        };
        known.clean += f64::from(u8::from(clean && !tired));
        let at_once = if self.model == Model::Wall { 0.3 } else { 1.0 };
        known.limit = (known.limit + at_once * gained).min(0.45);
        known.overnight += (1.0 - at_once) * gained;
        clean
    }

    /// A night goes by.
    pub fn sleep(&mut self) {
        for known in &mut self.bars {
            known.limit += known.overnight;
            known.overnight = 0.0;
            let learned = (known.limit - known.first).max(0.0);
            known.limit -= self.forgets * learned / (1.0 + known.clean / 6.0);
        }
        self.form = if self.model == Model::Wall { 0.05 * self.dice.normal() } else { 0.0 };
        self.last = None;
    }
}

#[test]
fn a_learner_is_always_the_same_one() {
    let play = |seed| {
        let mut learner = Learner::new(Model::Power, seed, 4);
        (0..40).map(|n| learner.play(n % 4, 0.8)).collect::<Vec<bool>>()
    };
    assert_eq!(play(SEEDS[0]), play(SEEDS[0]));
    assert_ne!(play(SEEDS[0]), play(SEEDS[1]));
}

#[test]
fn learners_learn_by_clean_repetition_and_forget_over_night() {
    for model in [Model::Limit, Model::Power, Model::Wall] {
        let mut learner = Learner::new(model, SEEDS[2], 8);
        let slow = learner.chance(0, 0.4);
        assert!(slow > learner.chance(0, 1.1), "{model:?}: faster is harder");
        let before = learner.chance(0, 0.9);
        for n in 0..80 {
            learner.play(n % 2, 0.5);
        }
        learner.sleep();
        learner.form = 0.0;
        let after = learner.chance(0, 0.9);
        assert!(after > before, "{model:?}: {before} to {after}");
        (0..30).for_each(|_| learner.sleep());
        learner.form = 0.0;
        assert!(learner.chance(0, 0.9) < after, "{model:?}");
    }
}
