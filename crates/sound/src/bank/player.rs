//! A bank as an instrument.

use std::panic::{AssertUnwindSafe, catch_unwind};

use rustysynth::{Synthesizer, SynthesizerSettings};

use super::{BankError, SoundBank, runaway};
use crate::event::Source;
use crate::instrument::Buses;
use crate::modes::CHUNK;
use crate::pedals::Pedals;
use crate::{EventKind, Key, SampleRate};

/// Frames the player behind this computes in one go, and by which a note may therefore come late: a third of a
/// millisecond at 48 kHz.
const STEP: usize = 16;
/// Voices of a player, as many as it can have: banks use two or more for a note, and what is stolen here stops short.
const POLYPHONY: usize = 256;
/// MIDI's channel for drums, which no keyboard gets.
const DRUMS: usize = 9;
/// Seconds of exact silence, with no key down, after which nothing is computed any more.
const REST: f64 = 0.5;
/// Seconds for which the part's keys, let go all at once, stay down: a stroke that is handed over once more within that time
/// goes on.
const GRACE: f64 = 0.015;
/// Brings a bank to about the loudness of the modelled piano.
const LEVEL: f32 = 4.0;

/// Plays a bank: one player for the part, one for the keyboards, each of which has a channel to itself.
///
/// # Contract with the sound thread
///
/// Nothing is allocated, locked or freed; a test holds it. Were a bank so broken that the player stumbles in spite of
/// all checks, that is caught, which prints and allocates once; then this is silent and says that it is broken.
pub(crate) struct BankPlayer {
    players: [Synthesizer; 2],
    pedals: [Pedals; Source::COUNT],
    /// Key-ups that the sostenuto pedal holds back.
    waiting: [u128; Source::COUNT],
    /// Keys of the part that are about to come up, and in how many frames.
    leaving: u128,
    leave_in: u64,
    grace: u64,
    scratch: Box<[[f32; CHUNK]; 2]>,
    /// Frames of silence so far, for each player.
    quiet: [u64; 2],
    rest: u64,
    broken: bool,
}

impl BankPlayer {
    pub(crate) fn new(bank: &SoundBank, rate: SampleRate) -> Result<BankPlayer, BankError> {
        let preset = bank.font.get_presets().get(bank.preset).ok_or(BankError::Empty)?;
        if runaway::runs_away(&bank.font, preset, f64::from(rate.hertz())) {
            return Err(BankError::Damaged("a sound leaves its loop".to_owned()));
        }
        let mut settings = SynthesizerSettings::new(rate.hertz().cast_signed());
        settings.block_size = STEP;
        settings.maximum_polyphony = POLYPHONY;
        // The room is our own.
        settings.enable_reverb_and_chorus = false;
        let player = || -> Result<Synthesizer, BankError> {
            let made = catch_unwind(AssertUnwindSafe(|| Synthesizer::new(&bank.font, &settings)));
            let made = made.map_err(|_| BankError::Damaged("it cannot be set up".to_owned()))?;
            let mut player = made.map_err(|_| BankError::Rate(rate.hertz()))?;
            for channel in (0..16).filter(|channel| *channel != DRUMS as i32) {
                player.process_midi_message(channel, 0xb0, 0, preset.get_bank_number());
                player.process_midi_message(channel, 0xc0, preset.get_patch_number(), 0);
            }
            Ok(player)
        };
        Ok(BankPlayer {
            players: [player()?, player()?],
            pedals: [Pedals::UP; Source::COUNT],
            waiting: [0; Source::COUNT],
            leaving: 0,
            leave_in: 0,
            grace: rate.frames(GRACE),
            scratch: Box::new([[0.0; CHUNK]; 2]),
            quiet: [u64::MAX; 2],
            rest: rate.frames(REST),
            broken: false,
        })
    }

    pub(crate) fn is_broken(&self) -> bool {
        self.broken
    }

    /// Keys that are down; the player behind this does not tell how many of its voices sound.
    pub(crate) fn sounding(&self) -> usize {
        self.pedals.iter().map(|pedals| pedals.down().count_ones() as usize).sum()
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.broken || self.quiet.iter().all(|quiet| *quiet >= self.rest)
    }

    pub(crate) fn apply(&mut self, kind: EventKind) {
        if !self.broken {
            self.broken = catch_unwind(AssertUnwindSafe(|| self.pass_on(kind))).is_err();
        }
    }

