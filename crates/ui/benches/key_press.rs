//! One key press while a song of 200 bars is written: the edit, the reading with all its marks, the plan of both hands, and
//! the picture. All together have 16 ms, the time of one picture.
#![allow(clippy::unwrap_used, missing_docs)]

#[path = "../tests/support/fixture.rs"]
mod fixture;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use egui::{Context, RawInput, Rect, pos2};
use fixture::Stand;
use song::edit::{Change, Draft};
use std::hint::black_box;
use std::sync::Arc;
use ui::{Chosen, Page, Sheet, Writing};
use voicing::Settings;

/// A song of 200 written bars in ten sections, each with an exception, a figure and words.
fn song_of_200_bars() -> String {
    let row = |n: usize| format!("\"{} | 4(maj7) 5/7 | 6.. 2(7). 5. | {}\"", 1 + n % 6, 1 + (n * 3) % 6);
    let section = |n: usize| {
        let rows: Vec<String> = (0..5).map(|i| row(n * 5 + i)).collect();
        format!(
            r#"    {{ "name": "Section {n}", "bars": [{}],
      "except": [ {{ "bar": [4, "last"], "right": {{ "tones": "3 5 1" }} }} ],
      "right": {{ "notes": 3, "figure": "x - x -" }}, "note": "lean on two" }}"#,
            rows.join(",\n        ")
        )
    };
    let sections: Vec<String> = (0..10).map(section).collect();
    format!(
        "{{ \"format\": 1, \"title\": \"Long\", \"key\": \"Eb major\", \"tempo\": 90,\n  \"sections\": [\n{}\n  ] }}\n",
        sections.join(",\n")
    )
}

fn picture(ctx: &Context, stand: &Stand) -> usize {
    let screen = Rect::from_min_max(pos2(0.0, 0.0), pos2(1920.0, 1080.0));
    let input = RawInput { screen_rect: Some(screen), ..RawInput::default() };
    let mut output = ctx.run_ui(input, |ui| {
        ui::show(ui, &stand.model());
    });
    output.textures_delta.clear();
    ctx.tessellate(std::mem::take(&mut output.shapes), output.pixels_per_point).len()
}

fn key_press(criterion: &mut Criterion) {
    let text = song_of_200_bars();
    let typed = Change::Row { section: 5, row: 2, text: "2 | 4(maj7) 5/7 | 6.. 2(7). 5. | 5sus4".into() };
    let edited = song::edit::apply(&text, &typed).unwrap().text;
    let played = song::read(&edited).song.unwrap().play();
    assert_eq!(played.bars.len(), 200);
    let mut stand = Stand::new(&edited);
    stand.view.page = Page::Writing;
    stand.view.writing.chosen = Chosen::bar(5, 11);
    stand.writing = Writing::of(&edited);
    let ctx = Context::default();
    ui::install(&ctx);
    for _ in 0..3 {
        picture(&ctx, &stand);
    }
    let mut group = criterion.benchmark_group("key press in 200 bars");
    group.sample_size(20);
    group.bench_function("edit", |b| b.iter(|| song::edit::apply(black_box(&text), &typed)));
    group.bench_function("read and mark", |b| b.iter(|| Writing::of(black_box(&edited))));
    let key = played.key;
    group.bench_function("plan", |b| b.iter(|| voicing::plan(black_box(&played), key, &Settings::default())));
    group.bench_function("draw", |b| b.iter(|| picture(&ctx, &stand)));
    group.bench_function("all of it", |b| {
        b.iter_batched(
            || Draft::new(text.clone()),
            |mut draft| {
                draft.apply(&typed).unwrap();
                stand.writing = Writing::of(draft.text());
                let played = song::read(draft.text()).song.unwrap().play();
                stand.part = Arc::new(voicing::plan(&played, played.key, &Settings::default()).unwrap());
                stand.sheet = Sheet::new(&stand.part);
                picture(&ctx, &stand)
            },
            BatchSize::LargeInput,
        );
    });
    group.finish();
}

criterion_group!(benches, key_press);
criterion_main!(benches);
