//! What each key's strings do when they are struck: partials, their decay, the thump of the action.
//!
//! The shapes of the curves are common knowledge of piano acoustics; the numbers are our own, chosen by ear-minded
//! measurement of offline renders (levels, spectra, decays), except where a source is named.

use std::f64::consts::TAU;

use crate::modes::{GROUPS, LANES, Lanes, Point, Turn};
use crate::{Key, SampleRate};

/// Partials that decay in two stages, each as a fast and a slow mode.
const TWO_STAGE: usize = 20;
/// Modes of the strings; the last group is the thump.
const STRING_MODES: usize = (GROUPS - 1) * LANES;
/// The group that holds the thump of hammer and soundboard.
const THUMP: usize = GROUPS - 1;
/// Decay of the fast stage, and of partials with one stage only, as a share of the slow stage's.
const FAST_SHARE: f64 = 0.34;
const SINGLE_SHARE: f64 = 0.5;
/// How far below the fast stage the slow stage begins.
const SLOW_LEVEL: f64 = 0.30;
/// Level of all modes together, so that ten hard-struck keys come near full scale.
const LEVEL: f64 = 0.125;

/// One key's modes, ready to be set in motion.
#[derive(Clone, Debug)]
pub(crate) struct Strings {
    groups: [Group; GROUPS],
    used: usize,
    /// Frequency of the fundamental in hertz.
    pub(crate) fundamental: f32,
}

/// Eight modes: how they turn, where they start at full brightness, and their frequencies.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Group {
    pub(crate) turn: Turn,
    pub(crate) start: Point,
    pub(crate) hertz: Lanes,
}

/// One sinusoid as it is designed.
#[derive(Clone, Copy, Debug)]
struct Mode {
    hertz: f64,
    amplitude: f64,
    /// Seconds to fall by 60 dB.
    decay: f64,
    /// Where in its turn it starts, 0 to 1.
    phase: f64,
}

impl Strings {
    pub(crate) fn new(key: Key, rate: SampleRate) -> Strings {
        let mut modes = string_modes(key, rate);
        level_out(&mut modes, key);
        let mut strings = Strings {
            groups: [Group::default(); GROUPS],
            used: modes.len().div_ceil(LANES),
            fundamental: key.hertz() as f32,
        };
        for (index, mode) in modes.iter().enumerate() {
            strings.groups[index / LANES].set(index % LANES, mode, rate);
        }
        for (lane, mode) in thump_modes(key).iter().enumerate() {
            strings.groups[THUMP].set(lane, mode, rate);
        }
        strings
    }

    /// The groups in use with their numbers, the thump last.
    pub(crate) fn groups(&self) -> impl Iterator<Item = (usize, &Group)> {
        (0..self.used).chain([THUMP]).map(|at| (at, &self.groups[at]))
    }

    /// Whether a group belongs to the thump and not to the strings.
    pub(crate) fn is_thump(group: usize) -> bool {
        group == THUMP
    }
}

impl Group {
    fn set(&mut self, lane: usize, mode: &Mode, rate: SampleRate) {
        let frames = mode.decay * f64::from(rate.hertz());
        let shrink = (-(1000f64.ln()) / frames).exp();
        let angle = TAU * mode.hertz / f64::from(rate.hertz());
        self.turn.re[lane] = (shrink * angle.cos()) as f32;
        self.turn.im[lane] = (shrink * angle.sin()) as f32;
        self.start.re[lane] = (mode.amplitude * (TAU * mode.phase).cos()) as f32;
        self.start.im[lane] = (mode.amplitude * (TAU * mode.phase).sin()) as f32;
        self.hertz[lane] = mode.hertz as f32;
    }
}

/// How much sharper the partials of a key are than whole multiples: B in f(n) = n f0 sqrt(1 + B n²).
///
/// Two straight lines in the logarithm, one for the wound strings and one for the plain ones; form and coefficients
/// after Rauhala, Lehtonen and Välimäki 2007 (from memory). The top octave is held back.
fn inharmonicity(key: Key) -> f64 {
    let midi = f64::from(key.midi());
    let bass = (-0.0847 * midi - 5.82).exp();
    let treble = (0.0926 * midi - 13.64).exp();
    (bass + treble).min(0.012)
}