    fn pass_on(&mut self, kind: EventKind) {
        let Some(source) = kind.source() else { return };
        let at = source.index();
        match kind {
            EventKind::NoteOn { key, velocity, .. } => {
                if source == Source::Part && self.leaving & bit(key) != 0 {
                    self.leaving &= !bit(key);
                    self.key_up(source, key);
                }
                self.pedals[at].key(key, true);
                self.waiting[at] &= !bit(key);
                let softer = 1.0 - 0.3 * self.pedals[at].soft;
                let velocity = (f32::from(velocity.get()) * softer).max(1.0) as i32;
                let (player, channel) = self.player(source);
                player.note_on(channel, i32::from(key.midi()), velocity);
                self.quiet[source.bus()] = 0;
            }
            EventKind::NoteOff { key, .. } => {
                self.pedals[at].key(key, false);
                if self.pedals[at].is_caught(key) {
                    self.waiting[at] |= bit(key);
                } else {
                    self.key_up(source, key);
                }
            }
            EventKind::Sustain { value, .. } => {
                self.pedals[at].sustain(value);
                let (player, channel) = self.player(source);
                player.process_midi_message(channel, 0xb0, 64, i32::from(value.min(127)));
            }
            EventKind::Sostenuto { value, .. } => {
                self.pedals[at].sostenuto(value);
                if value < 64 {
                    self.let_go(source);
                }
            }
            EventKind::UnaCorda { value, .. } => self.pedals[at].una_corda(value),
            EventKind::AllOff(_) => {
                let down = self.pedals[at].down() | std::mem::take(&mut self.waiting[at]);
                self.pedals[at] = Pedals::UP;
                let (player, channel) = self.player(source);
                player.process_midi_message(channel, 0xb0, 64, 0);
                if source == Source::Part {
                    (self.leaving, self.leave_in) = (self.leaving | down, self.grace);
                } else {
                    player.note_off_all_channel(channel, false);
                }
            }
            EventKind::Forget(_) | EventKind::Click(_) | EventKind::Gain { .. } => {}
        }
    }

    /// Keeps down a key of the part that was let go with all others a moment ago; `false` where there is none.
    pub(crate) fn hold(&mut self, key: Key, source: Source) -> bool {
        let held = !self.broken && source == Source::Part && self.leaving & bit(key) != 0;
        if held {
            self.leaving &= !bit(key);
            self.pedals[source.index()].key(key, true);
        }
        held
    }

    fn let_go(&mut self, source: Source) {
        let waiting = std::mem::take(&mut self.waiting[source.index()]);
        self.keys_up(source, waiting);
    }

    fn keys_up(&mut self, source: Source, keys: u128) {
        for key in Key::all().filter(|key| keys & bit(*key) != 0) {
            self.key_up(source, key);
        }
    }

    /// Lets frames pass for the keys that are about to come up.
    fn leave(&mut self, frames: usize) {
        if self.leaving != 0 && self.leave_in == 0 {
            let leaving = std::mem::take(&mut self.leaving);
            self.keys_up(Source::Part, leaving);
        }
        self.leave_in = self.leave_in.saturating_sub(frames as u64);
    }

    fn key_up(&mut self, source: Source, key: Key) {
        let (player, channel) = self.player(source);
        player.note_off(channel, i32::from(key.midi()));
    }

    fn player(&mut self, source: Source) -> (&mut Synthesizer, i32) {
        let channel = match source {
            Source::Part => 0,
            Source::Own(port) => usize::from(port.number()),
        };
        let channel = if channel < DRUMS { channel } else { channel + 1 };
        (&mut self.players[source.bus()], channel as i32)
    }

    pub(crate) fn add_to(&mut self, buses: &mut Buses, frames: usize) {
        if !self.broken {
            self.broken |= catch_unwind(AssertUnwindSafe(|| self.render(buses, frames))).is_err();
        }
    }

    fn render(&mut self, buses: &mut Buses, frames: usize) {
        self.leave(frames);
        let [left, right] = self.scratch.each_mut().map(|side| &mut side[..frames]);
        for (at, (player, bus)) in self.players.iter_mut().zip(buses).enumerate() {
            if self.quiet[at] >= self.rest {
                continue;
            }
            player.render(left, right);
            if !left.iter().chain(&*right).all(|sample| sample.is_finite()) {
                // It would stay in the room for ever.
                self.broken = true;
                return;
            }
            let silent = left.iter().chain(&*right).all(|sample| *sample == 0.0);
            let held =
                Source::all().any(|source| source.bus() == at && self.pedals[source.index()].down() != 0);
            self.quiet[at] = if silent && !held { self.quiet[at] + frames as u64 } else { 0 };
            for (side, sound) in bus.iter_mut().zip([&*left, &*right]) {
                for (sample, sound) in side.iter_mut().zip(sound) {
                    *sample += LEVEL * sound;
                }
            }
        }
    }
}

fn bit(key: Key) -> u128 {
    1 << key.midi()
}
