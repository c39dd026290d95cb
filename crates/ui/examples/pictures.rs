//! Draws every page of the window to PNG files, without a window: `cargo run -p ui --example pictures -- DIRECTORY`.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

#[path = "../tests/support/fixture.rs"]
#[allow(dead_code)]
mod fixture;
#[path = "../tests/support/raster.rs"]
#[allow(dead_code)]
mod raster;

use egui_kittest::Harness;
use fixture::Stand;
use ui::{Labels, Page, Theme};

fn main() {
    let directory = std::env::args().nth(1).unwrap_or_else(|| "target/pictures".into());
    let only = std::env::args().nth(2);
    std::fs::create_dir_all(&directory).unwrap();
    for (name, stand) in scenes() {
        for (size, label) in [([1280.0, 800.0], "1280"), ([1920.0, 1080.0], "1920")] {
            for theme in [Theme::Day, Theme::Night] {
                let file = format!("{name}-{label}-{theme:?}.png").to_lowercase();
                if only.as_ref().is_some_and(|only| !file.contains(only.as_str())) {
                    continue;
                }
                let mut stand = stand();
                stand.view.theme = theme;
                draw(&stand, size, &format!("{directory}/{file}"));
                println!("{file}");
            }
        }
    }
}

fn draw(stand: &Stand, size: [f32; 2], path: &str) {
    let mut harness = Harness::builder()
        .with_size(size)
        .renderer(raster::Raster::default())
        .with_context_setup(ui::install)
        .build_ui(|ui| {
            ui::show(ui, &stand.model());
        });
    harness.run_steps(3);
    harness.render().unwrap().save(path).unwrap();
}

type Scene = (&'static str, fn() -> Stand);

fn scenes() -> Vec<Scene> {
    vec![
        ("step", || {
            let mut stand = Stand::new(fixture::lanterns());
            stand.session = fixture::session(&stand.part, 21);
            fixture::with_held(&mut stand, &[64, 69, 49], &[66]);
            stand
        }),
        ("playing", || {
            let mut stand = Stand::new(fixture::lanterns());
            fixture::playing(&mut stand, 15, 2);
            stand
        }),
        ("crowded", || {
            let mut stand = Stand::new(fixture::crowded());
            stand.session = fixture::session(&stand.part, 1);
            stand
        }),
        ("names", || {
            let mut stand = Stand::new(fixture::crowded());
            stand.view.labels = Labels::Names;
            stand
        }),
        ("long", || {
            let mut stand = Stand::new(fixture::long(12));
            stand.session = fixture::session(&stand.part, 60);
            stand.view.labels = Labels::Numbers;
            stand
        }),
        ("keys", || page(Page::Keys)),
    ]
}

fn page(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::lanterns());
    stand.view.page = page;
    stand
}
