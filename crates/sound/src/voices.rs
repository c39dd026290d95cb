//! All voices: which one a note gets, and which one makes room.

use crate::modes::{CHUNK, LANES, LaneRows};
use crate::strings::Strings;
use crate::voice::{Hold, Voice};
use crate::{Key, SampleRate, Source, Velocity};

/// Notes that sound at once.
pub const VOICES: usize = 32;
/// Places for voices that are on their way out while the note that replaces them already sounds.
const LEAVING: usize = 32;
/// A stolen voice, or one whose string is struck again, falls by 60 dB in this many seconds.
const STOLEN: f32 = 0.012;
const STRUCK_AGAIN: f32 = 0.05;

/// The voices of a synthesiser.
pub(crate) struct Voices {
    rate: SampleRate,
    strings: Box<[Strings]>,
    slots: Box<[Voice]>,
    pedal: [bool; 2],
    begun: u64,
    rows: Box<LaneRows>,
}

/// Left and right samples of each source.
pub(crate) type Buses = [[[f32; CHUNK]; 2]; 2];

impl Voices {
    pub(crate) fn new(rate: SampleRate) -> Voices {
        Voices {
            rate,
            strings: Key::all().map(|key| Strings::new(key, rate)).collect(),
            slots: (0..VOICES + LEAVING).map(|_| Voice::silent()).collect(),
            pedal: [false; 2],
            begun: 0,
            rows: Box::new([[0.0; LANES]; CHUNK]),
        }
    }

    /// Notes that sound, without those on their way out.
    pub(crate) fn sounding(&self) -> usize {
        self.slots.iter().filter(|voice| !voice.is_free() && voice.hold != Hold::Leaving).count()
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.slots.iter().all(Voice::is_free)
    }

    /// Starts a note. It is refused, with `false`, only while more than a whole set of voices is on its way out.
    pub(crate) fn note_on(&mut self, key: Key, velocity: Velocity, source: Source) -> bool {
        let rate = self.rate;
        let again =
            |voice: &&mut Voice| voice.key == key && voice.source == source && voice.hold != Hold::Leaving;
        for voice in self.slots.iter_mut().filter(|voice| !voice.is_free()).filter(again) {
            voice.leave(rate, STRUCK_AGAIN);
        }
        if self.sounding() >= VOICES {
            self.steal();
        }
        let Some(voice) = self.slots.iter_mut().find(|voice| voice.is_free()) else {
            return false;
        };
        self.begun += 1;
        voice.began = self.begun;
        voice.strike(key, velocity, source, &self.strings[usize::from(key.midi())], rate);
        true
    }

    pub(crate) fn note_off(&mut self, key: Key, source: Source) {
        let (rate, pedal) = (self.rate, self.pedal[source.index()]);
        for voice in self.of(source).filter(|voice| voice.key == key && voice.hold == Hold::Key) {
            if pedal {
                voice.hold = Hold::Pedal;
            } else {
                voice.release(rate);
            }
        }
    }

    pub(crate) fn sustain(&mut self, source: Source, down: bool) {
        let rate = self.rate;
        self.pedal[source.index()] = down;
        if !down {
            self.of(source).filter(|voice| voice.hold == Hold::Pedal).for_each(|voice| voice.release(rate));
        }
    }

    pub(crate) fn all_off(&mut self, source: Source) {
        let rate = self.rate;
        self.pedal[source.index()] = false;
        self.of(source).for_each(|voice| voice.release(rate));
    }

    /// Adds the next frames of every voice to the bus of its source.
    pub(crate) fn add_to(&mut self, buses: &mut Buses, frames: usize) {
        for voice in self.slots.iter_mut().filter(|voice| !voice.is_free()) {
            let [left, right] = &mut buses[voice.source.index()];
            voice.add_to(&mut left[..frames], &mut right[..frames], &mut self.rows);
        }
    }

    fn of(&mut self, source: Source) -> impl Iterator<Item = &mut Voice> {
        self.slots.iter_mut().filter(move |voice| voice.source == source && !voice.is_free())
    }

    /// The quietest note goes, and among notes alike the oldest; damped notes count as quieter than held ones.
    fn steal(&mut self) {
        let rate = self.rate;
        let weight = |voice: &Voice| {
            voice.loudness()
                * match voice.hold {
                    Hold::Key => 16.0,
                    Hold::Pedal => 4.0,
                    Hold::Released | Hold::Leaving => 1.0,
                }
        };
        let quietest = self
            .slots
            .iter_mut()
            .filter(|voice| !voice.is_free() && voice.hold != Hold::Leaving)
            .min_by(|one, other| weight(one).total_cmp(&weight(other)).then(one.began.cmp(&other.began)));
        if let Some(voice) = quietest {
            voice.leave(rate, STOLEN);
        }
    }
}
