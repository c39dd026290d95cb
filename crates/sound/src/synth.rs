//! The synthesiser that a sound callback calls.

use crate::again::Again;
use crate::click::Click;
use crate::gain::Fader;
use crate::instrument::Buses;
use crate::limiter::Limiter;
use crate::modes::CHUNK;
use crate::pending::{Pending, QueueFull, Waiting};
use crate::room::Room;
use crate::{Bus, Event, EventKind, Gain, Instrument, SampleRate, Source, VelocityCurve};

/// Seconds in which an instrument that was replaced fades away.
const RING_OUT: f32 = 0.15;

/// Turns events into samples.
///
/// # Contract with the sound thread
///
/// Once it is made, no method but [`Synth::new`], [`Synth::starting_at`] and [`Synth::with_instrument`] allocates, frees, locks, waits, logs or panics, and the time that
/// [`Synth::render`] takes depends only on the number of frames and of voices ([`VOICES`](crate::VOICES) and as many
/// on their way out). A test holds this while voices start, are stolen and end.
///
/// ```
/// use sound::{Event, EventKind, Key, SampleRate, Source, Synth, Velocity};
/// let mut synth = Synth::new(SampleRate::DEFAULT);
/// let (Some(key), source) = (Key::new(60), Source::FIRST) else { unreachable!() };
/// // In the middle of the coming block, whatever its frame number is.
/// synth.schedule_in(64, EventKind::NoteOn { key, velocity: Velocity::clamped(90), source })?;
/// let mut block = [0.0; 2 * 128];
/// synth.render(&mut block, 2);
/// assert!(block[..2 * 64].iter().all(|sample| *sample == 0.0));
/// assert!(block[2 * 64..].iter().any(|sample| *sample != 0.0));
/// # Ok::<(), sound::QueueFull>(())
/// ```
pub struct Synth {
    rate: SampleRate,
    frame: u64,
    pending: Pending,
    again: Again,
    instrument: Instrument,
    /// The one before, while it rings out and until it is fetched.
    outgoing: Option<Outgoing>,
    curve: VelocityCurve,
    /// Where everybody's pedals stand, for an instrument that takes over: sustain, sostenuto, una corda.
    pedals: [[u8; 3]; Source::COUNT],
    room: Room,
    click: Click,
    faders: [Fader; 4],
    limiter: Limiter,
    buses: Box<Buses>,
    spare: Box<Buses>,
    clicks: Box<[f32; CHUNK]>,
    refused: u64,
}

struct Outgoing {
    instrument: Instrument,
    gain: f32,
    step: f32,
}

impl Synth {
    /// Builds all tables for a sample rate (some milliseconds: not for the sound thread). Every gain is at unity.
    pub fn new(rate: SampleRate) -> Synth {
        Synth::starting_at(rate, 0)
    }

    /// As [`Synth::new`], with frames counted from `frame`: for a stream that takes over from another.
    pub fn starting_at(rate: SampleRate, frame: u64) -> Synth {
        Synth::with_instrument(rate, frame, Instrument::piano(rate))
    }

