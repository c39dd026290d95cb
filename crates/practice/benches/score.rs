//! Scoring 100,000 notes: an evening of playing at once, far beyond any song.

use criterion::{Criterion, criterion_group, criterion_main};
use practice::{BarSpan, ChartTime, Expected, ExpectedNote, Offset, PlayedNote, ScoreOptions, score};
use song::Quarters;
use std::hint::black_box;
use theory::{Hand, MidiKey};

/// Strikes of four notes every 400 ms, over 60 keys.
fn expected(notes: usize) -> Expected {
    let note = |event: usize| {
        let strike = event / 4;
        ExpectedNote {
            hand: if event.is_multiple_of(4) { Hand::Left } else { Hand::Right },
            bar: strike / 4,
            start: Quarters::new(strike as i64, 1),
            at: ChartTime::from_ms(400.0 * strike as f64),
            key: MidiKey::new(30 + ((strike * 7 + event % 4 * 15) % 60) as u8).expect("a key below 90"),
            rolled: false,
            event,
        }
    };
    let bar = |bar: usize| BarSpan {
        bar,
        section: "Verse".into(),
        start: ChartTime::from_ms(1600.0 * bar as f64),
        end: ChartTime::from_ms(1600.0 * (bar + 1) as f64),
        beat_ms: 400.0,
        changes: Vec::new(),
    };
    Expected::new((0..notes).map(note).collect(), (0..notes / 16 + 1).map(bar).collect(), 4)
}

/// Up to 70 ms early or late, one note in ten left out, one in ten wrong.
fn played(expected: &Expected, shift_ms: f64) -> Vec<PlayedNote> {
    let notes = expected.notes.iter().enumerate().filter(|(n, _)| n % 10 != 3);
    notes
        .map(|(n, note)| PlayedNote {
            at: note.at + ChartTime::from_ms(((n * 7919) % 141) as f64 - 70.0 + shift_ms),
            length: Some(ChartTime::from_ms(200.0)),
            key: if n % 10 == 7 { MidiKey::A0 } else { note.key },
            velocity: 80,
        })
        .collect()
}

fn bench(c: &mut Criterion) {
    let song = expected(100_000);
    let take = played(&song, 0.0);
    c.bench_function("score 100,000 notes", |b| {
        b.iter(|| score(black_box(&song), &take, &ScoreOptions::default()))
    });
    let song = expected(1_000);
    let take = played(&song, 1234.5);
    let options = ScoreOptions { offset: Offset::Auto, ..ScoreOptions::default() };
    c.bench_function("find the shift of 1,000 notes", |b| {
        b.iter(|| score(black_box(&song), &take, &options))
    });
}

criterion_group! { name = benches; config = Criterion::default().sample_size(20); targets = bench }
criterion_main!(benches);
