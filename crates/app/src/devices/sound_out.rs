//! Keeps sound going: opens a stream, watches over it, and stands in for it while there is none.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender, TryRecvError};
use std::thread;
use std::time::{Duration, Instant};

use sound::{Instrument, SampleRate, SoundBank};

use super::Setup;
use super::clock::ClockPlug;
use super::engine::{Controls, Engine, InstrumentPort, StreamStart};
use super::line::Plug;
use super::outputs::{SoundChoice, output_names};
use super::status::{SoundOutput, StatusBoard};
use super::stream::{self, Instead, Opened, Pulse, Report, Wanted};

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
/// How long a stream that is closed on purpose takes to become silent, with what its device has in store.
const FADING: Duration = Duration::from_millis(80);
/// How long the next one waits for it to be closed.
const CLOSING: Duration = Duration::from_millis(500);
/// How often a chosen output that is missing is looked for, in looks at the stream.
const LOOKS_FOR_MISSING: u32 = 40;

/// What is asked of the thread; hanging up ends it.
pub(super) enum Order {
    /// Plays a bank from now on, or the built-in piano.
    Play(Option<SoundBank>),
    /// Plays through another output from now on.
    Output(SoundChoice),
    /// Asks for blocks of another size from now on.
    Buffer(u32),
    /// Looks for outputs now.
    Look,
    /// Ends.
    Close,
}

/// What leads to every stream, one after the other.
pub(super) struct Wiring {
    pub(super) plugs: Vec<Plug>,
    pub(super) clock: ClockPlug,
    pub(super) controls: Arc<Controls>,
}

/// Starts the supervisor; it ends when the sender is dropped, and hangs up what is received here. `on_loss` is called
/// whenever a device is lost, well before another is opened.
pub(super) fn start(
    wiring: Wiring,
    setup: &Setup,
    board: &Arc<StatusBoard>,
    on_loss: impl Fn() + Send + 'static,
) -> (Sender<Order>, Receiver<()>) {
    let ((sender, orders), (ended, end)) = (mpsc::channel(), mpsc::channel());
    let mut supervisor = Supervisor {
        shop: EngineShop::new(wiring),
        wanted: Wanted { output: setup.output.clone(), buffer: setup.buffer },
        board: Arc::clone(board),
        orders,
        on_loss: Box::new(on_loss),
        hanging: Arc::new(AtomicU32::new(0)),
    };
    let started = thread::Builder::new().name("sound".to_owned()).spawn(move || {
        supervisor.run();
        drop(ended);
    });
    if started.is_err() {
        board.change(|status| {
            status.sound_message = Some("No sound: the system allows no more threads.".to_owned());
        });
    }
    (sender, end)
}

struct Supervisor {
    shop: EngineShop,
    wanted: Wanted,
    board: Arc<StatusBoard>,
    orders: Receiver<Order>,
    on_loss: Box<dyn Fn() + Send>,
    /// Device threads that have not ended.
    hanging: Arc<AtomicU32>,
}

/// The program is closing.
struct Closing;

/// Why a stream came to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    /// Its device went away.
    Lost,
    /// Another is wanted, or the one that is wanted has come back.
    Exchanged,
}

/// A stream that is being opened or runs. Dropping it ends it.
struct Attempt {
    wanted: Wanted,
    pulse: Arc<Pulse>,
    reports: Receiver<Report>,
    _close: Sender<()>,
}

impl Supervisor {
    fn run(&mut self) {
        let mut rest = Duration::ZERO;
        while let Ok(end) = self.stand_in_then_play(rest) {
            rest = if end == End::Lost { RETRY[0] } else { Duration::ZERO };
        }
        self.board.change(|status| status.sound = None);
    }

    /// Stands in for a device until there is one, then watches that one until its end.
    fn stand_in_then_play(&mut self, rest: Duration) -> Result<End, Closing> {
        let mut stand_in = StandIn::new(&mut self.shop);
        self.stand_in_for(rest, &mut stand_in)?;
        let (attempt, opened) = self.open_at_last(&mut stand_in)?;
        drop(stand_in);
        let Opened { status, mut engines, instead } = opened;
        let engine = self.shop.engine(status.rate, true);
        self.tell_refused();
        let told = instead.as_ref().map(|instead| self.told(instead));
        self.board.change(|board| (board.sound, board.sound_message) = (Some(status), told));
        self.tell_outputs();
        let missing = instead == Some(Instead::OfMissing);
        let end = if engines.push(engine).is_ok() { self.watch(&attempt, missing) } else { Ok(End::Lost) };
        if !matches!(end, Ok(End::Lost)) {
            self.shop.fade_out();
            thread::sleep(FADING);
        }
        self.board.change(|status| status.sound = None);
        if end? == End::Exchanged {
            return Ok(End::Exchanged);
        }
        self.say("The sound device was lost; it will be used again when it is back.");
        (self.on_loss)();
        Ok(End::Lost)
    }

