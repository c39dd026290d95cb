//! Listens to MIDI keyboards: finds them, opens them, and finds them again.

use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::{Duration, Instant};

use midir::{Ignore, MidiInput, MidiInputConnection, MidiInputPort};

use super::Setup;
use super::mailbox::Mailbox;
use super::midi_message::{MidiChannel, Reader};
use super::quiet::quiet_driver;
use super::screen_keys::Player;
use super::servers;
use super::status::{MidiPort, StatusBoard};

/// How often the ports are looked at: there is no sign when one appears.
const LOOK: Duration = Duration::from_secs(1);
/// How often a system without any MIDI port is asked again.
const LOOK_WITHOUT_PORT: Duration = Duration::from_secs(3);

/// Which keyboards to listen to.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub enum MidiChoice {
    /// Every keyboard there is, also one that is plugged in later.
    #[default]
    Every,
    /// These, by name, whenever they are there.
    Named(Vec<String>),
    /// None.
    Nothing,
}

impl MidiChoice {
    fn wants(&self, name: &str) -> bool {
        match self {
            MidiChoice::Every => !is_loopback(name),
            MidiChoice::Named(names) => names.iter().any(|wanted| wanted == name),
            MidiChoice::Nothing => false,
        }
    }
}

/// The channel that is listened to; every MIDI thread looks at it.
#[derive(Debug)]
pub(super) struct ChannelFilter(AtomicU8);

impl ChannelFilter {
    pub(super) fn new(channel: Option<MidiChannel>) -> ChannelFilter {
        let filter = ChannelFilter(AtomicU8::new(EVERY_CHANNEL));
        filter.set(channel);
        filter
    }

    pub(super) fn set(&self, channel: Option<MidiChannel>) {
        self.0.store(channel.map_or(EVERY_CHANNEL, MidiChannel::number), Ordering::Relaxed);
    }
}

/// Stands in a filter for all sixteen.
const EVERY_CHANNEL: u8 = 0;

/// What is asked of the MIDI thread.
pub(super) enum Order {
    Choose(MidiChoice),
    /// Close everything and look again a little later.
    LetGo,
}

/// The names of the MIDI inputs there are, as they are remembered; none where the system has no MIDI.
pub(super) fn input_names() -> Vec<String> {
    quiet_driver();
    let Some(system) = system_midi("overhand look") else { return Vec::new() };
    let names = system.ports().into_iter().filter_map(|port| system.port_name(&port).ok());
    names.map(|name| steady_name(&name).to_owned()).collect()
}

/// The system's MIDI, if there is any. JACK's library prints where no server runs, so it is not asked then.
fn system_midi(client: &str) -> Option<MidiInput> {
    let reachable = !cfg!(feature = "midi-jack") || servers::jack_is_reachable();
    if reachable { MidiInput::new(client).ok() } else { None }
}

/// Starts the MIDI thread; it ends when the sender is dropped.
pub(super) fn start(
    places: Vec<Player>,
    setup: &Setup,
    channel: &Arc<ChannelFilter>,
    board: &Arc<StatusBoard>,
) -> Sender<Order> {
    let (sender, orders) = mpsc::channel();
    let mut listener = Listener {
        client: setup.client.clone(),
        choice: setup.midi.clone(),
        system: None,
        reached: false,
        keyboards: Vec::new(),
        places,
        channel: Arc::clone(channel),
        board: Arc::clone(board),
    };
    if thread::Builder::new().name("midi".to_owned()).spawn(move || listener.run(&orders)).is_err() {
        board.change(|status| {
            status.midi_message = Some("No MIDI: the system allows no more threads.".to_owned());
        });
    }
    sender
}

const NO_MIDI: &str = "No MIDI on this system: play with the mouse or the computer keyboard.";

struct Listener {
    client: String,
    choice: MidiChoice,
    /// A connection to the system's MIDI that only lists ports.
    system: Option<MidiInput>,
    /// Whether the system had any MIDI at the last look, with or without ports.
    reached: bool,
    keyboards: Vec<Keyboard>,
    /// Lines for keyboards that are not there yet.
    places: Vec<Player>,
    channel: Arc<ChannelFilter>,
    board: Arc<StatusBoard>,
}