/// The partials of a key, each as one mode or two, from the lowest up.
fn string_modes(key: Key, rate: SampleRate) -> Vec<Mode> {
    let (fundamental, b) = (key.hertz(), inharmonicity(key));
    let ceiling = (0.42 * f64::from(rate.hertz())).min(14_000.0);
    let mut modes = Vec::with_capacity(STRING_MODES);
    for n in 1.. {
        let stretch = ((1.0 + b * f64::from(n * n)) / (1.0 + b)).sqrt();
        let hertz = f64::from(n) * fundamental * stretch;
        let two_stage = n as usize <= TWO_STAGE;
        if hertz > ceiling || modes.len() + if two_stage { 2 } else { 1 } > STRING_MODES {
            break;
        }
        let fast = Mode {
            hertz,
            amplitude: blow(n) * radiation(hertz),
            decay: slow_decay(key, hertz) * if two_stage { FAST_SHARE } else { SINGLE_SHARE },
            phase: scatter(key, n, 0),
        };
        modes.push(fast);
        if two_stage {
            modes.push(slow_stage(key, n, &fast));
        }
    }
    modes
}

/// The second stage of a partial: softer, longer, and a little off, so that the two beat slowly.
fn slow_stage(key: Key, n: u32, fast: &Mode) -> Mode {
    let cents = 0.25 + 0.5 * scatter(key, n, 1);
    let side = if scatter(key, n, 2) < 0.5 { -1.0 } else { 1.0 };
    Mode {
        hertz: fast.hertz * (side * cents / 1200.0).exp2(),
        amplitude: fast.amplitude * SLOW_LEVEL * (1.0 - f64::from(n) / 40.0),
        decay: slow_decay(key, fast.hertz),
        phase: fast.phase,
    }
}

/// How strongly a hammer that strikes at about an eighth of the string excites a partial.
fn blow(n: u32) -> f64 {
    let place = (f64::from(n) * std::f64::consts::PI / 8.3).sin().abs();
    (place + 0.06) / f64::from(n).powf(0.9)
}

/// The soundboard radiates the lowest frequencies weakly.
fn radiation(hertz: f64) -> f64 {
    let ratio = (hertz / 75.0).powi(2);
    ratio / (1.0 + ratio)
}

/// Seconds to fall by 60 dB in the slow stage: from some 25 s at the bottom to half a second at the top, and shorter for the
/// higher partials of any key.
fn slow_decay(key: Key, hertz: f64) -> f64 {
    let midi = f64::from(key.midi());
    let of_key = 26.0 * (-(midi - 21.0) / 24.0).exp2() * (-(midi - 72.0).max(0.0) / 18.0).exp2();
    let above = hertz / key.hertz() - 1.0;
    of_key / (1.0 + 0.08 * above + hertz / 6_000.0)
}

/// The knock of key, hammer and soundboard under the tone: low, dull and short.
fn thump_modes(key: Key) -> [Mode; LANES] {
    let height = (f64::from(key.midi()) - 60.0) / 48.0;
    std::array::from_fn(|at| {
        let hertz = (68.0 * 1.55f64.powi(at as i32))
            * (1.0 + 0.08 * scatter(key, at as u32, 3))
            * (0.25 * height).exp2();
        Mode {
            hertz,
            amplitude: LEVEL * 0.05 * (1.0 - 0.08 * at as f64),
            decay: 0.16 / (1.0 + 0.35 * at as f64),
            phase: scatter(key, at as u32, 4),
        }
    })
}

/// Brings the keys to the same strength, with the bass a little ahead and the top a little behind.
fn level_out(modes: &mut [Mode], key: Key) {
    let hardness = 2_600.0;
    let strength = modes
        .iter()
        .map(|mode| (mode.amplitude * felt(mode.hertz as f32, hardness) as f64).powi(2))
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
fn scatter(key: Key, n: u32, purpose: u32) -> f64 {
    let mut hash = (u32::from(key.midi()) << 16) ^ (n << 4) ^ purpose;
    for factor in [0x7feb_352d_u32, 0x846c_a68b] {
        hash = (hash ^ (hash >> 16)).wrapping_mul(factor);
    }
    f64::from(hash ^ (hash >> 15)) / f64::from(u32::MAX)
}
