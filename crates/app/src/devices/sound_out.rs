//! Keeps sound going: opens a stream, watches over it, and stands in for it while there is none.

use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use sound::SampleRate;

use super::Setup;
use super::clock::ClockPlug;
use super::engine::{Controls, Engine, StreamStart};
use super::line::Plug;
use super::status::StatusBoard;
use super::stream::{self, Report, Trouble};

/// How often the stand-in lets frames pass.
const STAND_IN_STEP: Duration = Duration::from_millis(5);
/// How often a running stream is looked at.
const LOOK: Duration = Duration::from_millis(100);
/// A stream that has not called back for this long is lost.
const STALLED: Duration = Duration::from_millis(1_000);
/// Waiting times between attempts to open a device: from the first to the last.
const RETRY: [Duration; 2] = [Duration::from_millis(500), Duration::from_secs(8)];
/// Device threads that may hang on dead devices before no more are tried.
const HANGING: u32 = 4;

/// Only hanging up ends the thread, so far.
pub(super) enum Order {}

/// What leads to every stream, one after the other.
pub(super) struct Wiring {
    pub(super) plugs: Vec<Plug>,
    pub(super) clock: ClockPlug,
    pub(super) controls: Arc<Controls>,
}

/// Starts the supervisor; it ends when the sender is dropped.
pub(super) fn start(wiring: Wiring, setup: &Setup, board: &Arc<StatusBoard>) -> Sender<Order> {
    let (sender, orders) = mpsc::channel();
    let mut supervisor = Supervisor {
        shop: Arc::new(EngineShop::new(wiring)),
        buffer: setup.buffer,
        board: Arc::clone(board),
        orders,
        hanging: Arc::new(AtomicU32::new(0)),
    };
    let started = thread::Builder::new().name("sound".to_owned()).spawn(move || supervisor.run());
    if started.is_err() {
        board.change(|status| {
            status.sound_message = Some("No sound: the system allows no more threads.".to_owned());
        });
    }
    sender
}

/// The outputs there are, by name; empty where there are none.
pub fn sound_output_names() -> Vec<String> {
    stream::output_names()
}

struct Supervisor {
    shop: Arc<EngineShop>,
    buffer: u32,
    board: Arc<StatusBoard>,
    orders: Receiver<Order>,
    /// Device threads that have not ended.
    hanging: Arc<AtomicU32>,
}

/// The program is closing.
struct Closing;

/// A stream that is being opened or runs. Dropping it ends it.
struct Attempt {
    trouble: Arc<Trouble>,
    reports: Receiver<Report>,
    _close: Sender<()>,
    generation: u32,
}

impl Supervisor {
    fn run(&mut self) {
        let mut wait = Duration::ZERO;
        while let Ok(ran) = self.stand_in_then_play(wait) {
            wait = if ran { RETRY[0] } else { (wait * 2).clamp(RETRY[0], RETRY[1]) };
        }
        self.board.change(|status| status.sound = None);
    }

    /// Stands in for a device for a while, then tries one, and watches it until it is lost. True if it ran.
    fn stand_in_then_play(&mut self, wait: Duration) -> Result<bool, Closing> {
        let mut stand_in = StandIn::new(&self.shop);
        let until = Instant::now() + wait;
        while Instant::now() < until || self.hanging.load(Ordering::Relaxed) >= HANGING {
            stand_in.pass();
            self.rest(STAND_IN_STEP)?;
        }
        let attempt = self.attempt();
        let opened = self.wait_for(&attempt, &mut stand_in)?;
        match opened {
            Report::Running(sound) => {
                drop(stand_in);
                self.board.change(|status| (status.sound, status.sound_message) = (Some(sound), None));
                self.watch(&attempt)?;
                self.say("The sound device was lost; it will be used again when it is back.");
                Ok(true)
            }
            Report::Failed(reason) => {
                self.shop.revoke(attempt.generation);
                self.say(&format!("No sound: {}. All else works.", reason.trim_end_matches('.')));
                Ok(false)
            }
        }
    }

    /// A device that takes long to open is waited for, while the stand-in counts; one that takes too long has failed.
    fn wait_for(&self, attempt: &Attempt, stand_in: &mut StandIn) -> Result<Report, Closing> {
        let until = Instant::now() + Duration::from_secs(10);
        loop {
            match attempt.reports.try_recv() {
                Ok(report) => return Ok(report),
                Err(mpsc::TryRecvError::Disconnected) => {
                    return Ok(Report::Failed("the device failed".to_owned()));
                }
                Err(mpsc::TryRecvError::Empty) if Instant::now() > until => {
                    return Ok(Report::Failed("the device does not answer".to_owned()));
                }
                Err(mpsc::TryRecvError::Empty) => {}
            }
            stand_in.pass();
            self.rest(STAND_IN_STEP)?;
        }
    }

