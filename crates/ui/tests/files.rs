//! The song's file: earlier versions, what is asked about it, songs put aside.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use ui::{Command, FileQuestion, FilesCommand, Page};

const SIZE: [f32; 2] = [1280.0, 800.0];

fn on(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.view.page = page;
    stand
}

#[test]
fn earlier_versions_have_a_key_and_each_can_be_looked_at_and_brought_back() {
    let mut stand = on(Page::Song);
    stand.files = fixture::files();
    let mut shown = window(stand, SIZE);
    shown.key_press_modifiers(Modifiers::COMMAND, Key::H);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Show(Page::Versions)]);
    shown.get_by_label("Look at the version of 24 Nov 2026, 19:30: a new section Bridge, the order").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::Look(Some(4)))]);
    assert!(
        shown.query_by_label("Look at the version of today, 21:14: bar 6 of Chorus, as it is now").is_some()
    );
    assert!(
        shown.query_by_label("1/4 | 1/5 | 1/6 | 1sus2/5.. 5..").is_some(),
        "its rows are there to be read"
    );
    shown.get_by_label("Bring back the version of today, 20:58 (Enter); undo takes it back (Ctrl+Z)").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::BringBack(2))]);
    // The third is looked at.
    for (key, wanted) in [
        (Key::ArrowDown, FilesCommand::Look(Some(3))),
        (Key::ArrowUp, FilesCommand::Look(Some(1))),
        (Key::Enter, FilesCommand::BringBack(2)),
    ] {
        shown.key_press(key);
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Files(wanted)], "{key:?}");
    }
}

#[test]
fn the_song_as_it_is_now_is_not_brought_back() {
    let mut stand = on(Page::Versions);
    stand.files = fixture::files();
    stand.files.looked_at = stand.files.looked_at.map(|(_, rows)| (0, rows));
    let mut shown = window(stand, SIZE);
    assert!(shown.query_by_label_contains("Bring back").is_none());
    shown.key_press(Key::Enter);
    shown.run();
    assert_eq!(asked(&mut shown), []);
}

#[test]
fn a_clash_is_asked_about_on_every_page_in_words() {
    for page in [Page::Song, Page::Results, Page::Songs, Page::Versions] {
        let mut stand = on(page);
        stand.files.asks = Some(FileQuestion::Clash(vec!["bar 2 of Verse".into()]));
        let mut shown = window(stand, SIZE);
        assert!(shown.query_by_label_contains("changed song.json where you did: bar 2 of Verse").is_some());
        shown.get_by_label_contains("Keep mine").click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::KeepMine)]);
        shown.get_by_label_contains("Take the file’s").click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::TakeTheirs)]);
    }
}

#[test]
fn a_file_that_is_gone_can_be_written_anew() {
    let mut stand = on(Page::Song);
    stand.files.asks = Some(FileQuestion::Gone);
    let mut shown = window(stand, SIZE);
    shown.get_by_label("Write the file anew where it was").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::WriteAnew)]);
}

#[test]
fn songs_are_put_aside_and_taken_up_again() {
    let mut shown = window(on(Page::Songs), SIZE);
    shown.get_by_label("Put aside: Sunday set, second half").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::SetAside(5))]);
    shown.get_by_label("Take up again: Ropes of Last Winter").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::TakeUp(6))]);
    assert!(shown.query_by_label_contains("Put aside: Lanterns").is_none(), "demo songs stay");
}

#[test]
fn a_song_is_copied_with_its_takes_from_the_page_of_takes() {
    let mut shown = window(on(Page::Takes), SIZE);
    shown.get_by_label("copy the song and its takes into a folder (C)").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Files(FilesCommand::CopyWithTakes)]);
}
