//! Draws every page of the window to PNG files, without a window: `cargo run -p ui --example pictures -- DIRECTORY`.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

#[path = "../tests/support/fixture.rs"]
mod fixture;
#[path = "../tests/support/raster.rs"]
#[allow(dead_code)]
mod raster;

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fixture::Stand;
use practice::SessionCommand;
use ui::{KeyboardView, Labels, Page, Room, Subject, Theme};

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
    if path.contains("menu") {
        harness.get_by_label("Key of the song, D major").click();
        harness.run_steps(4);
    }
    harness.render().unwrap().save(path).unwrap();
}

type Scene = (&'static str, fn() -> Stand);

fn scenes() -> Vec<Scene> {
    vec![
        ("step", || {
            let mut stand = Stand::new(fixture::LANTERNS);
            let lift = fixture::bar_of(&stand.part, "Lift", 0);
            stand.does(&[SessionCommand::GoToBar(lift + 1)], 0.0);
            stand.holds(&[64, 69, 57], &[66]);
            stand
        }),
        ("menu", || page(Page::Song)),
        ("strike", || {
            let mut stand = Stand::new(fixture::POUND);
            stand.does(&fixture::by_strike(9), 0.0);
            stand
        }),
        ("playing", || {
            let mut stand = Stand::new(fixture::LANTERNS);
            stand.does(&fixture::along(12), 2500.0);
            stand
        }),
        ("frost", || {
            let mut stand = Stand::new(fixture::FROST);
            stand.does(&[SessionCommand::GoToBar(6)], 0.0);
            stand
        }),
        ("waltz", || {
            let mut stand = Stand::new(fixture::WALTZ);
            stand.does(&[SessionCommand::GoToBar(24)], 0.0);
            stand
        }),
        ("quay", || {
            let mut stand = Stand::new(fixture::QUAY);
            stand.does(&[SessionCommand::SetHands(practice::Hands::Right), SessionCommand::GoToBar(5)], 0.0);
            stand.view.keyboard = KeyboardView::Full;
            stand
        }),
        ("crowded", || {
            let mut stand = Stand::new(&fixture::crowded());
            stand.diagnostics = song::read("{ \"format\": 1, \"title\": 3, \"kee\": 2 }").diagnostics;
            stand.devices.message = Some("No MIDI input is connected; mouse and letters play.".into());
            stand
        }),
        ("names", || {
            let mut stand = Stand::new(&fixture::crowded());
            stand.view.labels = Labels::Names;
            stand
        }),
        ("long", || {
            let mut stand = Stand::new(&fixture::long(12));
            stand.does(&[SessionCommand::GoToBar(60)], 0.0);
            stand.view.labels = Labels::Numbers;
            stand
        }),
        ("results", || {
            let mut stand = page(Page::Results);
            stand.has_played();
            stand
        }),
        ("after", || {
            let mut stand = page(Page::Song);
            stand.has_played();
            stand
        }),
        ("scale", || {
            room(Room { scale: "E harmonic minor".parse().unwrap(), octaves: 2, subject: Subject::Scale })
        }),
        ("chords", || {
            room(Room { scale: "Eb major".parse().unwrap(), octaves: 1, subject: Subject::Chords })
        }),
        ("keys", || page(Page::Keys)),
        ("more", || page(Page::More)),
        ("songs", || page(Page::Songs)),
        ("first", || page(Page::FirstStart)),
        ("mistakes", || {
            let mut stand = page(Page::Mistakes);
            stand.diagnostics = song::read("{ \"format\": 1, \"title\": 3, \"kee\": 2 }").diagnostics;
            stand
        }),
    ]
}

fn page(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.view.page = page;
    stand
}

fn room(room: Room) -> Stand {
    let mut stand = Stand::of_part(ui::exercise(&room));
    stand.view.page = Page::Room;
    stand.view.room = room;
    stand.does(&[SessionCommand::Advance, SessionCommand::Advance], 0.0);
    stand
}
