//! One sound stream, built and dropped on a thread of its own: a dead device can block both.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender};
use std::time::{Duration, Instant};

use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{
    self, BufferSize, Device, ErrorKind, FromSample, OutputCallbackInfo, SampleFormat, SizedSample,
    StreamConfig,
};
use rtrb::{Consumer, Producer, RingBuffer};
use sound::SampleRate;

use super::engine::Engine;
use super::outputs::{SoundChoice, output_named};
use super::priority::come_first;
use super::quiet::quiet_driver;
use super::status::SoundStatus;

/// Frames converted at a time for devices that do not take `f32`: more than any block that is asked for.
const SCRATCH: usize = 8_192;
/// Backend errors after which a stream that still calls back is given up.
const STORM: u32 = 50;

/// What is to be opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Wanted {
    pub(super) output: SoundChoice,
    /// Frames in a block, 32 to 4096; the device may choose otherwise.
    pub(super) buffer: u32,
}

/// A stream that was opened; it is silent until it is given an engine.
pub(super) struct Opened {
    pub(super) status: SoundStatus,
    pub(super) engines: Producer<Engine>,
    /// The system's own output stands in for the one that was chosen.
    pub(super) instead: Option<Instead>,
}

/// Why the chosen output is not the one that plays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Instead {
    /// It is not there.
    OfMissing,
    /// It is there and cannot be opened; the reason in one line.
    OfFailing(String),
}

/// What a device thread tells its supervisor.
pub(super) enum Report {
    /// The stream was opened.
    Opened(Opened),
    /// It could not be opened; the reason in one line.
    Failed(String),
}

/// Signs of life of a stream and of trouble, for the supervisor to look at.
#[derive(Debug, Default)]
pub(super) struct Pulse {
    blocks: AtomicU64,
    gone: AtomicBool,
    errors: AtomicU32,
}

impl Pulse {
    /// Blocks that the device asked for so far.
    pub(super) fn blocks(&self) -> u64 {
        self.blocks.load(Ordering::Relaxed)
    }

    /// Whether the device said that it is gone, or fails without end.
    pub(super) fn is_fatal(&self) -> bool {
        self.gone.load(Ordering::Relaxed) || self.errors.load(Ordering::Relaxed) >= STORM
    }

    /// A few errors now and then are no storm.
    pub(super) fn forgive(&self) {
        self.errors.store(0, Ordering::Relaxed);
    }

    pub(super) fn beat(&self) {
        self.blocks.fetch_add(1, Ordering::Relaxed);
    }

    /// Called by the backend from any thread, perhaps thousands of times: counts, and says nothing.
    pub(super) fn note(&self, kind: ErrorKind) {
        match kind {
            ErrorKind::DeviceNotAvailable
            | ErrorKind::StreamInvalidated
            | ErrorKind::HostUnavailable
            | ErrorKind::PermissionDenied => self.gone.store(true, Ordering::Relaxed),
            ErrorKind::DeviceChanged | ErrorKind::RealtimeDenied | ErrorKind::Xrun => {}
            _ => {
                self.errors.fetch_add(1, Ordering::Relaxed);
            }
        }
    }
}

/// Opens an output, plays until `close` is hung up, and drops it. Runs on a thread of its own.
pub(super) fn run(wanted: &Wanted, pulse: &Arc<Pulse>, report: &Sender<Report>, close: &Receiver<()>) {
    quiet_driver();
    match open(wanted, pulse) {
        Ok((stream, opened)) => {
            if report.send(Report::Opened(opened)).is_ok() {
                // Returns when the supervisor hangs up.
                let _ = close.recv();
            }
            drop(stream);
        }
        Err(reason) => {
            // Nobody listens any more while the program ends.
            let _ = report.send(Report::Failed(reason));
        }
    }
}

/// Opens the chosen output, or the system's own in its place.
fn open(wanted: &Wanted, pulse: &Arc<Pulse>) -> Result<(cpal::Stream, Opened), String> {
    let instead = match &wanted.output {
        SoundChoice::System => None,
        SoundChoice::Named(name) => match output_named(name) {
            None => Some(Instead::OfMissing),
            Some(device) => match open_device(&device, name.clone(), wanted.buffer, pulse) {
                Ok(opened) => return Ok(opened),
                Err(reason) => Some(Instead::OfFailing(reason)),
            },
        },
    };
    let device = cpal::default_host().default_output_device().ok_or(NOT_FOUND)?;
    let (stream, opened) = open_device(&device, device.to_string(), wanted.buffer, pulse)?;
    Ok((stream, Opened { instead, ..opened }))
}

