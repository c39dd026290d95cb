//! The sample rate.

/// Frames per second of a stream: 8 to 192 kHz.
///
/// ```
/// use sound::SampleRate;
/// let rate = SampleRate::new(48_000)?;
/// assert_eq!(rate.frames(0.25), 12_000);
/// # Ok::<(), sound::SampleRateError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SampleRate(u32);

/// A sample rate that no sound device of ours uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "{0} Hz is no sample rate this program plays at; choose one from 8000 to 192000 Hz in the sound settings"
)]
pub struct SampleRateError(pub u32);

impl SampleRate {
    /// The rate that is assumed where no device says otherwise.
    pub const DEFAULT: SampleRate = SampleRate(48_000);

    /// A rate in hertz.
    ///
    /// # Errors
    /// Outside 8,000 to 192,000 Hz.
    pub fn new(hertz: u32) -> Result<SampleRate, SampleRateError> {
        if (8_000..=192_000).contains(&hertz) { Ok(SampleRate(hertz)) } else { Err(SampleRateError(hertz)) }
    }

    /// Frames per second.
    pub fn hertz(self) -> u32 {
        self.0
    }

    /// The whole frames nearest to a stretch of seconds; 0 for what is negative or no number.
    pub fn frames(self, seconds: f64) -> u64 {
        (seconds * f64::from(self.0)).round() as u64
    }

    /// The seconds that a number of frames lasts.
    pub fn seconds(self, frames: u64) -> f64 {
        frames as f64 / f64::from(self.0)
    }
}
