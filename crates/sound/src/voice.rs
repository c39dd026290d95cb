//! One struck key, from the blow to silence.

use crate::modes::{LANES, LaneRows, Lanes, ModeBank};
use crate::strings::{Strings, felt};
use crate::{Key, SampleRate, Source, Velocity};

/// Seconds in which a damper comes to lie on a string, or leaves it.
const DAMPER_WAY: f32 = 0.015;
/// With the soft pedal the hammer meets two strings of three, with softer felt.
const UNA_CORDA: SoftPedal = SoftPedal { level: 0.30, hardness: 0.25, slow: 0.6 };

struct SoftPedal {
    /// How much weaker.
    level: f32,
    /// How much duller.
    hardness: f32,
    /// How much stronger the slow stage: the string that is not struck takes part in it.
    slow: f32,
}

/// A blow on a key.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Strike {
    pub(crate) key: Key,
    pub(crate) velocity: Velocity,
    pub(crate) source: Source,
    /// How far the una corda pedal is down, 0 to 1.
    pub(crate) soft: f32,
}

/// A sounding key. All of it lies in place; starting and ending one moves no memory.
#[derive(Clone, Debug)]
pub(crate) struct Voice {
    bank: ModeBank,
    pub(crate) key: Key,
    pub(crate) source: Source,
    /// Counts up over all voices: which began first.
    pub(crate) began: u64,
    left: Sides,
    right: Sides,
    attack: Ramp,
    exit: Exit,
    /// How firmly the damper lies on the strings now, 0 to 1.
    contact: f32,
}

/// The weights of either half of the lanes.
type Sides = [f32; 2];

/// A smooth way from 0 to 1, with a level start and a level end.
#[derive(Clone, Copy, Debug)]
struct Ramp {
    at: f32,
    step: f32,
}

/// Whether a voice goes on or leaves at once.
#[derive(Clone, Copy, Debug)]
enum Exit {
    None,
    Leaving(Ramp),
}

impl Voice {
    pub(crate) fn silent() -> Voice {
        Voice {
            bank: ModeBank::silent(),
            key: Key::new(0).expect("0 is a key"),
            source: Source::Part,
            began: 0,
            left: [0.0; 2],
            right: [0.0; 2],
            attack: Ramp { at: 1.0, step: 0.0 },
            exit: Exit::None,
            contact: 0.0,
        }
    }

    pub(crate) fn is_free(&self) -> bool {
        self.bank.is_silent()
    }

    pub(crate) fn is_leaving(&self) -> bool {
        matches!(self.exit, Exit::Leaving(_))
    }

    /// A measure of loudness to compare voices by.
    pub(crate) fn loudness(&self) -> f32 {
        self.bank.energy()
    }

    pub(crate) fn strike(&mut self, strike: &Strike, strings: &Strings, rate: SampleRate) {
        let blow = Blow::new(strike, strings.fundamental);
        self.bank.silence();
        for at in strings.used() {
            let group = strings.group(at);
            let strength: Lanes = std::array::from_fn(|lane| {
                if Strings::is_thump(at) {
                    blow.thump
                } else {
                    blow.strength(group.hertz[lane]) * (1.0 + blow.slow * group.slow[lane])
                }
            });
            let mut start = group.start;
            for (lane, strength) in strength.iter().enumerate() {
                start.re[lane] *= strength;
                start.im[lane] *= strength;
            }
            self.bank.start(at, start);
        }
        (self.key, self.source) = (strike.key, strike.source);
        (self.left, self.right) = places(strike.key);
        self.attack = Ramp::new(blow.attack, rate);
        self.exit = Exit::None;
        self.contact = 0.0;
    }

    /// Off without a click, because its place or its string is wanted, or everything is to stop.
    pub(crate) fn leave(&mut self, rate: SampleRate, seconds: f32) {
        if !self.is_leaving() {
            self.exit = Exit::Leaving(Ramp::new(seconds, rate));
        }
    }