fn open_device(
    device: &Device,
    name: String,
    buffer: u32,
    pulse: &Arc<Pulse>,
) -> Result<(cpal::Stream, Opened), String> {
    let found = device.default_output_config().map_err(|error| told(&error))?;
    let rate = SampleRate::new(found.sample_rate()).map_err(|error| error.to_string())?;
    let mut last = String::new();
    for size in sizes(buffer) {
        let buffer_size = size.map_or(BufferSize::Default, BufferSize::Fixed);
        let config = StreamConfig { buffer_size, ..found.config() };
        let (engines, arriving) = RingBuffer::new(1);
        let body = Body {
            engine: None,
            arriving,
            channels: usize::from(config.channels),
            pulse: Arc::clone(pulse),
            ordinary: true,
        };
        let stream = build(device, found.sample_format(), config, body);
        match stream.and_then(|stream| stream.play().map(|()| stream)) {
            Ok(stream) => {
                let status = SoundStatus { name, rate, channels: config.channels, buffer: size };
                return Ok((stream, Opened { status, engines, instead: None }));
            }
            Err(error) => last = told(&error),
        }
    }
    Err(last)
}

const NOT_FOUND: &str = "no sound device was found";

/// What is wrong, for a musician.
fn told(error: &cpal::Error) -> String {
    match error.kind() {
        ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable => NOT_FOUND.to_owned(),
        ErrorKind::DeviceBusy => "another program keeps the sound device to itself".to_owned(),
        ErrorKind::PermissionDenied => "this user may not use the sound device".to_owned(),
        _ => format!("the sound device cannot be opened ({error})"),
    }
}

/// Block sizes to ask for, in this order; the last leaves it to the device.
fn sizes(asked: u32) -> impl Iterator<Item = Option<u32>> {
    let asked = asked.clamp(32, 4096);
    [Some(asked), (asked < 256).then_some(256)].into_iter().flatten().map(Some).chain([None])
}

fn build(
    device: &Device,
    format: SampleFormat,
    config: StreamConfig,
    body: Body,
) -> Result<cpal::Stream, cpal::Error> {
    match format {
        SampleFormat::F32 => build_plain(device, config, body),
        SampleFormat::I16 => build_converting::<i16>(device, config, body),
        SampleFormat::I24 => build_converting::<cpal::I24>(device, config, body),
        SampleFormat::I32 => build_converting::<i32>(device, config, body),
        SampleFormat::U16 => build_converting::<u16>(device, config, body),
        SampleFormat::U8 => build_converting::<u8>(device, config, body),
        SampleFormat::F64 => build_converting::<f64>(device, config, body),
        _ => Err(cpal::Error::new(ErrorKind::UnsupportedConfig)),
    }
}

fn build_plain(device: &Device, config: StreamConfig, mut body: Body) -> Result<cpal::Stream, cpal::Error> {
    let pulse = Arc::clone(&body.pulse);
    device.build_output_stream(
        config,
        move |out: &mut [f32], info: &OutputCallbackInfo| body.render(out, Instant::now(), delay(info)),
        move |error| pulse.note(error.kind()),
        None,
    )
}

fn build_converting<T: SizedSample + FromSample<f32> + Send + 'static>(
    device: &Device,
    config: StreamConfig,
    mut body: Body,
) -> Result<cpal::Stream, cpal::Error> {
    let pulse = Arc::clone(&body.pulse);
    let mut scratch = vec![0.0f32; SCRATCH * body.channels.max(1)];
    device.build_output_stream(
        config,
        move |out: &mut [T], info: &OutputCallbackInfo| {
            body.render_as(out, &mut scratch, Instant::now(), delay(info));
        },
        move |error| pulse.note(error.kind()),
        None,
    )
}

/// What the callback owns.
struct Body {
    engine: Option<Engine>,
    arriving: Consumer<Engine>,
    channels: usize,
    pulse: Arc<Pulse>,
    /// The thread it is called on has not yet been put before all others.
    ordinary: bool,
}

