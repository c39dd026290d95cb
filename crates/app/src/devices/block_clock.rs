//! Which frame belongs to an instant, as seen from the sound callback.
//!
//! Callbacks come in irregular steps; the frames they ask for do not. A delay-locked loop of second order follows the
//! callbacks and smooths them (after F. Adriaensen, "Using a DLL to filter time", 2005), so that a note can be placed
//! within its block by the stamp of its message.

use std::f64::consts::{PI, SQRT_2};
use std::time::{Duration, Instant};

use sound::SampleRate;

/// How fast the loop follows, in hertz.
const BANDWIDTH: f64 = 0.3;
/// An error of this many seconds is a gap and not jitter: the loop starts anew.
const GAP: f64 = 0.1;

/// The loop.
#[derive(Clone, Debug)]
pub(super) struct BlockClock {
    nominal: f64,
    /// Seconds for a frame, as measured.
    period: f64,
    block: Option<Block>,
}

#[derive(Clone, Copy, Debug)]
struct Block {
    frame: u64,
    frames: u32,
    /// When its first frame was due, smoothed.
    due: Instant,
}

impl BlockClock {
    pub(super) fn new(rate: SampleRate) -> BlockClock {
        let period = 1.0 / f64::from(rate.hertz());
        BlockClock { nominal: period, period, block: None }
    }

    /// A callback asks for `frames` frames from `frame` on.
    pub(super) fn begin_block(&mut self, frame: u64, frames: u32, at: Instant) {
        let due = match self.block {
            Some(last) if last.frame + u64::from(last.frames) == frame => self.follow(&last, at),
            _ => at,
        };
        self.block = Some(Block { frame, frames, due });
    }

    /// The frame that belongs to an instant; before the first block, nothing.
    pub(super) fn frame_at(&self, at: Instant) -> Option<u64> {
        let block = self.block?;
        let frames = seconds_between(block.due, at) / self.period;
        Some(block.frame.saturating_add_signed(frames.round() as i64))
    }

    /// Moves the expected time of a block towards the time it came.
    fn follow(&mut self, last: &Block, at: Instant) -> Instant {
        let length = f64::from(last.frames) * self.period;
        let expected = last.due + Duration::from_secs_f64(length);
        let error = seconds_between(expected, at);
        if error.abs() > GAP || last.frames == 0 {
            self.period = self.nominal;
            return at;
        }
        let omega = 2.0 * PI * BANDWIDTH * length;
        let slope = self.period + omega * omega * error / f64::from(last.frames);
        // No crystal is off by more than a part in two hundred.
        self.period = slope.clamp(self.nominal * 0.995, self.nominal * 1.005);
        shifted(expected, SQRT_2 * omega * error)
    }
}

fn seconds_between(from: Instant, to: Instant) -> f64 {
    if to >= from { (to - from).as_secs_f64() } else { -(from - to).as_secs_f64() }
}

fn shifted(instant: Instant, seconds: f64) -> Instant {
    let by = Duration::from_secs_f64(seconds.abs());
    if seconds >= 0.0 { instant + by } else { instant.checked_sub(by).unwrap_or(instant) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Jitter that is the same in every run: -1 to 1.
    fn jitter(at: u64) -> f64 {
        let hash = at.wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(31).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        (hash >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }

    #[test]
    fn smooths_jittery_callbacks_of_a_device_that_runs_fast() {
        let start = Instant::now() + Duration::from_secs(1);
        let mut clock = BlockClock::new(SampleRate::DEFAULT);
        let real = 1.0 / (48_000.0 * 1.0002);
        let mut worst = 0.0f64;
        for block in 0..20_000u64 {
            let due = block as f64 * 128.0 * real;
            clock.begin_block(block * 128, 128, shifted(start, due + 0.0008 * jitter(block)));
            if block > 4_000 {
                let frame = clock.frame_at(shifted(start, due + 64.0 * real)).unwrap();
                worst = worst.max((frame as f64 - (block * 128 + 64) as f64).abs());
            }
        }
        assert!(worst <= 8.0, "off by {worst} frames where the callbacks jump by 38");
    }

    #[test]
    fn starts_anew_after_a_gap() {
        let start = Instant::now();
        let mut clock = BlockClock::new(SampleRate::DEFAULT);
        clock.begin_block(0, 480, start);
        clock.begin_block(480, 480, start + Duration::from_secs(60));
        assert_eq!(clock.frame_at(start + Duration::from_secs(60)), Some(480));
    }
}
