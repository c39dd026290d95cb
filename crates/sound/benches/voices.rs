//! The cost of a full house: 32 held voices in blocks of 128 frames at 48 kHz.

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use sound::{EventKind, Key, SampleRate, Source, Synth, VOICES, Velocity};

const FRAMES: usize = 128;

/// A synthesiser in which every voice has just been struck, from A0 up in steps of two semitones.
fn full_house() -> Synth {
    let mut synth = Synth::new(SampleRate::DEFAULT);
    for step in 0..VOICES as u8 {
        let key = Key::new(21 + 2 * step).expect("within 127");
        let kind = EventKind::NoteOn { key, velocity: Velocity::clamped(127), source: Source::Part };
        synth.schedule_in(0, kind).expect("the queue is empty");
    }
    synth
}

fn voices(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("sound");
    // One second of sound, just struck: the reading is the share of one core.
    group.throughput(Throughput::Elements(48_000));
    group.bench_function("32 voices, 1 s at 48 kHz", |bencher| {
        bencher.iter_batched_ref(
            full_house,
            |synth| {
                let mut block = [0.0; 2 * FRAMES];
                for _ in 0..48_000 / FRAMES {
                    synth.render(black_box(&mut block), 2);
                }
            },
            criterion::BatchSize::PerIteration,
        );
    });
    group.bench_function("strike 32 keys and render one block", |bencher| {
        bencher.iter_batched_ref(
            full_house,
            |synth| {
                let mut block = [0.0; 2 * FRAMES];
                synth.render(black_box(&mut block), 2);
            },
            criterion::BatchSize::PerIteration,
        );
    });
    group.bench_function("build the tables", |bencher| bencher.iter(|| Synth::new(SampleRate::DEFAULT)));
    group.finish();
}

criterion_group!(benches, voices);
criterion_main!(benches);
