//! The strings that nobody struck, ringing along while the pedal keeps the dampers off them.

use crate::modes::{CHUNK, LANES, LaneRows, Lanes, Point, Turn};
use crate::strings::{lost, scatter};
use crate::{Key, SampleRate, tuning};

/// The keys whose strings take part: all that have dampers.
const KEYS: std::ops::RangeInclusive<u8> = 21..=90;
/// Below this key three partials ring along, above it two.
const THREE_PARTIALS_BELOW: u8 = 60;
/// What a string takes up in the end from a steady tone at its own pitch, as a share of that tone.
const SYMPATHY: f64 = 0.08;
/// What every string gets from the knock of a full blow.
const KNOCK: f32 = 0.125 * 0.0025;
/// Seconds to fall by 60 dB under the dampers, and in which the dampers come down.
const DAMPED: f64 = 0.25;
const DAMPER_WAY: f32 = 0.02;

/// The open strings of one piano.
#[derive(Debug)]
pub(crate) struct Resonance {
    strings: Box<[OpenStrings]>,
    rows: Box<LaneRows>,
    alive: bool,
    contact: f32,
    damp: Lanes,
    rate: SampleRate,
}

#[derive(Clone, Copy, Debug, Default)]
struct OpenStrings {
    turn: Turn,
    point: Point,
    /// How much of what is heard gets in.
    take: Lanes,
    knock: Lanes,
}

impl Resonance {
    pub(crate) fn new(rate: SampleRate) -> Resonance {
        let modes: Vec<(Key, u32)> = Key::all()
            .filter(|key| KEYS.contains(&key.midi()))
            .flat_map(|key| {
                (1..=if key.midi() < THREE_PARTIALS_BELOW { 3 } else { 2 }).map(move |n| (key, n))
            })
            .collect();
        let strings = modes.chunks(LANES).map(|four| OpenStrings::new(four, rate)).collect();
        let damp = [lost(DAMPED, rate) as f32; LANES];
        Resonance { strings, rows: Box::new([[0.0; LANES]; CHUNK]), alive: false, contact: 1.0, damp, rate }
    }

    pub(crate) fn is_silent(&self) -> bool {
        !self.alive
    }

    /// The knock of a blow of some strength, 0 to 1, goes through the whole frame.
    pub(crate) fn knock(&mut self, strength: f32, contact: f32) {
        let strength = strength * (1.0 - contact);
        if strength > 0.0 {
            self.alive = true;
            for strings in &mut self.strings {
                for lane in 0..LANES {
                    // The height stays where it is, so that nothing jumps.
                    strings.point.re[lane] += strength * strings.knock[lane];
                }
            }
        }
    }

    /// Hears what sounds on both sides, but for what is `dry`, and adds what rings along. `contact` is where the dampers are
    /// going.
    pub(crate) fn add_to(&mut self, [left, right]: [&mut [f32]; 2], dry: &[[f32; CHUNK]; 2], contact: f32) {
        let way = left.len() as f32 / (DAMPER_WAY * self.rate.hertz() as f32);
        self.contact += (contact - self.contact).clamp(-way, way);
        let open = 1.0 - self.contact;
        let heard = open > 0.0 && left.iter().zip(&dry[0]).any(|(sample, dry)| sample != dry);
        if !self.alive && !heard {
            return;
        }
        let rows = &mut self.rows[..left.len()];
        rows.fill([0.0; LANES]);
        let mut input = [0.0; CHUNK];
        if heard {
            for (at, input) in input.iter_mut().enumerate().take(left.len()) {
                *input = open * (left[at] - dry[0][at] + right[at] - dry[1][at]);
            }
        }
        for strings in &mut self.strings {
            strings.ring(&input, rows, &strings.turn.damped(&self.damp, self.contact));
        }
        self.alive = heard || self.strings.iter().any(|strings| !strings.point.is_inaudible());
        if !self.alive {
            self.strings.iter_mut().for_each(|strings| strings.point = Point::default());
        }
        for ((row, left), right) in rows.iter().zip(left).zip(right) {
            *left += row[0] + 0.4 * row[1] + 0.8 * row[2] + 0.6 * row[3];
            *right += 0.4 * row[0] + row[1] + 0.6 * row[2] + 0.8 * row[3];
        }
    }
}

impl OpenStrings {
    fn new(modes: &[(Key, u32)], rate: SampleRate) -> OpenStrings {
        let mut strings = OpenStrings::default();
        for (lane, &(key, n)) in modes.iter().enumerate() {
            let hertz = tuning::partial(key, n);
            let midi = f64::from(key.midi());
            let decay = 16.0 * (-(midi - 21.0) / 26.0).exp2() / (1.0 + 0.2 * f64::from(n - 1));
            let lost = lost(decay, rate);
            let angle = std::f64::consts::TAU * hertz / f64::from(rate.hertz());
            strings.turn.re[lane] = ((1.0 - lost) * angle.cos()) as f32;
            strings.turn.im[lane] = ((1.0 - lost) * angle.sin()) as f32;
            strings.take[lane] = (SYMPATHY * lost) as f32;
            let side = if scatter(key, n, 30) < 0.5 { -1.0 } else { 1.0 };
            strings.knock[lane] = side * KNOCK / (1.0 + (hertz / 700.0).powi(2)) as f32;
        }
        strings
    }

    fn ring(&mut self, input: &[f32], rows: &mut [Lanes], turn: &Turn) {
        let mut at = self.point;
        for (row, input) in rows.iter_mut().zip(input) {
            for (sample, height) in row.iter_mut().zip(at.im) {
                *sample += height;
            }
            at = at.turned(turn);
            for (re, take) in at.re.iter_mut().zip(self.take) {
                *re += take * input;
            }
        }
        self.point = at;
    }
}