    /// As [`Synth::starting_at`], with an instrument of the same rate.
    pub fn with_instrument(rate: SampleRate, frame: u64, instrument: Instrument) -> Synth {
        Synth {
            rate,
            frame,
            pending: Pending::new(),
            again: Again::new(rate),
            instrument,
            outgoing: None,
            curve: VelocityCurve::Even,
            pedals: [[0; 3]; Source::COUNT],
            room: Room::new(rate),
            click: Click::new(rate),
            faders: [Fader::new(rate, Gain::UNITY); 4],
            limiter: Limiter::new(rate),
            buses: Box::new([[[0.0; CHUNK]; 2]; 2]),
            spare: Box::new([[[0.0; CHUNK]; 2]; 2]),
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
        self.instrument.sounding()
    }

    /// Notes that were refused for want of any voice; stays 0 unless some fifty notes start within milliseconds.
    pub fn refused(&self) -> u64 {
        self.refused
    }

    /// Plays another instrument from the next frame on, with the pedals where they stand. Keys that are down go up in the old
    /// one, which fades within a moment and then waits in [`Synth::take_spent`]; until it was fetched the next one is refused and handed back.
    #[must_use = "an instrument that is dropped here is freed on the sound thread"]
    pub fn replace(&mut self, instrument: Instrument) -> Option<Instrument> {
        if self.outgoing.is_some() {
            return Some(instrument);
        }
        let mut old = std::mem::replace(&mut self.instrument, instrument);
        Source::all().for_each(|source| {
            old.apply(EventKind::AllOff(source));
        });
        Source::all().for_each(|source| self.press_pedals(source));
        let step = 1.0 / (RING_OUT * self.rate.hertz() as f32);
        self.outgoing = Some(Outgoing { instrument: old, gain: 1.0, step });
        None
    }

    /// The instrument that was replaced, once it is silent: to be dropped on another thread.
    pub fn take_spent(&mut self) -> Option<Instrument> {
        let faded = self.outgoing.as_ref().is_some_and(|old| old.gain <= 0.0 || old.instrument.is_silent());
        if faded { self.outgoing.take().map(|old| old.instrument) } else { None }
    }

    /// Whether the instrument gave up: see [`Instrument::is_broken`].
    pub fn is_broken(&self) -> bool {
        self.instrument.is_broken()
    }

    /// How the player's touch sounds from the next note on; the part is played as written.
    pub fn set_curve(&mut self, curve: VelocityCurve) {
        self.curve = curve;
    }

    /// Keeps an event for its frame. One whose frame is past sounds on the next frame; but where the part is taken back
    /// ([`EventKind::Forget`], [`EventKind::AllOff`]) and sent anew, a stroke of a key or of the click that sounds already
    /// goes on and is not struck twice.
    ///
    /// # Errors
    /// [`QueueFull`]; what ends a sound has room of its own.
    pub fn schedule(&mut self, event: Event) -> Result<(), QueueFull> {
        if let EventKind::Forget(source) = event.kind {
            self.pending.forget(source, event.frame);
            return Ok(());
        }
        self.pending.push(event, self.frame)
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
        if let Some(old) = &mut self.outgoing {
            old.gain = 0.0;
        }
        while let Some(due) = self.pending.pop_due(self.frame.saturating_sub(1)) {
            if let EventKind::Gain { bus, gain } = due.event.kind {
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
        while let Some(due) = self.pending.pop_due(self.frame) {
            self.apply(due);
        }
    }

    fn apply(&mut self, Waiting { event, meant }: Waiting) {
        match event.kind {
            EventKind::Forget(source) => self.pending.forget(source, self.frame),
            EventKind::Click(kind) => {
                if !self.again.click(meant) {
                    self.click.strike(kind);
                }
            }
            EventKind::NoteOn { key, source: Source::Part, .. } => {
                if !self.again.key(key, meant) || !self.instrument.hold(key, Source::Part) {
                    self.pass_on(event.kind);
                }
            }
            EventKind::Gain { bus, gain } => self.set_gain(bus, gain),
            EventKind::NoteOn { key, velocity, source: source @ Source::Own(_) } => {
                let velocity = self.curve.apply(velocity);
                self.pass_on(EventKind::NoteOn { key, velocity, source });
            }
            other => self.pass_on(other),
        }
    }

    /// Brings the pedals of a source to where they stand. What the sostenuto pedal had caught is gone.
    fn press_pedals(&mut self, source: Source) {
        let [sustain, sostenuto, una_corda] = self.pedals[source.index()];
        let pressed = [
            (sostenuto, EventKind::Sostenuto { source, value: sostenuto }),
            (sustain, EventKind::Sustain { source, value: sustain }),
            (una_corda, EventKind::UnaCorda { source, value: una_corda }),
        ];
        for (_, kind) in pressed.into_iter().filter(|(value, _)| *value > 0) {
            self.instrument.apply(kind);
        }
    }

    fn note_pedals(&mut self, kind: EventKind) {
        match kind {
            EventKind::Sustain { source, value } => self.pedals[source.index()][0] = value,
            EventKind::Sostenuto { source, value } => self.pedals[source.index()][1] = value,
            EventKind::UnaCorda { source, value } => self.pedals[source.index()][2] = value,
            EventKind::AllOff(source) => self.pedals[source.index()] = [0; 3],
            _ => {}
        }
    }

    fn pass_on(&mut self, kind: EventKind) {
        self.note_pedals(kind);
        if !self.instrument.apply(kind) {
            self.refused += 1;
        }
    }

    fn render_chunk(&mut self, out: &mut [f32], channels: usize, frames: usize) {
        if self.is_silent() {
            out.fill(0.0);
            self.faders.iter_mut().for_each(Fader::settle);
            return;
        }
        silence(&mut self.buses, frames);
        self.clicks[..frames].fill(0.0);
        self.instrument.add_to(&mut self.buses, frames);
        if let Some(old) = &mut self.outgoing {
            silence(&mut self.spare, frames);
            old.add_to(&mut self.spare, &mut self.buses, frames);
        }
        self.click.add_to(&mut self.clicks[..frames]);
        self.mix(out, channels, frames);
    }

    /// Whether nothing sounds any more, and nothing waits to.
    pub(crate) fn is_over(&self) -> bool {
        self.pending.next_frame().is_none() && self.is_silent()
    }

    fn is_silent(&self) -> bool {
        let old = self.outgoing.as_ref().is_none_or(|old| old.gain <= 0.0 || old.instrument.is_silent());
        old && self.instrument.is_silent() && self.click.is_silent() && self.room.is_silent()
    }

    /// All sources through their gains, the room and the limiter. The click stays out of the room, to be clear.
    fn mix(&mut self, out: &mut [f32], channels: usize, frames: usize) {
        let [part, own, click, master] = &mut self.faders;
        let [[part_left, part_right], [own_left, own_right]] = &mut *self.buses;
        let (left, right) = (&mut part_left[..frames], &mut part_right[..frames]);
        for at in 0..frames {
            let (part, own) = (part.next(), own.next());
            left[at] = part * left[at] + own * own_left[at];
            right[at] = part * right[at] + own * own_right[at];
        }
        self.room.add_to(left, right);
        for (at, frame) in out.chunks_exact_mut(channels).enumerate() {
            let (middle, master) = (click.next() * self.clicks[at], master.next());
            let (left, right) =
                self.limiter.next(master * (left[at] + middle), master * (right[at] + middle));
            place(frame, left, right);
        }
    }
}

impl Outgoing {
    fn add_to(&mut self, spare: &mut Buses, buses: &mut Buses, frames: usize) {
        if self.gain <= 0.0 {
            return;
        }
        self.instrument.add_to(spare, frames);
        for at in 0..frames {
            // Level at both ends, so that nothing snaps.
            let gain = self.gain * self.gain * (3.0 - 2.0 * self.gain);
            self.gain = (self.gain - self.step).max(0.0);
            for (bus, spare) in buses.iter_mut().flatten().zip(spare.iter().flatten()) {
                bus[at] += gain * spare[at];
            }
        }
    }
}

fn silence(buses: &mut Buses, frames: usize) {
    for side in buses.iter_mut().flatten() {
        side[..frames].fill(0.0);
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
