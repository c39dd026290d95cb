//! What colours and shapes stand where; read off pictures drawn without a window.

use crate::stand::window;
use crate::support::fixture::{self, Stand};
use crate::support::raster::pixel;
use egui::Color32;
use practice::SessionCommand;
use ui::{KeyboardView, Theme};

fn share(image: &image::RgbaImage, color: Color32) -> usize {
    let near = |a: u8, b: u8| a.abs_diff(b) <= 2;
    let (w, h) = image.dimensions();
    (0..w * h)
        .filter(|i| {
            let p = pixel(image, i % w, i / w);
            near(p.r(), color.r()) && near(p.g(), color.g()) && near(p.b(), color.b())
        })
        .count()
}

#[test]
fn both_lights_draw_hands_and_paper_in_their_colours() {
    for theme in [Theme::Day, Theme::Night] {
        let mut stand = Stand::new(fixture::LANTERNS);
        stand.view.theme = theme;
        let mut shown = window(stand, [1280.0, 800.0]);
        let image = shown.render().unwrap();
        let palette = theme.palette();
        assert_eq!(pixel(&image, 3, 300), palette.ground);
        assert!(share(&image, palette.right_tint) > 5_000, "{theme:?}: strikes of the right hand");
        assert!(share(&image, palette.left_tint) > 5_000, "{theme:?}: strikes of the left hand");
        assert!(share(&image, palette.here) > 3_000, "{theme:?}: the place one is at");
        assert!(share(&image, theme.keys().white) > 50_000, "{theme:?}: white keys");
    }
}

#[test]
fn a_picture_of_each_kind_of_page() {
    let mut results = egui_kittest::SnapshotResults::new();
    for (name, theme) in [("song-day", Theme::Day), ("song-night", Theme::Night)] {
        let mut stand = Stand::new(fixture::LANTERNS);
        stand.view.theme = theme;
        let bar = fixture::bar_of(&stand.part, "Lift", 0);
        stand.view.keyboard = KeyboardView::Full;
        stand.does(&[SessionCommand::GoToBar(bar)], 0.0);
        let mut shown = window(stand, [768.0, 480.0]);
        shown.run();
        results.add(shown.try_snapshot(name));
        results.extend_harness(&mut shown);
    }
}
