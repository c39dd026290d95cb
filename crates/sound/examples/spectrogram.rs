//! Pictures and recordings of the sound, to look at and to listen to.
//!
//! `cargo run -p sound --example spectrogram -- FOLDER [BANK]` writes for single keys, soft and loud, and for a short
//! passage with the pedal a spectrogram (PNG) and a recording (WAV); with a SoundFont bank the same of its piano, to compare.
//!
//! A picture runs from left to right in time and from 27.5 Hz upwards in octaves, with a line at every A. White is 0 dB
//! of the loudest place, every darker shade is softer, black is 100 dB softer and below.
#![allow(clippy::print_stdout, clippy::disallowed_methods, reason = "a tool that writes files and says so")]

use std::error::Error;
use std::f32::consts::TAU;
use std::path::Path;

use image::{Rgb, RgbImage};
use rustfft::FftPlanner;
use rustfft::num_complex::Complex;
use sound::{Event, EventKind, Instrument, Key, SampleRate, SoundBank, Source, Synth, Velocity};

const WINDOW: usize = 8_192;
const WIDTH: u32 = 900;
const HEIGHT: u32 = 520;
const OCTAVES: f32 = 9.3;
/// Decibels from white to black.
const RANGE: f32 = 100.0;
const RATE: SampleRate = SampleRate::DEFAULT;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or("name a folder for the pictures")?;
    let bank = arguments.next().map(std::fs::read).transpose()?;
    let bank = bank.map(|bytes| SoundBank::from_bytes(&bytes)).transpose()?;
    std::fs::create_dir_all(&folder)?;
    for (name, events, seconds) in pieces() {
        let own = render(Synth::new(RATE), &events, seconds)?;
        write(Path::new(&folder), &name, &own)?;
        if let Some(bank) = &bank {
            let synth = Synth::with_instrument(RATE, 0, Instrument::bank(bank, RATE)?);
            write(Path::new(&folder), &format!("{name}-bank"), &render(synth, &events, seconds)?)?;
        }
    }
    Ok(())
}

/// What is played: names, events, seconds.
fn pieces() -> Vec<(String, Vec<Event>, f64)> {
    let keys = [(21, "A0"), (36, "C2"), (48, "C3"), (60, "C4"), (72, "C5"), (84, "C6"), (100, "E7")];
    let touches = [(35, "soft"), (110, "loud")];
    let single = keys.into_iter().flat_map(|(midi, key)| {
        touches.map(|(velocity, touch)| {
            let events = vec![down(0.05, midi, velocity), up(3.0, midi)];
            (format!("{key}-{touch}"), events, 4.0)
        })
    });
    single
        .chain([("passage".to_owned(), passage(), 9.0), ("staccato-pedal".to_owned(), staccato(), 4.0)])
        .collect()
}

/// Four chords with the pedal changed after each, and a line above them.
fn passage() -> Vec<Event> {
    let chords = [[38, 57, 62, 66], [45, 57, 61, 64], [35, 54, 62, 66], [43, 55, 59, 62]];
    let line = [[74, 76, 78, 81], [76, 73, 76, 81], [78, 74, 78, 83], [79, 78, 76, 74]];
    let mut events = Vec::new();
    for (at, (chord, line)) in chords.iter().zip(line).enumerate() {
        let start = 0.1 + 2.0 * at as f64;
        events.extend(chord.map(|midi| down(start, midi, 70)));
        events.push(foot(start + 0.02, 0));
        events.push(foot(start + 0.15, 127));
        events.extend(chord.map(|midi| up(start + 1.9, midi)));
        for (step, midi) in line.into_iter().enumerate() {
            events.push(down(start + 0.5 * step as f64, midi, 80 + 5 * step as u8));
            events.push(up(start + 0.5 * step as f64 + 0.45, midi));
        }
    }
    events.push(foot(8.1, 0));
    events
}

/// One short key with the pedal up, one with it down.
fn staccato() -> Vec<Event> {
    vec![down(0.1, 60, 100), up(0.3, 60), foot(1.5, 127), down(2.0, 60, 100), up(2.2, 60), foot(3.6, 0)]
}

