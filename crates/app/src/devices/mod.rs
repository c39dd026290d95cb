//! MIDI in and sound out, off the window's thread.
//!
//! # How the rest of the program uses it
//!
//! [`open`] starts the device threads and returns at once; a missing device is never an error, only a [`Status`].
//! It gives five handles, each for one thread:
//!
//! | handle | who holds it | for |
//! | --- | --- | --- |
//! | [`Devices`] | the window | status, choice of keyboards and instrument, volumes, touch; dropping it closes everything |
//! | [`SoundLine`] | the session thread | part and click on exact frames, "all off" |
//! | [`ScreenKeys`] | the window | notes from the mouse and the computer keyboard |
//! | [`Inbox`] | the session thread | every note played, stamped when it arrived, from every keyboard and the screen |
//! | [`ClockFeed`] | the session thread | pairs of (frame, instant), from which the clock mapping is estimated |
//!
//! Notes that the player plays sound by themselves: they go from the MIDI thread to the sound callback through a ring,
//! and on another ring to the session. Nothing needs to be forwarded.
//!
//! ```no_run
//! use std::time::Duration;
//! use app::devices::{self, InputKind, Setup};
//! use sound::{ClickKind, Event, EventKind, Source};
//!
//! let mut handles = devices::open(Setup::default(), || { /* ask the window for a repaint */ });
//! // On the session thread: the newest pair says which frame is now.
//! let Some(now) = handles.clock.latest() else { return };
//! let beat = now.rate.frames(0.5);
//! handles.part.send(Event { frame: now.frame + beat, kind: EventKind::Click(ClickKind::Accent) });
//! handles.inbox.wait(Duration::from_millis(5));
//! while let Some(input) = handles.inbox.next_input() {
//!     if let InputKind::KeyDown { key, .. } = input.kind {
//!         println!("{} at {:?}", key.midi(), input.at);
//!     }
//! }
//! // On stop, on a jump, and before the window closes: nothing rings on.
//! handles.part.all_off(Source::Part);
//! println!("{:?}", handles.devices.status());
//! ```
//!
//! # Settings
//!
//! What the window can set, and what it shows of it; all of it holds at once, also while there is no device.
//!
//! | setting | at the start | later | shown |
//! | --- | --- | --- | --- |
//! | volumes of part, own playing, click, everything | [`Setup::gains`] | [`Devices::set_gain`] | |
//! | touch | [`Setup::curve`] | [`Devices::set_curve`] | [`VelocityCurve::ALL`] and their names |
//! | instrument | [`Setup::instrument`] | [`Devices::choose_instrument`] | [`Status::instrument`], [`Status::presets`], [`Status::preset`], [`Status::banks`] |
//! | sound output | [`Setup::output`] | [`Devices::choose_sound`] | [`Status::sound_outputs`], [`Status::sound`] |
//! | size of a block | [`Setup::buffer`] | [`Devices::set_buffer`] | [`BUFFERS`], [`SoundStatus::buffer`] |
//! | keyboards | [`Setup::midi`] | [`Devices::choose_midi`] | [`Status::midi`] |
//!
//! Before it lists outputs or banks the window calls [`Devices::look`]; the lists come with a later [`Status`].
//!
//! # Frames
//!
//! The stream counts frames; [`ClockPair::frame`] is the first frame of a block and [`ClockPair::at`] the monotonic
//! instant at which the callback asked for it. [`ClockPair::generation`] changes when the stream was lost, opened or
//! opened again: what was scheduled is then gone and must be sent again, mapped by the new pairs. Frames go on counting.
//! Without a sound device a monotonic clock counts frames at 48 kHz in the same way, and all of this works, unheard.

mod banks;
mod block_clock;
#[cfg(test)]
mod by_hand;
mod clock;
mod engine;
mod find;
mod inbox;
mod line;
mod mailbox;
mod midi_in;
mod midi_message;
mod outputs;
mod priority;
mod quiet;
mod screen_keys;
mod servers;
mod sound_out;
mod status;
mod stream;

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::sync::mpsc::{Receiver, Sender};
use std::time::Duration;

