//! One struck key, from the blow to silence.

use crate::modes::{LANES, LaneRows, Lanes, ModeBank};
use crate::strings::{Strings, felt};
use crate::{Key, SampleRate, Source, Velocity};

/// Below -100 dB a released voice is over.
const OVER: f32 = 1e-5;

/// Whether the key of a voice is down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Hold {
    /// The key is down.
    Key,
    /// The key is up and the pedal holds the damper off.
    Pedal,
    /// The damper is on the string.
    Released,
    /// The voice is wanted for another note and leaves within milliseconds.
    Leaving,
}

/// A sounding key. All of it lies in place; starting and ending one moves no memory.
#[derive(Clone, Debug)]
pub(crate) struct Voice {
    bank: ModeBank,
    pub(crate) key: Key,
    pub(crate) source: Source,
    pub(crate) hold: Hold,
    /// Counts up over all voices: which began first.
    pub(crate) began: u64,
    left: Lanes,
    right: Lanes,
    attack: Attack,
    damper: Damper,
}

/// The smooth beginning: the felt gives way before the string moves off.
#[derive(Clone, Copy, Debug)]
struct Attack {
    at: f32,
    step: f32,
}

/// A gain that begins to fall gently and then falls steadily.
#[derive(Clone, Copy, Debug)]
struct Damper {
    gain: f32,
    factor: f32,
    target: f32,
    /// How fast the factor moves to its target.
    grip: f32,
}

impl Voice {
    pub(crate) fn silent() -> Voice {
        Voice {
            bank: ModeBank::silent(),
            key: Key::new(0).expect("0 is a key"),
            source: Source::Part,
            hold: Hold::Released,
            began: 0,
            left: [0.0; LANES],
            right: [0.0; LANES],
            attack: Attack { at: 1.0, step: 0.0 },
            damper: Damper { gain: 0.0, factor: 1.0, target: 1.0, grip: 0.0 },
        }
    }

    pub(crate) fn is_free(&self) -> bool {
        self.bank.is_silent()
    }

    /// A measure of loudness to compare voices by.
    pub(crate) fn loudness(&self) -> f32 {
        self.bank.energy() * self.damper.gain * self.damper.gain
    }

    pub(crate) fn strike(
        &mut self,
        key: Key,
        velocity: Velocity,
        source: Source,
        strings: &Strings,
        rate: SampleRate,
    ) {
        let blow = Blow::new(velocity, strings.fundamental);
        self.bank.silence();
        for (at, group) in strings.groups() {
            let mut start = group.start;
            for lane in 0..LANES {
                let strength =
                    if Strings::is_thump(at) { blow.thump } else { blow.strength(group.hertz[lane]) };
                start.re[lane] *= strength;
                start.im[lane] *= strength;
            }
            self.bank.start(at, group.turn, start);
        }
        (self.key, self.source, self.hold) = (key, source, Hold::Key);
        (self.left, self.right) = places(key);
        self.attack = Attack { at: 0.0, step: 1.0 / (blow.attack * rate.hertz() as f32) };
        self.damper = Damper { gain: 1.0, factor: 1.0, target: 1.0, grip: grip(rate, 0.004) };
    }

    /// The damper falls: bass strings take longer to be quiet.
    pub(crate) fn release(&mut self, rate: SampleRate) {
        if matches!(self.hold, Hold::Key | Hold::Pedal) {
            self.hold = Hold::Released;
            let seconds = 0.16 + 0.22 * (-(f32::from(self.key.midi()) - 21.0) / 30.0).exp();
            self.damper.target = falling(rate, seconds);
        }
    }

    /// Off at once without a click, because its place or its string is wanted.
    pub(crate) fn leave(&mut self, rate: SampleRate, seconds: f32) {
        self.hold = Hold::Leaving;
        self.damper.target = falling(rate, seconds);
        self.damper.grip = grip(rate, seconds / 12.0);
    }

    /// Adds the next frames to both sides; `rows` is scratch.
    pub(crate) fn add_to(&mut self, left: &mut [f32], right: &mut [f32], rows: &mut LaneRows) {
        let rows = &mut rows[..left.len()];
        rows.fill([0.0; LANES]);
        self.bank.add_to(rows);
        for ((row, left), right) in rows.iter().zip(left).zip(right) {
            let gain = self.attack.next() * self.damper.next();
            *left += gain * weigh(row, &self.left);
            *right += gain * weigh(row, &self.right);
        }
        if self.damper.gain < OVER {
            self.bank.silence();
        }
    }
}

impl Attack {
    /// From 0 to 1 with a level start and a level end.
    fn next(&mut self) -> f32 {
        if self.at >= 1.0 {
            return 1.0;
        }
        let at = self.at;
        self.at += self.step;
        at * at * (3.0 - 2.0 * at)
    }
}

impl Damper {
    fn next(&mut self) -> f32 {
        if self.target < 1.0 {
            self.factor += (self.target - self.factor) * self.grip;
            self.gain *= self.factor;
        }
        self.gain
    }
}

/// What a velocity does: how loud, how bright, how abrupt.
struct Blow {
    level: f32,
    hardness: f32,
    thump: f32,
    /// Seconds of the smooth beginning.
    attack: f32,
}

impl Blow {
    fn new(velocity: Velocity, fundamental: f32) -> Blow {
        let share = velocity.share();
        let own = 320.0 + 0.8 * fundamental;
        Blow {
            level: share.powf(1.35),
            hardness: own + 2_900.0 * share * share,
            thump: share.powf(1.6),
            attack: 0.0012 + 0.0022 * (1.0 - share) + 0.0012 * (1.0 - fundamental / 600.0).max(0.0),
        }
    }

    fn strength(&self, hertz: f32) -> f32 {
        self.level * felt(hertz, self.hardness)
    }
}

/// How much of each lane goes to either side: low keys a little to the left, high keys to the right, and neighbouring
/// partials a little apart, which gives the tone some width. Equal power.
fn places(key: Key) -> (Lanes, Lanes) {
    let middle = 0.22 * (f32::from(key.midi()) - 64.0) / 44.0;
    let mut sides = ([0.0; LANES], [0.0; LANES]);
    for lane in 0..LANES {
        // Fast and slow mode of a partial lie side by side, so partials alternate in pairs of lanes.
        let spread = if lane / 2 % 2 == 0 { -0.07 } else { 0.07 };
        let angle = (1.0 + (middle + spread).clamp(-1.0, 1.0)) * std::f32::consts::FRAC_PI_4;
        sides.0[lane] = angle.cos() * std::f32::consts::SQRT_2;
        sides.1[lane] = angle.sin() * std::f32::consts::SQRT_2;
    }
    sides
}

fn weigh(row: &Lanes, weights: &Lanes) -> f32 {
    row.iter().zip(weights).map(|(sample, weight)| sample * weight).sum()
}

/// The factor per frame that falls by 60 dB in a time.
fn falling(rate: SampleRate, seconds: f32) -> f32 {
    (-(1000f32.ln()) / (seconds * rate.hertz() as f32)).exp()
}

fn grip(rate: SampleRate, seconds: f32) -> f32 {
    1.0 - (-1.0 / (seconds * rate.hertz() as f32)).exp()
}