fn down(seconds: f64, midi: u8, velocity: u8) -> Event {
    let (key, velocity) = (Key::new(midi).expect("the keys here are below 128"), Velocity::clamped(velocity));
    Event { frame: RATE.frames(seconds), kind: EventKind::NoteOn { key, velocity, source: Source::Part } }
}

fn up(seconds: f64, midi: u8) -> Event {
    let key = Key::new(midi).expect("the keys here are below 128");
    Event { frame: RATE.frames(seconds), kind: EventKind::NoteOff { key, source: Source::Part } }
}

fn foot(seconds: f64, value: u8) -> Event {
    Event { frame: RATE.frames(seconds), kind: EventKind::Sustain { source: Source::Part, value } }
}

fn render(mut synth: Synth, events: &[Event], seconds: f64) -> Result<Vec<f32>, Box<dyn Error>> {
    for event in events {
        synth.schedule(*event)?;
    }
    let mut samples = vec![0.0; 2 * RATE.frames(seconds) as usize];
    synth.render(&mut samples, 2);
    Ok(samples)
}

fn write(folder: &Path, name: &str, stereo: &[f32]) -> Result<(), Box<dyn Error>> {
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: RATE.hertz(),
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut file = hound::WavWriter::create(folder.join(format!("{name}.wav")), spec)?;
    stereo.iter().try_for_each(|sample| file.write_sample(*sample))?;
    file.finalize()?;
    let mono: Vec<f32> = stereo.as_chunks::<2>().0.iter().map(|[left, right]| 0.5 * (left + right)).collect();
    let picture = folder.join(format!("{name}.png"));
    spectrogram(&mono).save(&picture)?;
    println!("{}: peak {:.3}", picture.display(), mono.iter().fold(0.0f32, |peak, s| peak.max(s.abs())));
    Ok(())
}

fn spectrogram(mono: &[f32]) -> RgbImage {
    let columns: Vec<Vec<f32>> =
        (0..WIDTH).map(|x| column(mono, x as usize * mono.len() / WIDTH as usize)).collect();
    let top = columns.iter().flatten().copied().fold(f32::MIN, f32::max);
    RgbImage::from_fn(WIDTH, HEIGHT, |x, y| {
        let octave = OCTAVES * (HEIGHT - 1 - y) as f32 / HEIGHT as f32;
        let hertz = 27.5 * octave.exp2();
        let bin = hertz * WINDOW as f32 / RATE.hertz() as f32;
        // As wide as a row, so that no line of the treble falls between two rows.
        let (first, last) = (bin, bin * (OCTAVES / HEIGHT as f32).exp2());
        let bins = first as usize..=(last as usize).min(WINDOW / 2 - 1).max(first as usize);
        let level = columns[x as usize][bins].iter().copied().fold(f32::MIN, f32::max) - top;
        let line = octave.fract() < OCTAVES / HEIGHT as f32;
        shade((1.0 + level / RANGE).clamp(0.0, 1.0), line)
    })
}

/// Decibels of every frequency about a frame.
fn column(mono: &[f32], about: usize) -> Vec<f32> {
    let mut bins: Vec<Complex<f32>> = (0..WINDOW)
        .map(|at| {
            let window = 0.5 - 0.5 * (TAU * at as f32 / WINDOW as f32).cos();
            let sample = (about + at).checked_sub(WINDOW / 2).and_then(|frame| mono.get(frame));
            Complex::new(sample.map_or(0.0, |sample| sample * window), 0.0)
        })
        .collect();
    FftPlanner::new().plan_fft_forward(WINDOW).process(&mut bins);
    bins[..WINDOW / 2].iter().map(|bin| 20.0 * (bin.norm() + 1e-9).log10()).collect()
}

/// From black over blue and orange to white.
fn shade(light: f32, line: bool) -> Rgb<u8> {
    let part = |from: f32| (255.0 * ((light - from) / 0.45).clamp(0.0, 1.0)) as u8;
    let blue =
        (255.0 * (light / 0.35).clamp(0.0, 1.0) * (1.0 - ((light - 0.35) / 0.4).clamp(0.0, 0.75))) as u8;
    let Rgb([red, green, blue]) = Rgb([part(0.3), part(0.5), blue.max(part(0.7))]);
    if line { Rgb([red.max(60), green.max(90), blue.max(60)]) } else { Rgb([red, green, blue]) }
}
