//! Keeping up with a sound stream's clock while it drifts, stumbles, starts again or stops.
//!
//! Pairs of (frame, stamp) come in, one a block. They are gathered a quarter of a second at a time and each gathering is
//! put down as one pair, its median; the line goes through those of the last quarter of a minute. What cannot be bridged (another
//! stream, a jump, a silence) begins a new line and is said; a jump so small that the line was good to 2 ms all the time, as
//! where a server on a busy machine skips a cycle, is only followed. A lateness that all callbacks share cannot be told from a
//! latency of the device and is left to its calibration.

use crate::mapping::median;
use crate::{Frames, Stamp, clock::ClockMap};
use std::collections::VecDeque;

/// So long a stretch of pairs is put down as one, in seconds.
const GATHERED_S: f64 = 0.25;
/// So many of those make the line.
const KEPT: usize = 60;
/// With fewer, over two seconds, jitter would bend the rate more than drift does: the nominal rate holds.
const RATE_FROM: usize = 9;
/// The rate is measured anew after so many of them.
const RATE_EVERY: u32 = 4;
/// A new line is trusted, and a jump believed, from so many pairs in a row.
const NEWEST: usize = 32;
/// Without a pair for so long the clock is lost, in milliseconds: the largest common block (4096 frames at 44.1 kHz) lasts
/// 93.
const SILENT_MS: f64 = 500.0;
/// The least distance from the line that is taken for a jump, in milliseconds.
const JUMP_MS: f64 = 1.0;
/// As a multiple of how far single pairs scatter.
const JUMP_DEVIATIONS: f64 = 2.0;
/// What is promised, in milliseconds.
const GOOD_MS: f64 = 2.0;
/// Callbacks come late rather than early, so that the median itself lies off by so many deviations of single pairs (evenly
/// spread lateness: 1.35; one that falls off exponentially: 1) ...
const LEANING: f64 = 1.4;
/// ... and by so many over the root of their number, by chance and by a rate not known well.
const CHANCE: f64 = 5.0;
/// Whether the line has jumped is looked at every so many pairs.
const LOOK_EVERY: u32 = 4;

/// Why the clock of a stream is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ClockLoss {
    /// No pair has come yet.
    NeverHeard,
    /// Another stream has begun, and has not yet been heard for long enough.
    Restarted,
    /// Frames and stamps came apart at once.
    Jumped,
    /// Nothing has come for half a second: the device, or the whole machine, was asleep.
    Silent,
    /// Callbacks come so unevenly that the line is worse than 2 ms.
    Rough,
}

impl ClockLoss {
    /// For a musician.
    pub const fn text(self) -> &'static str {
        match self {
            ClockLoss::NeverHeard => "the sound device has not started yet",
            ClockLoss::Restarted => "the sound device has started again; its time is being found",
            ClockLoss::Jumped => {
                "the sound stumbled and its time is being found again; a larger buffer may help"
            }
            ClockLoss::Silent => "the sound device stands still; what is played now cannot be set against it",
            ClockLoss::Rough => {
                "the sound device answers too unevenly to be exact to 2 ms; a larger buffer may help"
            }
        }
    }
}

/// A place where the line was given up: strikes between these two moments cannot be set against the sound for certain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClockBreak {
    /// The last moment of the old line.
    pub from: Stamp,
    /// The first moment of the new one.
    pub to: Stamp,
    /// Why.
    pub why: ClockLoss,
}

