//! The pages of practice, by accessible names and keys.

use crate::set_list::night;
use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::Key;
use egui_kittest::kittest::Queryable;
use practice::history::{Guess, Help, Marks};
use practice::learn::{Chance, HardBar, LISTENS, Readiness, Ready, Reason};
use ui::{
    Command, ItemShown, PRACTICE_KEYS, Page, Practice, PracticeCommand, SongShown, Trigger, TriggerDeed,
};

/// A plan under way, of a song of which one bar is hard.
fn practising(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    let chance = Chance { mean: 0.8, low: 0.6, high: 0.9 };
    let ready = Ready { today: chance, on_the_day: Some(Chance { mean: 0.7, low: 0.4, high: 0.9 }) };
    let reason = Reason::AlwaysLate(40.0);
    stand.practice = Practice {
        minutes: 20,
        by: Some((20_792, "Saturday 5 December".into())),
        today: 20_788,
        items: ["bar 3", "from beginning to end"]
            .map(|text| ItemShown { text: text.into(), song: None, minutes: 1.5, is_rest: false })
            .into(),
        running: true,
        song: Some(SongShown {
            title: stand.part.title.clone(),
            ready: Readiness {
                bars: vec![ready; stand.part.bars.len()],
                sections: Vec::new(),
                song: ready,
                alone: Vec::new(),
                changes: Vec::new(),
                is_a_guess: false,
            },
            hard: vec![HardBar { bar: 2, passes: 5, clean: 1, reasons: vec![reason] }],
            days: Vec::new(),
            progress: vec!["bars 9 to 12 went from 60 to 85 % speed this week".into()],
            passes: 5,
            elsewhere: 0,
        }),
        ..Practice::default()
    };
    stand.practice.now.text = "bar 3; right hand, 60 %".into();
    stand.view.page = page;
    stand
}

fn pressed(stand: Stand, key: Key) -> Vec<Command> {
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.key_press(key);
    shown.step();
    asked(&mut shown)
}

fn command(command: PracticeCommand) -> Vec<Command> {
    vec![Command::Practice(command)]
}

#[test]
fn few_keys_go_through_the_plan() {
    let on = |key| pressed(practising(Page::Practice), key);
    assert_eq!(on(Key::Enter), command(PracticeCommand::Next));
    assert_eq!(on(Key::A), command(PracticeCommand::Again));
    assert_eq!(on(Key::X), command(PracticeCommand::Stop));
    let asked = || {
        let mut stand = practising(Page::Practice);
        stand.practice.now.asked = true;
        stand
    };
    assert_eq!(pressed(asked(), Key::Num2), command(PracticeCommand::Guess(Guess::Slips)));
    assert_eq!(pressed(asked(), Key::Enter), command(PracticeCommand::Next), "one need not answer");
    assert_eq!(pressed(asked(), Key::A), [], "what is asked about is not played over");
    let mut over = practising(Page::Practice);
    over.practice.running = false;
    assert_eq!(pressed(over, Key::Enter), command(PracticeCommand::Begin));
    assert_eq!(pressed(practising(Page::Stage), Key::Enter), command(PracticeCommand::SetSong(1)));
}

#[test]
fn minutes_and_the_day_go_by_steps() {
    let planning = || {
        let mut stand = practising(Page::Practice);
        stand.practice.running = false;
        stand
    };
    let on = |key| pressed(planning(), key);
    assert_eq!(pressed(practising(Page::Practice), Key::M), [], "a plan under way goes on as it was made");
    assert_eq!(on(Key::M), command(PracticeCommand::Minutes(25)));
    assert_eq!(on(Key::T), command(PracticeCommand::By(Some(20_793))));
    assert_eq!(on(Key::Y), command(PracticeCommand::By(None)));
    let mut back = window(planning(), [1280.0, 800.0]);
    back.key_press_modifiers(egui::Modifiers::SHIFT, Key::M);
    back.step();
    assert_eq!(asked(&mut back), command(PracticeCommand::Minutes(15)));
}

#[test]
fn the_day_is_typed_as_well() {
    let mut stand = practising(Page::Practice);
    stand.practice.running = false;
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.get_by_label("The day it is played").focus();
    shown.run();
    shown.get_by_label("The day it is played").type_text("2026-12-06");
    shown.run();
    shown.key_press(Key::Enter);
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::ByTyped("2026-12-06".into())));
}

#[test]
fn items_are_moved_by_key_and_by_click_also_where_a_bar_comes_twice() {
    let twice = || {
        let mut stand = practising(Page::Practice);
        stand.practice.items.push(stand.practice.items[0].clone());
        stand
    };
    let moved = |from, to| command(PracticeCommand::Move { from, to });
    assert_eq!(pressed(twice(), Key::U), moved(0, 1), "the one in hand");
    assert_eq!(pressed(twice(), Key::E), [], "nothing stands before it");
    let mut shown = window(twice(), [1280.0, 800.0]);
    shown.get_by_label("from beginning to end one place later (U)").click();
    shown.run();
    assert_eq!(asked(&mut shown), moved(1, 2));
    shown.get_by_label("from beginning to end, 1.5 minutes").focus();
    shown.run();
    shown.key_press(Key::E);
    shown.run();
    assert_eq!(asked(&mut shown), moved(1, 0), "the one that has the focus");
}

#[test]
fn the_stage_shows_the_chart_and_the_next_song_and_no_controls() {
    let mut stand = practising(Page::Stage);
    stand.practice.set = Some(night(["one", "heron-waltz"]));
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_all_by_label_contains(", bar 1: ").count() > 0);
    assert!(shown.query_all_by_label_contains("Play along").next().is_none());
    assert!(shown.query_all_by_label_contains(", hard: ").next().is_none());
    shown.get_by_label("Next song: heron-waltz (Enter)").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::SetSong(1)));
    shown.key_press(Key::Escape);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Show(Page::Song)]);
}

