//! How long keys ring: in two stages, and shorter from octave to octave.

use std::f64::consts::TAU;

use crate::measure::{RATE, key, mono, on};
use sound::tuning;

/// The level of one frequency, in decibels, at steps of a tenth of the window.
struct Envelope {
    step: f64,
    levels: Vec<f64>,
}

impl Envelope {
    /// Looks at a frequency through a Hann window of some seconds.
    fn of(samples: &[f32], hertz: f64, window: f64) -> Envelope {
        let length = (window * f64::from(RATE)) as usize;
        let hop = length / 10;
        let levels = (0..(samples.len() - length) / hop).map(|at| {
            let (mut re, mut im) = (0.0, 0.0);
            for (frame, sample) in samples[at * hop..at * hop + length].iter().enumerate() {
                let share = frame as f64 / length as f64;
                let weight = f64::from(*sample) * (0.5 - 0.5 * (TAU * share).cos());
                let angle = TAU * hertz * frame as f64 / f64::from(RATE);
                (re, im) = (re + weight * angle.cos(), im + weight * angle.sin());
            }
            20.0 * (2.0 * re.hypot(im) / length as f64).log10()
        });
        Envelope { step: hop as f64 / f64::from(RATE), levels: levels.collect() }
    }

    /// Seconds to fall by 60 dB, by the straight line of least squares between two levels below the start.
    fn decay(&self, from: f64, to: f64) -> f64 {
        let top = self.levels.iter().copied().fold(f64::MIN, f64::max);
        let first = self.levels.iter().rposition(|level| *level > top - from).unwrap();
        let last = self.levels.iter().rposition(|level| *level > top - to).unwrap();
        assert!(
            last > first + 3 && last + 1 < self.levels.len(),
            "the note was looked at for too short a time"
        );
        let part = &self.levels[first..=last];
        let middle = (part.len() - 1) as f64 / 2.0;
        let mean = part.iter().sum::<f64>() / part.len() as f64;
        let (over, under) = part.iter().enumerate().fold((0.0, 0.0), |(over, under), (at, level)| {
            let x = at as f64 - middle;
            (over + x * (level - mean), under + x * x)
        });
        -60.0 / (over / under / self.step)
    }
}

/// Decay of the fundamental at first and later, in seconds for 60 dB.
fn decays(midi: u8) -> (f64, f64) {
    let seconds = 21.0 * (-(f64::from(midi) - 21.0) / 22.0).exp2() + 0.5;
    let samples = mono(&[on(0, midi, 90)], seconds);
    let hertz = tuning::hertz(key(midi));
    let envelope = Envelope::of(&samples, hertz, (6.0 / hertz).max(0.02));
    (envelope.decay(0.5, 8.0), envelope.decay(25.0, 48.0))
}

#[test]
fn notes_decay_in_two_stages_that_shorten_upwards() {
    // Seconds to fall by 60 dB, at first and later, for every C. The ranges hold what measurements of pianos show (Martin
    // 1947; Weinreich 1977 on the two stages; Meyer and Melka 1983; all from memory): some ten seconds at first and twice or
    // thrice that later in the bass, a few seconds in the middle, some tenths of a second at the top.
    let ranges = [
        (24, 5.0..16.0, 14.0..40.0),
        (36, 4.0..12.0, 10.0..28.0),
        (48, 2.5..9.0, 7.0..20.0),
        (60, 1.8..6.0, 5.0..14.0),
        (72, 1.2..4.0, 3.0..9.0),
        (84, 0.5..2.5, 1.2..5.0),
        (96, 0.25..1.2, 0.5..2.5),
        (108, 0.1..0.6, 0.2..1.0),
    ];
    let mut before = (f64::MAX, f64::MAX);
    for (midi, early, late) in ranges {
        let found = decays(midi);
        assert!(early.contains(&found.0), "key {midi} at first: {:.2} s", found.0);
        assert!(late.contains(&found.1), "key {midi} later: {:.2} s", found.1);
        assert!(found.1 > 1.4 * found.0, "key {midi} has two stages: {found:?}");
        assert!(found.0 < before.0 && found.1 < before.1, "key {midi} rings shorter than an octave below");
        before = found;
    }
}