    /// Returns when the stream is lost, in whichever way: it says so, it fails without end, or it just stops.
    fn watch(&self, attempt: &Attempt) -> Result<(), Closing> {
        let (mut blocks, mut progress) = (self.shop.controls().blocks(), Instant::now());
        let mut looks = 0u32;
        while !attempt.trouble.is_fatal() {
            self.rest(LOOK)?;
            looks += 1;
            if looks.is_multiple_of(10) {
                attempt.trouble.forgive();
            }
            let now = self.shop.controls().blocks();
            if now != blocks {
                (blocks, progress) = (now, Instant::now());
            } else if progress.elapsed() > STALLED {
                break;
            }
        }
        self.board.change(|status| status.sound = None);
        Ok(())
    }

    /// Starts a thread that opens the default device with a new engine.
    fn attempt(&self) -> Attempt {
        let (report, reports) = mpsc::channel();
        let (close, closed) = mpsc::channel();
        let (trouble, shop, hanging) =
            (Arc::<Trouble>::default(), Arc::clone(&self.shop), Arc::clone(&self.hanging));
        let generation = shop.next_generation();
        let attempt = Attempt { trouble: Arc::clone(&trouble), reports, _close: close, generation };
        let buffer = self.buffer;
        hanging.fetch_add(1, Ordering::Relaxed);
        let counted = Arc::clone(&hanging);
        let started = thread::Builder::new().name("sound device".to_owned()).spawn(move || {
            let engine = |rate| shop.engine(rate, generation, true);
            stream::run(buffer, engine, &trouble, &report, &closed);
            counted.fetch_sub(1, Ordering::Relaxed);
        });
        if started.is_err() {
            hanging.fetch_sub(1, Ordering::Relaxed);
        }
        attempt
    }

    fn rest(&self, time: Duration) -> Result<(), Closing> {
        match self.orders.recv_timeout(time) {
            Err(RecvTimeoutError::Disconnected) => Err(Closing),
            Err(RecvTimeoutError::Timeout) => Ok(()),
            Ok(order) => match order {},
        }
    }

    fn say(&self, message: &str) {
        self.board.change(|status| status.sound_message = Some(message.to_owned()));
    }
}

/// Makes engines, one for each stream, so that frames go on counting from one to the next.
struct EngineShop {
    wiring: Wiring,
    generation: AtomicU32,
    current: Mutex<Current>,
    /// Where the last stream began, to go on from.
    origin: AtomicU64,
}

/// The stream whose engine may be made.
struct Current {
    generation: u32,
    began: Instant,
    rate: SampleRate,
}

impl EngineShop {
    fn new(wiring: Wiring) -> EngineShop {
        let current = Current { generation: 0, began: Instant::now(), rate: SampleRate::DEFAULT };
        EngineShop {
            wiring,
            generation: AtomicU32::new(0),
            current: Mutex::new(current),
            origin: AtomicU64::new(0),
        }
    }

    fn controls(&self) -> &Controls {
        &self.wiring.controls
    }

    /// The number of the next stream; from now on no engine is made for any other.
    fn next_generation(&self) -> u32 {
        let generation = self.generation.fetch_add(1, Ordering::Relaxed) + 1;
        self.lock().generation = generation;
        generation
    }

    /// A stream that was given up gets no engine any more, should its device answer after all.
    fn revoke(&self, generation: u32) {
        let mut current = self.lock();
        if current.generation == generation {
            current.generation = 0;
        }
    }

    /// An engine with new rings, which every sender takes up from now on.
    fn engine(&self, rate: SampleRate, generation: u32, heard: bool) -> Option<Engine> {
        let mut current = self.lock();
        if current.generation != generation {
            return None;
        }
        let gone = current.rate.frames(current.began.elapsed().as_secs_f64());
        let frame = self.origin.fetch_add(gone, Ordering::Relaxed) + gone;
        (current.began, current.rate) = (Instant::now(), rate);
        let lines = self.wiring.plugs.iter().map(Plug::connect).collect();
        let start = StreamStart { rate, generation, frame, heard };
        Some(Engine::new(start, lines, self.wiring.clock.connect(), Arc::clone(&self.wiring.controls)))
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Current> {
        self.current.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A monotonic clock that counts frames where no device does.
struct StandIn {
    engine: Option<Engine>,
    began: Instant,
    passed: u64,
}

impl StandIn {
    fn new(shop: &EngineShop) -> StandIn {
        let generation = shop.next_generation();
        let engine = shop.engine(SampleRate::DEFAULT, generation, false);
        StandIn { engine, began: Instant::now(), passed: 0 }
    }

    /// Lets the frames pass that are due.
    fn pass(&mut self) {
        let now = Instant::now();
        let due = SampleRate::DEFAULT.frames((now - self.began).as_secs_f64());
        let frames = u32::try_from(due - self.passed).unwrap_or(u32::MAX);
        if let Some(engine) = &mut self.engine {
            engine.pass(frames, now);
        }
        self.passed += u64::from(frames);
    }
}
