//! What each key's strings do when they are struck: partials, their decay, the damper, the thump of the action.
//!
//! Every partial is a few modes. The strings of a unison, struck together, first move as one and give their energy to the
//! bridge quickly; what is left is their motion against each other, which the bridge hardly takes, so that it lasts long
//! (Weinreich 1977, "Coupled piano strings"). So each partial has a strong mode that decays fast, and one or two weak ones
//! that decay slowly and lie a little beside it, by which they beat.
//!
//! The numbers are our own, chosen by measuring offline renders (levels, spectra, decays), except where a source is named.

use std::f64::consts::TAU;

use crate::modes::{GROUPS, LANES, Lanes, Point, Turn};
use crate::{Key, SampleRate, tuning};

/// Partials that decay in two stages.
const TWO_STAGE: u32 = 20;
/// Of these, the ones for which the slow stage has two modes, where there are three strings.
const THREE_MODES: u32 = 8;
/// The first keys with two strings and with three (common practice of makers; it differs from piano to piano).
const TWO_STRINGS: u8 = 32;
const THREE_STRINGS: u8 = 45;
/// The first key without a damper: the top octave and a half rings too shortly to need one.
const UNDAMPED: u8 = 91;
/// Groups for the thump, the last ones.
const THUMPS: usize = 2;
/// Modes of the strings.
const STRING_MODES: usize = (GROUPS - THUMPS) * LANES;
/// Decay of the fast stage, and of partials with one stage only, as a share of the slow stage's.
const FAST_SHARE: f64 = 0.36;
const SINGLE_SHARE: f64 = 0.5;
/// How far below the fast stage the slow stage begins.
const SLOW_LEVEL: f64 = 0.28;
/// Level of all modes together, so that ten hard-struck keys come near full scale.
const LEVEL: f64 = 0.125;
/// Higher modes are left out, whatever the sample rate.
const CEILING: f64 = 14_000.0;

/// One key's modes, ready to be set in motion.
#[derive(Clone, Debug)]
pub(crate) struct Strings {
    groups: [Group; GROUPS],
    used: usize,
    /// Frequency of the fundamental in hertz.
    pub(crate) fundamental: f32,
}

/// A few modes: how they turn, where they start at full brightness, what a damper does to them.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Group {
    pub(crate) turn: Turn,
    pub(crate) start: Point,
    pub(crate) hertz: Lanes,
    /// What the damper takes per frame.
    pub(crate) damp: Lanes,
    /// 1 for a mode of the slow stage.
    pub(crate) slow: Lanes,
}

/// One sinusoid as it is designed.
#[derive(Clone, Copy, Debug)]
struct Mode {
    hertz: f64,
    amplitude: f64,
    /// Seconds to fall by 60 dB.
    decay: f64,
    /// The same under the damper.
    damped: f64,
    /// Where in its turn it starts, 0 to 1.
    phase: f64,
    slow: bool,
}

/// Whether a key's strings have a damper at all.
pub(crate) fn has_damper(key: Key) -> bool {
    key.midi() < UNDAMPED
}

impl Strings {
    pub(crate) fn new(key: Key, rate: SampleRate) -> Strings {
        let fundamental = tuning::hertz(key);
        let mut modes = string_modes(key, fundamental, rate);
        level_out(&mut modes, key);
        let mut strings = Strings {
            groups: [Group::default(); GROUPS],
            used: modes.len().div_ceil(LANES),
            fundamental: fundamental as f32,
        };
        for (index, mode) in modes.iter().enumerate() {
            strings.groups[index / LANES].set(index % LANES, mode, rate);
        }
        for (index, mode) in thump_modes(key).iter().enumerate() {
            strings.groups[GROUPS - THUMPS + index / LANES].set(index % LANES, mode, rate);
        }
        strings
    }

    /// A group by its number.
    pub(crate) fn group(&self, at: usize) -> &Group {
        &self.groups[at]
    }

    /// The numbers of the groups in use, the thump last.
    pub(crate) fn used(&self) -> impl Iterator<Item = usize> + use<> {
        (0..self.used).chain(GROUPS - THUMPS..GROUPS)
    }

