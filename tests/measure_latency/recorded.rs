//! What was recorded, and where in it a moment lies.

use super::subjects::{come_first, nanos};
use super::{Outcome, RATE};
use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{self, BufferSize, StreamConfig};
use std::sync::{Arc, Mutex};
use std::time::Instant;

/// So far from a moment blocks are looked at, in nanoseconds.
const NEAR: u64 = 200_000_000;
/// By more than this, in nanoseconds, a recording that keeps time does not differ from itself.
const STUMBLED: f64 = 300_000.0;

/// Samples, and when each block of them came: how many there were by then, in nanoseconds of the system's clock.
#[derive(Default)]
pub struct Recorded {
    samples: Vec<f32>,
    blocks: Vec<(usize, u64)>,
}

/// A sound that was found.
#[derive(Clone, Copy, Debug)]
pub struct Onset {
    /// When, in nanoseconds of the system's clock.
    pub at: u64,
    /// The amplitude beyond which it was one.
    pub least: f32,
}

/// Records from now on.
pub fn record(into: &Arc<Mutex<Recorded>>) -> Outcome<cpal::Stream> {
    let device = cpal::default_host().default_input_device().ok_or("no input")?;
    // However late a block comes, its samples are counted; so it may be large, and loses none.
    let config = StreamConfig { channels: 1, sample_rate: RATE as u32, buffer_size: BufferSize::Fixed(1024) };
    let (into, mut ordinary) = (Arc::clone(into), true);
    let stream = device.build_input_stream(
        config,
        move |samples: &[f32], _: &cpal::InputCallbackInfo| {
            let now = Instant::now();
            if std::mem::take(&mut ordinary) {
                come_first();
            }
            if let Ok(mut recorded) = into.lock() {
                recorded.samples.extend(samples);
                let so_far = recorded.samples.len();
                recorded.blocks.push((so_far, nanos(now)));
            }
        },
        |_| {},
        None,
    )?;
    stream.play()?;
    Ok(stream)
}

impl Recorded {
    /// The sound that begins within 100 ms after a moment, if there is one.
    pub fn sound_after(&self, at: u64) -> Option<Onset> {
        let (first, zero) = self.sample_at(at)?;
        let before = &self.samples[first.saturating_sub(480)..first];
        let silence = before.iter().fold(0.0f32, |most, sample| most.max(sample.abs()));
        let least = (4.0 * silence).max(0.001);
        let after = self.samples.get(first..)?.iter().take(4800).position(|sample| sample.abs() > least)?;
        Some(Onset { at: (zero + (first + after) as f64 / RATE * 1e9) as u64, least })
    }

    /// The sample that came at a moment, and when the first of all came: by the block that came with the least delay just
    /// before it, and just after it. Where those two do not agree the recording stumbled, and says nothing.
    fn sample_at(&self, at: u64) -> Option<(usize, f64)> {
        let zero = |near: std::ops::RangeInclusive<u64>| {
            let blocks = self.blocks.iter().filter(|block| near.contains(&block.1));
            let zeros = blocks.map(|block| block.1 as f64 - block.0 as f64 / RATE * 1e9);
            zeros.min_by(f64::total_cmp)
        };
        let (before, after) = (zero(at.saturating_sub(NEAR)..=at)?, zero(at..=at + NEAR)?);
        if (before - after).abs() > STUMBLED {
            return None;
        }
        let zero = before.min(after);
        let sample = ((at as f64 - zero) / 1e9 * RATE).round() as usize;
        (sample < self.samples.len()).then_some((sample, zero))
    }
}
