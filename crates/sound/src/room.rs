//! A small room about the piano: short echoes that soon run together and die away.
//!
//! Eight delays feed one another through an orthogonal mixture, a little weaker and duller each time round (a feedback
//! delay network after Jot and Chaigne 1991; from memory).

use crate::SampleRate;

/// Delays in milliseconds: apart enough to share no common rhythm.
const DELAYS: [f64; 8] = [7.31, 9.13, 11.29, 13.07, 15.73, 17.89, 20.33, 23.69];
/// Seconds to fall by 60 dB, in the low and the high treble.
const FADE: f64 = 0.42;
const BRIGHT_FADE: f64 = 0.18;
/// How much of the room is heard beside the piano itself.
const WET: f32 = 0.16;
/// -130 dB: what is softer for a whole round is over.
const OVER: f32 = 3e-7;

/// The room.
#[derive(Debug)]
pub(crate) struct Room {
    lines: [Line; 8],
    /// Frames since anything was loud enough to matter; the room rests after a whole round.
    quiet: usize,
    longest: usize,
    resting: bool,
}

#[derive(Debug)]
struct Line {
    samples: Box<[f32]>,
    at: usize,
    gain: f32,
    /// How much of the sample before stays in each sample: dull.
    dull: f32,
    before: f32,
}

impl Room {
    pub(crate) fn new(rate: SampleRate) -> Room {
        let lines = DELAYS.map(|delay| Line::new(delay / 1_000.0, rate));
        let longest = lines.iter().map(|line| line.samples.len()).max().unwrap_or(0);
        Room { lines, quiet: 0, longest, resting: true }
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.resting
    }

    /// Adds the room to both sides.
    pub(crate) fn add_to(&mut self, left: &mut [f32], right: &mut [f32]) {
        if self.resting && left.iter().chain(&*right).all(|sample| *sample == 0.0) {
            return;
        }
        self.resting = false;
        for (left, right) in left.iter_mut().zip(right) {
            let loudest = left.abs().max(right.abs());
            let (to_left, to_right, inside) = self.next(*left, *right);
            self.quiet = if loudest.max(inside) < OVER { self.quiet + 1 } else { 0 };
            *left += WET * to_left;
            *right += WET * to_right;
        }
        if self.quiet > self.longest {
            self.rest();
        }
    }

    fn next(&mut self, left: f32, right: f32) -> (f32, f32, f32) {
        let out = self.lines.each_mut().map(Line::read);
        let mixed = mixture(&out);
        for (at, (line, back)) in self.lines.iter_mut().zip(mixed).enumerate() {
            line.write(back + 0.35 * if at % 2 == 0 { left } else { right });
        }
        let inside = out.iter().fold(0.0f32, |loudest, sample| loudest.max(sample.abs()));
        (out[0] - out[2] + out[4] - out[7], out[1] - out[3] + out[5] - out[6], inside)
    }

    fn rest(&mut self) {
        for line in &mut self.lines {
            line.samples.fill(0.0);
            line.before = 0.0;
        }
        (self.resting, self.quiet) = (true, 0);
    }
}

impl Line {
    fn new(seconds: f64, rate: SampleRate) -> Line {
        let per_round = |fade: f64| 10f64.powf(-3.0 * seconds / fade);
        let (low, high) = (per_round(FADE), per_round(BRIGHT_FADE));
        // A one-pole low-pass whose gain at the top of the spectrum is that of the bright fade.
        let ratio = high / low;
        Line {
            samples: vec![0.0; (rate.frames(seconds) as usize).max(1)].into(),
            at: 0,
            gain: low as f32,
            dull: ((1.0 - ratio) / (1.0 + ratio)) as f32,
            before: 0.0,
        }
    }

    fn read(&mut self) -> f32 {
        self.before = audible(self.samples[self.at] * (1.0 - self.dull) + self.before * self.dull);
        self.gain * self.before
    }

    fn write(&mut self, sample: f32) {
        self.samples[self.at] = audible(sample);
        self.at = if self.at + 1 == self.samples.len() { 0 } else { self.at + 1 };
    }
}

/// Nothing in place of what is so soft that it could become denormal.
fn audible(sample: f32) -> f32 {
    if sample.abs() < 1e-20 { 0.0 } else { sample }
}

/// Each out of all, with nothing gained or lost (a Hadamard matrix).
fn mixture(values: &[f32; 8]) -> [f32; 8] {
    let mut mixed = *values;
    for half in [1, 2, 4] {
        let before = mixed;
        for (at, value) in mixed.iter_mut().enumerate() {
            let other = before[at ^ half];
            *value = if at & half == 0 { before[at] + other } else { other - before[at] };
        }
    }
    mixed.map(|value| value * std::f32::consts::FRAC_1_SQRT_2 * 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_knock_dies_away_and_leaves_exact_silence() {
        let mut room = Room::new(SampleRate::DEFAULT);
        let (mut left, mut right) = (vec![0.0; 96_000], vec![0.0; 96_000]);
        (left[0], right[0]) = (1.0, 1.0);
        for (left, right) in left.chunks_mut(64).zip(right.chunks_mut(64)) {
            room.add_to(left, right);
        }
        let energy = |part: &[f32]| part.iter().map(|sample| sample * sample).sum::<f32>();
        let fallen = 10.0 * (energy(&left[24_000..25_000]) / energy(&left[2_400..3_400])).log10();
        assert!((-90.0..-45.0).contains(&fallen), "by {fallen} dB in 0.45 s");
        assert!(room.is_silent() && left[90_000..].iter().all(|sample| sample.to_bits() == 0));
        assert!(left.iter().all(|sample| *sample == 0.0 || sample.is_normal()));
    }
}