impl Body {
    fn render(&mut self, out: &mut [f32], at: Instant, delay: Duration) {
        self.pulse.beat();
        if std::mem::take(&mut self.ordinary) {
            come_first();
        }
        if self.engine.is_none() {
            self.engine = self.arriving.pop().ok();
        }
        match &mut self.engine {
            Some(engine) => engine.render(out, self.channels, at, delay),
            None => out.fill(0.0),
        }
    }

    /// The same in the samples that a device takes; `scratch` holds whole frames.
    fn render_as<T: SizedSample + FromSample<f32>>(
        &mut self,
        out: &mut [T],
        scratch: &mut [f32],
        at: Instant,
        delay: Duration,
    ) {
        for part in out.chunks_mut(scratch.len()) {
            let samples = &mut scratch[..part.len()];
            self.render(samples, at, delay);
            for (to, from) in part.iter_mut().zip(samples) {
                *to = T::from_sample(*from);
            }
        }
    }
}

/// How much later than now the block will leave the device.
fn delay(info: &OutputCallbackInfo) -> Duration {
    let stamp = info.timestamp();
    stamp.playback.duration_since(stamp.callback)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::clock::clock_feed;
    use crate::devices::engine::{Controls, StreamStart};
    use crate::devices::line::{SoundLine, sound_line};
    use sound::{Event, EventKind, Gain, Instrument, Key, Source, Velocity};
    use std::f64::consts::TAU;

    const BLOCK: usize = 128;
    /// The frame on which the key goes down.
    const DOWN: u64 = 1_000;

    fn body(rate: SampleRate, channels: usize) -> (Body, SoundLine) {
        let (line, plug) = sound_line(&Arc::default());
        let start = StreamStart { rate, generation: 1, frame: 0, heard: true };
        let controls = Arc::new(Controls::new([Gain::UNITY; 4]));
        let clock = clock_feed().1.connect();
        let (engine, _) = Engine::new(start, Instrument::piano(rate), vec![plug.connect()], clock, controls);
        let (mut engines, arriving) = RingBuffer::new(1);
        assert!(engines.push(engine).is_ok());
        (Body { engine: None, arriving, channels, pulse: Arc::default(), ordinary: false }, line)
    }

    /// What a device of some rate and channels is given for half a second, A4 struck in it.
    fn half_a_second<T: SizedSample + FromSample<f32>>(hertz: u32, channels: usize, silent: T) -> Vec<T> {
        let rate = rate_of(hertz);
        let (mut body, mut line) = body(rate, channels);
        let (key, velocity) = (Key::new(69).unwrap(), Velocity::clamped(100));
        line.send(Event { frame: DOWN, kind: EventKind::NoteOn { key, velocity, source: Source::Part } });
        let (mut scratch, start) = (vec![0.0; SCRATCH * channels], Instant::now());
        let mut out = vec![silent; rate.frames(0.5) as usize * channels];
        for (at, block) in out.chunks_mut(BLOCK * channels).enumerate() {
            let at = start + Duration::from_secs_f64(rate.seconds((at * BLOCK) as u64));
            body.render_as(block, &mut scratch, at, Duration::ZERO);
        }
        out
    }

    fn rate_of(hertz: u32) -> SampleRate {
        SampleRate::new(hertz).unwrap()
    }

    fn channel(samples: &[f32], channels: usize, which: usize) -> Vec<f32> {
        samples.iter().skip(which).step_by(channels).copied().collect()
    }

    /// Cents by which a tone near A4 (440 Hz, ISO 16:1975) is off, by how far its phase gets ahead in 0.2 s.
    fn cents_off(samples: &[f32], rate: SampleRate) -> f64 {
        let phase = |from: f64| {
            let (from, length) = (rate.frames(from) as usize, rate.frames(0.1) as usize);
            let (mut re, mut im) = (0.0, 0.0);
            for at in 0..length {
                let window = 0.5 - 0.5 * (TAU * at as f64 / length as f64).cos();
                let angle = TAU * 440.0 * rate.seconds((from + at) as u64);
                let sample = window * f64::from(samples[from + at]);
                (re, im) = (re + sample * angle.cos(), im - sample * angle.sin());
            }
            im.atan2(re) / TAU
        };
        let ahead = phase(0.35) - phase(0.15);
        1200.0 * (1.0 + (ahead - ahead.round()) / 0.2 / 440.0).log2()
    }

    #[test]
    fn every_rate_plays_on_the_frame_and_in_tune() {
        for hertz in [44_100, 48_000, 96_000] {
            let out = half_a_second::<f32>(hertz, 2, 0.0);
            let left = channel(&out, 2, 0);
            let first = left.iter().position(|sample| *sample != 0.0).unwrap();
            // The first sample of a smooth beginning is zero itself.
            assert_eq!(first as u64, DOWN + 1, "{hertz} Hz");
            let off = cents_off(&left, rate_of(hertz));
            assert!(off.abs() < 2.0, "{hertz} Hz: {off:.2} cents off");
        }
    }

    #[test]
    fn one_channel_has_both_sides_and_those_beyond_two_are_silent() {
        for hertz in [44_100, 48_000, 96_000] {
            let stereo = half_a_second::<f32>(hertz, 2, 0.0);
            let (left, right) = (channel(&stereo, 2, 0), channel(&stereo, 2, 1));
            let mixed: Vec<f32> = left.iter().zip(&right).map(|(left, right)| 0.5 * (left + right)).collect();
            assert_eq!(half_a_second::<f32>(hertz, 1, 0.0), mixed);
            for channels in [4, 6, 8, 32] {
                let many = half_a_second::<f32>(hertz, channels, 0.5);
                assert_eq!(
                    (channel(&many, channels, 0), channel(&many, channels, 1)),
                    (left.clone(), right.clone())
                );
                let beyond = (2..channels).flat_map(|which| channel(&many, channels, which));
                assert!(beyond.into_iter().all(|sample| sample == 0.0), "{channels} channels");
            }
        }
    }

    #[test]
    fn devices_with_other_samples_get_the_same_sound() {
        let (key, velocity) = (Key::new(69).unwrap(), Velocity::clamped(100));
        let kind = EventKind::NoteOn { key, velocity, source: Source::Part };
        let plain = sound::offline::render(SampleRate::DEFAULT, &[Event { frame: DOWN, kind }], 24_000, 2);
        // What is softer than -100 dB may be left out at another place, as blocks are cut.
        let near = |others: Vec<f64>, step: f64| {
            others.iter().zip(&plain).all(|(other, plain)| (other - f64::from(*plain)).abs() <= step + 1e-5)
        };
        assert!(near(half_a_second::<f32>(48_000, 2, 0.0).into_iter().map(f64::from).collect(), 0.0));
        let full = 32_768.0;
        let short =
            half_a_second::<i16>(48_000, 2, 0).iter().map(|sample| f64::from(*sample) / full).collect();
        assert!(near(short, 1.0 / full));
        let unsigned = half_a_second::<u16>(48_000, 2, 0);
        assert!(near(unsigned.iter().map(|sample| f64::from(*sample) / full - 1.0).collect(), 1.0 / full));
        let long = half_a_second::<i32>(48_000, 2, 0);
        assert!(near(long.iter().map(|sample| f64::from(*sample) / 2_147_483_648.0).collect(), 1e-6));
        assert!(plain.iter().any(|sample| sample.abs() > 0.05), "there is something to compare");
    }

    #[test]
    fn without_an_engine_there_is_silence() {
        let (mut body, _line) = body(SampleRate::DEFAULT, 2);
        assert!(body.arriving.pop().is_ok());
        let mut out = [0.7f32; 256];
        body.render(&mut out, Instant::now(), Duration::ZERO);
        assert!(out.iter().all(|sample| *sample == 0.0));
        assert_eq!(body.pulse.blocks(), 1);
    }

    #[test]
    fn asks_for_small_blocks_before_leaving_it_to_the_device() {
        assert_eq!(sizes(128).collect::<Vec<_>>(), [Some(128), Some(256), None]);
        assert_eq!(sizes(1).collect::<Vec<_>>(), [Some(32), Some(256), None]);
        assert_eq!(sizes(256).collect::<Vec<_>>(), [Some(256), None]);
    }

    #[test]
    fn a_device_that_is_gone_or_fails_without_end_is_lost_and_an_underrun_is_not() {
        let pulse = Pulse::default();
        (0..1_000).for_each(|_| pulse.note(ErrorKind::Xrun));
        (0..STORM - 1).for_each(|_| pulse.note(ErrorKind::BackendError));
        assert!(!pulse.is_fatal());
        pulse.note(ErrorKind::BackendError);
        assert!(pulse.is_fatal(), "a storm");
        pulse.forgive();
        assert!(!pulse.is_fatal());
        pulse.note(ErrorKind::DeviceNotAvailable);
        assert!(pulse.is_fatal(), "it said so");
    }
}