    /// Whether a group belongs to the thump and not to the strings.
    pub(crate) fn is_thump(group: usize) -> bool {
        group >= GROUPS - THUMPS
    }
}

impl Group {
    fn set(&mut self, lane: usize, mode: &Mode, rate: SampleRate) {
        let shrink = 1.0 - lost(mode.decay, rate);
        let angle = TAU * mode.hertz / f64::from(rate.hertz());
        self.turn.re[lane] = (shrink * angle.cos()) as f32;
        self.turn.im[lane] = (shrink * angle.sin()) as f32;
        self.start.re[lane] = (mode.amplitude * (TAU * mode.phase).cos()) as f32;
        self.start.im[lane] = (mode.amplitude * (TAU * mode.phase).sin()) as f32;
        self.hertz[lane] = mode.hertz as f32;
        self.damp[lane] = lost(mode.damped, rate) as f32;
        self.slow[lane] = if mode.slow { 1.0 } else { 0.0 };
    }
}

/// The share that is lost in each frame of something that falls by 60 dB in a time.
pub(crate) fn lost(seconds: f64, rate: SampleRate) -> f64 {
    1.0 - (-(1000f64.ln()) / (seconds * f64::from(rate.hertz()))).exp()
}

/// The partials of a key, from the lowest up.
fn string_modes(key: Key, fundamental: f64, rate: SampleRate) -> Vec<Mode> {
    let ceiling = (0.42 * f64::from(rate.hertz())).min(CEILING);
    let b = tuning::inharmonicity(key);
    let mut modes = Vec::with_capacity(STRING_MODES);
    for n in 1.. {
        let count = modes_of(key, n);
        let hertz = tuning::partial_of(fundamental, b, n);
        if hertz > ceiling || modes.len() + count as usize > STRING_MODES {
            break;
        }
        let fast = Mode {
            hertz,
            amplitude: blow(n) * radiation(hertz),
            // What the soundboard takes up well it also takes away sooner.
            decay: slow_decay(key, hertz, fundamental) / soundboard(hertz).sqrt()
                * if count > 1 { FAST_SHARE } else { SINGLE_SHARE },
            damped: damped_decay(key, hertz),
            phase: scatter(key, n, 0),
            slow: false,
        };
        modes.push(fast);
        modes.extend((1..count).map(|which| slow_stage(key, n, which, &fast)));
    }
    modes
}

fn modes_of(key: Key, n: u32) -> u32 {
    match n {
        1..=THREE_MODES if key.midi() >= THREE_STRINGS => 3,
        1..=TWO_STAGE => 2,
        _ => 1,
    }
}

/// The second stage of a partial: softer, longer, and a little off, so that the modes beat slowly. Strings of one unison
/// are some tenths of a cent to two cents apart (Kirk 1959 on what listeners prefer; from memory). A single string moves
/// in two planes, which differ less.
fn slow_stage(key: Key, n: u32, which: u32, fast: &Mode) -> Mode {
    let apart = if key.midi() < TWO_STRINGS { 0.15 } else { 0.6 };
    let cents = apart * (0.7 + scatter(key, n, 2 * which));
    let side = if which.is_multiple_of(2) { -1.0 } else { 1.0 };
    Mode {
        hertz: fast.hertz * (side * cents / 1200.0).exp2(),
        // The second is weaker, or the two would cancel from time to time.
        amplitude: fast.amplitude * SLOW_LEVEL * (1.0 - f64::from(n) / 40.0) * 0.25f64.powi(which as i32 - 1),
        decay: fast.decay / FAST_SHARE * (0.85 + 0.3 * scatter(key, n, 2 * which + 1)),
        phase: fast.phase + 0.06 * (scatter(key, n, 9 + which) - 0.5),
        slow: true,
        ..*fast
    }
}

/// How strongly a hammer that strikes at about an eighth of the string excites a partial.
fn blow(n: u32) -> f64 {
    let place = (f64::from(n) * std::f64::consts::PI / 8.3).sin().abs();
    (place + 0.06) / f64::from(n).powf(0.9)
}