    /// Adds the next frames to both sides; `rows` is scratch. `contact` is where the damper is going.
    pub(crate) fn add_to(
        &mut self,
        [left, right]: [&mut [f32]; 2],
        rows: &mut LaneRows,
        strings: &Strings,
        contact: f32,
        rate: SampleRate,
    ) {
        let rows = &mut rows[..left.len()];
        rows.fill([0.0; LANES]);
        let way = rows.len() as f32 / (DAMPER_WAY * rate.hertz() as f32);
        self.contact += (contact - self.contact).clamp(-way, way);
        let pressed = self.contact;
        self.bank.add_to(rows, |at| {
            let group = strings.group(at);
            if pressed > 0.0 { group.turn.damped(&group.damp, pressed) } else { group.turn }
        });
        self.shape(rows);
        for ((row, left), right) in rows.iter().zip(left).zip(right) {
            let (one, other) = (row[0] + row[1], row[2] + row[3]);
            *left += one * self.left[0] + other * self.left[1];
            *right += one * self.right[0] + other * self.right[1];
        }
    }

    /// Begins and ends smoothly.
    fn shape(&mut self, rows: &mut [Lanes]) {
        if !self.attack.is_over() {
            for row in rows.iter_mut() {
                let gain = self.attack.next();
                row.iter_mut().for_each(|sample| *sample *= gain);
            }
        }
        if let Exit::Leaving(ramp) = &mut self.exit {
            for row in rows {
                let gain = 1.0 - ramp.next();
                row.iter_mut().for_each(|sample| *sample *= gain);
            }
            if ramp.is_over() {
                self.bank.silence();
            }
        }
    }
}

impl Ramp {
    fn new(seconds: f32, rate: SampleRate) -> Ramp {
        Ramp { at: 0.0, step: 1.0 / (seconds * rate.hertz() as f32) }
    }

    fn is_over(&self) -> bool {
        self.at >= 1.0
    }

    /// Level in slope and in bend at both ends.
    fn next(&mut self) -> f32 {
        let at = self.at.min(1.0);
        self.at += self.step;
        at * at * at * (at * (6.0 * at - 15.0) + 10.0)
    }
}

/// What a velocity does: how loud, how bright, how abrupt.
struct Blow {
    level: f32,
    hardness: f32,
    thump: f32,
    slow: f32,
    /// Seconds of the smooth beginning.
    attack: f32,
}

impl Blow {
    fn new(strike: &Strike, fundamental: f32) -> Blow {
        let (share, soft) = (strike.velocity.share(), strike.soft);
        let own = (320.0 + 0.8 * fundamental) * (0.75 + 0.5 * share);
        Blow {
            level: share.powf(1.35) * (1.0 - UNA_CORDA.level * soft),
            hardness: (own + 2_900.0 * share * share) * (1.0 - UNA_CORDA.hardness * soft),
            thump: share.powf(1.6) * (1.0 - UNA_CORDA.level * soft),
            slow: UNA_CORDA.slow * soft,
            attack: 0.0014 + 0.0024 * (1.0 - share) + 0.0012 * (1.0 - fundamental / 600.0).max(0.0),
        }
    }

    fn strength(&self, hertz: f32) -> f32 {
        self.level * felt(hertz, self.hardness)
    }
}

/// How much of each half of the lanes goes to either side: low keys a little to the left, high keys to the right, and
/// neighbouring modes a little apart, which gives the tone some width. Equal power.
fn places(key: Key) -> (Sides, Sides) {
    let middle = 0.22 * (f32::from(key.midi()) - 64.0) / 44.0;
    let angle = |spread: f32| (1.0 + (middle + spread).clamp(-1.0, 1.0)) * std::f32::consts::FRAC_PI_4;
    let angles = [angle(-0.07), angle(0.07)];
    let scale = std::f32::consts::SQRT_2;
    (angles.map(|angle| angle.cos() * scale), angles.map(|angle| angle.sin() * scale))
}