use sound::{Bus, Gain, VelocityCurve};

#[cfg(test)]
pub(crate) use by_hand::{ByHand, EndsByHand, StreamByHand};

pub use banks::{InstrumentChoice, find_banks, read_bank};
pub use clock::{ClockFeed, ClockPair};
pub use find::{Found, find};
pub use inbox::{Inbox, Input, InputKind, PortId};
pub use line::SoundLine;
pub use midi_in::MidiChoice;
pub use midi_message::MidiChannel;
pub use outputs::SoundChoice;
pub use screen_keys::ScreenKeys;
pub use status::{MidiPort, SoundOutput, SoundStatus, Status};

use banks::Loader;
use engine::Controls;
use screen_keys::Player;
use status::StatusBoard;

/// MIDI keyboards that can be played at the same time.
pub const KEYBOARDS: usize = 8;
/// Sizes of a block to offer, in frames: the smaller, the sooner a note sounds; the larger, the surer.
pub const BUFFERS: [u32; 5] = [64, 128, 256, 512, 1024];
/// How long the program waits for the sound to fade when it closes.
const FAREWELL: Duration = Duration::from_millis(400);

/// What was remembered from the last run.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Which keyboards to listen to.
    pub midi: MidiChoice,
    /// The MIDI channel to listen to; nothing for all sixteen.
    pub channel: Option<MidiChannel>,
    /// Through which output to play.
    pub output: SoundChoice,
    /// Frames in a block, 32 to 4096; the device may choose otherwise.
    pub buffer: u32,
    /// Volumes in the order of [`Bus::ALL`].
    pub gains: [Gain; 4],
    /// How the player's touch sounds.
    pub curve: VelocityCurve,
    /// What plays the notes.
    pub instrument: InstrumentChoice,
    /// The name under which other programs see this one.
    pub client: String,
}

impl Default for Setup {
    fn default() -> Setup {
        Setup {
            midi: MidiChoice::Every,
            channel: None,
            output: SoundChoice::System,
            buffer: 128,
            gains: [Gain::UNITY, Gain::UNITY, Gain::UNITY, Gain::from_percent(60.0)],
            curve: VelocityCurve::Even,
            instrument: InstrumentChoice::Piano,
            client: "overhand".to_owned(),
        }
    }
}

/// What [`open`] gives; take it apart and hand each piece to its thread.
pub struct Handles {
    /// Status and settings.
    pub devices: Devices,
    /// The line for scheduled sound.
    pub part: SoundLine,
    /// The keyboard on the screen.
    pub screen: ScreenKeys,
    /// What is played.
    pub inbox: Inbox,
    /// The clock of the sound stream.
    pub clock: ClockFeed,
}

/// Starts the device threads. `on_change` is called from one of them whenever [`Devices::status`] has changed.
pub fn open(setup: Setup, on_change: impl Fn() + Send + Sync + 'static) -> Handles {
    let board = Arc::new(StatusBoard::new(on_change));
    let controls = Arc::new(Controls::new(setup.gains).with_curve(setup.curve));
    let (part, part_plug) = line::sound_line(controls.missed());
    let (screen_line, screen_plug) = line::sound_line(controls.missed());
    let (mut inputs, inbox) = inbox::inbox(KEYBOARDS + 1);
    let screen =
        inputs.pop().map(|input| ScreenKeys::new(screen_line, input)).expect("one input more than keyboards");
    let mut plugs = vec![part_plug, screen_plug];
    let mut places = Vec::new();
    for input in inputs {
        let (line, plug) = line::sound_line(controls.missed());
        plugs.push(plug);
        places.push(Player::new(line, input));
    }
    let (clock, clock_plug) = clock::clock_feed();
    let channel = Arc::new(midi_in::ChannelFilter::new(setup.channel));
    let midi = midi_in::start(places, &setup, &channel, &board);
    let wiring = sound_out::Wiring { plugs, clock: clock_plug, controls: Arc::clone(&controls) };
    let listener = midi.clone();
    let (sound, closed) = sound_out::start(wiring, &setup, &board, move || {
        // Where one JACK server carries MIDI and sound, it has probably died, and its library frees what is still open as
        // soon as anything is opened anew: so let go first.
        if cfg!(feature = "midi-jack") {
            let _ = listener.send(midi_in::Order::LetGo);
        }
    });
    let loader = Loader { board: Arc::clone(&board), orders: sound, latest: Arc::default() };
    if setup.instrument != InstrumentChoice::Piano {
        loader.choose(setup.instrument);
    }
    loader.look();
    Handles {
        devices: Devices { board, controls, midi, channel, loader, closed },
        part,
        screen,
        inbox,
        clock,
    }
}

