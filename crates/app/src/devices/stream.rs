//! One sound stream, built and dropped on a thread of its own: a dead device can block both.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{Receiver, Sender};
use std::time::{Duration, Instant};

use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{
    self, BufferSize, Device, ErrorKind, FromSample, OutputCallbackInfo, SampleFormat, SizedSample,
    StreamConfig,
};
use sound::SampleRate;

use super::engine::Engine;
use super::status::SoundStatus;

/// Samples converted at a time for devices that do not take `f32`.
const SCRATCH: usize = 16_384;
/// Backend errors after which a stream that still calls back is given up.
const STORM: u32 = 50;

/// What a device thread tells its supervisor.
pub(super) enum Report {
    /// Sound runs.
    Running(SoundStatus),
    /// It could not be opened; the reason in one line.
    Failed(String),
}

/// What the error callback found, for the supervisor to look at.
#[derive(Debug, Default)]
pub(super) struct Trouble {
    gone: AtomicBool,
    errors: AtomicU32,
}

impl Trouble {
    /// Whether the device said that it is gone, or fails without end.
    pub(super) fn is_fatal(&self) -> bool {
        self.gone.load(Ordering::Relaxed) || self.errors.load(Ordering::Relaxed) >= STORM
    }

    /// A few errors now and then are no storm.
    pub(super) fn forgive(&self) {
        self.errors.store(0, Ordering::Relaxed);
    }

    /// Called by the backend from any thread, perhaps thousands of times: counts, and says nothing.
    fn note(&self, kind: ErrorKind) {
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

/// Opens the default output, plays until `close` is hung up, and drops it. Runs on a thread of its own.
pub(super) fn run(
    buffer: u32,
    engine: impl Fn(SampleRate) -> Option<Engine>,
    trouble: &Arc<Trouble>,
    report: &Sender<Report>,
    close: &Receiver<()>,
) {
    match open(buffer, &engine, trouble) {
        Ok((stream, status)) => {
            if report.send(Report::Running(status)).is_ok() {
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

/// The outputs there are, by name.
pub(super) fn output_names() -> Vec<String> {
    let Ok(devices) = cpal::default_host().output_devices() else { return Vec::new() };
    devices.map(|device| device.to_string()).collect()
}

fn open(
    buffer: u32,
    engine: &impl Fn(SampleRate) -> Option<Engine>,
    trouble: &Arc<Trouble>,
) -> Result<(cpal::Stream, SoundStatus), String> {
    let device = cpal::default_host().default_output_device().ok_or("no sound device was found")?;
    let found = device.default_output_config().map_err(|error| error.to_string())?;
    let rate = SampleRate::new(found.sample_rate()).map_err(|error| error.to_string())?;
    let mut last = String::new();
    for size in sizes(buffer) {
        let fixed = size.map_or(BufferSize::Default, BufferSize::Fixed);
        let config = StreamConfig { buffer_size: fixed, ..found.config() };
        let engine = engine(rate).ok_or("the program is closing")?;
        let stream = build(&device, found.sample_format(), config, engine, trouble);
        match stream.and_then(|stream| stream.play().map(|()| stream)) {
            Ok(stream) => {
                let (name, channels) = (device.to_string(), config.channels);
                return Ok((stream, SoundStatus { name, rate, channels, buffer: size }));
            }
            Err(error) => last = error.to_string(),
        }
    }
    Err(last)
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
    engine: Engine,
    trouble: &Arc<Trouble>,
) -> Result<cpal::Stream, cpal::Error> {
    match format {
        SampleFormat::F32 => build_plain(device, config, engine, trouble),
        SampleFormat::I16 => build_converting::<i16>(device, config, engine, trouble),
        SampleFormat::I24 => build_converting::<cpal::I24>(device, config, engine, trouble),
        SampleFormat::I32 => build_converting::<i32>(device, config, engine, trouble),
        SampleFormat::U16 => build_converting::<u16>(device, config, engine, trouble),
        SampleFormat::U8 => build_converting::<u8>(device, config, engine, trouble),
        SampleFormat::F64 => build_converting::<f64>(device, config, engine, trouble),
        _ => Err(cpal::Error::new(ErrorKind::UnsupportedConfig)),
    }
}

fn build_plain(
    device: &Device,
    config: StreamConfig,
    mut engine: Engine,
    trouble: &Arc<Trouble>,
) -> Result<cpal::Stream, cpal::Error> {
    let (channels, trouble) = (usize::from(config.channels), Arc::clone(trouble));
    device.build_output_stream(
        config,
        move |out: &mut [f32], info: &OutputCallbackInfo| {
            engine.render(out, channels, Instant::now(), delay(info))
        },
        move |error| trouble.note(error.kind()),
        None,
    )
}

fn build_converting<T: SizedSample + FromSample<f32> + Send + 'static>(
    device: &Device,
    config: StreamConfig,
    mut engine: Engine,
    trouble: &Arc<Trouble>,
) -> Result<cpal::Stream, cpal::Error> {
    let (channels, trouble) = (usize::from(config.channels), Arc::clone(trouble));
    let mut scratch = vec![0.0f32; SCRATCH.next_multiple_of(channels.max(1))];
    device.build_output_stream(
        config,
        move |out: &mut [T], info: &OutputCallbackInfo| {
            let at = Instant::now();
            for part in out.chunks_mut(scratch.len()) {
                let samples = &mut scratch[..part.len()];
                engine.render(samples, channels, at, delay(info));
                for (to, from) in part.iter_mut().zip(samples) {
                    *to = T::from_sample(*from);
                }
            }
        },
        move |error| trouble.note(error.kind()),
        None,
    )
}

/// How much later than now the block will leave the device.
fn delay(info: &OutputCallbackInfo) -> Duration {
    let stamp = info.timestamp();
    stamp.playback.duration_since(stamp.callback)
}
