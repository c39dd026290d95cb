//! The whole window without a screen: other ways by their accessible names, down to the song file.

use super::*;
use crate::document::Source;
use crate::storage::{DEMOS, Places};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use practice::NoteChange;
use std::path::{Path, PathBuf};
use std::time::Duration;

type Window = Harness<'static, Option<Shell>>;

/// A song of the player's, with a layout of its own.
const SONG: &str = r#"{ "format": 1, "id": "reeds", "title": "Reeds at the Weir",   "key": "C major", "tempo": 80,
  "sections": [
    { "name": "Verse", "bars": ["1 | 4 | 5 | 1"] }   ] }
"#;

/// A window on a song; no device is opened.
fn window(home: &Path, source: Source) -> Window {
    let places = Places::under(home);
    let frame = move |ui: &mut egui::Ui, shell: &mut Option<Shell>| {
        let shell = shell.get_or_insert_with(|| {
            let mut shell = Shell::at(ui.ctx(), Some(source.clone()), Some(places.clone())).unwrap();
            shell.frames = 2;
            shell
        });
        shell.frame(ui);
    };
    let mut window = Harness::builder().with_size([1280.0, 800.0]).build_ui_state(frame, None);
    wait(&mut window, "the song is read", |window| shell(window).document.part().is_some());
    window
}

fn on_file(home: &Path) -> (PathBuf, Window) {
    let path = home.join("reeds.json");
    std::fs::write(&path, SONG).unwrap();
    let window = window(home, Source::File(path.clone()));
    (path, window)
}

fn shell(window: &Window) -> &Shell {
    window.state().as_ref().unwrap()
}

fn wait(window: &mut Window, what: &str, is_so: impl Fn(&Window) -> bool) {
    for _ in 0..2000 {
        window.step();
        if is_so(window) {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("it never came about that {what}");
}

fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run_steps(3);
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_default()
}

fn is_told(window: &Window, words: &str) -> bool {
    window.query_by_label_contains(words).is_some()
}

/// Keys go down on a keyboard, together.
fn hold(window: &mut Window, keys: &[u8]) {
    let shell = shell(window);
    let now = shell.session.clock().now();
    for key in keys {
        shell.session.stand().note(now, MidiKey::new(*key).unwrap(), NoteChange::On { velocity: 70 });
    }
    window.run_steps(2);
}

/// The right hand's notes in the first bar.
fn right_hand(window: &Window) -> Vec<String> {
    let part = shell(window).document.part().unwrap();
    part.bars[0].chords[0].right.notes.iter().map(|note| note.pitch.to_string()).collect()
}

/// Opens the page and waits for the ways.
fn look_for_ways(window: &mut Window) {
    press(window, Modifiers::NONE, Key::F9);
    wait(window, "ways are shown", |window| {
        window.query_all_by_label_contains("Take in the right hand: ").next().is_some()
    });
}

#[test]
fn a_click_pins_another_way_into_the_file_and_undo_takes_it_out_to_the_byte() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    let planned = right_hand(&window);
    look_for_ways(&mut window);
    let way = shell(&window).desk.choosing.way(0).unwrap().clone();
    window.query_all_by_label_contains("Take in the right hand: ").next().unwrap().click();
    wait(&mut window, "the file has the pin", |_| text(&path) != SONG);
    let pinned = text(&path);
    let song = song::read(&pinned).sound().unwrap();
    let exception = &song.sections[0].exceptions[0];
    assert!(exception.right.tones.is_some() && exception.left.tones.is_none(), "one hand of one bar is told");
    assert!(pinned.contains(r#""except": [ { "bar": 1, "right": { "tones": ""#), "{pinned}");
    assert!(pinned.starts_with(&SONG[..SONG.find("[\"1").unwrap()]), "the layout is kept");
    assert!(pinned.ends_with("   ] }\n"));
    let notes: Vec<String> = way.other.notes.iter().map(ToString::to_string).collect();
    wait(&mut window, "the part follows", |window| right_hand(window) == notes);
    assert!(is_told(&window, "Right hand pinned: "));

    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "the file is as it was", |_| text(&path) == SONG);
    wait(&mut window, "the part is as it was", |window| right_hand(window) == planned);
    press(&mut window, Modifiers::COMMAND, Key::Y);
    wait(&mut window, "the pin is there again", |_| text(&path) == pinned);
}

#[test]
fn an_old_pin_is_taken_out_with_a_key_and_the_file_is_as_if_it_had_never_been() {
    let home = tempfile::tempdir().unwrap();
    let pinned = SONG.replace(
        r#""bars": ["1 | 4 | 5 | 1"]"#,
        r#""bars": ["1 | 4 | 5 | 1"], "except": [ { "bar": 1, "right": { "tones": "5 1 3", "near": "G4" } } ]"#,
    );
    let path = home.path().join("reeds.json");
    std::fs::write(&path, &pinned).unwrap();
    let mut window = window(home.path(), Source::File(path.clone()));
    look_for_ways(&mut window);
    assert_eq!(right_hand(&window), ["G4", "C5", "E5"]);
    press(&mut window, Modifiers::NONE, Key::Delete);
    wait(&mut window, "the pin is out", |_| text(&path) == SONG);
    wait(&mut window, "the part follows", |window| right_hand(window) != ["G4", "C5", "E5"]);
    assert!(window.query_by_label("take the pin out (Delete)").is_none(), "there is none any more");
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "it is there again", |_| text(&path) == pinned);
    wait(&mut window, "and can be clicked away", |window| {
        window.query_by_label("take the pin out (Delete)").is_some()
    });
}