#[test]
fn the_page_of_keys_lists_those_of_practice() {
    let shown = window(practising(Page::Keys), [1280.0, 800.0]);
    for (key, words) in PRACTICE_KEYS {
        assert!(shown.query_by_label(&format!("{key}: {words}")).is_some(), "{key}");
    }
}

#[test]
fn what_is_in_hand_is_told_and_a_pass_without_marks_says_that_it_listens() {
    let mut stand = practising(Page::Practice);
    stand.practice.now.marks = Marks::After;
    let shown = window(stand, [1280.0, 800.0]);
    for text in ["Bar 3", "right hand, 60 %", LISTENS] {
        assert!(shown.query_by_label(text).is_some(), "{text}");
    }
}

#[test]
fn the_warm_up_in_the_room_says_what_it_is_how_long_and_how_to_go_on() {
    let mut stand = practising(Page::Room);
    (stand.practice.now.warm_up, stand.practice.now.minutes_left) = (true, 1.2);
    stand.practice.now.text = "the scale of D major, both hands".into();
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("Warm-up: the scale of D major, both hands, 2 minutes left").is_some());
    shown.get_by_label("go on with the plan (Enter)").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::Next));
    shown.key_press(Key::Enter);
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::Next));
}

#[test]
fn the_set_and_the_players_own_keys_are_within_reach_of_the_keys() {
    let in_a_set = || {
        let mut stand = practising(Page::Practice);
        stand.practice.set = Some(night(["one", "two"]));
        stand.practice.triggers =
            vec![(TriggerDeed::Again, Some(Trigger::Pedal(66))), (TriggerDeed::Next, None)];
        stand
    };
    assert_eq!(pressed(in_a_set(), Key::S), command(PracticeCommand::SetSong(1)));
    let mut shown = window(in_a_set(), [1280.0, 800.0]);
    for (key, wanted) in [
        (Key::S, PracticeCommand::SetSong(-1)),
        (Key::Q, PracticeCommand::CloseSet),
        (Key::A, PracticeCommand::Trigger(TriggerDeed::Again, None)),
        (Key::Enter, PracticeCommand::LearnTrigger(TriggerDeed::Next)),
    ] {
        shown.key_press_modifiers(egui::Modifiers::SHIFT, key);
        shown.run();
        assert_eq!(asked(&mut shown), command(wanted), "{key:?}");
    }
}

#[test]
fn the_history_is_written_out_and_deleted_by_keys_on_the_page_of_how_ready_a_song_is() {
    assert_eq!(pressed(practising(Page::Ready), Key::W), command(PracticeCommand::Export));
    assert_eq!(pressed(practising(Page::Ready), Key::Delete), command(PracticeCommand::DeleteSong));
    let mut shown = window(practising(Page::Ready), [1280.0, 800.0]);
    shown.key_press_modifiers(egui::Modifiers::SHIFT, Key::Delete);
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::DeleteAll));
    assert!(shown.query_by_label("delete the whole history (Shift+Delete)").is_some());
}

#[test]
fn before_anything_was_heard_it_is_told_what_will_be_seen_and_how_to_get_it() {
    let mut stand = practising(Page::Ready);
    if let Some(song) = &mut stand.practice.song {
        song.ready.is_a_guess = true;
    }
    let shown = window(stand, [1280.0, 800.0]);
    for begins in ["Nothing was heard of this song yet.", "Here will stand, bar by bar,"] {
        assert_eq!(shown.query_all_by_label_contains(begins).count(), 1, "{begins}");
    }
}

#[test]
fn a_hard_bar_says_why_on_the_chart() {
    let shown = window(practising(Page::Song), [1280.0, 800.0]);
    let hard = ", hard: 40 ms later than the rest; clean 1 times of 5";
    assert_eq!(shown.query_all_by_label_contains(hard).count(), 1);
}

#[test]
fn from_memory_the_numbers_are_hidden_and_the_names_of_sections_stay() {
    let bars = |help: Help| {
        let mut stand = practising(Page::Practice);
        stand.practice.now.help = help;
        let shown = window(stand, [1280.0, 800.0]);
        let bars = shown.query_all_by_label_contains(", bar 1: ").count();
        (bars > 0, shown.query_by_label("Intro").is_some())
    };
    assert_eq!(bars(Help::Full), (true, false));
    assert_eq!(bars(Help::Sections), (false, true));
    assert_eq!(bars(Help::Nothing), (false, false));
}

#[test]
fn readiness_is_told_in_words_with_its_uncertainty() {
    let shown = window(practising(Page::Ready), [1280.0, 800.0]);
    let words = "The whole song: today clean about 8 times in 10 (6 to 9); on Saturday 5 December clean about 7 times in 10 \
                 (4 to 9) if nothing more is practised.";
    assert!(shown.query_by_label(words).is_some());
    assert!(shown.query_by_label("Bars 9 to 12 went from 60 to 85 % speed this week").is_some());
}

#[test]
fn the_readme_lists_the_keys_of_practice() {
    let readme = include_str!("../../../README.md");
    let section = readme.split("On the page of practice (`F11`)").nth(1).unwrap();
    let table = section.split("\n\n").nth(1).unwrap();
    for key in PRACTICE_KEYS.iter().flat_map(|(keys, _)| keys.split(' ')) {
        assert!(table.contains(&format!("`{key}`")), "{key}");
    }
}