    /// Tries until there is a stream.
    fn open_at_last(&mut self, stand_in: &mut StandIn) -> Result<(Attempt, Opened), Closing> {
        let mut wait = RETRY[0];
        loop {
            match self.open(stand_in)? {
                Ok(opened) => return Ok(opened),
                Err(reason) => {
                    self.say(&format!("No sound: {}. All else works.", reason.trim_end_matches('.')));
                }
            }
            self.tell_outputs();
            self.stand_in_for(wait, stand_in)?;
            wait = (wait * 2).min(RETRY[1]);
        }
    }

    /// Until another output is wanted or the time is over; longer while what was opened before is not closed yet.
    fn stand_in_for(&mut self, time: Duration, stand_in: &mut StandIn) -> Result<(), Closing> {
        let (until, wanted) = (Instant::now() + time, self.wanted.clone());
        loop {
            let (now, hanging) = (Instant::now(), self.hanging.load(Ordering::Relaxed));
            let enough = now >= until || self.wanted != wanted;
            let closed = hanging == 0 || (hanging < HANGING && now >= until + CLOSING);
            if enough && closed {
                return Ok(());
            }
            self.rest(STAND_IN_STEP)?;
            stand_in.pass();
        }
    }

    /// Opens the device and waits until it asks for its first block. The stand-in goes on counting meanwhile, for a
    /// device may take long, or for ever.
    fn open(&mut self, stand_in: &mut StandIn) -> Result<Result<(Attempt, Opened), String>, Closing> {
        let attempt = self.attempt();
        let until = Instant::now() + PATIENCE;
        let mut opened = None;
        while Instant::now() < until {
            match attempt.reports.try_recv() {
                Ok(Report::Opened(found)) => opened = Some(found),
                Ok(Report::Failed(reason)) => return Ok(Err(reason)),
                Err(TryRecvError::Disconnected) if opened.is_none() => {
                    return Ok(Err("the sound device failed while it was opened".to_owned()));
                }
                Err(_) => {}
            }
            if attempt.pulse.blocks() > 0
                && let Some(opened) = opened.take()
            {
                return Ok(Ok((attempt, opened)));
            }
            self.rest(STAND_IN_STEP)?;
            stand_in.pass();
        }
        Ok(Err("the sound device does not answer".to_owned()))
    }

    /// Returns when the stream is lost, in whichever way (it says so, it fails without end, or it just stops), or another
    /// is wanted.
    fn watch(&mut self, attempt: &Attempt, missing: bool) -> Result<End, Closing> {
        let pulse = &attempt.pulse;
        let (mut blocks, mut progress) = (pulse.blocks(), Instant::now());
        for look in 1u32.. {
            self.rest(LOOK)?;
            if self.wanted != attempt.wanted {
                return Ok(End::Exchanged);
            }
            if pulse.is_fatal() || progress.elapsed() > STALLED {
                break;
            }
            if look.is_multiple_of(LOOKS_A_SECOND) {
                pulse.forgive();
            }
            if missing && look.is_multiple_of(LOOKS_FOR_MISSING) && self.is_back() {
                return Ok(End::Exchanged);
            }
            if blocks != pulse.blocks() {
                (blocks, progress) = (pulse.blocks(), Instant::now());
            }
        }
        Ok(End::Lost)
    }

    /// Whether the chosen output is there.
    fn is_back(&self) -> bool {
        match &self.wanted.output {
            SoundChoice::System => false,
            SoundChoice::Named(name) => output_names().contains(name),
        }
    }

    fn told(&self, instead: &Instead) -> String {
        let name = match &self.wanted.output {
            SoundChoice::System => "The sound output",
            SoundChoice::Named(name) => name,
        };
        match instead {
            Instead::OfMissing => {
                format!("{name} is not there; the system's own sound output plays until it is back.")
            }
            Instead::OfFailing(reason) => {
                format!("{name} cannot be used ({reason}); the system's own sound output plays instead.")
            }
        }
    }

