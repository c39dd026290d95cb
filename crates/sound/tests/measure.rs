//! Tools of these tests: notes in, numbers out.

use rustfft::FftPlanner;
use rustfft::num_complex::Complex;
use sound::{Event, EventKind, Key, SampleRate, Source, Synth, Velocity, offline};

pub const RATE: u32 = 48_000;

pub fn rate() -> SampleRate {
    SampleRate::new(RATE).unwrap()
}

pub fn key(midi: u8) -> Key {
    Key::new(midi).unwrap()
}

pub fn on(frame: u64, midi: u8, velocity: u8) -> Event {
    let velocity = Velocity::new(velocity).unwrap();
    Event { frame, kind: EventKind::NoteOn { key: key(midi), velocity, source: Source::Part } }
}

pub fn off(frame: u64, midi: u8) -> Event {
    Event { frame, kind: EventKind::NoteOff { key: key(midi), source: Source::Part } }
}

/// The part's sustain pedal.
pub fn pedal(frame: u64, value: u8) -> Event {
    Event { frame, kind: EventKind::Sustain { source: Source::Part, value } }
}

/// Renders in one channel.
pub fn mono(events: &[Event], seconds: f64) -> Vec<f32> {
    offline::render(rate(), events, rate().frames(seconds) as usize, 1)
}

/// One second in blocks of 256 frames; after the block in which frame 24,000 lies, if there is anything to send anew, the part
/// is taken back and that is sent.
pub fn sent_anew(mut synth: Synth, first: &[Event], anew: &[Event]) -> Vec<f32> {
    first.iter().for_each(|event| synth.schedule(*event).unwrap());
    let mut samples = vec![0.0; 48_000];
    for (at, block) in samples.chunks_mut(256).enumerate() {
        if at == 24_000 / 256 + 1 && !anew.is_empty() {
            for kind in [EventKind::Forget(Source::Part), EventKind::AllOff(Source::Part)] {
                synth.schedule(Event { frame: 0, kind }).unwrap();
            }
            anew.iter().for_each(|event| synth.schedule(*event).unwrap());
        }
        synth.render(block, 1);
    }
    samples
}

pub fn peak(samples: &[f32]) -> f32 {
    samples.iter().fold(0.0, |peak, sample| peak.max(sample.abs()))
}

/// Root mean square in decibels of full scale.
pub fn level(samples: &[f32]) -> f64 {
    let mean = samples.iter().map(|sample| f64::from(*sample).powi(2)).sum::<f64>() / samples.len() as f64;
    10.0 * mean.log10()
}

/// The magnitude spectrum through a Hann window.
pub fn spectrum(samples: &[f32]) -> Vec<f64> {
    let length = samples.len();
    let mut bins: Vec<Complex<f64>> = samples
        .iter()
        .enumerate()
        .map(|(at, sample)| {
            let window = 0.5 - 0.5 * (std::f64::consts::TAU * at as f64 / length as f64).cos();
            Complex::new(f64::from(*sample) * window, 0.0)
        })
        .collect();
    FftPlanner::new().plan_fft_forward(length).process(&mut bins);
    bins[..length / 2].iter().map(|bin| bin.norm()).collect()
}

/// The frequency of the strongest line within half a semitone of one expected, by a parabola through the logarithms of the
/// three bins about it (a usual estimate: for a Hann window it is off by a few hundredths of a bin).
pub fn line_near(samples: &[f32], rate: u32, expected: f64) -> f64 {
    let bins = spectrum(samples);
    let width = f64::from(rate) / samples.len() as f64;
    let within = |semitones: f64| (expected * (semitones / 12.0).exp2() / width).round() as usize;
    let top = (within(-0.5)..=within(0.5)).max_by(|a, b| bins[*a].total_cmp(&bins[*b])).unwrap();
    let [before, at, after] = [top - 1, top, top + 1].map(|bin| bins[bin].ln());
    (top as f64 + 0.5 * (before - after) / (before - 2.0 * at + after)) * width
}

pub fn cents(from: f64, to: f64) -> f64 {
    1200.0 * (to / from).log2()
}

/// The mean frequency, weighted by magnitude.
pub fn centroid(samples: &[f32]) -> f64 {
    let bins = spectrum(samples);
    let width = f64::from(RATE) / samples.len() as f64;
    let sum: f64 = bins.iter().sum();
    bins.iter().enumerate().map(|(bin, magnitude)| bin as f64 * width * magnitude).sum::<f64>() / sum
}
