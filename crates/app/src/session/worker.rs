//! The session thread: hears what is played, keeps the time, and hands out what is to be sounded.

use super::frames::FrameMap;
use super::keyboards::Keyboards;
use super::pedal::Pedals;
use super::sounds::{event_of, take_source};
use super::{Clock, Stand};
use crate::devices::{ClockFeed, Inbox, Input, InputKind, PortId, SoundLine};
use practice::{Cue, Lap, Mode, NoteChange, SUSTAIN, SessionCommand, Stamp};
use sound::{Event, Key, Source};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::Duration;
use theory::MidiKey;

/// How far ahead cues are handed to the sound stream: long enough for a thread that is woken late.
const AHEAD_MS: f64 = 100.0;
/// How often the thread looks while time runs, and while it stands still.
const RUNNING: Duration = Duration::from_millis(10);
const RESTING: Duration = Duration::from_millis(500);

/// The ends of the devices that the session thread holds.
pub struct Ends {
    /// The line for scheduled sound.
    pub line: SoundLine,
    /// What is played.
    pub inbox: Inbox,
    /// The clock of the sound stream.
    pub feed: ClockFeed,
}

/// What the thread tells.
pub trait Listener: Send + 'static {
    /// Something that the screen shows has changed.
    fn changed(&self);
    /// A pass through the song is over.
    fn finished(&self, lap: Lap);
}

/// The stand that the window and the session thread share. Both hold it for moments only, and the thread of the sound
/// never does.
#[derive(Clone, Debug)]
pub struct Shared {
    stand: Arc<Mutex<Stand>>,
    clock: Clock,
}

impl Shared {
    /// An empty stand.
    pub fn new(clock: Clock) -> Shared {
        Shared { stand: Arc::default(), clock }
    }

    /// The stand, for a moment. A thread that failed while it held it left plain values behind, which still hold.
    pub fn stand(&self) -> MutexGuard<'_, Stand> {
        self.stand.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The clock that its stamps are of.
    pub fn clock(&self) -> Clock {
        self.clock
    }
}

/// The running thread; dropping it ends it and waits until it is over.
#[derive(Debug)]
pub struct Running {
    ended: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl Running {
    /// Starts the thread.
    ///
    /// # Errors
    /// Where the system can start no thread.
    pub fn start(shared: Shared, ends: Ends, listener: impl Listener) -> std::io::Result<Running> {
        let ended = Arc::new(AtomicBool::new(false));
        let until = ended.clone();
        let thread = thread::Builder::new().name("session".to_owned()).spawn(move || {
            let mut worker = Worker::new(shared, ends, listener);
            while !until.load(Ordering::Acquire) {
                worker.turn();
            }
            worker.ends.line.all_off(Source::Part);
            take_source().into_iter().for_each(|source| worker.ends.line.all_off(source));
        })?;
        Ok(Running { ended, thread: Some(thread) })
    }

    /// The stand was changed from outside: look at it now.
    pub fn wake(&self) {
        if let Some(thread) = &self.thread {
            thread.thread().unpark();
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Release);
        self.wake();
        if let Some(thread) = self.thread.take() {
            // A thread that failed has said so already.
            let _ = thread.join();
        }
    }
}

struct Worker<L> {
    shared: Shared,
    ends: Ends,
    listener: L,
    frames: FrameMap,
    keyboards: Keyboards,
    pedals: Pedals,
    running: bool,
    /// When the thread looked last.
    looked: Stamp,
}

impl<L: Listener> Worker<L> {
    fn new(shared: Shared, ends: Ends, listener: L) -> Worker<L> {
        Worker {
            looked: shared.clock.now(),
            shared,
            ends,
            listener,
            frames: FrameMap::default(),
            keyboards: Keyboards::default(),
            pedals: Pedals::default(),
            running: false,
        }
    }

