//! What is copied in one program is pasted in another: a chart from an e-mail, a row from one song into the next.

use super::alone;
use super::window_alone::without_devices;
use crate::support::have;
use crate::support::process::wait_for;
use crate::support::screen::Screen;
use crate::support::window::Window;
use std::path::{Path, PathBuf};

/// A song with one row, under a title to find its window by.
fn song(folder: &Path, title: &str, row: &str) -> PathBuf {
    let path = folder.join(format!("{title}.json"));
    let text = format!(
        r#"{{ "format": 1, "id": "{title}", "title": "{title}", "key": "D major", "tempo": 72,
  "sections": [ {{ "name": "Verse", "bars": ["{row}"] }} ] }}"#
    );
    std::fs::write(&path, text).unwrap();
    path
}

/// Two windows are two programs: what one copies the system hands to the other.
#[test]
fn a_row_is_copied_out_of_one_window_and_pasted_into_another() {
    let _alone = alone();
    if !have("the system's clipboard", &["Xvfb", "xdotool"]) {
        return;
    }
    let (screen, files) = (Screen::new(1280, 800), tempfile::tempdir().unwrap());
    let (from, to) = (song(files.path(), "Reeds", "3/4: 1.. 5. | 6"), song(files.path(), "Weir", "4"));
    let windows = [&from, &to].map(|song| Window::open(&screen, Some(song), without_devices));
    // A window that comes up takes the focus.
    windows.iter().for_each(|window| drop(window.wait_for_text("Verse, bar 1")));
    for (window, title) in windows.iter().zip(["Reeds", "Weir"]) {
        screen.focus(title);
        screen.press(&["ctrl+e", "ctrl+Home"]);
        // Signs to put on stand under the row where one types.
        window.wait_for_text("diamond <>");
    }
    screen.focus("Reeds");
    screen.press(&["ctrl+a", "ctrl+c"]);
    screen.focus("Weir");
    // In place of its row, again and again: the first time the other window may not have heard its keys yet.
    let arrived = || std::fs::read_to_string(&to).is_ok_and(|text| text.contains("3/4: 1.. 5. | 6"));
    wait_for("the row in the other song's file", 60, || {
        screen.press(&["ctrl+a", "ctrl+v"]);
        (0..50).any(|_| wait_a_little(arrived)).then_some(())
    });
}

fn wait_a_little(until: impl Fn() -> bool) -> bool {
    std::thread::sleep(std::time::Duration::from_millis(40));
    until()
}
