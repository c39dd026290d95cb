//! Keeps the sum of everything inside full scale, and spares the ears.

use crate::SampleRate;

/// Below this level nothing is changed at all.
const KNEE: f32 = 0.7;
/// No sample is larger; a little room for converters that overshoot.
const CEILING: f32 = 0.985;

/// Both sides are turned down together, without delay; what is too fast for that is rounded off.
pub(crate) struct Limiter {
    level: f32,
    attack: f32,
    release: f32,
}

impl Limiter {
    pub(crate) fn new(rate: SampleRate) -> Limiter {
        let per_frame = |seconds: f32| (-1.0 / (seconds * rate.hertz() as f32)).exp();
        Limiter { level: 0.0, attack: 1.0 - per_frame(0.001), release: per_frame(0.25) }
    }

    pub(crate) fn next(&mut self, left: f32, right: f32) -> (f32, f32) {
        let peak = left.abs().max(right.abs());
        self.level = if peak > self.level {
            self.level + (peak - self.level) * self.attack
        } else if self.level > 1e-9 {
            self.level * self.release
        } else {
            0.0
        };
        let gain = if self.level > KNEE { KNEE / self.level } else { 1.0 };
        (round_off(left * gain), round_off(right * gain))
    }
}

/// Straight up to the knee, then bending towards the ceiling.
fn round_off(sample: f32) -> f32 {
    let over = sample.abs() - KNEE;
    if over <= 0.0 {
        return sample;
    }
    let room = CEILING - KNEE;
    (KNEE + room * (over / room).tanh()).copysign(sample)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_soft_passes_unchanged_and_silence_stays_silent() {
        let mut limiter = Limiter::new(SampleRate::DEFAULT);
        for sample in [0.0f32, 0.1, -0.69, 1e-20, 0.7] {
            assert_eq!(limiter.next(sample, -sample), (sample, -sample));
        }
        for _ in 0..1_000_000 {
            assert_eq!(limiter.next(0.0, 0.0), (0.0, 0.0));
        }
        assert_eq!(limiter.level, 0.0, "the level itself comes to rest");
    }

    #[test]
    fn nothing_however_loud_reaches_full_scale() {
        let mut limiter = Limiter::new(SampleRate::DEFAULT);
        for sample in [1.0f32, 50.0, -1e9, 3.0, f32::MAX] {
            let (left, right) = limiter.next(sample, 0.5 * sample);
            assert!(left.abs() <= CEILING && right.abs() <= CEILING, "{sample}: {left} {right}");
        }
    }
}
