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
use super::quiet::quiet_driver;
use super::status::SoundStatus;

/// Samples converted at a time for devices that do not take `f32`.
const SCRATCH: usize = 16_384;
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
        let body =
            Body { engine: None, arriving, channels: usize::from(config.channels), pulse: Arc::clone(pulse) };
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
    let mut scratch = vec![0.0f32; SCRATCH.next_multiple_of(body.channels.max(1))];
    device.build_output_stream(
        config,
        move |out: &mut [T], info: &OutputCallbackInfo| {
            let at = Instant::now();
            for part in out.chunks_mut(scratch.len()) {
                let samples = &mut scratch[..part.len()];
                body.render(samples, at, delay(info));
                for (to, from) in part.iter_mut().zip(samples) {
                    *to = T::from_sample(*from);
                }
            }
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
}

impl Body {
    fn render(&mut self, out: &mut [f32], at: Instant, delay: Duration) {
        self.pulse.beat();
        if self.engine.is_none() {
            self.engine = self.arriving.pop().ok();
        }
        match &mut self.engine {
            Some(engine) => engine.render(out, self.channels, at, delay),
            None => out.fill(0.0),
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