#[test]
fn arrow_keys_show_and_sound_a_way_and_enter_takes_it() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    look_for_ways(&mut window);
    press(&mut window, Modifiers::NONE, Key::ArrowDown);
    let way = shell(&window).desk.choosing.way(0).unwrap().clone();
    let shown = format!("right hand: {}, shown", way.notes());
    assert!(is_told(&window, &shown), "the keyboard shows it");
    let lap = shell(&window).session.stand().replay().map(|replay| replay.lap().take.clone()).unwrap();
    let keys: Vec<MidiKey> = lap.notes.iter().map(|note| note.key).collect();
    assert!(way.other.notes.iter().all(|note| keys.contains(&note.key().unwrap())), "it is heard");
    press(&mut window, Modifiers::NONE, Key::Enter);
    wait(&mut window, "the file has the pin", |_| text(&path).contains("\"except\""));
}

#[test]
fn as_i_hold_it_pins_both_hands_and_survives_transposition() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    // First inversion over root and fifth: members from the lowest up (Open Music Theory, inversions).
    press(&mut window, Modifiers::NONE, Key::F9);
    hold(&mut window, &[48, 55, 64, 67, 72]);
    press(&mut window, Modifiers::NONE, Key::F10);
    wait(&mut window, "the file has the pin", |_| text(&path) != SONG);
    assert!(text(&path).contains(r#""right": { "tones": "3 5 1", "near": "E4" }"#), "{}", text(&path));
    assert!(text(&path).contains(r#""left": { "tones": "1 5", "near": "C3" }"#), "{}", text(&path));
    assert!(is_told(&window, "Pinned. Right hand: 3 5 1. Left hand: 1 5."));
    wait(&mut window, "the part follows", |window| right_hand(window) == ["E4", "G4", "C5"]);
    window.state_mut().as_mut().unwrap().carry_out(Command::KeyOfSong("D major".parse().unwrap()));
    wait(&mut window, "it is moved", |window| right_hand(window) == ["F#4", "A4", "D5"]);
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "the file is as it was", |_| text(&path) == SONG);
}

#[test]
fn a_foreign_note_is_named_and_nothing_is_pinned() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    press(&mut window, Modifiers::NONE, Key::F9);
    hold(&mut window, &[64, 66, 72]);
    press(&mut window, Modifiers::NONE, Key::F10);
    assert!(is_told(&window, "F♯4 is foreign to the chord. Nothing is pinned."));
    press(&mut window, Modifiers::COMMAND, Key::Z);
    assert!(is_told(&window, "There is nothing to undo."));
    assert_eq!(text(&path), SONG);
}

#[test]
fn keys_clicked_on_the_screen_stay_held_and_what_is_held_does_not_turn_the_page() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    press(&mut window, Modifiers::NONE, Key::F9);
    // What the part itself has would be the step done, and the next chord in hand.
    let own: Vec<u8> = {
        let part = shell(&window).document.part().unwrap();
        let chord = &part.bars[0].chords[0];
        chord.left.notes.iter().chain(&chord.right.notes).map(|note| note.key.number()).collect()
    };
    hold(&mut window, &own);
    for key in [67, 72, 76] {
        let key = MidiKey::new(key).unwrap();
        let shell = window.state_mut().as_mut().unwrap();
        shell.carry_out(Command::KeyDown(key, 70));
        shell.carry_out(Command::KeyUp(key));
    }
    window.run_steps(2);
    assert!(is_told(&window, "Held: G4 C5 E5"));
    window.get_by_label("as I hold it (F10)").click();
    wait(&mut window, "the file has the pin", |_| text(&path) != SONG);
    assert!(
        text(&path).contains(r#"{ "bar": 1, "right": { "tones": "5 1 3", "near": "G4" } }"#),
        "{}",
        text(&path)
    );
}

#[test]
fn what_is_held_is_pinned_from_the_songs_own_page_with_one_key() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    hold(&mut window, &[67, 72, 76]);
    press(&mut window, Modifiers::NONE, Key::F10);
    wait(&mut window, "the file has the pin", |_| text(&path) != SONG);
    assert!(
        text(&path).contains(r#"{ "bar": 1, "right": { "tones": "5 1 3", "near": "G4" } }"#),
        "{}",
        text(&path)
    );
    assert_eq!(shell(&window).view.page, Page::Song);
    assert!(is_told(&window, "Pinned. Right hand: 5 1 3."), "it is said at the foot of the reasons");
}

#[test]
fn a_demo_song_goes_on_as_a_copy() {
    let home = tempfile::tempdir().unwrap();
    let mut window = window(home.path(), Source::Demo(DEMOS[0]));
    look_for_ways(&mut window);
    window.query_all_by_label_contains("Take in the right hand: ").next().unwrap().click();
    let copy = home.path().join("songs").join(DEMOS[0].file);
    wait(&mut window, "there is a copy", |_| copy.exists());
    window.run_steps(2);
    assert!(text(&copy).contains("\"except\"") && text(&copy) != DEMOS[0].text);
    assert!(is_told(&window, "stays as it is; you go on in a copy"));
    assert_eq!(shell(&window).document.source(), &Source::File(copy.clone()));
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "the copy is as the demo song", |_| text(&copy) == DEMOS[0].text);
}

