//! What turns keys into sound: the modelled piano, or the player's own bank.

use crate::bank::{BankError, BankPlayer, SoundBank};
use crate::modes::CHUNK;
use crate::piano::Piano;
use crate::voice::Strike;
use crate::{EventKind, Key, SampleRate, Source};

/// Left and right samples of each volume: the part's and the player's own.
pub(crate) type Buses = [[[f32; CHUNK]; 2]; 2];

/// An instrument for one sample rate, with all its tables; made and dropped off the sound thread.
///
/// ```
/// use sound::{Instrument, SampleRate, Synth};
/// let mut synth = Synth::new(SampleRate::DEFAULT);
/// // Made here, heard from the next block on; the old one rings out and comes back.
/// let refused = synth.replace(Instrument::piano(SampleRate::DEFAULT));
/// assert!(refused.is_none());
/// (0..100).for_each(|_| synth.render(&mut [0.0; 256], 2));
/// assert!(synth.take_spent().is_some());
/// ```
pub struct Instrument(Kind);

enum Kind {
    Piano(Box<Piano>),
    Bank(Box<BankPlayer>),
}

impl Instrument {
    /// The modelled piano (some milliseconds).
    pub fn piano(rate: SampleRate) -> Instrument {
        Instrument(Kind::Piano(Box::new(Piano::new(rate))))
    }

    /// The chosen preset of a SoundFont 2 bank. A note of it may come up to a third of a millisecond late, for the player
    /// behind it computes 16 frames at a time.
    ///
    /// # Errors
    /// [`BankError::Rate`] below 16 kHz; [`BankError::Damaged`] where a sound cannot be played as the bank asks for.
    pub fn bank(bank: &SoundBank, rate: SampleRate) -> Result<Instrument, BankError> {
        Ok(Instrument(Kind::Bank(Box::new(BankPlayer::new(bank, rate)?))))
    }

    /// Whether it gave up: a bank that turned out to be broken while it played. It is silent then.
    pub fn is_broken(&self) -> bool {
        match &self.0 {
            Kind::Piano(_) => false,
            Kind::Bank(bank) => bank.is_broken(),
        }
    }

    pub(crate) fn sounding(&self) -> usize {
        match &self.0 {
            Kind::Piano(piano) => piano.sounding(),
            Kind::Bank(bank) => bank.sounding(),
        }
    }

    pub(crate) fn is_silent(&self) -> bool {
        match &self.0 {
            Kind::Piano(piano) => piano.is_silent(),
            Kind::Bank(bank) => bank.is_silent(),
        }
    }

    /// Does what an event asks of an instrument; `false` if a note was refused.
    pub(crate) fn apply(&mut self, kind: EventKind) -> bool {
        match &mut self.0 {
            Kind::Piano(piano) => apply_to_piano(piano, kind),
            Kind::Bank(bank) => {
                bank.apply(kind);
                true
            }
        }
    }

    /// Keeps down a key that sounds and was let go in this moment; `false` where it has to be struck.
    pub(crate) fn hold(&mut self, key: Key, source: Source) -> bool {
        match &mut self.0 {
            Kind::Piano(piano) => piano.hold(key, source),
            Kind::Bank(bank) => bank.hold(key, source),
        }
    }

    pub(crate) fn add_to(&mut self, buses: &mut Buses, frames: usize) {
        match &mut self.0 {
            Kind::Piano(piano) => piano.add_to(buses, frames),
            Kind::Bank(bank) => bank.add_to(buses, frames),
        }
    }
}

fn apply_to_piano(piano: &mut Piano, kind: EventKind) -> bool {
    match kind {
        EventKind::NoteOn { key, velocity, source } => {
            return piano.note_on(Strike { key, velocity, source, soft: 0.0 });
        }
        EventKind::NoteOff { key, source } => piano.note_off(key, source),
        EventKind::Sustain { source, value } => piano.pedals(source).sustain(value),
        EventKind::Sostenuto { source, value } => piano.pedals(source).sostenuto(value),
        EventKind::UnaCorda { source, value } => piano.pedals(source).una_corda(value),
        EventKind::AllOff(source) => piano.all_off(source),
        EventKind::Forget(_) | EventKind::Click(_) | EventKind::Gain { .. } => {}
    }
    true
}
