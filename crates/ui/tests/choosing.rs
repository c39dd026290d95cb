//! The page of other ways and the settings of the part, by accessible names and keys.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::Key;
use egui_kittest::kittest::Queryable;
use practice::SessionCommand;
use theory::MidiKey;
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
        let name = format!("Take in the {} hand: {}, {}", way.hand.name(), way.notes(), way.cost());
        assert!(shown.query_by_label(&name).is_some(), "{name}");
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
    let name = format!("Take in the {} hand: {}, {}", last.hand.name(), last.notes(), last.cost());
    let foot = shown.get_by_label_contains("Keyboard ").rect().top() - 150.0;
    assert!(shown.get_by_label(&name).rect().bottom() > foot, "it lies further down");
    shown.key_press(Key::ArrowUp);
    shown.run();
    assert!(shown.get_by_label(&name).rect().bottom() < foot);
}