#[test]
fn a_song_that_is_write_protected_goes_on_as_a_copy() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("reeds.json");
    std::fs::write(&path, SONG).unwrap();
    let mut about = std::fs::metadata(&path).unwrap().permissions();
    about.set_readonly(true);
    std::fs::set_permissions(&path, about).unwrap();
    let mut window = window(home.path(), Source::File(path.clone()));
    look_for_ways(&mut window);
    window.query_all_by_label_contains("Take in the right hand: ").next().unwrap().click();
    let copy = home.path().join("songs/reeds.json");
    wait(&mut window, "there is a copy", |_| text(&copy).contains("\"except\""));
    assert_eq!(text(&path), SONG);
}

#[test]
fn a_change_by_another_program_is_not_written_over_but_put_together_with_the_pin() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    look_for_ways(&mut window);
    std::fs::write(&path, SONG.replace("80", "96")).unwrap();
    window.query_all_by_label_contains("Take in the right hand: ").next().unwrap().click();
    wait(&mut window, "both are in the file", |_| {
        text(&path).contains("\"tempo\": 96") && text(&path).contains("\"except\"")
    });
    wait(&mut window, "the window has both", |window| shell(window).document.text() == Some(&text(&path)));
}

#[test]
fn a_simpler_part_a_bass_player_and_the_singer_are_planned_for_and_remembered() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    for (tab, name) in [
        // The song's own level is 3, as it says none.
        ("Settings: the part", "The whole song: simpler"),
        ("Settings: the part", "Bass player: one plays along"),
        ("Settings: the part", "The left hand reaches: more"),
        ("Settings: the part", "The left hand reaches: more"),
        ("Settings: the part", "The singer: tenor, C3 to C5"),
        ("Settings: the part", "Lowest note beside a bass player: more"),
    ] {
        if window.query_by_label(tab).is_none() {
            press(&mut window, Modifiers::NONE, Key::F6);
        }
        window.get_by_label(tab).click();
        window.run_steps(3);
        window.get_by_label(name).click();
        window.run_steps(3);
    }
    let wanted = *shell(&window).document.player();
    assert_eq!(wanted.level, voicing::Level::new(2));
    assert_eq!((wanted.bass, wanted.left_floor.number()), (Some(true), 41));
    assert_eq!((wanted.reach.semitones(), wanted.left_reach.semitones()), (12, 14));
    wait(&mut window, "the plan follows", |window| shell(window).document.part().unwrap().settings == wanted);
    drop(window);
    let again = self::window(home.path(), Source::File(path));
    assert_eq!(*shell(&again).document.player(), wanted);
}
