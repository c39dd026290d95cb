//! What the synthesiser is told, and when.

use crate::{Gain, Key, Velocity};

/// Something to sound at an exact frame.
///
/// ```
/// use sound::{ClickKind, Event, EventKind};
/// // The downbeat of a bar that begins one second into a stream of 48 kHz.
/// let downbeat = Event { frame: 48_000, kind: EventKind::Click(ClickKind::Accent) };
/// # let _ = downbeat;
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// Frames since the stream began. What lies in the past when it arrives sounds at once.
    pub frame: u64,
    /// What happens there.
    pub kind: EventKind,
}

/// What an [`Event`] does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EventKind {
    /// A key goes down. A key that still sounds from the same source is struck again.
    NoteOn {
        /// Which key.
        key: Key,
        /// How fast it goes down: louder and brighter.
        velocity: Velocity,
        /// Who plays it.
        source: Source,
    },
    /// A key comes up; its damper falls unless the pedal holds it.
    NoteOff {
        /// Which key.
        key: Key,
        /// Who played it.
        source: Source,
    },
    /// The sustain pedal (controller 64), 0 to 127: 64 and above is down (MIDI 1.0). Up to 16 the dampers lie on the strings
    /// fully, and in between they touch less and less firmly, so that pedals that send such values can be half down.
    Sustain {
        /// Whose pedal.
        source: Source,
        /// The controller's value.
        value: u8,
    },
    /// The sostenuto pedal (controller 66): 64 and above is down (MIDI 1.0) and keeps the dampers up that are up then.
    Sostenuto {
        /// Whose pedal.
        source: Source,
        /// The controller's value.
        value: u8,
    },
    /// The soft pedal (controller 67), 0 to 127: softer and duller, the further down.
    UnaCorda {
        /// Whose pedal.
        source: Source,
        /// The controller's value.
        value: u8,
    },
    /// Every key of the source comes up, and its pedal.
    AllOff(Source),
    /// What is still waiting for the source, from this event's frame on, is forgotten, clicks and gains with the part.
    /// What sounds goes on, and its note-offs are forgotten too: send new ones, or [`EventKind::AllOff`].
    /// Unlike all others this takes effect when it arrives, not at its frame.
    Forget(Source),
    /// One stroke of the click.
    Click(ClickKind),
    /// A volume moves (over some milliseconds, so that it does not crackle).
    Gain {
        /// Which volume.
        bus: Bus,
        /// Where to.
        gain: Gain,
    },
}

impl EventKind {
    /// Whether this must get through even where there is no room left: key up, pedal up, all off.
    pub fn ends_sound(&self) -> bool {
        match self {
            EventKind::NoteOff { .. } | EventKind::AllOff(_) | EventKind::Forget(_) => true,
            EventKind::Sustain { value, .. } | EventKind::Sostenuto { value, .. } => *value < 64,
            EventKind::NoteOn { .. }
            | EventKind::UnaCorda { .. }
            | EventKind::Click(_)
            | EventKind::Gain { .. } => false,
        }
    }

    /// The source an event belongs to; click and gains belong to none.
    pub fn source(&self) -> Option<Source> {
        match *self {
            EventKind::NoteOn { source, .. }
            | EventKind::NoteOff { source, .. }
            | EventKind::Sustain { source, .. }
            | EventKind::Sostenuto { source, .. }
            | EventKind::UnaCorda { source, .. }
            | EventKind::AllOff(source)
            | EventKind::Forget(source) => Some(source),
            EventKind::Click(_) | EventKind::Gain { .. } => None,
        }
    }
}

/// Who plays a note. Each has keys and pedals of its own: a key that comes up on one keyboard leaves the same key of another
/// alone.
///
/// ```
/// use sound::{Port, Source};
/// let [first, second] = [0, 1].map(|at| Port::new(at).map(Source::Own));
/// assert_ne!(first, second);
/// assert_eq!(Port::new(12), None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Source {
    /// The program, from the two-hand part.
    Part,
    /// The player, on one of the keyboards (MIDI, mouse or computer keyboard). All of them have one volume.
    Own(Port),
}

/// One of the keyboards that the player plays on, 0 to 11.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Port(u8);

impl Port {
    /// The number of keyboards there can be.
    pub const COUNT: usize = 12;
    /// The first one.
    pub const FIRST: Port = Port(0);

    /// A keyboard by its number; nothing above 11.
    pub fn new(number: u8) -> Option<Port> {
        (usize::from(number) < Port::COUNT).then_some(Port(number))
    }

    /// Its number.
    pub fn number(self) -> u8 {
        self.0
    }
}

impl Source {
    /// The number of sources there are.
    pub const COUNT: usize = 1 + Port::COUNT;
    /// The player on the first keyboard, for whoever has only one.
    pub const FIRST: Source = Source::Own(Port::FIRST);

    /// All of them in a fixed order, the part first.
    pub fn all() -> impl Iterator<Item = Source> {
        std::iter::once(Source::Part).chain((0..Port::COUNT as u8).map(|number| Source::Own(Port(number))))
    }

    /// The place in [`Source::all`].
    pub fn index(self) -> usize {
        match self {
            Source::Part => 0,
            Source::Own(port) => 1 + usize::from(port.0),
        }
    }

    /// Which of the two volumes it goes through.
    pub(crate) fn bus(self) -> usize {
        match self {
            Source::Part => 0,
            Source::Own(_) => 1,
        }
    }
}

/// The strokes of the click, from the strongest to the weakest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ClickKind {
    /// The first beat of a bar.
    Accent,
    /// Any other beat.
    Beat,
    /// Between the beats.
    Subdivision,
}

/// The volumes that can be set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Bus {
    /// The part that the program plays.
    Part,
    /// What the player plays.
    Own,
    /// The click.
    Click,
    /// Everything together, before the limiter.
    Master,
}

impl Bus {
    /// All four, in a fixed order.
    pub const ALL: [Bus; 4] = [Bus::Part, Bus::Own, Bus::Click, Bus::Master];

    /// The place in [`Bus::ALL`].
    pub fn index(self) -> usize {
        match self {
            Bus::Part => 0,
            Bus::Own => 1,
            Bus::Click => 2,
            Bus::Master => 3,
        }
    }
}
