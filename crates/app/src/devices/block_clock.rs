//! Which frame belongs to an instant, as seen from the sound callback.
//!
//! The verdict on what was played is made elsewhere, with `practice::clock`, which is the place where stamps and frames
//! are mapped to each other. This is only for the sound of the player's own notes: the callback must place each of them
//! before it can ask anybody, without a lock and without memory of its own.
//!
//! Callbacks come in irregular steps; the frames they ask for do not. A callback comes late rather than early, for it is
//! woken by a clock and then waits for its turn, so the earliest ones show when blocks are due, and the line along the lower
//! edge of all (frame, instant) is the stream's clock (after S. Moon, P. Skelly and D. Towsley, "Estimation and removal of
//! clock skew from network delay measurements", 1999). Measured from that line a note can sound one block after its stamp,
//! always, to the frame: no callback that has yet to play it comes too late for that, however unevenly they come.
//!
//! A stream stumbles: a server on a busy machine skips a cycle, and from then on every block is due later. A line that is
//! left where it was would hold each note back by all that was lost since, so it moves as soon as no callback keeps to it.

use std::collections::VecDeque;
use std::time::Instant;

use sound::SampleRate;

/// The earliest callback of every quarter of a second is kept, ...
const GATHERED: f64 = 0.25;
/// ... so many of them tell how fast the stream runs: those of a minute; ...
const KEPT: usize = 240;
/// ... and the newest of them where the line lies: those of ten seconds.
const NEWEST: usize = 40;
/// Over a shorter stretch of seconds the nominal rate holds.
const RATE_FROM: f64 = 2.0;
/// No crystal is off by more than this share.
const CRYSTAL: f64 = 0.005;
/// A callback so many seconds late comes after a gap and not unevenly: the line starts anew.
const GAP: f64 = 0.1;
/// One so much earlier than the line belongs to another.
const STEP: f64 = 0.001;
/// One so many seconds later than the line does not keep to it. So many of these in a row, over so many seconds, show that
/// the stream has stumbled and goes on later.
const LATE: f64 = 0.0005;
const STUMBLED: u32 = 8;
const STUMBLED_FOR: f64 = 0.1;

/// The line, and what it is drawn from. Nothing is allocated once it is made.
#[derive(Clone, Debug)]
pub(super) struct BlockClock {
    /// Seconds for a frame, as the device says.
    nominal: f64,
    /// The same as it was measured last; holds while a new line is too short to show it.
    known: f64,
    /// From here seconds are counted.
    origin: Option<Instant>,
    line: Line,
    kept: VecDeque<Kept>,
    gathering: Option<Kept>,
    late: Option<Late>,
    /// Scratch for the lower edge.
    edge: Vec<Point>,
    /// The first frame of the block to come.
    next: u64,
}

/// A frame and the second of a callback that asked for it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Point {
    frame: f64,
    at: f64,
}

/// When each frame is due.
#[derive(Clone, Copy, Debug)]
struct Line {
    through: Point,
    /// Seconds for a frame, as measured.
    period: f64,
}

/// The earliest callback of some time, against the line.
#[derive(Clone, Copy, Debug)]
struct Kept {
    /// The first frame of that time.
    from: f64,
    earliest: Point,
    /// The longest block.
    frames: u32,
}

/// Callbacks in a row that did not keep to the line.
#[derive(Clone, Copy, Debug)]
struct Late {
    /// The frame of the first.
    from: f64,
    earliest: Point,
    count: u32,
}

impl BlockClock {
    pub(super) fn new(rate: SampleRate) -> BlockClock {
        let nominal = 1.0 / f64::from(rate.hertz());
        BlockClock {
            nominal,
            known: nominal,
            origin: None,
            line: Line { through: Point { frame: 0.0, at: 0.0 }, period: nominal },
            kept: VecDeque::with_capacity(KEPT + 1),
            gathering: None,
            late: None,
            edge: Vec::with_capacity(KEPT + 1),
            next: 0,
        }
    }

    /// A callback asks for `frames` frames from `frame` on.
    pub(super) fn begin_block(&mut self, frame: u64, frames: u32, at: Instant) {
        let origin = *self.origin.get_or_insert(at);
        let point = Point { frame: frame as f64, at: seconds_between(origin, at) };
        let error = self.line.lateness(point);
        // The line lies along the edge, so what is earlier than it by far belongs to another.
        if self.gathering.is_none() || frame != self.next || !(-STEP..=GAP).contains(&error) {
            self.start_at(point, frames);
        } else {
            // Earlier than any before: the line lies there, at once.
            self.line.through.at += error.min(0.0);
            self.gather(point, frames);
            self.follow_a_stumble(point, error);
        }
        self.next = frame + u64::from(frames);
    }

