//! The page of other ways and the settings of the part, by accessible names and keys.

use crate::stand::{asked, resize, window};
use crate::support::fixture::{self, Stand};
use egui::epaint::ClippedShape;
use egui::{Key, Shape, pos2};
use egui_kittest::kittest::Queryable;
use practice::SessionCommand;
use theory::{Hand, MidiKey};
use ui::{Command, Page, Tab};
use voicing::{KeySpan, Level, PinScope, Reach, Settings};

fn ways() -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.view.page = Page::Ways;
    stand.looks_for_ways(fixture::LANTERNS);
    stand
}

#[test]
fn each_way_says_its_keys_its_cost_and_why_it_lost() {
    let shown = window(ways(), [1280.0, 800.0]);
    let stand = &shown.state().stand;
    let known = stand.choices.ways.as_ref().unwrap();
    assert!(known.len() > 3);
    for way in known {
        let name = way.name();
        assert!(shown.query_by_label(&name).is_some(), "{name}");
        assert!(name.contains(&way.notes()) && name.contains(&way.cost()), "{name}");
        let fingers: Vec<&str> = name.split("fingers ").nth(1).unwrap().split(',').collect();
        assert_eq!(fingers[0].split(' ').count(), way.other.notes.len(), "a finger for each note: {name}");
        assert!(shown.query_all_by_label_contains(&way.why()).next().is_some(), "{}", way.why());
    }
}

#[test]
fn arrows_walk_over_the_ways_and_enter_takes_the_one_that_is_shown() {
    let mut shown = window(ways(), [1280.0, 800.0]);
    let mut press = |key: Key| {
        shown.key_press(key);
        shown.run();
        asked(&mut shown)
    };
    assert_eq!(press(Key::Enter), [], "nothing is shown yet");
    assert_eq!(press(Key::ArrowDown), [Command::Way(Some(0))]);
    assert_eq!(press(Key::ArrowDown), [Command::Way(Some(1))]);
    assert_eq!(press(Key::ArrowUp), [Command::Way(Some(0))]);
    assert_eq!(press(Key::Enter), [Command::TakeWay(0)]);
    assert_eq!(press(Key::ArrowRight), [Command::Session(SessionCommand::Forward(practice::Unit::Beat))]);
}

#[test]
fn a_pin_is_for_every_pass_or_for_this_one() {
    let mut stand = ways();
    let verse = fixture::bar_of(&stand.part, "Verse", 0);
    stand.does(&[SessionCommand::GoToBar(verse)], 0.0);
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.get_by_label("Pin for this pass alone").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::PinFor(PinScope::ThisPass)]);
    let once = window(ways(), [1280.0, 800.0]);
    assert!(once.query_by_label("Pin for this pass alone").is_none(), "the intro is played once");
}

#[test]
fn what_is_held_is_spelled_in_the_key_and_can_be_let_go() {
    let mut stand = ways();
    stand.choices.holding = [57, 61].map(|n| MidiKey::new(n).unwrap()).into();
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("Held: A3 C♯4").is_some());
    shown.get_by_label("Let the held notes go").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::LetGo]);
    shown.get_by_label("as I hold it (F10)").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::AsHeld]);
}

#[test]
fn a_pin_can_be_taken_out_where_there_is_one() {
    let mut plain = window(ways(), [1280.0, 800.0]);
    plain.key_press(Key::Delete);
    plain.run();
    assert_eq!(asked(&mut plain), [], "nothing is pinned");
    let mut stand = ways();
    stand.choices.pinned = true;
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.get_by_label("take the pin out (Delete)").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Unpin]);
    shown.key_press(Key::Delete);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Unpin]);
}

#[test]
fn a_key_that_both_hands_want_shows_the_way_that_is_looked_at() {
    let mut stand = ways();
    let way = &mut stand.choices.ways.as_mut().unwrap()[0];
    assert_eq!(way.hand, Hand::Right);
    way.other.beside = way.other.shape.clone();
    stand.view.way = Some(0);
    let mut shown = window(stand, [1280.0, 800.0]);
    let image = shown.render().unwrap();
    let pixels = |colour| {
        let all = (0..1280).flat_map(|x| (625..780).map(move |y| (x, y)));
        all.filter(|(x, y)| crate::support::raster::pixel(&image, *x, *y) == colour).count()
    };
    assert!(pixels(ui::key_mark(Hand::Right, false).0) > 100, "its round marks are seen");
}

/// Lines of text in the column beside the chart that its edge would cut and nothing covers.
fn cut_lines(shown: &crate::stand::Shown) -> Vec<String> {
    let shapes = &shown.output().shapes;
    let mut cut = Vec::new();
    for (at, clipped) in shapes.iter().enumerate() {
        let Shape::Text(text) = &clipped.shape else { continue };
        let edge = clipped.clip_rect;
        if text.pos.x < 850.0 || edge.bottom() > 700.0 {
            continue;
        }
        for row in &text.galley.rows {
            let line = row.rect().translate(text.pos.to_vec2());
            let below = line.top() + 1.0 < edge.bottom() && edge.bottom() + 1.0 < line.bottom();
            let above = line.top() + 1.0 < edge.top() && edge.top() + 1.0 < line.bottom();
            if below || above {
                let seen = line.intersect(edge);
                let covers = |clipped: &ClippedShape| match &clipped.shape {
                    Shape::Rect(rect) => rect.fill.is_opaque() && rect.rect.contains_rect(seen.shrink(0.5)),
                    _ => false,
                };
                if !shapes[at..].iter().any(covers) {
                    cut.push(row.text());
                }
            }
        }
    }
    cut
}

