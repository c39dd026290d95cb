//! What happens inside the sound callback.
//!
//! # Contract
//!
//! [`Engine::render`] never allocates, frees, locks, waits, logs or panics. What it needs comes through rings and
//! atomics and lies ready; what it is done with stays in it until the engine is dropped, on another thread. A test in
//! `tests/` holds this.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU8, AtomicU32, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use rtrb::{Consumer, Producer, RingBuffer};
use sound::{Bus, EventKind, Gain, Instrument, SampleRate, Synth, VelocityCurve};

use super::block_clock::BlockClock;
use super::clock::ClockPair;
use super::line::{Cue, Receiver, When};

/// Seconds by which a note may sound later than the block it was played in is long: devices that ask for several blocks in a
/// row need some.
const HELD_BACK: f64 = 0.05;

/// Settings and counters that every thread may look at.
#[derive(Debug)]
pub(super) struct Controls {
    gains: [AtomicU32; 4],
    /// A place in [`VelocityCurve::ALL`].
    curve: AtomicU8,
    /// The instrument gave up and is to be replaced.
    broken: AtomicBool,
    missed: Arc<AtomicU64>,
}

/// Instruments on their way to the callback and, when they are silent, back, to be dropped here.
pub(super) struct InstrumentPort {
    give: Producer<Instrument>,
    back: Consumer<Instrument>,
    fading: Arc<AtomicBool>,
}

/// The callback's end of it.
struct InstrumentLine {
    come: Consumer<Instrument>,
    back: Producer<Instrument>,
    /// One that has come while the one before it still fades.
    next: Option<Instrument>,
}

/// What is known about a stream when it starts.
#[derive(Clone, Copy, Debug)]
pub(super) struct StreamStart {
    pub(super) rate: SampleRate,
    pub(super) generation: u32,
    /// Frames go on from here.
    pub(super) frame: u64,
    /// Whether there is a device.
    pub(super) heard: bool,
}

/// The synthesiser with all that leads to it, for the life of one stream.
pub(super) struct Engine {
    start: StreamStart,
    synth: Synth,
    lines: Vec<Line>,
    clock: Producer<ClockPair>,
    blocks: BlockClock,
    controls: Arc<Controls>,
    instruments: InstrumentLine,
    /// It is to become silent, whatever the volumes say.
    fading: Arc<AtomicBool>,
}

struct Line {
    receiver: Receiver,
    /// The frame of the last cue: what was sent later never sounds earlier.
    last: u64,
}

impl Controls {
    pub(super) fn new(gains: [Gain; 4]) -> Controls {
        Controls {
            gains: gains.map(|gain| AtomicU32::new(gain.factor().to_bits())),
            curve: AtomicU8::new(0),
            broken: AtomicBool::new(false),
            missed: Arc::default(),
        }
        .with_curve(VelocityCurve::Even)
    }

    pub(super) fn with_curve(self, curve: VelocityCurve) -> Controls {
        self.set_curve(curve);
        self
    }

    pub(super) fn set_curve(&self, curve: VelocityCurve) {
        let place = VelocityCurve::ALL.iter().position(|other| *other == curve);
        self.curve.store(place.and_then(|at| u8::try_from(at).ok()).unwrap_or(0), Ordering::Relaxed);
    }

    fn curve(&self) -> VelocityCurve {
        let place = usize::from(self.curve.load(Ordering::Relaxed));
        VelocityCurve::ALL.get(place).copied().unwrap_or_default()
    }

    /// Whether the instrument gave up since this was last asked.
    pub(super) fn take_broken(&self) -> bool {
        self.broken.swap(false, Ordering::Relaxed)
    }

    pub(super) fn set_gain(&self, bus: Bus, gain: Gain) {
        self.gains[bus.index()].store(gain.factor().to_bits(), Ordering::Relaxed);
    }

    pub(super) fn gain(&self, bus: Bus) -> Gain {
        Gain::from_factor(f32::from_bits(self.gains[bus.index()].load(Ordering::Relaxed)))
    }

