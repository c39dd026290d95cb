//! The modelled piano: which voice a note gets, which one makes room, what pedals do.

use crate::event::Source;
use crate::instrument::Buses;
use crate::modes::{CHUNK, LANES, LaneRows};
use crate::pedals::Pedals;
use crate::resonance::Resonance;
use crate::strings::{Strings, has_damper};
use crate::voice::{Strike, Voice};
use crate::{Key, SampleRate};

/// Notes that sound at once.
pub const VOICES: usize = 64;
/// Places for voices that are on their way out while the note that replaces them already sounds.
const LEAVING: usize = 32;
/// Seconds in which a stolen voice goes, one whose string is struck again, and one that nothing would damp.
const STOLEN: f32 = 0.012;
const STRUCK_AGAIN: f32 = 0.03;
const STOPPED: f32 = 0.08;

/// Strings, voices and pedals.
pub(crate) struct Piano {
    rate: SampleRate,
    strings: Box<[Strings]>,
    slots: Box<[Voice]>,
    pedals: [Pedals; Source::COUNT],
    resonances: [Resonance; 2],
    begun: u64,
    rows: Box<LaneRows>,
    /// What sounds without a pedal, and so reaches no open strings.
    dry: Box<Buses>,
}

impl Piano {
    pub(crate) fn new(rate: SampleRate) -> Piano {
        Piano {
            rate,
            strings: Key::all().map(|key| Strings::new(key, rate)).collect(),
            slots: (0..VOICES + LEAVING).map(|_| Voice::silent()).collect(),
            pedals: [Pedals::UP; Source::COUNT],
            resonances: [Resonance::new(rate), Resonance::new(rate)],
            begun: 0,
            rows: Box::new([[0.0; LANES]; CHUNK]),
            dry: Box::new([[[0.0; CHUNK]; 2]; 2]),
        }
    }

    /// Notes that sound now, without those on their way out.
    pub(crate) fn sounding(&self) -> usize {
        self.slots.iter().filter(|voice| !voice.is_free() && !voice.is_leaving()).count()
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.slots.iter().all(Voice::is_free) && self.resonances.iter().all(Resonance::is_silent)
    }

    pub(crate) fn pedals(&mut self, source: Source) -> &mut Pedals {
        &mut self.pedals[source.index()]
    }

    /// Starts a note. It is refused, with `false`, only while more than half a set of voices is on its way out.
    pub(crate) fn note_on(&mut self, strike: Strike) -> bool {
        let (rate, Strike { key, source, velocity, .. }) = (self.rate, strike);
        self.pedals(source).key(key, true);
        for voice in self.of(source).filter(|voice| voice.key == key) {
            voice.leave(rate, STRUCK_AGAIN);
        }
        if self.sounding() >= VOICES {
            self.steal();
        }
        let contact = self.pedals[source.index()].contact;
        let Some(voice) = self.slots.iter_mut().find(|voice| voice.is_free()) else {
            return false;
        };
        self.begun += 1;
        voice.began = self.begun;
        let soft = self.pedals[source.index()].soft;
        voice.strike(&Strike { soft, ..strike }, &self.strings[usize::from(key.midi())], rate);
        self.resonances[source.bus()].knock(velocity.share().powf(1.5), contact);
        true
    }

    pub(crate) fn note_off(&mut self, key: Key, source: Source) {
        self.pedals(source).key(key, false);
    }

    /// Keeps down a key that still sounds; `false` where there is nothing left of it.
    pub(crate) fn hold(&mut self, key: Key, source: Source) -> bool {
        let sounds = self.of(source).any(|voice| voice.key == key && !voice.is_leaving());
        if sounds {
            self.pedals(source).key(key, true);
        }
        sounds
    }

    /// Every key and pedal of the source comes up; what has no damper is stopped all the same.
    pub(crate) fn all_off(&mut self, source: Source) {
        let rate = self.rate;
        *self.pedals(source) = Pedals::UP;
        self.of(source).filter(|voice| !has_damper(voice.key)).for_each(|voice| voice.leave(rate, STOPPED));
    }

    /// Adds the next frames of every voice to the bus of its source.
    pub(crate) fn add_to(&mut self, buses: &mut Buses, frames: usize) {
        self.add_voices(buses, frames, false);
        *self.dry = *buses;
        self.add_voices(buses, frames, true);
        for (bus, sides) in buses.iter_mut().enumerate() {
            let contact = self.contact(bus);
            let sides = sides.each_mut().map(|side| &mut side[..frames]);
            self.resonances[bus].add_to(sides, &self.dry[bus], contact);
        }
    }

    /// Adds the voices of those whose pedal is down at all, or of the others.
    fn add_voices(&mut self, buses: &mut Buses, frames: usize, pedal: bool) {
        for voice in self.slots.iter_mut().filter(|voice| !voice.is_free()) {
            let pedals = &self.pedals[voice.source.index()];
            if (pedals.contact < 1.0) == pedal {
                let sides = buses[voice.source.bus()].each_mut().map(|side| &mut side[..frames]);
                let strings = &self.strings[usize::from(voice.key.midi())];
                voice.add_to(sides, &mut self.rows, strings, pedals.contact_of(voice.key), self.rate);
            }
        }
    }

    /// How firmly the dampers of unstruck strings lie: as by the deepest pedal of all who play on this bus.
    fn contact(&self, bus: usize) -> f32 {
        let of_bus = Source::all().filter(|source| source.bus() == bus);
        of_bus.map(|source| self.pedals[source.index()].contact).fold(1.0, f32::min)
    }

    fn of(&mut self, source: Source) -> impl Iterator<Item = &mut Voice> {
        self.slots.iter_mut().filter(move |voice| voice.source == source && !voice.is_free())
    }

    /// The quietest note goes, and among notes alike the oldest; damped notes count as quieter than held ones.
    fn steal(&mut self) {
        let (rate, pedals) = (self.rate, &self.pedals);
        let weight = |voice: &Voice| {
            let pedals = &pedals[voice.source.index()];
            let hold = match (pedals.is_down(voice.key), pedals.holds(voice.key)) {
                (true, _) => 16.0,
                (false, true) => 4.0,
                (false, false) => 1.0,
            };
            voice.loudness() * hold
        };
        let quietest = self
            .slots
            .iter_mut()
            .filter(|voice| !voice.is_free() && !voice.is_leaving())
            .min_by(|one, other| weight(one).total_cmp(&weight(other)).then(one.began.cmp(&other.began)));
        if let Some(voice) = quietest {
            voice.leave(rate, STOLEN);
        }
    }
}
