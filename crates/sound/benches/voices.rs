//! The cost of a full house: 64 held voices in blocks of 128 frames at 48 kHz, beside a SoundFont bank with as many.

use std::hint::black_box;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use sound::{EventKind, Instrument, Key, SampleRate, SoundBank, Source, Synth, VOICES, Velocity};

const FRAMES: usize = 128;
/// A small General MIDI bank as Debian installs it (package timgm6mb-soundfont).
const DEBIAN: &str = "/usr/share/sounds/sf2/TimGM6mb.sf2";

/// Every voice has just been struck, from A0 up in semitones, under the pedal.
fn full_house(mut synth: Synth) -> Synth {
    let source = Source::Part;
    synth.schedule_in(0, EventKind::Sustain { source, value: 127 }).expect("the queue is empty");
    for step in 0..VOICES as u8 {
        let key = Key::new(21 + step).expect("within 127");
        let kind = EventKind::NoteOn { key, velocity: Velocity::clamped(127), source };
        synth.schedule_in(0, kind).expect("the queue is empty");
    }
    synth
}

fn piano() -> Synth {
    full_house(Synth::new(SampleRate::DEFAULT))
}

fn second(synth: &mut Synth) {
    let mut block = [0.0; 2 * FRAMES];
    for _ in 0..48_000 / FRAMES {
        synth.render(black_box(&mut block), 2);
    }
}

/// Each block of a second, taken at its quickest of many runs: so what other programs take from this one does not count.
fn blocks(house: &dyn Fn() -> Synth) -> [Duration; 48_000 / FRAMES] {
    let mut quickest = [Duration::MAX; 48_000 / FRAMES];
    for _ in 0..20 {
        let (mut synth, mut block) = (house(), [0.0; 2 * FRAMES]);
        for quickest in &mut quickest {
            #[allow(clippy::disallowed_methods, reason = "a bench takes the time")]
            let start = Instant::now();
            synth.render(black_box(&mut block), 2);
            *quickest = start.elapsed().min(*quickest);
        }
    }
    quickest
}

/// The sum of all blocks, which is their share of one core, and the longest of them.
fn share_and_worst(blocks: &[Duration]) -> (f64, f64) {
    let sum: Duration = blocks.iter().sum();
    let worst = blocks.iter().copied().max().unwrap_or_default();
    (100.0 * sum.as_secs_f64(), 100.0 * worst.as_secs_f64() * 48_000.0 / FRAMES as f64)
}

#[allow(
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench tells what it found, and reads a bank"
)]
fn voices(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("sound");
    group.sample_size(20);
    // One second of sound, just struck: the reading is the share of one core.
    group.throughput(Throughput::Elements(48_000));
    let per_iteration = criterion::BatchSize::PerIteration;
    group.bench_function("64 voices, 1 s at 48 kHz", |bencher| {
        bencher.iter_batched_ref(piano, second, per_iteration);
    });
    group.bench_function("strike 64 keys and render one block", |bencher| {
        let block = |synth: &mut Synth| synth.render(black_box(&mut [0.0; 2 * FRAMES]), 2);
        bencher.iter_batched_ref(piano, block, per_iteration);
    });
    let (share, worst) = share_and_worst(&blocks(&piano));
    println!("64 voices: {share:.1} % of a core; the worst block takes {worst:.1} % of its time");
    if let Some(bank) = std::fs::read(DEBIAN).ok().and_then(|bytes| SoundBank::from_bytes(&bytes).ok()) {
        let bank_house = || {
            let instrument = Instrument::bank(&bank, SampleRate::DEFAULT).expect("Debian's bank is whole");
            full_house(Synth::with_instrument(SampleRate::DEFAULT, 0, instrument))
        };
        let (of_bank, _) = share_and_worst(&blocks(&bank_house));
        println!(
            "the bank's piano, same notes: {of_bank:.1} %; ours costs {:.2} times that",
            share / of_bank
        );
        group.bench_function("64 voices of a bank, 1 s at 48 kHz", |bencher| {
            bencher.iter_batched_ref(bank_house, second, per_iteration);
        });
    }
    group.bench_function("build the tables", |bencher| bencher.iter(|| Synth::new(SampleRate::DEFAULT)));
    group.finish();
}

criterion_group!(benches, voices);
criterion_main!(benches);
