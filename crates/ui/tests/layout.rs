//! Nothing overlaps, nothing leaves its box, the current bar stays in sight.

use crate::stand::{Shown, resize, window};
use crate::support::fixture::{self, Stand};
use egui::{Rect, Vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use practice::{Mode, SessionCommand};
use ui::{Labels, Page};

const SIZES: [[f32; 2]; 4] = [[1280.0, 800.0], [1920.0, 1080.0], [820.0, 560.0], [2560.0, 1440.0]];

/// The boxes of all things that can be clicked, with their names.
fn buttons(shown: &Shown) -> Vec<(String, Rect)> {
    let of = |node: egui_kittest::Node<'_>| (node.accesskit_node().label().unwrap_or_default(), node.rect());
    shown.query_all_by_role(egui::accesskit::Role::Button).map(of).collect()
}

fn songs() -> Vec<String> {
    let demos = [fixture::LANTERNS, fixture::FROST, fixture::WALTZ, fixture::POUND, fixture::QUAY];
    let mut songs: Vec<String> = demos.iter().map(|text| (*text).to_owned()).collect();
    songs.extend([fixture::crowded(), fixture::long(12)]);
    songs
}

#[test]
fn no_control_covers_another() {
    for text in songs() {
        let mut shown = window(Stand::new(&text), SIZES[0]);
        for size in SIZES {
            resize(&mut shown, size);
            let boxes: Vec<_> =
                buttons(&shown).into_iter().filter(|(name, _)| !name.contains("bar ")).collect();
            assert!(boxes.len() > 8, "{size:?}: only {} controls", boxes.len());
            for (i, (a, first)) in boxes.iter().enumerate() {
                for (b, second) in &boxes[i + 1..] {
                    let over = first.intersect(*second);
                    // Boxes are drawn a little wider than their words; words themselves keep apart.
                    let touches = over.width() > 9.0 * size[0] / 1280.0 && over.height() > 9.0;
                    assert!(!touches, "{size:?}: {a} {first:?} and {b} {second:?}");
                }
            }
        }
    }
}

#[test]
fn every_control_lies_in_the_window() {
    for text in songs() {
        let mut shown = window(Stand::new(&text), SIZES[0]);
        for size in SIZES {
            let screen = Rect::from_min_size(egui::Pos2::ZERO, Vec2::from(size)).expand(0.5);
            for page in [Page::Song, Page::Results, Page::Room, Page::FirstStart] {
                shown.state_mut().stand.view.page = page;
                resize(&mut shown, size);
                for (name, rect) in buttons(&shown).iter().filter(|(name, _)| !name.contains("bar ")) {
                    assert!(screen.contains_rect(*rect), "{size:?} {page:?}: {name} at {rect:?}");
                }
            }
        }
    }
}

#[test]
fn bars_of_the_chart_do_not_overlap() {
    for text in songs() {
        let mut shown = window(Stand::new(&text), SIZES[0]);
        for size in SIZES {
            resize(&mut shown, size);
            let bars: Vec<_> =
                buttons(&shown).into_iter().filter(|(name, _)| name.contains(", bar ")).collect();
            assert!(bars.len() > 3);
            for (i, (a, first)) in bars.iter().enumerate() {
                for (b, second) in &bars[i + 1..] {
                    let over = first.intersect(*second);
                    let covers = over.width() > 0.5 && over.height() > 0.5;
                    assert!(!covers, "{size:?}: {a} {first:?} and {b} {second:?}");
                }
            }
        }
    }
}

#[test]
fn bar_widths_follow_beats() {
    let shown = window(Stand::new(fixture::LANTERNS), [1280.0, 800.0]);
    let wide = |name: &str| shown.get_by_label(name).rect().width();
    // 3/4 against 4/4.
    let ratio = wide("Intro, bar 1: 1 5") / wide("Intro, bar 2: 6");
    assert!((ratio - 0.75).abs() < 0.01, "{ratio}");
}

#[test]
fn the_current_bar_stays_in_sight() {
    for size in SIZES {
        let mut shown = window(Stand::new(&fixture::long(12)), size);
        let last = shown.state().stand.part.bars.len() - 1;
        for bar in [0, 17, 50, last, 3] {
            shown.state_mut().stand.does(&[SessionCommand::GoToBar(bar)], 0.0);
            shown.run();
            let name = format!("Part {}, bar {}: ", bar / 8 + 1, bar % 8 + 1);
            let rect = shown.get_by_label_contains(&name).rect();
            let below = shown.get_by_label_contains("right hand: beat").rect();
            assert!(rect.bottom() <= below.top() && rect.top() > 50.0, "{size:?}, bar {bar}: {rect:?}");
        }
    }
}

#[test]
fn nothing_is_drawn_while_nothing_changes() {
    for page in [Page::Song, Page::Results, Page::Room, Page::Songs, Page::More, Page::Keys, Page::FirstStart]
    {
        let mut stand = Stand::new(fixture::LANTERNS);
        stand.view.page = page;
        let mut shown = window(stand, [1280.0, 800.0]);
        shown.run();
        // Without a request the delay until the next frame has no end.
        let delay = shown.output().viewport_output[&egui::ViewportId::ROOT].repaint_delay;
        assert_eq!(delay, std::time::Duration::MAX, "{page:?}");
    }
}

#[test]
fn all_glyphs_are_there_in_every_mode() {
    // The harness panics on a missing glyph.
    for labels in [Labels::Numbers, Labels::Names, Labels::Both] {
        for text in songs() {
            let mut stand = Stand::new(&text);
            stand.view.labels = labels;
            stand.has_played();
            stand.does(&[SessionCommand::SetMode(Mode::Listen), SessionCommand::Start], 5000.0);
            let mut shown = window(stand, [1280.0, 800.0]);
            shown.step();
        }
    }
}

/// All texts that are drawn, with the boxes of their letters.
fn texts(shown: &Shown) -> Vec<(String, Rect)> {
    let text = |clipped: &egui::epaint::ClippedShape| match &clipped.shape {
        egui::Shape::Text(text) if !text.galley.text().trim().is_empty() => {
            Some((text.galley.text().to_owned(), text.galley.rect.translate(text.pos.to_vec2())))
        }
        _ => None,
    };
    shown.output().shapes.iter().filter_map(text).collect()
}

#[test]
fn no_words_touch_on_the_page_of_keys() {
    for size in SIZES {
        let mut stand = Stand::new(fixture::LANTERNS);
        stand.view.page = Page::Keys;
        let shown = window(stand, size);
        let all = texts(&shown);
        assert!(all.len() > 100, "{}", all.len());
        for (i, (a, first)) in all.iter().enumerate() {
            for (b, second) in &all[i + 1..] {
                let over = first.intersect(*second);
                let beside = over.height() > 0.6 * first.height().min(second.height());
                assert!(!(beside && over.width() > -3.0), "{size:?}: {a} {first:?} and {b} {second:?}");
            }
        }
    }
}