    /// The frame that belongs to an instant; before the first block, nothing.
    pub(super) fn frame_at(&self, at: Instant) -> Option<u64> {
        let frame = self.line.frame(seconds_between(self.origin?, at)).round();
        Some(if frame > 0.0 { frame as u64 } else { 0 })
    }

    /// The longest block of the last minute, in frames: blocks of some devices differ by a few.
    pub(super) fn block(&self) -> u32 {
        self.kept.iter().chain(&self.gathering).map(|kept| kept.frames).max().unwrap_or(0)
    }

    fn start_at(&mut self, point: Point, frames: u32) {
        self.line = Line { through: point, period: self.known };
        self.kept.clear();
        self.late = None;
        self.gathering = Some(Kept { from: point.frame, earliest: point, frames });
    }

    fn gather(&mut self, point: Point, frames: u32) {
        let line = self.line;
        let Some(gathering) = &mut self.gathering else { return };
        if line.lateness(point) < line.lateness(gathering.earliest) {
            gathering.earliest = point;
        }
        gathering.frames = gathering.frames.max(frames);
        if (point.frame - gathering.from) * self.nominal < GATHERED {
            return;
        }
        let full = std::mem::replace(gathering, Kept { from: point.frame, earliest: point, frames });
        if self.kept.len() == KEPT {
            self.kept.pop_front();
        }
        self.kept.push_back(full);
        self.draw();
    }

    /// Where no callback keeps to the line any more, it begins anew at the earliest of those that did not.
    fn follow_a_stumble(&mut self, point: Point, error: f64) {
        if error <= LATE {
            self.late = None;
            return;
        }
        let line = self.line;
        let late = self.late.get_or_insert(Late { from: point.frame, earliest: point, count: 0 });
        late.count += 1;
        if line.lateness(point) < line.lateness(late.earliest) {
            late.earliest = point;
        }
        if late.count >= STUMBLED && (point.frame - late.from) * self.nominal >= STUMBLED_FOR {
            let (earliest, frames) = (late.earliest, self.block());
            self.start_at(earliest, frames);
        }
    }

    /// Draws the line anew: along the lower edge, where the middle of all lies over it.
    fn draw(&mut self) {
        let ends = self.kept.front().zip(self.kept.back());
        let Some((first, last)) = ends.map(|(first, last)| (first.earliest, last.earliest)) else { return };
        let stretch = (last.frame - first.frame) * self.nominal;
        if stretch >= RATE_FROM {
            let (least, most) = (self.nominal * (1.0 - CRYSTAL), self.nominal * (1.0 + CRYSTAL));
            self.known = self.slope().clamp(least, most);
        }
        let period = self.known;
        let through = |at: Point| Line { through: at, period };
        let line = through(last);
        // Those of a stretch that is not full yet count as well, or the line could lie above them.
        let newest = self.kept.iter().rev().take(NEWEST);
        let earliest = newest.chain(&self.gathering).map(|kept| kept.earliest);
        if let Some(lowest) = earliest.min_by(|a, b| line.lateness(*a).total_cmp(&line.lateness(*b))) {
            self.line = through(lowest);
        }
    }

    /// Seconds for a frame along the piece of the lower edge that lies under the middle.
    fn slope(&mut self) -> f64 {
        self.edge.clear();
        for kept in &self.kept {
            let point = kept.earliest;
            while let [.., before, last] = self.edge[..]
                && slope(before, last) >= slope(before, point)
            {
                self.edge.pop();
            }
            self.edge.push(point);
        }
        let sum: f64 = self.kept.iter().map(|kept| kept.earliest.frame).sum();
        let middle = sum / self.kept.len() as f64;
        let piece = self.edge.windows(2).find(|pair| pair[1].frame >= middle);
        piece.map_or(self.nominal, |pair| slope(pair[0], pair[1]))
    }
}

impl Line {
    /// Seconds by which a callback came after its frame was due.
    fn lateness(&self, point: Point) -> f64 {
        point.at - (self.through.at + (point.frame - self.through.frame) * self.period)
    }

