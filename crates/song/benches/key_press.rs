//! One key press in a 200-bar song: the edit, the new reading with all its mistakes, the bars as played, and the marks
//! and completions of the row. Planning the hands comes on top of it (see the bench of `voicing`); together they have
//! 16 ms, the time of one picture.

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use song::edit::{Change, Draft, HandField, Place, apply};
use song::typing::{Row, complete, marks};
use std::hint::black_box;

/// A song of 200 written bars in ten sections, each with an exception, a figure and words.
fn song_of_200_bars() -> String {
    let row = |n: usize| format!("\"{} | 4(maj7) 5/7 | 6.. 2(7). 5. | {}\"", 1 + n % 6, 1 + (n * 3) % 6);
    let sections: Vec<String> = (0..10)
        .map(|n| {
            let rows: Vec<String> = (0..5).map(|i| row(n * 5 + i)).collect();
            format!(
                r#"    {{ "name": "Section {n}", "passes": 2, "bars": [{}],
      "except": [ {{ "pass": 2, "bar": [4, "last"], "right": {{ "tones": "3 5 1" }} }}, {{ "bar": 7, "bars": "4 5" }} ],
      "right": {{ "notes": 3, "figure": "x - x -" }}, "note": "lean on two" }}"#,
                rows.join(",\n        ")
            )
        })
        .collect();
    format!(
        "{{ \"format\": 1, \"title\": \"Long\", \"key\": \"Eb major\", \"tempo\": 90,\n  \"sections\": [\n{}\n  ] }}\n",
        sections.join(",\n")
    )
}

fn key_press(criterion: &mut Criterion) {
    let text = song_of_200_bars();
    let typed = Change::Row { section: 5, row: 2, text: "2 | 4(maj7) 5/7 | 6.. 2(7). 5. | 5s".into() };
    let mut group = criterion.benchmark_group("200 bars");
    group.sample_size(50);
    group.bench_function("edit", |b| b.iter(|| apply(black_box(&text), &typed)));
    let edited = apply(&text, &typed).expect("the row is there").text;
    group.bench_function("read and check", |b| b.iter(|| song::read(black_box(&edited))));
    let song = song::read(&edited).song.expect("the song can be read");
    group.bench_function("play", |b| b.iter(|| black_box(&song).play()));
    group.bench_function("whole key press without planning", |b| {
        b.iter_batched(
            || Draft::new(text.clone()),
            |mut draft| {
                draft.apply(&typed).expect("the row is there");
                let song = song::read(draft.text()).song.expect("the song can be read");
                let row = Row::of(&song, 5, 2).expect("the section is there");
                let line = "2 | 4(maj7) 5/7 | 6.. 2(7). 5. | 5s";
                (song.play(), marks(line, &row), complete(line, line.len(), &row))
            },
            BatchSize::SmallInput,
        );
    });
    let pin = Change::Hand {
        place: Place::Bar { section: 5, bar: 3, pass: None, beat: None },
        hand: theory::Hand::Right,
        field: HandField::Tones(Some(song::Tones(vec![theory::Member::THIRD, theory::Member::ROOT]))),
    };
    group.bench_function("pin", |b| b.iter(|| apply(black_box(&text), &pin)));
    group.finish();
}

/// The largest song there may be: 20,000 bars, each given way by each of 500 exceptions.
fn largest(criterion: &mut Criterion) {
    let bars = vec!["1"; 20_000].join(" | ");
    let except = vec![r#"{ "bar": "1-20000", "bars": "4" }"#; 500].join(", ");
    let text = format!(
        r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
        "sections": [ {{ "name": "A", "bars": ["{bars}"], "except": [ {except} ] }} ] }}"#
    );
    let mut group = criterion.benchmark_group("largest");
    group.sample_size(10);
    group.bench_function("read and check", |b| b.iter(|| song::read(black_box(&text))));
    group.finish();
}

criterion_group!(benches, key_press, largest);
criterion_main!(benches);
