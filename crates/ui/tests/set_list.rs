//! The set list on the pages of practice, by accessible names and keys.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::Key;
use egui_kittest::kittest::Queryable;
use practice::learn::{Chance, Ready};
use ui::{Command, DayShown, ItemShown, Page, PracticeCommand, SetShown, SetSongShown};

/// A set of some songs that were read, the first one open.
pub fn night<const N: usize>(songs: [&str; N]) -> SetShown {
    let song = |name: &str| SetSongShown { name: name.into(), is_read: true, ..SetSongShown::default() };
    SetShown {
        title: "Night".into(),
        songs: songs.map(song).into(),
        at: Some(0),
        whole: true,
        is_read: true,
        ready_of_set: true,
        ..SetShown::default()
    }
}

/// Two songs, of which one was heard.
fn stand(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    let chance = |mean: f64| Chance { mean, low: mean - 0.2, high: mean + 0.1 };
    let mut set = night(["Lanterns, in E♭ major", "Heron Waltz"]);
    set.songs[0].ready = Some(Ready { today: chance(0.8), on_the_day: Some(chance(0.7)) });
    set.days = vec![DayShown {
        name: "Today".into(),
        minutes: 8.5,
        songs: vec![("Lanterns".into(), "learn bars 3, 5; ask again bar 2".into())],
    }];
    let item = |song: &str, text: &str| ItemShown {
        text: text.into(),
        song: Some(song.into()),
        minutes: 1.5,
        is_rest: false,
    };
    stand.practice.items = vec![item("Lanterns", "bar 3"), item("Heron Waltz", "bar 3")];
    (stand.practice.set, stand.practice.by) = (Some(set), Some((20_792, "Saturday 5 December".into())));
    stand.view.page = page;
    stand
}

/// A window in which the whole column is seen.
const TALL: [f32; 2] = [1280.0, 1500.0];

fn command(command: PracticeCommand) -> Vec<Command> {
    vec![Command::Practice(command)]
}

#[test]
fn the_whole_set_or_the_open_song_is_chosen_by_a_key_and_by_a_click() {
    let mut shown = window(stand(Page::Practice), TALL);
    shown.key_press(Key::Z);
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::Whole(false)));
    shown.get_by_label("for the open song alone (Z)").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::Whole(false)));
    shown.get_by_label("Heron Waltz (S)").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::SetSongAt(1)));
    // The same bar of two songs: each item is named with its song.
    shown.get_by_label("Heron Waltz: bar 3 one place earlier (E)").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::Move { from: 1, to: 0 }));
}

#[test]
fn a_set_list_that_is_gone_says_so_and_what_to_do() {
    let mut lost = stand(Page::Practice);
    let told = "The set list night.json is not there.";
    lost.practice.set =
        Some(SetShown { title: "night".into(), trouble: Some(told.into()), ..SetShown::default() });
    let mut shown = window(lost, TALL);
    assert!(shown.query_all_by_label_contains(told).next().is_some());
    shown.key_press(Key::Z);
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::ReadSet));
    shown.get_by_label("forget it (Shift+Q)").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::CloseSet));
}

#[test]
fn readiness_of_a_set_is_told_song_by_song_and_day_by_day() {
    let mut shown = window(stand(Page::Ready), [1280.0, 800.0]);
    for words in [
        "Night, played on Saturday 5 December",
        "Today clean about 8 times in 10 (6 to 9); on Saturday 5 December clean about 7 times in 10 (5 to 8) if nothing more \
         is practised.",
        "Nothing was heard of it yet.",
        "Today, about 9 minutes",
        "Lanterns: learn bars 3, 5; ask again bar 2",
    ] {
        assert!(shown.query_by_label(words).is_some(), "{words}");
    }
    shown.get_by_label("Heron Waltz").click();
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::SetSongAt(1)));
    shown.key_press(Key::Z);
    shown.run();
    assert_eq!(asked(&mut shown), command(PracticeCommand::ReadyOfSet(false)));
    let mut alone = stand(Page::Ready);
    alone.practice.set.as_mut().unwrap().ready_of_set = false;
    let mut alone = window(alone, [1280.0, 800.0]);
    alone.get_by_label("all songs of the set (Z)").click();
    alone.run();
    assert_eq!(asked(&mut alone), command(PracticeCommand::ReadyOfSet(true)));
}