/// Follows one sound stream after another. The newest [`ClockMap`] is always to be had, for sound must go on; whether it
/// is good to 2 ms is said beside it.
///
/// ```
/// use practice::{Frames, Stamp, clock::{ClockFollower, ClockLoss}};
/// let mut clock = ClockFollower::default();
/// assert_eq!(clock.loss(Stamp::from_ms(0.0)), Some(ClockLoss::NeverHeard));
/// for n in 0..100 {
///     clock.learn(1, 48_000.0, Frames(n * 480), Stamp::from_ms(5.0 + 10.0 * n as f64));
/// }
/// let now = Stamp::from_ms(1000.0);
/// assert_eq!((clock.loss(now), clock.map().expect("pairs").stamp(Frames(48_000))), (None, Stamp::from_ms(1005.0)));
/// ```
#[derive(Clone, Debug, Default)]
pub struct ClockFollower {
    generation: Option<u32>,
    /// Nanoseconds a frame lasts by the stream's own word.
    nominal: f64,
    /// And as measured in this stream.
    measured: Option<f64>,
    newest: VecDeque<(Frames, Stamp)>,
    gathering: Vec<(Frames, Stamp)>,
    gathered: VecDeque<(Frames, Stamp)>,
    scatter: VecDeque<f64>,
    map: Option<ClockMap>,
    /// Why it is not yet trusted; `None` when it is.
    unsettled: Option<ClockLoss>,
    draws: u32,
    /// So many pairs made the line, those forgotten since included.
    pairs: u32,
    broken: Option<ClockBreak>,
    breaks: u32,
}

impl ClockFollower {
    /// Takes in that a frame of the stream of this generation belongs to a moment; `rate` is the stream's nominal frames a
    /// second. Says whether this is the first pair of another stream than before. Pairs come in order of time.
    pub fn learn(&mut self, generation: u32, rate: f64, frame: Frames, at: Stamp) -> bool {
        if rate.is_nan() || rate <= 0.0 {
            return false;
        }
        let renewed = self.generation.replace(generation) != Some(generation);
        if renewed {
            (self.nominal, self.measured) = (1e9 / rate, None);
            self.begin_anew(ClockLoss::Restarted, at);
        } else if self.last().is_some_and(|last| at.ms_since(last.1) > SILENT_MS || frame < last.0) {
            self.begin_anew(ClockLoss::Silent, at);
        }
        self.newest.push_back((frame, at));
        if self.newest.len() > NEWEST {
            self.newest.pop_front();
        }
        self.pairs = self.pairs.saturating_add(1);
        self.gather(frame, at);
        if self.unsettled.is_some() {
            self.settle();
        } else if self.pairs.is_multiple_of(LOOK_EVERY)
            && let Some(off) = self.has_jumped()
        {
            self.jump(off);
        }
        renewed
    }

    /// The line as it is known now; `None` before the first pair.
    pub fn map(&self) -> Option<&ClockMap> {
        self.map.as_ref()
    }

    /// Why the line is not good to 2 ms at this moment; `None` when it is.
    pub fn loss(&self, now: Stamp) -> Option<ClockLoss> {
        let Some(last) = self.last().filter(|_| self.map.is_some()) else {
            return Some(ClockLoss::NeverHeard);
        };
        let silent = (now.ms_since(last.1) > SILENT_MS).then_some(ClockLoss::Silent);
        let rough = (self.off_by_ms() > GOOD_MS).then_some(ClockLoss::Rough);
        silent.or(self.unsettled).or(rough)
    }

    /// The last time that a line was given up.
    pub fn last_break(&self) -> Option<ClockBreak> {
        self.broken
    }

    /// How often a line was given up.
    pub fn breaks(&self) -> u32 {
        self.breaks
    }
}

/// The line.
impl ClockFollower {
    fn last(&self) -> Option<(Frames, Stamp)> {
        self.newest.back().copied()
    }

    fn rate(&self) -> f64 {
        self.measured.unwrap_or(self.nominal)
    }

    fn begin_anew(&mut self, why: ClockLoss, at: Stamp) {
        if let Some((_, from)) = self.last() {
            self.broken = Some(ClockBreak { from, to: at, why });
            self.breaks += 1;
        }
        self.pairs = 0;
        self.newest.clear();
        self.gathering.clear();
        self.gathered.clear();
        self.scatter.clear();
        self.map = None;
        self.unsettled = Some(why);
    }