    /// Counts events that found no room, in a line or in the synthesiser.
    pub(super) fn missed(&self) -> &Arc<AtomicU64> {
        &self.missed
    }
}

impl InstrumentPort {
    /// Hands one over; it comes into play with the next block. Given back where none are taken up any more.
    pub(super) fn give(&mut self, instrument: Instrument) -> Result<(), Instrument> {
        self.give.push(instrument).map_err(|rtrb::PushError::Full(instrument)| instrument)
    }

    /// The engine becomes silent within some milliseconds and stays so.
    pub(super) fn fade_out(&self) {
        self.fading.store(true, Ordering::Relaxed);
    }

    /// Drops those that have come back.
    pub(super) fn clear(&mut self) {
        while self.back.pop().is_ok() {}
    }
}

impl InstrumentLine {
    /// Takes up what has come, and gives back what is silent. Neither waits nor frees.
    fn exchange(&mut self, synth: &mut Synth) {
        if !self.back.is_full()
            && let Some(spent) = synth.take_spent()
        {
            // There is room: nobody else fills this ring.
            let _ = self.back.push(spent);
        }
        if let Some(next) = self.next.take().or_else(|| self.come.pop().ok()) {
            self.next = synth.replace(next);
        }
    }
}

impl Engine {
    /// An engine around an instrument of the stream's rate, and the way to exchange it.
    pub(super) fn new(
        start: StreamStart,
        instrument: Instrument,
        lines: Vec<Receiver>,
        clock: Producer<ClockPair>,
        controls: Arc<Controls>,
    ) -> (Engine, InstrumentPort) {
        let ((give, come), (returned, back)) = (RingBuffer::new(4), RingBuffer::new(4));
        let fading = Arc::<AtomicBool>::default();
        let engine = Engine {
            start,
            synth: Synth::with_instrument(start.rate, start.frame, instrument),
            lines: lines.into_iter().map(|receiver| Line { receiver, last: 0 }).collect(),
            clock,
            blocks: BlockClock::new(start.rate),
            controls,
            instruments: InstrumentLine { come, back: returned, next: None },
            fading: Arc::clone(&fading),
        };
        (engine, InstrumentPort { give, back, fading })
    }

    /// What its stream began with.
    #[cfg(test)]
    pub(super) fn start(&self) -> StreamStart {
        self.start
    }

    /// Renders a block that the device asked for at `at`, to leave it `delay` later.
    pub(super) fn render(&mut self, out: &mut [f32], channels: usize, at: Instant, delay: Duration) {
        let frames = u32::try_from(out.len().checked_div(channels).unwrap_or(0)).unwrap_or(u32::MAX);
        self.begin_block(frames, at, delay);
        self.synth.render(out, channels);
    }

    /// Lets frames pass without a device.
    pub(super) fn pass(&mut self, frames: u32, at: Instant) {
        self.begin_block(frames, at, Duration::ZERO);
        self.synth.skip(u64::from(frames));
    }

    fn begin_block(&mut self, frames: u32, at: Instant, delay: Duration) {
        let StreamStart { rate, generation, heard, .. } = self.start;
        let frame = self.synth.frame();
        self.blocks.begin_block(frame, frames, at);
        // A session that does not read gets no more pairs; it will find the newer ones after the old.
        let _ = self.clock.push(ClockPair { generation, frame, frames, at, delay, rate, heard });
        for bus in Bus::ALL {
            self.synth.set_gain(bus, self.controls.gain(bus));
        }
        if self.fading.load(Ordering::Relaxed) {
            self.synth.set_gain(Bus::Master, Gain::SILENT);
        }
        self.synth.set_curve(self.controls.curve());
        self.instruments.exchange(&mut self.synth);
        if self.synth.is_broken() {
            self.controls.broken.store(true, Ordering::Relaxed);
        }
        self.take_cues(u64::from(frames) + rate.frames(HELD_BACK));
    }