    /// Puts the outputs there are on the board.
    fn tell_outputs(&self) {
        let mut names = output_names();
        let chosen = match &self.wanted.output {
            SoundChoice::System => None,
            SoundChoice::Named(name) => Some(name),
        };
        names.extend(chosen.filter(|name| !names.contains(name)).cloned());
        self.board.change(|status| {
            let playing = status.sound.as_ref().map(|sound| &sound.name);
            let output = |name: String| SoundOutput {
                chosen: Some(&name) == chosen,
                open: Some(&name) == playing,
                name,
            };
            status.sound_outputs = names.into_iter().map(output).collect();
        });
    }

    /// Starts a thread that opens what is wanted.
    fn attempt(&self) -> Attempt {
        let (report, reports) = mpsc::channel();
        let (close, closed) = mpsc::channel();
        let pulse = Arc::<Pulse>::default();
        let (beats, hanging, wanted) = (Arc::clone(&pulse), Arc::clone(&self.hanging), self.wanted.clone());
        let asked = wanted.clone();
        self.hanging.fetch_add(1, Ordering::Relaxed);
        let started = thread::Builder::new().name("sound device".to_owned()).spawn(move || {
            stream::run(&asked, &beats, &report, &closed);
            hanging.fetch_sub(1, Ordering::Relaxed);
        });
        if started.is_err() {
            self.hanging.fetch_sub(1, Ordering::Relaxed);
        }
        Attempt { wanted, pulse, reports, _close: close }
    }

    /// Waits, and meanwhile sees to the instruments and to what is asked.
    fn rest(&mut self, time: Duration) -> Result<(), Closing> {
        self.shop.clear();
        if self.shop.wiring.controls.take_broken() {
            self.play(None);
            let told = "The bank turned out to be damaged while it played; the built-in piano plays instead.";
            self.board.change(|status| status.instrument_message = Some(told.to_owned()));
        }
        match self.orders.recv_timeout(time) {
            Err(RecvTimeoutError::Disconnected) | Ok(Order::Close) => return Err(Closing),
            Err(RecvTimeoutError::Timeout) => {}
            Ok(Order::Play(bank)) => self.play(bank),
            Ok(Order::Output(output)) => self.wanted.output = output,
            Ok(Order::Buffer(buffer)) => self.wanted.buffer = buffer,
            Ok(Order::Look) => self.tell_outputs(),
        }
        Ok(())
    }

    fn play(&mut self, bank: Option<SoundBank>) {
        let name = bank.as_ref().map(|bank| bank.name().to_owned());
        let presets = bank.iter().flat_map(SoundBank::presets).map(str::to_owned).collect();
        let preset = bank.as_ref().map(SoundBank::chosen);
        let told = self.shop.play(bank).err();
        self.board.change(|status| {
            if told.is_none() {
                (status.instrument, status.presets, status.preset) = (name, presets, preset);
            }
            status.instrument_message = told;
        });
    }

    /// A bank that played so far and does not at this device's rate has given way to the piano.
    fn tell_refused(&mut self) {
        if let Some(told) = self.shop.refused.take() {
            self.board.change(|status| {
                (status.instrument, status.presets, status.preset) = (None, Arc::default(), None);
                status.instrument_message = Some(format!("{told} The built-in piano plays instead."));
            });
        }
    }

    fn say(&self, message: &str) {
        self.board.change(|status| status.sound_message = Some(message.to_owned()));
    }
}

/// Makes engines, one for each stream, so that frames go on counting from one to the next.
struct EngineShop {
    wiring: Wiring,
    /// What every engine plays; nothing is the built-in piano.
    bank: Option<SoundBank>,
    /// Why a bank gave way to the piano, until it is told.
    refused: Option<String>,
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
            refused: None,
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
        let instrument = self.instrument(rate).unwrap_or_else(|told| {
            (self.bank, self.refused) = (None, Some(told));
            Instrument::piano(rate)
        });
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