    /// Puts down a quarter of a second as one pair.
    fn gather(&mut self, frame: Frames, at: Stamp) {
        let first = self.gathering.first().map_or(frame, |p| p.0);
        if (frame.0 - first.0) as f64 * self.nominal >= GATHERED_S * 1e9 {
            let (pair, scatter) = middle(&self.gathering, self.rate());
            self.gathering.clear();
            self.gathered.push_back(pair);
            self.scatter.push_back(scatter);
            if self.gathered.len() > KEPT {
                self.gathered.pop_front();
                self.scatter.pop_front();
            }
            self.draw();
        }
        self.gathering.push((frame, at));
    }

    /// Draws the line through what was gathered.
    fn draw(&mut self) {
        if self.unsettled.is_some() {
            return;
        }
        self.draws = self.draws.wrapping_add(1);
        if self.gathered.len() >= RATE_FROM && self.draws.is_multiple_of(RATE_EVERY) {
            let line = ClockMap::estimate(self.gathered.make_contiguous(), 1e9 / self.nominal);
            self.measured = line.map(|l| 1e9 / l.rate());
        }
        let rate = self.rate();
        let (pair, _) = middle(self.gathered.make_contiguous(), rate);
        let scatter = median(self.scatter.iter().copied().collect()).unwrap_or(0.0);
        self.map = Some(ClockMap::through(pair, rate, scatter));
    }

    /// A new line from the newest pairs alone, trusted once there are enough.
    fn settle(&mut self) {
        let rate = self.rate();
        let (pair, scatter) = middle(self.newest.make_contiguous(), rate);
        self.map = Some(ClockMap::through(pair, rate, scatter));
        if self.newest.len() >= NEWEST {
            self.unsettled = None;
        }
    }

    /// By how many milliseconds the newest pairs lie off the line, if that is a jump.
    fn has_jumped(&self) -> Option<f64> {
        let map = self.map.as_ref().filter(|_| self.newest.len() >= NEWEST)?;
        let off = self.newest.iter().map(|p| p.1.ms_since(map.stamp(p.0))).collect();
        let limit = JUMP_MS.max(JUMP_DEVIATIONS * map.uncertainty_ms());
        median(off).filter(|off| off.abs() > limit)
    }

    /// Goes on from the newest half of the newest pairs, which all lie behind the jump.
    fn jump(&mut self, off_ms: f64) {
        let kept: Vec<(Frames, Stamp)> = self.newest.iter().skip(NEWEST / 2).copied().collect();
        let Some(&(_, to)) = kept.last() else { return };
        let from = self.newest.front().map_or(to, |p| p.1);
        let was_good = off_ms.abs() + self.off_by_ms() <= GOOD_MS;
        let before = (self.broken, self.breaks);
        self.begin_anew(ClockLoss::Jumped, to);
        self.broken = Some(ClockBreak { from, to, why: ClockLoss::Jumped });
        self.pairs = kept.len() as u32;
        self.newest.extend(kept);
        if was_good {
            ((self.broken, self.breaks), self.unsettled) = (before, None);
        }
        self.settle();
    }

    /// By how much the line may lie off, in milliseconds.
    fn off_by_ms(&self) -> f64 {
        let scatter = self.map.as_ref().map_or(0.0, ClockMap::uncertainty_ms);
        scatter * (LEANING + CHANCE / f64::from(self.pairs.max(1)).sqrt())
    }
}

/// The pair in the middle of some, at the first one's frame, and how far single ones scatter around it in nanoseconds.
fn middle(pairs: &[(Frames, Stamp)], rate: f64) -> ((Frames, Stamp), f64) {
    let Some(&(first, base)) = pairs.first() else { return Default::default() };
    let off = |p: &(Frames, Stamp)| (p.1.nanos() - base.nanos()) as f64 - (p.0.0 - first.0) as f64 * rate;
    let height = median(pairs.iter().map(off).collect()).unwrap_or(0.0);
    let scatter = median(pairs.iter().map(|p| (off(p) - height).abs()).collect()).unwrap_or(0.0);
    let at = Stamp::from_nanos(base.nanos().saturating_add(height.round() as i64));
    ((first, at), scatter * crate::mapping::MAD_TO_DEVIATION)
}