    fn frame(&self, at: f64) -> f64 {
        self.through.frame + (at - self.through.at) / self.period
    }
}

fn slope(from: Point, to: Point) -> f64 {
    (to.at - from.at) / (to.frame - from.frame)
}

fn seconds_between(from: Instant, to: Instant) -> f64 {
    if to >= from { (to - from).as_secs_f64() } else { -(from - to).as_secs_f64() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    /// Numbers that are the same in every run: 0 to 1.
    struct Chance(u64);

    impl Chance {
        fn next(&mut self) -> f64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1u64 << 53) as f64
        }
    }

    /// A device whose crystal is off, with callbacks that come late by what is asked of chance.
    struct Device {
        start: Instant,
        rate: f64,
        frames: u32,
        chance: Chance,
        late: fn(&mut Chance, u64) -> f64,
    }

    impl Device {
        fn new(ppm: f64, frames: u32, late: fn(&mut Chance, u64) -> f64) -> Device {
            let rate = 48_000.0 * (1.0 + ppm * 1e-6);
            Device { start: Instant::now() + Duration::from_secs(10), rate, frames, chance: Chance(7), late }
        }

        fn instant(&self, frame: f64) -> Instant {
            self.start + Duration::from_secs_f64(frame / self.rate)
        }

        /// The stamp of the callback for a block.
        fn callback(&mut self, block: u64) -> Instant {
            let late = (self.late)(&mut self.chance, block);
            self.instant((block * u64::from(self.frames)) as f64) + Duration::from_secs_f64(late)
        }
    }

    /// Frames from the stamps of 10,000 notes to where they sound, beyond the one block that there has to be; and how many
    /// came too late for that.
    fn waits(device: &mut Device) -> (Vec<f64>, usize) {
        let mut clock = BlockClock::new(SampleRate::DEFAULT);
        let (mut waits, mut late) = (Vec::new(), 0);
        let mut notes: Vec<f64> = Vec::new();
        let mut due = 0.0;
        for block in 0.. {
            let at = device.callback(block);
            let first = block * u64::from(device.frames);
            clock.begin_block(first, device.frames, at);
            // Played before this callback came.
            let now = (at - device.start).as_secs_f64() * device.rate;
            while due < now {
                notes.push(due);
                due += 400.0 + 4_000.0 * device.chance.next();
            }
            for note in notes.drain(..) {
                let frame = clock.frame_at(device.instant(note)).unwrap() + u64::from(clock.block());
                if note > 5.0 * device.rate {
                    late += usize::from(frame < first);
                    waits.push(frame.max(first) as f64 - note - f64::from(device.frames));
                }
            }
            if waits.len() >= 10_000 {
                return (waits, late);
            }
        }
        unreachable!("blocks go on until there are enough notes")
    }

    /// Anything up to 0.8 ms late, all alike.
    fn evenly(chance: &mut Chance, _: u64) -> f64 {
        0.0008 * chance.next()
    }

    /// 0.3 ms late on average, seldom much more, and 6 ms now and then.
    fn with_stalls(chance: &mut Chance, _: u64) -> f64 {
        let stall = if chance.next() < 0.001 { 0.006 } else { 0.0 };
        stall - 0.0003 * (1.0 - chance.next()).ln()
    }

    /// A server that takes four blocks in a row and then waits.
    fn in_fours(chance: &mut Chance, block: u64) -> f64 {
        ((3 - block % 4) * 128) as f64 / 48_000.0 + 0.0002 * chance.next()
    }

    /// Around a middle, to either side, with no sharp edge: 0.1 ms of standard deviation.
    fn about_a_middle(chance: &mut Chance, _: u64) -> f64 {
        0.002 + 0.0001 * (0..12).map(|_| chance.next() - 0.5).sum::<f64>()
    }

    #[test]
    fn of_ten_thousand_notes_each_waits_one_block_to_the_frame() {
        for frames in [64, 128, 256] {
            for ppm in [-200.0, 0.0, 200.0] {
                for (name, late) in
                    [("evenly", evenly as fn(&mut Chance, u64) -> f64), ("stalls", with_stalls)]
                {
                    let (waits, late) = waits(&mut Device::new(ppm, frames, late));
                    let off = waits.iter().filter(|wait| wait.abs() > 1.0).count();
                    assert!(off <= 10, "{off} of 10000 at {frames} frames, {ppm} ppm, late {name}");
                    assert_eq!(late, 0, "none comes too late for its frame");
                }
            }
        }
    }

    #[test]
    fn blocks_asked_for_in_bursts_do_not_matter() {
        let (waits, late) = waits(&mut Device::new(50.0, 128, in_fours));
        let off = waits.iter().filter(|wait| wait.abs() > 1.0).count();
        assert!(off <= 10 && late == 0, "{off} of 10000 off, {late} late");
    }

    #[test]
    fn callbacks_without_a_sharp_edge_cost_some_frames_but_nothing_is_late() {
        let (mut waits, late) = waits(&mut Device::new(50.0, 128, about_a_middle));
        waits.sort_by(f64::total_cmp);
        let (least, most) = (waits[0], waits[waits.len() - 1]);
        // A third of a millisecond.
        assert!(most - least < 16.0 && late == 0, "{least:.1} to {most:.1} frames, {late} late");
    }

    /// Where the clock lies against the truth so many seconds later, in frames, after each of thirty seconds of callbacks
    /// that are `late`.
    fn errors(later: f64, late: fn(&mut Chance, u64) -> f64) -> Vec<f64> {
        let (mut device, mut clock) = (Device::new(100.0, 480, late), BlockClock::new(SampleRate::DEFAULT));
        let mut errors = Vec::new();
        for block in 0..3_000u64 {
            let at = device.callback(block);
            clock.begin_block(block * 480, 480, at);
            if block % 100 == 99 {
                let seen = device.instant(480.0 * block as f64) + Duration::from_secs_f64(later);
                let frame = clock.frame_at(seen).unwrap();
                errors.push(frame as f64 - 480.0 * block as f64);
            }
        }
        errors
    }

    #[test]
    fn a_stream_that_stumbles_is_followed_to_its_new_place() {
        // From the tenth second on everything comes 20 ms later, from the twentieth on 5 ms sooner than that.
        let errors = errors(0.020, |chance, block| {
            let later = if block < 1_000 {
                0.0
            } else if block < 2_000 {
                0.020
            } else {
                0.015
            };
            later + 0.0003 * chance.next()
        });
        let near = |errors: &[f64], frames: f64| errors.iter().all(|error| (error - frames).abs() <= 2.0);
        assert!(near(&errors[2..10], 960.0), "{errors:?}");
        assert!(near(&errors[10..20], 0.0), "within a second: {errors:?}");
        assert!(near(&errors[20..], 240.0), "{errors:?}");
    }

    #[test]
    fn cycles_that_a_busy_server_skips_do_not_add_up() {
        // Every second all that comes is a cycle of 64 frames later than before.
        let errors =
            errors(0.0, |chance, block| (block / 100) as f64 * 64.0 / 48_000.0 + 0.0003 * chance.next());
        for (second, error) in errors.iter().enumerate() {
            assert!((error + 64.0 * second as f64).abs() <= 2.0, "second {second}: {error}");
        }
    }

    #[test]
    fn a_machine_that_slept_begins_anew() {
        let slept =
            |chance: &mut Chance, block| if block < 1_500 { 0.0 } else { 60.0 } + 0.0003 * chance.next();
        let errors = errors(60.0, slept);
        assert!(errors[15..].iter().all(|error| error.abs() <= 3.0), "{errors:?}");
    }

    #[test]
    fn the_longest_block_counts_where_they_differ() {
        let (start, mut clock) = (Instant::now(), BlockClock::new(SampleRate::DEFAULT));
        let mut frame = 0;
        for block in 0..100 {
            let frames = if block == 10 { 442 } else { 441 };
            clock.begin_block(frame, frames, start + Duration::from_secs_f64(frame as f64 / 48_000.0));
            frame += u64::from(frames);
        }
        assert_eq!(clock.block(), 442);
        assert_eq!(clock.frame_at(start + Duration::from_millis(1)), Some(48));
    }

    #[test]
    fn a_first_callback_that_came_late_is_corrected_by_the_second() {
        let (start, mut clock) = (Instant::now(), BlockClock::new(SampleRate::DEFAULT));
        clock.begin_block(0, 480, start + Duration::from_micros(900));
        clock.begin_block(480, 480, start + Duration::from_millis(10));
        assert_eq!(clock.frame_at(start + Duration::from_millis(12)), Some(576));
    }
}