    /// The engine that was made last becomes silent, for it is about to be dropped.
    fn fade_out(&self) {
        if let Some(port) = &self.port {
            port.fade_out();
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::clock::clock_feed;
    use rodio::cpal::ErrorKind;

    /// A supervisor whose stream is played by the test, and the end from which it takes orders.
    fn supervisor() -> (Supervisor, Sender<Order>, Attempt, Sender<Report>) {
        let setup = Setup::default();
        let controls = Arc::new(Controls::new(setup.gains));
        let wiring = Wiring { plugs: Vec::new(), clock: clock_feed().1, controls };
        let wanted = Wanted { output: setup.output, buffer: setup.buffer };
        let ((sender, orders), (report, reports), (close, _)) =
            (mpsc::channel(), mpsc::channel(), mpsc::channel());
        let supervisor = Supervisor {
            shop: EngineShop::new(wiring),
            wanted: wanted.clone(),
            board: Arc::new(StatusBoard::new(|| {})),
            orders,
            on_loss: Box::new(|| {}),
            hanging: Arc::default(),
        };
        let attempt = Attempt { wanted, pulse: Arc::default(), reports, _close: close };
        (supervisor, sender, attempt, report)
    }

    /// How the watch over a stream ends while something happens to it every 20 ms.
    fn ends(happens: impl Fn(u32, &Pulse, &Sender<Order>) + Send + 'static) -> Option<End> {
        let (mut supervisor, sender, attempt, _report) = supervisor();
        let (pulse, orders) = (Arc::clone(&attempt.pulse), sender.clone());
        let (stop, stopped) = mpsc::channel::<()>();
        let player = thread::spawn(move || {
            for round in 0.. {
                happens(round, &pulse, &orders);
                if stopped.recv_timeout(Duration::from_millis(20)) != Err(RecvTimeoutError::Timeout) {
                    break;
                }
            }
        });
        let end = supervisor.watch(&attempt, false).ok();
        drop((stop, sender));
        player.join().unwrap();
        end
    }

    #[test]
    fn a_device_is_lost_in_each_of_three_ways() {
        let says_so = |round: u32, pulse: &Pulse, _: &Sender<Order>| {
            pulse.beat();
            if round == 5 {
                pulse.note(ErrorKind::DeviceNotAvailable);
            }
        };
        let storms = |round: u32, pulse: &Pulse, _: &Sender<Order>| {
            pulse.beat();
            if round > 5 {
                (0..1_000).for_each(|_| pulse.note(ErrorKind::BackendError));
            }
        };
        let stops = |round: u32, pulse: &Pulse, _: &Sender<Order>| {
            if round < 5 {
                pulse.beat();
            }
        };
        assert_eq!(ends(says_so), Some(End::Lost));
        assert_eq!(ends(storms), Some(End::Lost));
        assert_eq!(ends(stops), Some(End::Lost));
    }

    #[test]
    fn another_output_or_block_size_exchanges_the_stream_and_closing_ends_it() {
        let ordered = |order: fn() -> Order| {
            ends(move |round, pulse, orders| {
                pulse.beat();
                if round == 3 {
                    // Nobody is left to take it only when the watch is over.
                    let _ = orders.send(order());
                }
            })
        };
        assert_eq!(ordered(|| Order::Buffer(256)), Some(End::Exchanged));
        assert_eq!(ordered(|| Order::Output(SoundChoice::Named("Stage box".into()))), Some(End::Exchanged));
        assert_eq!(ordered(|| Order::Close), None);
    }

    #[test]
    fn frames_go_on_from_one_stream_to_the_next_at_any_rate() {
        let (mut supervisor, ..) = supervisor();
        let shop = &mut supervisor.shop;
        let first = shop.engine(SampleRate::DEFAULT, true);
        thread::sleep(Duration::from_millis(30));
        let second = shop.engine(SampleRate::new(96_000).unwrap(), true);
        // 30 ms of 48 kHz at least, and not a second more however busy the machine is.
        let passed = second.start().frame - first.start().frame;
        assert!((1_440..48_000).contains(&passed), "{passed}");
        assert!(second.start().generation > first.start().generation);
    }

    #[test]
    fn what_stands_in_for_a_missing_output_is_said() {
        let (mut supervisor, ..) = supervisor();
        supervisor.wanted.output = SoundChoice::Named("Stage box".into());
        let missing = supervisor.told(&Instead::OfMissing);
        assert!(missing.starts_with("Stage box is not there"), "{missing}");
        let busy = supervisor.told(&Instead::OfFailing("another program keeps it".into()));
        assert!(busy.contains("another program keeps it"), "{busy}");
        supervisor.tell_outputs();
        let outputs = supervisor.board.read().sound_outputs;
        let chosen: Vec<_> = outputs.iter().filter(|output| output.chosen).collect();
        assert_eq!(chosen.len(), 1, "the missing one is listed too: {outputs:?}");
        assert!(!chosen[0].open);
    }
}
