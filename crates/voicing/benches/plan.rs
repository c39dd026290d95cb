//! Planning long songs: both hands, fingers, strikes and reasons of unrepeated bars.

use criterion::{Criterion, criterion_group, criterion_main};
use song::PlayedSong;

/// Bars of two chords each that never come back in the same order: half of them sevenths, every fifth over another bass.
fn long_song(bars: usize) -> PlayedSong {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut next = |below: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state % below
    };
    let mut chord = |seventh: bool| {
        let degree = 1 + next(7);
        let slash = if next(5) == 0 { format!("/{}", 1 + next(7)) } else { String::new() };
        format!("{degree}{}{slash}", if seventh { "(7)" } else { "" })
    };
    let lines: Vec<String> =
        (0..bars).map(|i| format!("\"{} {}\"", chord(i % 2 == 0), chord(i % 2 == 1))).collect();
    let text = format!(
        r#"{{ "format": 1, "title": "Long", "key": "Eb major", "tempo": 90,
             "sections": [ {{ "name": "All", "bars": [{}] }} ] }}"#,
        lines.join(",")
    );
    song::read(&text).sound().expect("the chart above is sound").play()
}

fn plan(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("plan");
    group.sample_size(20);
    for bars in [1_000, 10_000] {
        let song = long_song(bars);
        let settings = voicing::Settings::default();
        group.bench_function(format!("{bars} bars"), |bencher| {
            bencher.iter(|| voicing::plan(&song, song.key, &settings));
        });
    }
    group.finish();
}

criterion_group!(benches, plan);
criterion_main!(benches);
