//! How long a sheet of 2,000 bars takes, from the part to the bytes of the PDF.
#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use exchange::sheet::{self, Kind, Meta, Passes, SheetOptions};
use std::hint::black_box;
use voicing::{Part, Settings};

/// 2,000 bars: 25 sections of 16, each five times, no two with the same chords.
fn long() -> Part {
    let chords = ["1", "4 5", "6-", "2(7) 5(7)", "1/3", "4(maj7)", "3 6", "5sus4 5"];
    let row = |from: usize| {
        (0..4).map(|n| chords[(from * 3 + n * 5 + from / 8) % 8]).collect::<Vec<_>>().join(" | ")
    };
    let section = |n: usize| {
        let rows: Vec<String> = (0..4).map(|r| format!("\"{}\"", row(4 * n + r))).collect();
        format!("{{ \"name\": \"Section {n}\", \"passes\": 5, \"bars\": [{}] }}", rows.join(", "))
    };
    let sections: Vec<String> = (0..25).map(section).collect();
    let text = format!(
        "{{ \"format\": 1, \"title\": \"Long\", \"key\": \"D major\", \"tempo\": 90, \"sections\": [{}] }}",
        sections.join(", ")
    );
    let song = song::read(&text).sound().unwrap().play();
    assert_eq!(song.bars.len(), 2000);
    voicing::plan(&song, song.key, &Settings::default()).unwrap()
}

fn sheets(criterion: &mut Criterion) {
    let part = long();
    let mut group = criterion.benchmark_group("2,000 bars to PDF");
    group.sample_size(10);
    for kind in Kind::ALL {
        let options = SheetOptions { kind, passes: Passes::WrittenOut, ..SheetOptions::default() };
        group.bench_function(kind.name(), |bencher| {
            bencher.iter(|| sheet::pdf(&sheet::pages(black_box(&part), &options), &Meta::of(&part)).unwrap())
        });
    }
    group.finish();
}

criterion_group!(benches, sheets);
criterion_main!(benches);