#[test]
fn no_line_beside_the_chart_is_cut_in_half() {
    for page in [Page::Ways, Page::Song] {
        let mut shown = window(ways(), [1280.0, 800.0]);
        for height in (780..830).step_by(3) {
            shown.state_mut().stand.view.page = page;
            resize(&mut shown, [1280.0, height as f32]);
            let lines = cut_lines(&shown);
            assert!(lines.is_empty(), "{page:?} {height}: {lines:?}");
            // Somewhere in the middle both edges may cut.
            shown.hover_at(pos2(1100.0, 300.0));
            shown.event(egui::Event::MouseWheel {
                unit: egui::MouseWheelUnit::Point,
                delta: egui::vec2(0.0, -37.0),
                phase: egui::TouchPhase::Move,
                source: egui::MouseWheelSource::Wheel,
                modifiers: egui::Modifiers::NONE,
            });
            shown.run_steps(8);
            let lines = cut_lines(&shown);
            assert!(lines.is_empty(), "{page:?} {height}, scrolled: {lines:?}");
        }
    }
}

#[test]
fn a_plan_that_is_not_proven_says_so_in_the_window() {
    let mut stand = Stand::new(fixture::LANTERNS);
    assert_eq!(stand.part.proof.gap, 0);
    let quiet = window(Stand::new(fixture::LANTERNS), [1280.0, 800.0]);
    assert!(quiet.query_by_label_contains("searched to the end").is_none());
    std::sync::Arc::make_mut(&mut stand.part).proof.gap = 78;
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label_contains("other shapes may save up to 8 semitones of movement").is_some());
}

#[test]
fn a_bar_says_what_only_its_pass_has() {
    let mut stand = Stand::new(fixture::LANTERNS);
    let verse = fixture::bar_of(&stand.part, "Verse", 0) + 11;
    stand.does(&[SessionCommand::GoToBar(verse)], 0.0);
    let shown = window(stand, [1280.0, 800.0]);
    let named = shown.query_by_label("Verse, pass 3, bar 4: 6 (in this pass alone: chords, right hand)");
    assert!(named.is_some(), "passes 3 and 4 differ from 1 and 2");
    assert!(shown.query_by_label("Verse, pass 3, bar 3: 1 5").is_some());
}

#[test]
fn settings_of_the_part_set() {
    let set = |name: &str| {
        let mut stand = Stand::new(fixture::LANTERNS);
        stand.view.page = Page::More;
        stand.view.tab = Tab::Part;
        let mut shown = window(stand, [1280.0, 800.0]);
        shown.get_by_label(name).click();
        shown.run();
        asked(&mut shown)
    };
    let key = |n| MidiKey::new(n).unwrap();
    let usual = Settings::default();
    let level = Level::new(5);
    for (name, wanted) in [
        ("How full: 5, fullest: octaves or tenths under four", Settings { level, ..usual }),
        ("Bass player: there is none", Settings { bass: Some(false), ..usual }),
        ("Lowest note beside a bass player: less", Settings { left_floor: key(39), ..usual }),
        ("The right hand reaches: less", Settings { reach: Reach::new(11).unwrap(), ..usual }),
        ("The left hand reaches: more", Settings { left_reach: Reach::new(13).unwrap(), ..usual }),
        ("The singer: alto, F3 to F5", Settings { voice: KeySpan::new(key(53), key(77)), ..usual }),
    ] {
        assert_eq!(set(name), [Command::Player(wanted)], "{name}");
    }
}

#[test]
fn a_way_that_the_arrows_lead_to_is_brought_into_view() {
    let mut shown = window(ways(), [1280.0, 800.0]);
    let known = shown.state().stand.choices.ways.clone().unwrap();
    let last = known.last().unwrap();
    let name = last.name();
    let foot = shown.get_by_label_contains("Keyboard ").rect().top() - 150.0;
    assert!(shown.get_by_label(&name).rect().bottom() > foot, "it lies further down");
    shown.key_press(Key::ArrowUp);
    shown.run();
    assert!(shown.get_by_label(&name).rect().bottom() < foot);
}

/// A song's notes as those of a MIDI file come: without its chords.
fn notes_alone() -> Stand {
    let mut part = fixture::part(fixture::LANTERNS);
    for slot in part.bars.iter_mut().flat_map(|bar| &mut bar.played.slots) {
        (slot.kind, slot.continued) = (song::SlotKind::Rest, true);
    }
    Stand::of_part(part)
}

#[test]
fn the_notes_of_a_midi_file_are_said_and_pages_that_need_a_chart_say_that_there_is_none() {
    let shown = window(notes_alone(), [1280.0, 800.0]);
    let says =
        |shown: &crate::stand::Shown, what: &str| shown.query_all_by_label_contains(what).next().is_some();
    // The ballad begins with D and A in the left hand under F sharp and D or the like in the right.
    assert!(says(&shown, "Held here") && says(&shown, "Strikes D"));
    for absent in ["Rest", "rest", "other ways to hold it"] {
        assert!(!says(&shown, absent), "{absent}");
    }
    for page in [Page::Ways, Page::Writing, Page::Paper] {
        let mut stand = notes_alone();
        stand.view.page = page;
        let shown = window(stand, [1280.0, 800.0]);
        assert!(says(&shown, "These are the notes of a MIDI file"), "{page:?}");
    }
}