/// The soundboard radiates the lowest frequencies weakly, and the others unevenly.
fn radiation(hertz: f64) -> f64 {
    let ratio = (hertz / 75.0).powi(2);
    soundboard(hertz) * ratio / (1.0 + ratio)
}

/// How well the soundboard takes up a frequency, about 1: its own modes make some partials stand out and others stay
/// behind, the same frequency in every key, so that no two keys are quite alike. The waves per octave share no rhythm;
/// together they keep within 4 dB.
fn soundboard(hertz: f64) -> f64 {
    const WAVES: [(f64, f64, f64); 4] =
        [(1.3, 0.9, 0.11), (2.9, 1.1, 0.47), (6.7, 1.1, 0.83), (14.3, 0.9, 0.29)];
    let octaves = (hertz / 27.5).log2();
    let decibels: f64 = WAVES
        .iter()
        .map(|(per_octave, size, phase)| size * (TAU * (per_octave * octaves + phase)).sin())
        .sum();
    10f64.powf(decibels / 20.0)
}

/// Seconds to fall by 60 dB in the slow stage: from some 25 s at the bottom to half a second at the top, and shorter for the
/// higher partials of any key.
fn slow_decay(key: Key, hertz: f64, fundamental: f64) -> f64 {
    let midi = f64::from(key.midi());
    let of_key = 26.0 * (-(midi - 21.0) / 24.0).exp2() * (-(midi - 72.0).max(0.0) / 22.0).exp2();
    let above = hertz / fundamental - 1.0;
    of_key / (1.0 + 0.08 * above + hertz / 9_000.0)
}

/// Seconds to fall by 60 dB under the damper: long heavy strings are slower to stop, and felt takes the treble first.
fn damped_decay(key: Key, hertz: f64) -> f64 {
    let of_key = 0.16 + 0.30 * (-(f64::from(key.midi()) - 21.0) / 30.0).exp();
    of_key / (1.0 + hertz / 3_000.0).sqrt()
}

/// The knock of key, hammer and soundboard under the tone: low, dull and short.
fn thump_modes(key: Key) -> [Mode; THUMPS * LANES] {
    let height = (f64::from(key.midi()) - 60.0) / 48.0;
    std::array::from_fn(|at| Mode {
        hertz: (68.0 * 1.55f64.powi(at as i32))
            * (1.0 + 0.08 * scatter(key, at as u32, 20))
            * (0.25 * height).exp2(),
        amplitude: LEVEL * 0.05 * (1.0 - 0.08 * at as f64),
        decay: 0.16 / (1.0 + 0.35 * at as f64),
        damped: 0.1,
        phase: scatter(key, at as u32, 21),
        slow: false,
    })
}

/// Brings the keys to the same strength, with the bass a little ahead and the top a little behind.
fn level_out(modes: &mut [Mode], key: Key) {
    let hardness = 2_600.0;
    let strength = modes
        .iter()
        .map(|mode| (mode.amplitude * f64::from(felt(mode.hertz as f32, hardness))).powi(2))
        .sum::<f64>()
        .sqrt();
    let midi = f64::from(key.midi());
    let tilt = 10f64.powf((-0.05 * (midi - 60.0) - 0.3 * (midi - 84.0).max(0.0)) / 20.0);
    for mode in modes {
        mode.amplitude *= LEVEL * tilt / strength;
    }
}

/// How much of a frequency gets through a hammer felt of a given hardness (the frequency where it begins to soften).
pub(crate) fn felt(hertz: f32, hardness: f32) -> f32 {
    let ratio = hertz / hardness;
    1.0 / (1.0 + ratio * ratio).powf(1.1)
}

/// A number from 0 to 1 that looks random and is always the same for a key, a partial and a purpose.
pub(crate) fn scatter(key: Key, n: u32, purpose: u32) -> f64 {
    let mut hash = (u32::from(key.midi()) << 16) ^ (n << 6) ^ purpose;
    for factor in [0x7feb_352d_u32, 0x846c_a68b] {
        hash = (hash ^ (hash >> 16)).wrapping_mul(factor);
    }
    f64::from(hash ^ (hash >> 15)) / f64::from(u32::MAX)
}
