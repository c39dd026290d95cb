//! The cost of a frame: `run_ui` and tessellation of the fullest pages, without a window. The budget is 3 ms.
#![allow(clippy::unwrap_used, missing_docs)]

#[path = "../tests/support/fixture.rs"]
mod fixture;

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Context, RawInput, Rect, pos2};
use fixture::Stand;
use practice::SessionCommand;
use ui::Page;

fn frame(ctx: &Context, stand: &Stand) -> usize {
    let screen = Rect::from_min_max(pos2(0.0, 0.0), pos2(1920.0, 1080.0));
    let input = RawInput { screen_rect: Some(screen), ..RawInput::default() };
    let mut output = ctx.run_ui(input, |ui| {
        ui::show(ui, &stand.model());
    });
    output.textures_delta.clear();
    ctx.tessellate(std::mem::take(&mut output.shapes), output.pixels_per_point).len()
}

fn pages(criterion: &mut Criterion) {
    for (name, stand) in scenes() {
        let ctx = Context::default();
        ui::install(&ctx);
        for _ in 0..3 {
            frame(&ctx, &stand);
        }
        criterion.bench_function(name, |bencher| bencher.iter(|| frame(&ctx, &stand)));
    }
}

fn scenes() -> Vec<(&'static str, Stand)> {
    let mut running = Stand::new(&fixture::long(40));
    running.does(&fixture::along(100), 2500.0);
    let mut results = Stand::new(&fixture::long(12));
    results.has_played();
    results.view.page = Page::Results;
    let mut waltz = Stand::new(fixture::WALTZ);
    waltz.does(&[SessionCommand::GoToBar(20)], 0.0);
    vec![("frame/320 bars, playing", running), ("frame/results", results), ("frame/waltz", waltz)]
}

criterion_group!(benches, pages);
criterion_main!(benches);
