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

/// A song of 200 bars as they are played: verses, lifts and choruses that come back, with passes that differ and a pin.
fn song_of_200_bars(pin: &str) -> PlayedSong {
    let text = format!(
        r#"{{ "format": 1, "title": "Fair", "key": "D major", "tempo": 90,
             "sections": [
               {{ "name": "Verse", "passes": 2, "bars": ["1 | 5/7 | 6(7) | 4 1/3", "2(7) | 5 | 1 4/1 | 1",
                  "6 | 3 | 4 | 1/3", "2(7) | 5sus4 5 | 1 | ~"],
                 "except": [ {{ "pass": 2, "bar": 8, "bars": "5(7)" }}{pin} ] }},
               {{ "name": "Lift", "bars": ["1/4 | 1/5 | 6 | 5", "4 | 5/4 | 3 6 | 2 5"] }},
               {{ "name": "Chorus", "passes": 2, "bars": ["4 | 5 | 6 | 1/3", "4 5 | 3 6 | 2(7) 5(7) | 1"] }},
               {{ "name": "Bridge", "bars": ["b7 | 4 | 1 | 5", "b6 | b7 | 4m | 5sus4"] }} ],
             "order": ["Verse", "Lift", "Chorus", "Verse", "Lift", "Chorus", "Bridge", "Lift", "Chorus", "Chorus",
                       "Verse", "Lift"] }}"#
    );
    song::read(&text).sound().expect("the chart above is sound").play()
}

/// What a pin costs the player to wait for: the whole song planned anew around it.
fn replan(criterion: &mut Criterion) {
    let pin = r#", { "bar": 3, "right": { "tones": "5 1 3", "near": "C#4" } }"#;
    let mut group = criterion.benchmark_group("replan");
    for (name, pin) in [("200 bars", ""), ("200 bars around a pin", pin)] {
        let song = song_of_200_bars(pin);
        assert_eq!(song.bars.len(), 200);
        let settings = voicing::Settings::default();
        group.bench_function(name, |bencher| {
            bencher.iter(|| voicing::plan(&song, song.key, &settings));
        });
    }
    group.finish();
}

criterion_group!(benches, plan, replan);
criterion_main!(benches);