    /// `most` frames from now is the latest that something just played may sound.
    fn take_cues(&mut self, most: u64) {
        for line in &mut self.lines {
            while let Some(cue) = line.receiver.next() {
                let event = line.place(cue, &self.blocks, self.synth.frame(), most);
                if self.synth.schedule(event).is_err() {
                    self.controls.missed.fetch_add(1, Ordering::Relaxed);
                }
            }
            for source in line.receiver.take_all_off() {
                // Makes its own room.
                let _ = self.synth.schedule_in(0, EventKind::Forget(source));
                let _ = self.synth.schedule_in(0, EventKind::AllOff(source));
            }
        }
    }
}

impl Line {
    /// What was played sounds one block after its stamp: that is the earliest that is the same for every note.
    fn place(&mut self, cue: Cue, blocks: &BlockClock, now: u64, most: u64) -> sound::Event {
        let frame = match cue.when {
            When::Frame(frame) => frame,
            When::Played(at) => {
                let played = blocks.frame_at(at).unwrap_or(now) + u64::from(blocks.block());
                // A stamp from a clock that leaps must not hold a note back.
                self.last = played.clamp(now, now + most).max(self.last);
                self.last
            }
        };
        sound::Event { frame, kind: cue.kind }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::clock::clock_feed;
    use crate::devices::inbox::{InputKind, inbox};
    use crate::devices::line::{SoundLine, sound_line};
    use crate::devices::screen_keys::Player;
    use sound::{ClickKind, Event, Key, Source, Velocity};

    const RATE: f64 = 48_000.0;
    const FRAMES: usize = 128;

    struct Bench {
        engine: Engine,
        port: InstrumentPort,
        controls: Arc<Controls>,
        line: SoundLine,
        start: Instant,
        out: Vec<f32>,
    }

    impl Bench {
        fn new() -> Bench {
            let (line, plug) = sound_line(&Arc::default());
            let (_, clock) = clock_feed();
            let start = StreamStart { rate: SampleRate::DEFAULT, generation: 1, frame: 0, heard: true };
            let controls = Arc::new(Controls::new([Gain::UNITY; 4]));
            let piano = Instrument::piano(start.rate);
            let (lines, clock) = (vec![plug.connect()], clock.connect());
            let (engine, port) = Engine::new(start, piano, lines, clock, Arc::clone(&controls));
            Bench { engine, port, controls, line, start: Instant::now(), out: Vec::new() }
        }

        fn at(&self, frame: f64) -> Instant {
            self.start + Duration::from_secs_f64(frame / RATE)
        }

        fn block(&mut self) {
            self.block_late(0.0);
        }

        fn block_late(&mut self, frames: f64) {
            let at = self.at(self.engine.synth.frame() as f64 + frames);
            let mut block = [0.0; FRAMES];
            self.engine.render(&mut block, 1, at, Duration::ZERO);
            self.out.extend(block);
        }
    }

    fn on(midi: u8) -> EventKind {
        let key = Key::new(midi).unwrap();
        EventKind::NoteOn { key, velocity: Velocity::clamped(127), source: Source::FIRST }
    }

    #[test]
    fn a_played_note_sounds_one_block_after_its_stamp_to_the_frame() {
        for played in [0usize, 1, 50, 127, 128, 200] {
            let mut bench = Bench::new();
            for _ in 0..=played / FRAMES {
                bench.block();
            }
            let at = bench.at(played as f64);
            bench.line.play(at, on(72));
            (0..4).for_each(|_| bench.block());
            let first = bench.out.iter().position(|sample| *sample != 0.0);
            // The smooth beginning starts from zero: the first sample that is not comes one frame later.
            assert_eq!(first, Some(played + FRAMES + 1), "played at frame {played}");
        }
    }

    #[test]
    fn uneven_callbacks_do_not_move_what_was_played() {
        let mut bench = Bench::new();
        let mut lateness = (0..).map(|block: u64| (block.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 32) % 40);
        let mut late = move || lateness.next().map_or(0.0, |late| late as f64);
        // Every note is over before the next, and each falls elsewhere in its block.
        let notes: Vec<usize> = (0..60).map(|note| 48_000 + 72_037 * note).collect();
        for note in &notes {
            let mut callback = bench.engine.synth.frame() as f64 + late();
            while callback < *note as f64 {
                bench.block_late(callback - bench.engine.synth.frame() as f64);
                callback = bench.engine.synth.frame() as f64 + late();
            }
            let at = bench.at(*note as f64);
            bench.line.play(at, on(108));
            bench.block_late(callback - bench.engine.synth.frame() as f64);
        }
        (0..4).for_each(|_| bench.block());
        for note in notes {
            let due = note + FRAMES;
            let first = (due - 200..).find(|frame| bench.out[*frame] != 0.0);
            assert!(first.is_some_and(|first| first.abs_diff(due + 1) <= 1), "{first:?}, due after {due}");
        }
    }

    #[test]
    fn what_was_played_later_never_sounds_earlier() {
        let mut bench = Bench::new();
        bench.block();
        let (early, late) = (bench.at(20.0), bench.at(100.0));
        bench.line.play(late, on(60));
        bench.line.play(early, EventKind::NoteOff { key: Key::new(60).unwrap(), source: Source::FIRST });
        (0..800).for_each(|_| bench.block());
        assert_eq!(bench.engine.synth.sounding(), 0, "the key came up after it went down");
    }

    /// Notices every allocation of the thread that runs inside `assert_no_alloc`.
    #[global_allocator]
    static ALLOCATOR: assert_no_alloc::AllocDisabler = assert_no_alloc::AllocDisabler;

    #[test]
    fn a_key_from_the_midi_thread_to_the_sample_allocates_nothing() {
        let (mut bench, (mut inputs, mut inbox)) = (Bench::new(), inbox(1));
        let line = std::mem::replace(&mut bench.line, sound_line(&Arc::default()).0);
        let mut player = Player::new(line, inputs.pop().unwrap());
        let (mut out, start) = ([0.0; FRAMES], bench.start);
        let before = assert_no_alloc::violation_count();
        assert_no_alloc::assert_no_alloc(|| {
            for round in 0..2_000u32 {
                let at = start + Duration::from_secs_f64(f64::from(round) * FRAMES as f64 / RATE);
                let key = Key::new(21 + (round % 88) as u8).unwrap();
                player.play(at, InputKind::KeyDown { key, velocity: Velocity::clamped(99) });
                if round % 3 == 0 {
                    player.play(at, InputKind::KeyUp { key });
                }
                bench.engine.render(&mut out, 1, at, Duration::ZERO);
            }
            player.all_up(start + Duration::from_secs(6));
            bench.engine.render(&mut out, 1, start + Duration::from_secs(6), Duration::ZERO);
        });
        assert_eq!(assert_no_alloc::violation_count() - before, 0);
        assert_eq!(inbox.next_input().map(|input| input.at), Some(start), "the session got it too");
    }

    #[test]
    fn an_instrument_is_exchanged_without_allocating_and_the_old_one_comes_back() {
        let mut bench = Bench::new();
        bench.line.send(Event { frame: 0, kind: on(60) });
        bench.block();
        for _ in 0..2 {
            assert!(bench.port.give(Instrument::piano(SampleRate::DEFAULT)).is_ok());
        }
        let (mut out, start) = ([0.0; FRAMES], bench.start);
        let before = assert_no_alloc::violation_count();
        assert_no_alloc::assert_no_alloc(|| {
            for round in 1..400u32 {
                let at = start + Duration::from_secs_f64(f64::from(round) * FRAMES as f64 / RATE);
                bench.engine.render(&mut out, 1, at, Duration::ZERO);
            }
        });
        assert_eq!(assert_no_alloc::violation_count() - before, 0);
        assert_eq!(bench.port.back.slots(), 2, "both old ones are here");
        bench.port.clear();
        assert_eq!(bench.engine.synth.sounding(), 0, "the note went with the old one");
    }

    fn loudest(samples: &[f32]) -> f32 {
        samples.iter().fold(0.0, |loudest, sample| loudest.max(sample.abs()))
    }

    #[test]
    fn each_volume_moves_what_belongs_to_it_and_nothing_else() {
        let part = {
            let (key, velocity) = (Key::new(60).unwrap(), Velocity::clamped(90));
            EventKind::NoteOn { key, velocity, source: Source::Part }
        };
        let heard = |silenced: Bus, kind: EventKind| {
            let mut bench = Bench::new();
            bench.controls.set_gain(silenced, Gain::SILENT);
            // Volumes take some milliseconds.
            (0..10).for_each(|_| bench.block());
            bench.line.send(Event { frame: 0, kind });
            (0..40).for_each(|_| bench.block());
            loudest(&bench.out) > 0.0
        };
        let click = EventKind::Click(ClickKind::Beat);
        for (silenced, expected) in [
            (Bus::Part, [false, true, true]),
            (Bus::Own, [true, false, true]),
            (Bus::Click, [true, true, false]),
            (Bus::Master, [false, false, false]),
        ] {
            let found = [part, on(60), click].map(|kind| heard(silenced, kind));
            assert_eq!(found, expected, "{silenced:?} silenced: part, own, click");
        }
    }

    #[test]
    fn the_touch_that_is_chosen_is_the_one_that_sounds() {
        let heard = |curve| {
            let mut bench = Bench::new();
            bench.controls.set_curve(curve);
            let (key, velocity) = (Key::new(60).unwrap(), Velocity::clamped(50));
            bench
                .line
                .send(Event { frame: 0, kind: EventKind::NoteOn { key, velocity, source: Source::FIRST } });
            (0..40).for_each(|_| bench.block());
            loudest(&bench.out)
        };
        let [soft, even, firm] = [VelocityCurve::Soft, VelocityCurve::Even, VelocityCurve::Firm].map(heard);
        assert!(soft > 1.2 * even && even > 1.2 * firm, "{soft} {even} {firm}");
    }

    #[test]
    fn a_stream_that_is_to_be_closed_fades_and_stays_silent() {
        let mut bench = Bench::new();
        bench.line.send(Event { frame: 0, kind: on(48) });
        (0..100).for_each(|_| bench.block());
        let steps = |part: &[f32]| part.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
        let usual = steps(&bench.out[6_400..]);
        bench.port.fade_out();
        let from = bench.out.len();
        (0..100).for_each(|_| bench.block());
        assert!(steps(&bench.out[from - 1..]) <= 1.1 * usual, "it ends with a snap");
        // The volume needs 20 ms.
        assert!(bench.out[from + 960 + FRAMES..].iter().all(|sample| *sample == 0.0));
    }

    #[test]
    fn an_ending_that_found_no_room_ends_everything_of_its_source() {
        let mut bench = Bench::new();
        bench.line.send(Event { frame: 0, kind: on(60) });
        bench.block();
        // More endings of other keys than a line holds.
        let key = Key::new(61).unwrap();
        let off = Event { frame: 0, kind: EventKind::NoteOff { key, source: Source::FIRST } };
        (0..5_000).for_each(|_| bench.line.send(off));
        (0..800).for_each(|_| bench.block());
        assert_eq!(bench.engine.synth.sounding(), 0);
    }

    #[test]
    fn all_off_ends_what_sounds_and_what_waits() {
        let mut bench = Bench::new();
        bench.line.send(Event { frame: 0, kind: on(60) });
        bench.line.send(Event { frame: 48_000, kind: on(64) });
        bench.block();
        assert_eq!(bench.engine.synth.sounding(), 1);
        bench.line.all_off(Source::FIRST);
        (0..800).for_each(|_| bench.block());
        assert_eq!(bench.engine.synth.sounding(), 0);
    }
}