/// A keyboard that is being listened to.
struct Keyboard {
    name: String,
    port: MidiInputPort,
    connection: MidiInputConnection<Ear>,
}

impl Listener {
    fn run(&mut self, orders: &Receiver<Order>) {
        self.look();
        loop {
            let wait = if self.system.is_some() { LOOK } else { LOOK_WITHOUT_PORT };
            match orders.recv_timeout(wait) {
                Ok(Order::Choose(choice)) => self.choice = choice,
                Ok(Order::LetGo) => {
                    self.let_go();
                    continue;
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            self.look();
        }
        self.let_go();
    }

    fn let_go(&mut self) {
        for keyboard in std::mem::take(&mut self.keyboards) {
            self.close(keyboard);
        }
        self.system = None;
    }

    /// Compares the ports there are with those that are open.
    fn look(&mut self) {
        let ports = self.ports();
        let (stay, go): (Vec<Keyboard>, Vec<Keyboard>) = std::mem::take(&mut self.keyboards)
            .into_iter()
            .partition(|open| ports.iter().any(|(name, port)| *port == open.port && self.choice.wants(name)));
        self.keyboards = stay;
        let lost = go
            .iter()
            .find(|keyboard| self.choice.wants(&keyboard.name))
            .map(|keyboard| keyboard.name.clone());
        go.into_iter().for_each(|keyboard| self.close(keyboard));
        for (name, port) in &ports {
            if self.choice.wants(name) && self.keyboards.iter().all(|open| open.port != *port) {
                self.open(name, port);
            }
        }
        self.tell(&ports, lost);
    }

    /// The ports there are, with the names to remember them by.
    fn ports(&mut self) -> Vec<(String, MidiInputPort)> {
        quiet_driver();
        if self.system.is_none() {
            self.system = system_midi(&format!("{} look", self.client));
        }
        self.reached = self.system.is_some();
        let Some(system) = &self.system else { return Vec::new() };
        let ports: Vec<_> = system
            .ports()
            .into_iter()
            .filter_map(|port| Some((steady_name(&system.port_name(&port).ok()?).to_owned(), port)))
            .collect();
        if ports.is_empty() {
            // Nothing to listen to, or the system's MIDI has died: this cannot be told apart.
            self.system = None;
        }
        ports
    }

    /// Opens a port; where that fails, or all places are taken, it is tried again at the next look.
    fn open(&mut self, name: &str, port: &MidiInputPort) {
        let Some(mut midi) = system_midi(&self.client) else { return };
        midi.ignore(Ignore::All);
        let Some(player) = self.places.pop() else { return };
        // A connection that fails keeps what it was given, so the lines follow once it stands.
        let ear = Ear::new(Arc::clone(&self.channel));
        let players = Arc::clone(&ear.players);
        match midi.connect(port, "in", hear, ear) {
            Ok(connection) => {
                players.give(player);
                self.keyboards.push(Keyboard { name: name.to_owned(), port: port.clone(), connection });
            }
            Err(_) => self.places.push(player),
        }
    }

    /// Closes a port on this thread (never in its own callback), lifts its keys, and keeps its lines for the next.
    fn close(&mut self, keyboard: Keyboard) {
        let (_, mut ear) = keyboard.connection.close();
        ear.players.swap(&mut ear.player);
        if let Some(mut player) = ear.player {
            player.all_up(Instant::now());
            self.places.push(player);
        }
    }

    fn tell(&self, ports: &[(String, MidiInputPort)], lost: Option<String>) {
        let mut midi: Vec<MidiPort> = ports
            .iter()
            .map(|(name, port)| MidiPort {
                name: name.clone(),
                chosen: self.choice.wants(name),
                open: self.keyboards.iter().any(|keyboard| keyboard.port == *port),
            })
            .collect();
        if let MidiChoice::Named(names) = &self.choice {
            let missing = names.iter().filter(|name| ports.iter().all(|(there, _)| there != *name));
            midi.extend(missing.map(|name| MidiPort { name: name.clone(), chosen: true, open: false }));
        }
        self.board.change(|status| {
            status.midi_message = self.message(&midi, lost, status.midi_message.take());
            status.midi = midi;
        });
    }

    /// One quiet line; what was said about a lost keyboard stands until one is heard again.
    fn message(&self, midi: &[MidiPort], lost: Option<String>, before: Option<String>) -> Option<String> {
        if let Some(name) = lost {
            return Some(format!("{name} was unplugged; it will be heard again when it is back."));
        }
        if midi.iter().any(|port| port.open) {
            return None;
        }
        if !self.reached {
            return Some(NO_MIDI.to_owned());
        }
        before.filter(|said| said != NO_MIDI).or_else(|| {
            Some(
                "No MIDI keyboard yet: plug one in, or play with the mouse or the computer keyboard."
                    .to_owned(),
            )
        })
    }
}

/// What the callback of a connection owns.
struct Ear {
    player: Option<Player>,
    players: Arc<Mailbox<Player>>,
    reader: Reader,
    filter: Arc<ChannelFilter>,
    /// What the filter let through last.
    channel: u8,
}

impl Ear {
    fn new(filter: Arc<ChannelFilter>) -> Ear {
        let channel = filter.0.load(Ordering::Relaxed);
        Ear { player: None, players: Arc::new(Mailbox::empty()), reader: Reader::default(), filter, channel }
    }

    /// Stamped bytes are read and passed on. It never waits and frees nothing.
    fn hear(&mut self, at: Instant, bytes: &[u8]) {
        self.players.swap(&mut self.player);
        let Some(player) = &mut self.player else { return };
        let channel = self.filter.0.load(Ordering::Relaxed);
        if std::mem::replace(&mut self.channel, channel) != channel {
            // What is down may have come on a channel whose endings are not heard any more.
            player.all_up(at);
        }
        for message in bytes.iter().filter_map(|byte| self.reader.read(*byte)) {
            if channel == EVERY_CHANNEL || channel == message.channel.number() {
                player.play(at, message.kind);
            }
        }
    }
}

/// The MIDI callback.
fn hear(_driver_stamp: u64, bytes: &[u8], ear: &mut Ear) {
    ear.hear(Instant::now(), bytes);
}

/// A port's name without the client and port numbers that some systems put at its end and change at will.
fn steady_name(name: &str) -> &str {
    let Some((rest, numbers)) = name.rsplit_once(' ') else { return name };
    let is_numbers = numbers.split_once(':').is_some_and(|(client, port)| {
        [client, port]
            .iter()
            .all(|number| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()))
    });
    if is_numbers { rest } else { name }
}

/// Ports that only give back what programs send; nobody plays on them.
fn is_loopback(name: &str) -> bool {
    name.starts_with("Midi Through")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stays_the_same_when_the_keyboard_is_plugged_in_again() {
        assert_eq!(steady_name("Stage Piano:Stage Piano MIDI 1 24:0"), "Stage Piano:Stage Piano MIDI 1");
        assert_eq!(steady_name("Stage Piano:Stage Piano MIDI 1 128:0"), "Stage Piano:Stage Piano MIDI 1");
        assert_eq!(steady_name("sender:out"), "sender:out");
        assert_eq!(steady_name("Keys 61"), "Keys 61");
    }

    #[test]
    fn every_keyboard_is_heard_but_not_the_loopback() {
        assert!(MidiChoice::Every.wants("Keys"));
        assert!(!MidiChoice::Every.wants("Midi Through:Midi Through Port-0"));
        assert!(!MidiChoice::Named(vec!["Keys".into()]).wants("Other keys"));
        assert!(!MidiChoice::Nothing.wants("Keys"));
    }

    use crate::devices::inbox::{Inbox, InputKind, inbox};
    use crate::devices::line::sound_line;

    /// An ear with a keyboard's lines, and what the session hears of it.
    fn ear(channel: Option<u8>) -> (Ear, Inbox) {
        let (mut lines, inbox) = inbox(1);
        let mut ear = Ear::new(Arc::new(ChannelFilter::new(channel.and_then(MidiChannel::new))));
        ear.player = Some(Player::new(sound_line(&Arc::default()).0, lines.remove(0)));
        (ear, inbox)
    }

    fn heard(inbox: &mut Inbox) -> Vec<String> {
        let name = |kind: InputKind| match kind {
            InputKind::KeyDown { key, .. } => format!("down {}", key.midi()),
            InputKind::KeyUp { key } => format!("up {}", key.midi()),
            other => format!("{other:?}"),
        };
        std::iter::from_fn(|| inbox.next_input()).map(|input| name(input.kind)).collect()
    }

    #[test]
    fn only_the_chosen_channel_is_heard() {
        let (mut ear, mut inbox) = ear(Some(2));
        for bytes in [[0x90, 60, 64], [0x91, 62, 64], [0x9f, 64, 64], [0x81, 62, 0], [0xb0, 64, 127]] {
            ear.hear(Instant::now(), &bytes);
        }
        assert_eq!(heard(&mut inbox), ["down 62", "up 62"]);
    }

    #[test]
    fn nothing_rings_on_from_a_channel_that_is_left() {
        let (mut ear, mut inbox) = ear(None);
        ear.hear(Instant::now(), &[0x90, 60, 64]);
        ear.filter.set(MidiChannel::new(3));
        ear.hear(Instant::now(), &[0x80, 60, 0]);
        ear.hear(Instant::now(), &[0x92, 67, 64]);
        assert_eq!(heard(&mut inbox), ["down 60", "AllUp", "down 67"]);
    }

    #[test]
    fn one_packet_may_hold_many_messages_and_half_of_one() {
        let (mut ear, mut inbox) = ear(None);
        ear.hear(Instant::now(), &[0x90, 60, 64, 64, 64, 0xf8, 67]);
        ear.hear(Instant::now(), &[0xfe]);
        ear.hear(Instant::now(), &[64, 60, 0]);
        assert_eq!(heard(&mut inbox), ["down 60", "down 64", "down 67", "up 60"]);
    }

    #[test]
    fn a_key_that_goes_down_again_and_again_comes_up_once() {
        let (mut ear, mut inbox) = ear(None);
        (0..3).for_each(|_| ear.hear(Instant::now(), &[0x90, 60, 64]));
        ear.hear(Instant::now(), &[0x80, 60, 0]);
        if let Some(player) = &mut ear.player {
            player.all_up(Instant::now());
        }
        assert_eq!(heard(&mut inbox), ["down 60", "down 60", "down 60", "up 60", "AllUp"]);
    }

    /// Ten thousand messages a second for a minute, read by a session that looks every ten milliseconds and stalls for a
    /// second in every ten: what finds no room is counted, the endings get through, and no key is left down.
    #[test]
    fn a_flood_for_a_minute_is_counted_and_leaves_no_key_down() {
        let (mut ear, mut inbox) = ear(None);
        let (start, mut down, mut read) = (Instant::now(), std::collections::BTreeSet::new(), 0u64);
        let mut sent = 0u64;
        for ms in 0..60_000u64 {
            let at = start + Duration::from_millis(ms);
            let keys = (0..5u64).map(|n| (21 + (ms * 5 + n) % 88) as u8);
            for (status, velocity) in [(0x90, 64), (0x80, 0)] {
                for key in keys.clone() {
                    ear.hear(at, &[status, key, velocity]);
                    sent += 1;
                }
            }
            let stalled = ms % 10_000 >= 9_000;
            while ms % 10 == 0
                && !stalled
                && let Some(input) = inbox.next_input()
            {
                read += 1;
                match input.kind {
                    InputKind::KeyDown { key, .. } => drop(down.insert(key.midi())),
                    InputKind::KeyUp { key } => drop(down.remove(&key.midi())),
                    _ => down.clear(),
                }
            }
        }
        assert_eq!(sent, 600_000);
        assert!(inbox.missed() > 0, "a stall of a second is more than there is room for");
        assert!(read > 500_000, "{read} of {sent} were read");
        while let Some(input) = inbox.next_input() {
            match input.kind {
                InputKind::KeyDown { key, .. } => drop(down.insert(key.midi())),
                InputKind::KeyUp { key } => drop(down.remove(&key.midi())),
                _ => down.clear(),
            }
        }
        assert!(down.is_empty(), "{down:?}");
    }
}
