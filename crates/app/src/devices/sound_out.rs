//! Keeps sound going: opens a stream, watches over it, and stands in for it while there is none.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender, TryRecvError};
use std::thread;
use std::time::{Duration, Instant};

use rtrb::Producer;
use sound::{Instrument, SampleRate, SoundBank};

use super::Setup;
use super::clock::ClockPlug;
use super::engine::{Controls, Engine, InstrumentPort, StreamStart};
use super::line::Plug;
use super::status::{SoundStatus, StatusBoard};
use super::stream::{self, Pulse, Report};

/// How often the stand-in lets frames pass.
const STAND_IN_STEP: Duration = Duration::from_millis(5);
/// How often a running stream is looked at.
const LOOK: Duration = Duration::from_millis(100);
const LOOKS_A_SECOND: u32 = 10;
/// How long a device may take until its first block.
const PATIENCE: Duration = Duration::from_secs(10);
/// A stream that has not called back for this long is lost.
const STALLED: Duration = Duration::from_millis(1_000);
/// Waiting times between attempts to open a device: from the first to the last. The first is also the time after a loss.
const RETRY: [Duration; 2] = [Duration::from_millis(1_500), Duration::from_secs(8)];
/// Device threads that may hang on dead devices before no more are tried.
const HANGING: u32 = 4;

/// What is asked of the thread; hanging up ends it.
pub(super) enum Order {
    /// Plays a bank from now on, or the built-in piano.
    Play(Option<SoundBank>),
}

/// What leads to every stream, one after the other.
pub(super) struct Wiring {
    pub(super) plugs: Vec<Plug>,
    pub(super) clock: ClockPlug,
    pub(super) controls: Arc<Controls>,
}