    /// Waits for something to do and does it.
    fn turn(&mut self) {
        self.ends.inbox.wait(if self.running { RUNNING } else { RESTING });
        let mut renewed = false;
        while let Some(pair) = self.ends.feed.next_pair() {
            renewed |= self.frames.learn(&pair, self.shared.clock);
        }
        let shared = self.shared.clone();
        let mut stand = shared.stand();
        stand.device_says(self.frames.device_says_ms());
        let heard = self.hear(&mut stand);
        let now = shared.clock.now();
        let was = (stand.running(), stand.place());
        stand.tick(now);
        let looked = std::mem::replace(&mut self.looked, now);
        if let Some(why) = self.frames.trouble(now) {
            stand.lose_the_clock(why, now.ms_since(looked));
        }
        if renewed {
            stand.sound_again();
        }
        let delay_ms = stand.sound_delay_ms();
        let sounding = stand.cues(now, AHEAD_MS + delay_ms.max(0.0));
        self.running = stand.running();
        let finished = stand.finished(now);
        drop(stand);
        if sounding.afresh {
            self.ends.line.all_off(Source::Part);
            take_source().into_iter().for_each(|source| self.ends.line.all_off(source));
        }
        sounding.cues.iter().for_each(|cue| self.sound(cue, now, delay_ms));
        if heard || was.0 != self.running || !finished.is_empty() {
            self.listener.changed();
        }
        finished.into_iter().for_each(|lap| self.listener.finished(lap));
    }

    /// Passes on what was played since the last turn.
    fn hear(&mut self, stand: &mut Stand) -> bool {
        let mut heard = false;
        while let Some(input) = self.ends.inbox.next_input() {
            self.play(stand, input);
            heard = true;
        }
        heard
    }

    fn play(&mut self, stand: &mut Stand, input: Input) {
        let (at, port) = (self.shared.clock.stamp(input.at), input.port);
        match input.kind {
            InputKind::KeyDown { key, velocity } => {
                let key = midi_key(key);
                self.keyboards.down(port, key);
                stand.note(at, key, NoteChange::On { velocity: velocity.get() });
            }
            InputKind::KeyUp { key } => {
                let key = midi_key(key);
                if self.keyboards.up(port, key) {
                    stand.note(at, key, NoteChange::Off);
                }
            }
            InputKind::AllUp => {
                self.pedals.let_go(port);
                let (keys, pedals) = self.keyboards.all_up(port);
                keys.into_iter().for_each(|key| stand.note(at, key, NoteChange::Off));
                pedals.into_iter().for_each(|controller| stand.control(at, controller, 0));
            }
            InputKind::Sustain { value } => {
                self.pedal(stand, at, port, SUSTAIN, value);
                self.turn_the_page(stand, at, port, value);
            }
            InputKind::Sostenuto { value } => self.pedal(stand, at, port, 66, value),
            InputKind::UnaCorda { value } => self.pedal(stand, at, port, 67, value),
        }
    }

    /// A pedal goes into the take, by its controller number (MIDI 1.0).
    fn pedal(&mut self, stand: &mut Stand, at: Stamp, port: PortId, controller: u8, value: u8) {
        self.keyboards.moves(port, controller, value);
        stand.control(at, controller, value);
    }

    /// A pedal without a keyboard turns the page: the next step.
    fn turn_the_page(&mut self, stand: &mut Stand, at: Stamp, port: PortId, value: u8) {
        if self.keyboards.is_pedal_alone(port)
            && self.pedals.presses(port, value)
            && stand.view(at).settings.mode == Mode::Step
        {
            stand.apply(super::Change::Do(SessionCommand::Advance), at);
        }
    }

    /// Hands out a cue, so much sooner as it will be heard later.
    fn sound(&mut self, cue: &Cue, now: Stamp, delay_ms: f64) {
        let frame = self.frames.frame(cue.at.plus_ms(-delay_ms).max(now));
        if let (Some(kind), Some(frame)) = (event_of(cue.kind), frame) {
            self.ends.line.send(Event { frame, kind });
        }
    }
}

fn midi_key(key: Key) -> MidiKey {
    MidiKey::new(key.midi()).expect("keys of the sound crate go up to 127 too")
}

#[cfg(test)]
mod tests {
    use super::super::Change;
    use super::*;
    use crate::devices::{ByHand, EndsByHand, ScreenKeys, StreamByHand};
    use crate::storage::DEMOS;
    use sound::{EventKind, Velocity};
    use std::time::Instant;

    struct Nobody;

    impl Listener for Nobody {
        fn changed(&self) {}
        fn finished(&self, _lap: Lap) {}
    }

    fn key(number: u8) -> Key {
        Key::new(number).unwrap()
    }

    /// A thread's work on the first demo song, turned by hand, with two keyboards.
    fn bench() -> (Worker<Nobody>, Vec<ScreenKeys>) {
        let (worker, keyboards, _) = bench_with_streams();
        (worker, keyboards)
    }

