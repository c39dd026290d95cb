//! What colours and shapes stand where; read off pictures drawn without a window.

use crate::stand::window;
use crate::support::fixture::{self, Stand};
use crate::support::raster::pixel;
use egui::Color32;
use practice::SessionCommand;
use ui::{KeyboardView, Page, Room, Subject, Theme, ViewState};

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
        let mut shown = window(stand, [768.0, 480.0]);
        let image = shown.render().unwrap();
        let palette = theme.palette();
        assert_eq!(pixel(&image, 3, 200), palette.ground);
        assert!(share(&image, palette.right_tint) > 1_500, "{theme:?}: strikes of the right hand");
        assert!(share(&image, palette.left_tint) > 1_500, "{theme:?}: strikes of the left hand");
        assert!(share(&image, palette.here) > 800, "{theme:?}: the place one is at");
        assert!(share(&image, theme.keys().white) > 15_000, "{theme:?}: white keys");
    }
}

/// Small pictures of pages whose content no planner chooses. Each was looked at; `UPDATE_SNAPSHOTS=1` draws them anew.
#[test]
fn pages_look_as_they_did() {
    let room = Room { scale: "Eb major".parse().unwrap(), subject: Subject::Chords, ..Room::default() };
    let mut results = egui_kittest::SnapshotResults::new();
    let scale = Room { subject: Subject::Scale, ..room };
    for (name, page, room, theme) in [
        ("song-day", Page::Song, room, Theme::Day),
        ("song-night", Page::Song, room, Theme::Night),
        ("scale-day", Page::Room, scale, Theme::Day),
        ("chords-night", Page::Room, room, Theme::Night),
    ] {
        let mut stand = Stand::of_part(ui::exercise(&room, None, voicing::KeyRange::FULL));
        stand.view = ViewState { page, theme, room, keyboard: KeyboardView::Full, ..stand.view };
        stand.does(&[SessionCommand::Advance, SessionCommand::Advance], 0.0);
        let mut shown = window(stand, [768.0, 480.0]);
        shown.run();
        results.add(shown.try_snapshot(name));
        results.extend_harness(&mut shown);
    }
}