/// The window's hold on the devices. Dropping it lets go of them: the sound fades within a tenth of a second, for which it
/// waits, and threads stop by themselves.
pub struct Devices {
    board: Arc<StatusBoard>,
    controls: Arc<Controls>,
    midi: Sender<midi_in::Order>,
    channel: Arc<midi_in::ChannelFilter>,
    loader: Loader,
    /// Hung up when the sound has ended.
    closed: Receiver<()>,
}

impl Drop for Devices {
    fn drop(&mut self) {
        // Whichever fails: there is nobody left to wait for.
        let _ = self.loader.orders.send(sound_out::Order::Close);
        let _ = self.closed.recv_timeout(FAREWELL);
    }
}

impl Devices {
    /// What there is and what is wrong, as of now.
    pub fn status(&self) -> Status {
        let mut status = self.board.read();
        status.missed = self.controls.missed().load(Ordering::Relaxed);
        status
    }

    /// Listens to other keyboards from now on.
    pub fn choose_midi(&self, choice: MidiChoice) {
        // The thread is gone only while the program ends.
        let _ = self.midi.send(midi_in::Order::Choose(choice));
    }

    /// Listens to one MIDI channel from now on, or to all sixteen.
    pub fn choose_channel(&self, channel: Option<MidiChannel>) {
        self.channel.set(channel);
    }

    /// Plays through another output. What sounds fades; the session hears of the new stream by its clock
    /// ([`ClockPair::generation`]). Where it is not there, the system's own plays until it is.
    pub fn choose_sound(&self, choice: SoundChoice) {
        // This thread, too, is gone only while the program ends.
        let _ = self.loader.orders.send(sound_out::Order::Output(choice));
    }

    /// Asks for blocks of another size, such as one of [`BUFFERS`]; the stream is opened anew.
    /// [`SoundStatus::buffer`] tells what came of it.
    pub fn set_buffer(&self, frames: u32) {
        let _ = self.loader.orders.send(sound_out::Order::Buffer(frames.clamp(32, 4096)));
    }

    /// Looks for sound outputs and banks, off this thread: for when the window is about to list them. MIDI inputs are
    /// looked for all the time.
    pub fn look(&self) {
        let _ = self.loader.orders.send(sound_out::Order::Look);
        self.loader.look();
    }

    /// Plays the notes with another instrument, as soon as it is read: what sounds fades, and there is no click. If it cannot
    /// be used, [`Status::instrument_message`] says why and all stays as it was.
    pub fn choose_instrument(&self, choice: InstrumentChoice) {
        self.loader.choose(choice);
    }

    /// How the player's touch sounds, from the next note on.
    pub fn set_curve(&self, curve: VelocityCurve) {
        self.controls.set_curve(curve);
    }

    /// Moves a volume; also while there is no device.
    pub fn set_gain(&self, bus: Bus, gain: Gain) {
        self.controls.set_gain(bus, gain);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_first_it_is_moderately_loud_and_the_built_in_piano_plays() {
        let setup = Setup::default();
        let master = setup.gains[Bus::Master.index()].factor();
        assert!((0.3..0.7).contains(&master), "{master}");
        assert!(Bus::ALL.iter().all(|bus| setup.gains[bus.index()] <= Gain::UNITY));
        assert_eq!((setup.instrument, setup.output), (InstrumentChoice::Piano, SoundChoice::System));
    }
}