/// Starts the supervisor; it ends when the sender is dropped. `on_loss` is called whenever a device is lost, well before
/// another is opened.
pub(super) fn start(
    wiring: Wiring,
    setup: &Setup,
    board: &Arc<StatusBoard>,
    on_loss: impl Fn() + Send + 'static,
) -> Sender<Order> {
    let (sender, orders) = mpsc::channel();
    let mut supervisor = Supervisor {
        shop: EngineShop::new(wiring),
        buffer: setup.buffer,
        board: Arc::clone(board),
        orders,
        on_loss: Box::new(on_loss),
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

struct Supervisor {
    shop: EngineShop,
    buffer: u32,
    board: Arc<StatusBoard>,
    orders: Receiver<Order>,
    on_loss: Box<dyn Fn() + Send>,
    /// Device threads that have not ended.
    hanging: Arc<AtomicU32>,
}

/// The program is closing.
struct Closing;

/// A stream that is being opened or runs. Dropping it ends it.
struct Attempt {
    pulse: Arc<Pulse>,
    reports: Receiver<Report>,
    _close: Sender<()>,
}

impl Supervisor {
    fn run(&mut self) {
        let mut rest = Duration::ZERO;
        while self.stand_in_then_play(rest).is_ok() {
            rest = RETRY[0];
        }
        self.board.change(|status| status.sound = None);
    }

    /// Stands in for a device until there is one, then watches that one until it is lost.
    fn stand_in_then_play(&mut self, rest: Duration) -> Result<(), Closing> {
        let mut stand_in = StandIn::new(&mut self.shop);
        self.stand_in_for(rest, &mut stand_in)?;
        let mut wait = RETRY[0];
        let (attempt, status, mut engines) = loop {
            match self.open(&mut stand_in)? {
                Ok(opened) => break opened,
                Err(reason) => {
                    self.say(&format!("No sound: {}. All else works.", reason.trim_end_matches('.')))
                }
            }
            self.stand_in_for(wait, &mut stand_in)?;
            wait = (wait * 2).min(RETRY[1]);
        };
        drop(stand_in);
        if engines.push(self.shop.engine(status.rate, true)).is_ok() {
            self.board.change(|board| (board.sound, board.sound_message) = (Some(status), None));
            self.watch(&attempt.pulse)?;
        }
        self.board.change(|status| status.sound = None);
        self.say("The sound device was lost; it will be used again when it is back.");
        (self.on_loss)();
        Ok(())
    }

    fn stand_in_for(&mut self, time: Duration, stand_in: &mut StandIn) -> Result<(), Closing> {
        let until = Instant::now() + time;
        while Instant::now() < until || self.hanging.load(Ordering::Relaxed) >= HANGING {
            self.rest(STAND_IN_STEP)?;
            stand_in.pass();
        }
        Ok(())
    }

    /// Opens the device and waits until it asks for its first block. The stand-in goes on counting meanwhile, for a
    /// device may take long, or for ever.
    fn open(&mut self, stand_in: &mut StandIn) -> Result<Result<Opened, String>, Closing> {
        let attempt = self.attempt();
        let until = Instant::now() + PATIENCE;
        let mut opened = None;
        while Instant::now() < until {
            match attempt.reports.try_recv() {
                Ok(Report::Opened(status, engines)) => opened = Some((status, engines)),
                Ok(Report::Failed(reason)) => return Ok(Err(reason)),
                Err(TryRecvError::Disconnected) if opened.is_none() => {
                    return Ok(Err("the sound device failed while it was opened".to_owned()));
                }
                Err(_) => {}
            }
            if attempt.pulse.blocks() > 0
                && let Some((status, engines)) = opened.take()
            {
                return Ok(Ok((attempt, status, engines)));
            }
            self.rest(STAND_IN_STEP)?;
            stand_in.pass();
        }
        Ok(Err("the sound device does not answer".to_owned()))
    }

    /// Returns when the stream is lost, in whichever way: it says so, it fails without end, or it just stops.
    fn watch(&mut self, pulse: &Pulse) -> Result<(), Closing> {
        let (mut blocks, mut progress) = (pulse.blocks(), Instant::now());
        for look in 1u32.. {
            self.rest(LOOK)?;
            if pulse.is_fatal() || progress.elapsed() > STALLED {
                break;
            }
            if look.is_multiple_of(LOOKS_A_SECOND) {
                pulse.forgive();
            }
            if blocks != pulse.blocks() {
                (blocks, progress) = (pulse.blocks(), Instant::now());
            }
        }
        Ok(())
    }

    /// Starts a thread that opens the default device.
    fn attempt(&self) -> Attempt {
        let (report, reports) = mpsc::channel();
        let (close, closed) = mpsc::channel();
        let pulse = Arc::<Pulse>::default();
        let (beats, hanging, buffer) = (Arc::clone(&pulse), Arc::clone(&self.hanging), self.buffer);
        self.hanging.fetch_add(1, Ordering::Relaxed);
        let started = thread::Builder::new().name("sound device".to_owned()).spawn(move || {
            stream::run(buffer, &beats, &report, &closed);
            hanging.fetch_sub(1, Ordering::Relaxed);
        });
        if started.is_err() {
            self.hanging.fetch_sub(1, Ordering::Relaxed);
        }
        Attempt { pulse, reports, _close: close }
    }

    /// Waits, and meanwhile sees to the instruments.
    fn rest(&mut self, time: Duration) -> Result<(), Closing> {
        self.shop.clear();
        if self.shop.wiring.controls.take_broken() {
            self.play(None);
            let told = "The bank turned out to be damaged while it played; the built-in piano plays instead.";
            self.board.change(|status| status.instrument_message = Some(told.to_owned()));
        }
        match self.orders.recv_timeout(time) {
            Err(RecvTimeoutError::Disconnected) => return Err(Closing),
            Err(RecvTimeoutError::Timeout) => {}
            Ok(Order::Play(bank)) => self.play(bank),
        }
        Ok(())
    }

    fn play(&mut self, bank: Option<SoundBank>) {
        let name = bank.as_ref().map(|bank| bank.name().to_owned());
        let told = self.shop.play(bank).err();
        self.board.change(|status| {
            if told.is_none() {
                status.instrument = name;
            }
            status.instrument_message = told;
        });
    }

    fn say(&self, message: &str) {
        self.board.change(|status| status.sound_message = Some(message.to_owned()));
    }
}

/// A stream that asks for blocks, and where it takes its engine.
type Opened = (Attempt, SoundStatus, Producer<Engine>);

/// Makes engines, one for each stream, so that frames go on counting from one to the next.
struct EngineShop {
    wiring: Wiring,
    /// What every engine plays; nothing is the built-in piano.
    bank: Option<SoundBank>,
    /// To the engine that was made last.
    port: Option<InstrumentPort>,
    generation: u32,
    /// When the last stream began, with which frame and at what rate.
    last: (Instant, u64, SampleRate),
}

impl EngineShop {
    fn new(wiring: Wiring) -> EngineShop {
        EngineShop {
            wiring,
            bank: None,
            port: None,
            generation: 0,
            last: (Instant::now(), 0, SampleRate::DEFAULT),
        }
    }

    /// An engine with new rings, which every sender takes up from now on.
    fn engine(&mut self, rate: SampleRate, heard: bool) -> Engine {
        let (began, first, last_rate) = self.last;
        let frame = first + last_rate.frames(began.elapsed().as_secs_f64());
        self.last = (Instant::now(), frame, rate);
        self.generation += 1;
        let lines = self.wiring.plugs.iter().map(Plug::connect).collect();
        let start = StreamStart { rate, generation: self.generation, frame, heard };
        // A bank that does not fit this device's rate gives way to the piano.
        let instrument = self.instrument(rate).unwrap_or_else(|_| Instrument::piano(rate));
        let (clock, controls) = (self.wiring.clock.connect(), Arc::clone(&self.wiring.controls));
        let (engine, port) = Engine::new(start, instrument, lines, clock, controls);
        self.port = Some(port);
        engine
    }

    fn instrument(&self, rate: SampleRate) -> Result<Instrument, String> {
        match &self.bank {
            None => Ok(Instrument::piano(rate)),
            Some(bank) => Instrument::bank(bank, rate).map_err(|error| format!("{}: {error}.", bank.name())),
        }
    }

    /// Plays something else from now on, on this stream and all later ones; or goes on as it was and says why.
    fn play(&mut self, bank: Option<SoundBank>) -> Result<(), String> {
        let before = std::mem::replace(&mut self.bank, bank);
        let instrument = match self.instrument(self.last.2) {
            Ok(instrument) => instrument,
            Err(told) => {
                self.bank = before;
                return Err(told);
            }
        };
        match &mut self.port {
            Some(port) => port.give(instrument).map_err(|_| {
                "The instrument could not be changed while the sound device was busy; choose it again."
                    .to_owned()
            }),
            None => Ok(()),
        }
    }

    /// Drops instruments that are no longer played.
    fn clear(&mut self) {
        if let Some(port) = &mut self.port {
            port.clear();
        }
    }
}

/// A monotonic clock that counts frames where no device does.
struct StandIn {
    engine: Engine,
    began: Instant,
    passed: u64,
}

impl StandIn {
    fn new(shop: &mut EngineShop) -> StandIn {
        StandIn { engine: shop.engine(SampleRate::DEFAULT, false), began: Instant::now(), passed: 0 }
    }

    /// Lets the frames pass that are due.
    fn pass(&mut self) {
        let now = Instant::now();
        let due = SampleRate::DEFAULT.frames((now - self.began).as_secs_f64());
        let frames = u32::try_from(due - self.passed).unwrap_or(u32::MAX);
        if frames > 0 {
            self.engine.pass(frames, now);
            self.passed += u64::from(frames);
        }
    }
}
