//! The synthesiser that a sound callback calls.

use crate::click::Click;
use crate::gain::Fader;
use crate::limiter::Limiter;
use crate::modes::CHUNK;
use crate::pending::{Pending, QueueFull};
use crate::voices::{Buses, Voices};
use crate::{Bus, Event, EventKind, Gain, SampleRate};

/// Turns events into samples.
///
/// # Contract with the sound thread
///
/// Once [`Synth::new`] has returned, no method allocates, frees, locks, waits, logs or panics, and the time that
/// [`Synth::render`] takes depends only on the number of frames and of voices ([`VOICES`](crate::VOICES) and as many
/// on their way out). A test holds this while voices start, are stolen and end.
///
/// ```
/// use sound::{Event, EventKind, Key, SampleRate, Source, Synth, Velocity};
/// let mut synth = Synth::new(SampleRate::DEFAULT);
/// let (Some(key), source) = (Key::new(60), Source::Own) else { unreachable!() };
/// // In the middle of the coming block, whatever its frame number is.
/// synth.schedule_in(64, EventKind::NoteOn { key, velocity: Velocity::clamped(90), source })?;
/// let mut block = [0.0; 2 * 128];
/// synth.render(&mut block, 2);
/// assert!(block[..2 * 64].iter().all(|sample| *sample == 0.0));
/// assert!(block[2 * 64..].iter().any(|sample| *sample != 0.0));
/// # Ok::<(), sound::QueueFull>(())
/// ```
pub struct Synth {
    frame: u64,
    pending: Pending,
    voices: Voices,
    click: Click,
    faders: [Fader; 4],
    limiter: Limiter,
    buses: Box<Buses>,
    clicks: Box<[f32; CHUNK]>,
    refused: u64,
}

impl Synth {
    /// Builds all tables for a sample rate (some milliseconds: not for the sound thread). Every gain is at unity.
    pub fn new(rate: SampleRate) -> Synth {
        Synth::starting_at(rate, 0)
    }

    /// As [`Synth::new`], with frames counted from `frame`: for a stream that takes over from another.
    pub fn starting_at(rate: SampleRate, frame: u64) -> Synth {
        Synth {
            frame,
            pending: Pending::new(),
            voices: Voices::new(rate),
            click: Click::new(rate),
            faders: [Fader::new(rate, Gain::UNITY); 4],
            limiter: Limiter::new(rate),
            buses: Box::new([[[0.0; CHUNK]; 2]; 2]),
            clicks: Box::new([0.0; CHUNK]),
            refused: 0,
        }
    }

    /// The next frame to be rendered.
    pub fn frame(&self) -> u64 {
        self.frame
    }

    /// Notes that sound now, without those on their way out.
    pub fn sounding(&self) -> usize {
        self.voices.sounding()
    }

    /// Notes that were refused for want of any voice; stays 0 unless some fifty notes start within milliseconds.
    pub fn refused(&self) -> u64 {
        self.refused
    }

    /// Keeps an event for its frame. One whose frame is past sounds on the next frame.
    ///
    /// # Errors
    /// [`QueueFull`]; what ends a sound has room of its own.
    pub fn schedule(&mut self, event: Event) -> Result<(), QueueFull> {
        if let EventKind::Forget(source) = event.kind {
            self.pending.forget(source, event.frame);
            return Ok(());
        }
        self.pending.push(Event { frame: event.frame.max(self.frame), ..event })
    }

    /// Keeps an event for a place in the block to come: `offset` frames after its first.
    ///
    /// # Errors
    /// As [`Synth::schedule`].
    pub fn schedule_in(&mut self, offset: u32, kind: EventKind) -> Result<(), QueueFull> {
        self.schedule(Event { frame: self.frame + u64::from(offset), kind })
    }

    /// Moves a volume from the next frame on.
    pub fn set_gain(&mut self, bus: Bus, gain: Gain) {
        self.faders[bus.index()].move_to(gain);
    }

    /// Renders the next `out.len() / channels` frames, interleaved. The first two channels are left and right, any more
    /// stay silent; a single one carries both. With no channels the block is silent and time stands still.
    pub fn render(&mut self, out: &mut [f32], channels: usize) {
        let frames = out.len().checked_div(channels).unwrap_or(0);
        let (mut block, rest) = out.split_at_mut(frames * channels);
        rest.fill(0.0);
        while !block.is_empty() {
            self.apply_due();
            let chunk = self.chunk(block.len() / channels);
            let (now, later) = block.split_at_mut(chunk * channels);
            self.render_chunk(now, channels, chunk);
            self.frame += chunk as u64;
            block = later;
        }
    }

    /// Lets frames pass unheard: what falls due takes place, nothing is computed. For when there is no device.
    pub fn skip(&mut self, frames: u64) {
        self.frame += frames;
        while let Some(event) = self.pending.pop_due(self.frame.saturating_sub(1)) {
            if let EventKind::Gain { bus, gain } = event.kind {
                self.set_gain(bus, gain);
            }
        }
    }

    /// How many frames to compute before something happens.
    fn chunk(&self, frames: usize) -> usize {
        let quiet = self.pending.next_frame().map_or(u64::MAX, |next| next.saturating_sub(self.frame));
        // Never none, or the block would have no end.
        frames.min(CHUNK).min(usize::try_from(quiet).unwrap_or(CHUNK)).max(1)
    }

    fn apply_due(&mut self) {
        while let Some(event) = self.pending.pop_due(self.frame) {
            self.apply(event.kind);
        }
    }

    fn apply(&mut self, kind: EventKind) {
        match kind {
            EventKind::NoteOn { key, velocity, source } => {
                if !self.voices.note_on(key, velocity, source) {
                    self.refused += 1;
                }
            }
            EventKind::NoteOff { key, source } => self.voices.note_off(key, source),
            EventKind::Sustain { source, value } => self.voices.sustain(source, value >= 64),
            EventKind::AllOff(source) => self.voices.all_off(source),
            EventKind::Forget(source) => self.pending.forget(source, self.frame),
            EventKind::Click(kind) => self.click.strike(kind),
            EventKind::Gain { bus, gain } => self.set_gain(bus, gain),
        }
    }

    fn render_chunk(&mut self, out: &mut [f32], channels: usize, frames: usize) {
        if self.voices.is_silent() && self.click.is_silent() {
            out.fill(0.0);
            self.faders.iter_mut().for_each(Fader::settle);
            return;
        }
        for side in self.buses.iter_mut().flatten() {
            side[..frames].fill(0.0);
        }
        self.clicks[..frames].fill(0.0);
        self.voices.add_to(&mut self.buses, frames);
        self.click.add_to(&mut self.clicks[..frames]);
        for (at, frame) in out.chunks_exact_mut(channels).enumerate() {
            let (left, right) = self.mix(at);
            place(frame, left, right);
        }
    }

    /// One frame of all sources through their gains and the limiter.
    fn mix(&mut self, at: usize) -> (f32, f32) {
        let [part, own, click, master] = self.faders.each_mut().map(Fader::next);
        let [[part_left, part_right], [own_left, own_right]] = &*self.buses;
        let middle = click * self.clicks[at];
        let left = part * part_left[at] + own * own_left[at] + middle;
        let right = part * part_right[at] + own * own_right[at] + middle;
        self.limiter.next(master * left, master * right)
    }
}

fn place(frame: &mut [f32], left: f32, right: f32) {
    match frame {
        [only] => *only = 0.5 * (left + right),
        [first, second, others @ ..] => {
            (*first, *second) = (left, right);
            others.fill(0.0);
        }
        [] => {}
    }
}