    fn bench_with_streams() -> (Worker<Nobody>, Vec<ScreenKeys>, ByHand) {
        let (streams, EndsByHand { keyboards, line, inbox, feed }) = ByHand::new(2);
        let shared = Shared::new(Clock::start());
        let song = song::read(DEMOS[0].text).song.unwrap();
        let part = voicing::plan(&song.play(), song.key, &voicing::Settings::default()).unwrap();
        shared.stand().apply(Change::SongPart(Arc::new(part)), shared.clock().now());
        let worker = Worker::new(shared, Ends { line, inbox, feed }, Nobody);
        // What is played wakes the thread at once.
        (worker, keyboards, streams)
    }

    fn ask(worker: &Worker<Nobody>, command: SessionCommand) {
        worker.shared.stand().apply(Change::Do(command), worker.shared.clock().now());
    }

    fn held(worker: &Worker<Nobody>) -> Vec<u8> {
        let view = worker.shared.stand().view(worker.shared.clock().now());
        view.held.iter().map(|held| held.key.number()).collect()
    }

    #[test]
    fn one_keyboard_that_lets_go_leaves_the_other_its_keys() {
        let (mut worker, mut keyboards) = bench();
        for (keyboard, number) in [(0, 60), (0, 64), (1, 64), (1, 67)] {
            keyboards[keyboard].key_down(key(number), Velocity::clamped(80));
        }
        worker.turn();
        assert_eq!(held(&worker), [60, 64, 67]);
        keyboards[0].key_up(key(64));
        worker.turn();
        assert_eq!(held(&worker), [60, 64, 67], "the other holds it still");
        keyboards[0].all_up();
        worker.turn();
        assert_eq!(held(&worker), [64, 67]);
    }

    #[test]
    fn pedals_reach_the_take_and_come_up_with_their_keyboard() {
        let (mut worker, mut keyboards) = bench();
        for command in [
            SessionCommand::SetMode(Mode::PlayAlong),
            SessionCommand::SetCountIn(false),
            SessionCommand::Start,
        ] {
            ask(&worker, command);
        }
        keyboards[0].key_down(key(50), Velocity::clamped(80));
        keyboards[0].sustain(true);
        worker.turn();
        keyboards[0].all_up();
        worker.turn();
        ask(&worker, SessionCommand::Stop);
        let now = worker.shared.clock().now();
        let laps = worker.shared.stand().finished(now);
        let values: Vec<(u8, u8)> =
            laps.iter().flat_map(|lap| &lap.take.controls).map(|c| (c.controller, c.value)).collect();
        assert_eq!(values, [(SUSTAIN, 127), (SUSTAIN, 0)]);
        assert!(laps[0].take.notes[0].length.is_some(), "its key is up as well");
    }
    /// A block every 10 ms, the last of them now.
    fn twenty_blocks(stream: &mut StreamByHand, from: u64) {
        let now = Instant::now();
        for n in 0..20u64 {
            let at = now.checked_sub(Duration::from_millis(10 * (19 - n))).unwrap();
            stream.asks(from + 480 * n, at);
        }
    }

    #[test]
    fn what_was_handed_to_a_stream_that_is_lost_is_handed_to_the_next() {
        let (mut worker, _keyboards, mut streams) = bench_with_streams();
        let mut first = streams.stream();
        twenty_blocks(&mut first, 0);
        // Handed out so long ahead that it does not matter how busy the machine is.
        let now = worker.shared.clock().now();
        worker.shared.stand().apply(Change::SoundDelay(30_000.0), now);
        ask(&worker, SessionCommand::SetMode(Mode::Listen));
        ask(&worker, SessionCommand::Start);
        worker.turn();
        let on = |kind: &EventKind| matches!(kind, EventKind::NoteOn { .. });
        let struck = |stream: &mut StreamByHand| stream.sent().iter().filter(|kind| on(kind)).count();
        let handed = struck(&mut first);
        assert!(handed > 20, "{handed}");
        worker.turn();
        assert!(struck(&mut first) < 5, "each once");
        let mut second = streams.stream();
        twenty_blocks(&mut second, 9_600);
        worker.turn();
        assert!(struck(&mut second) > handed / 2, "those that had not sounded yet");
    }
    #[test]
    fn when_the_window_closes_nothing_of_the_part_or_of_a_take_rings_on() {
        let (mut streams, EndsByHand { line, inbox, feed, .. }) = ByHand::new(1);
        let mut stream = streams.stream();
        let shared = Shared::new(Clock::start());
        let running = Running::start(shared, Ends { line, inbox, feed }, Nobody).unwrap();
        drop(running);
        let sent = stream.sent();
        for source in [Some(Source::Part), take_source()] {
            assert!(sent.contains(&EventKind::AllOff(source.unwrap())), "{sent:?}");
        }
    }
}
