//! Volumes: the value a person sets, and its smooth way through the samples.

use crate::SampleRate;

/// A volume as a factor, 0 to 2 (silent to +6 dB). 1 leaves the sound as it is.
///
/// ```
/// use sound::Gain;
/// assert_eq!(Gain::from_percent(50.0).factor(), 0.5);
/// assert!((Gain::from_decibels(-6.0).factor() - 0.501).abs() < 0.001);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Gain(f32);

impl Gain {
    /// No sound at all.
    pub const SILENT: Gain = Gain(0.0);
    /// The sound as it is.
    pub const UNITY: Gain = Gain(1.0);

    /// A factor, brought into 0 to 2; what is no number is silent.
    pub fn from_factor(factor: f32) -> Gain {
        if factor.is_nan() { Gain::SILENT } else { Gain(factor.clamp(0.0, 2.0)) }
    }

    /// A percentage of the amplitude.
    pub fn from_percent(percent: f32) -> Gain {
        Gain::from_factor(percent / 100.0)
    }

    /// Decibels relative to the sound as it is.
    pub fn from_decibels(decibels: f32) -> Gain {
        Gain::from_factor(10f32.powf(decibels / 20.0))
    }

    /// The factor for the amplitude.
    pub fn factor(self) -> f32 {
        self.0
    }
}

/// A gain that moves to its target in a straight line and then stays there exactly.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fader {
    now: f32,
    target: f32,
    step: f32,
}

impl Fader {
    /// Silent to unity in 20 ms: quick to the hand, too slow to crackle.
    pub(crate) fn new(rate: SampleRate, gain: Gain) -> Fader {
        let step = 1.0 / (0.020 * rate.hertz() as f32);
        Fader { now: gain.factor(), target: gain.factor(), step }
    }

    pub(crate) fn move_to(&mut self, gain: Gain) {
        self.target = gain.factor();
    }

    /// At the target without a ramp; for when nothing sounds.
    pub(crate) fn settle(&mut self) {
        self.now = self.target;
    }

    pub(crate) fn next(&mut self) -> f32 {
        if self.now != self.target {
            let gap = self.target - self.now;
            self.now = if gap.abs() <= self.step { self.target } else { self.now + self.step.copysign(gap) };
        }
        self.now
    }
}
