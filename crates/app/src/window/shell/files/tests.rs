//! The whole window without a screen: songs and their files, by the window's accessible names.

use super::*;
use crate::storage::{DEMOS, Places, SAVE_EVERY, Settings, TRY_EVERY, Versions};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use song::edit::Change;

type Window = Harness<'static, Option<Shell>>;

/// A song of the player's, with a layout and an order of fields of its own.
const SONG: &str = r#"{ "title": "Reeds at the Weir",   "format": 1, "id": "reeds", "tempo": 80, "key": "C major",
  "sections": [
    { "bars": ["1 | 4 | 5 | 1",
               "6 | 4 |  5 | 1"], "name": "Verse" }   ] }
"#;

/// A window on a song; no device is opened.
fn window(home: &Path, source: Source) -> Window {
    let mut window = opened(home, source);
    wait(&mut window, "the song is read", |window| shell(window).document.part().is_some());
    window
}

fn opened(home: &Path, source: Source) -> Window {
    let places = Places::under(home);
    let frame = move |ui: &mut egui::Ui, shell: &mut Option<Shell>| {
        let shell = shell.get_or_insert_with(|| {
            let mut shell = Shell::at(ui.ctx(), Some(source.clone()), Some(places.clone())).unwrap();
            shell.frames = 2;
            shell
        });
        shell.frame(ui);
    };
    Harness::builder().with_size([1280.0, 800.0]).build_ui_state(frame, None)
}

/// A song on a shelf of its own, not in the program's folders.
fn on_file(home: &Path) -> (PathBuf, Window) {
    let path = home.join("shelf/reeds.json");
    std::fs::create_dir_all(home.join("shelf")).unwrap();
    std::fs::write(&path, SONG).unwrap();
    let window = window(home, Source::File(path.clone()));
    (path, window)
}

fn shell(window: &Window) -> &Shell {
    window.state().as_ref().unwrap()
}

fn shell_mut(window: &mut Window) -> &mut Shell {
    window.state_mut().as_mut().unwrap()
}

fn wait(window: &mut Window, what: &str, is_so: impl Fn(&Window) -> bool) {
    for _ in 0..2000 {
        window.step();
        if is_so(window) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    let told = &shell(window).told;
    panic!("it never came about that {what}; told was {told:?}");
}

fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run_steps(3);
}

fn click(window: &mut Window, name: &str) {
    wait(window, name, |window| window.query_all_by_label_contains(name).next().is_some());
    window.query_all_by_label_contains(name).next().unwrap().click();
    window.run_steps(3);
}

fn type_row(window: &mut Window, row: usize, text: &str) {
    let change = Change::Row { section: 0, row, text: text.into() };
    let shell = shell_mut(window);
    let step = shell.document.change(&[change]).unwrap().unwrap();
    shell.keep_step(step);
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_default()
}

/// The texts of its versions, the newest first. One may go while they are read: the keeper works on a thread of its own.
fn versions(home: &Path, path: &Path) -> Vec<String> {
    let listed = Versions::of(&Places::under(home), path).list();
    listed.iter().filter_map(|version| version.text().ok()).collect()
}

fn is_told(window: &Window, words: &str) -> bool {
    window.query_all_by_label_contains(words).next().is_some()
}

fn drop_files(window: &mut Window, paths: &[&Path]) {
    let shell = shell_mut(window);
    shell.take_in_files(paths.iter().map(|path| path.to_path_buf()).collect());
    window.run_steps(2);
}

#[test]
fn what_is_typed_is_in_the_file_with_its_layout_and_the_song_as_it_was_found_stays() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    for typed in ["6 |", "6 | 4", "6 | 4 |  5 | 6"] {
        type_row(&mut window, 1, typed);
    }
    let wanted = SONG.replace("6 | 4 |  5 | 1", "6 | 4 |  5 | 6");
    wait(&mut window, "it is in the file", |_| text(&path) == wanted);
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "undo is in the file", |_| text(&path) == SONG);
    press(&mut window, Modifiers::COMMAND, Key::Y);
    wait(&mut window, "redo is in the file", |_| text(&path) == wanted);
    wait(&mut window, "both are versions", |_| versions(home.path(), &path) == [wanted.as_str(), SONG]);
}

#[test]
fn what_waits_is_written_when_the_window_closes() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    type_row(&mut window, 0, "1 | 6 | 5 | 1");
    type_row(&mut window, 1, "1 | 6 | 5 | 1");
    drop(window);
    assert_eq!(text(&path).matches("1 | 6 | 5 | 1").count(), 2);
}

#[test]
fn an_earlier_version_is_looked_at_and_brought_back_and_that_is_undone() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    wait(&mut window, "it is in the file", |_| text(&path) != SONG);
    let typed = text(&path);
    press(&mut window, Modifiers::COMMAND, Key::H);
    assert_eq!(shell(&window).view.page, Page::Versions);
    wait(&mut window, "the newest tells what was changed", |window| {
        is_told(window, "bar 2 of Verse, as it is now")
    });
    click(&mut window, "the song as it was found");
    assert!(is_told(&window, "1 | 4 | 5 | 1"), "its rows are shown");
    click(&mut window, "Bring back the version of today");
    wait(&mut window, "it is back", |_| text(&path) == SONG);
    assert!(is_told(&window, "Ctrl+Z takes that back"));
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "that is undone", |_| text(&path) == typed);
    press(&mut window, Modifiers::NONE, Key::Escape);
    assert_eq!(shell(&window).view.page, Page::Song);
}

#[test]
fn a_change_outside_in_another_place_is_put_together_with_what_is_typed() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    // Both before either sees the other.
    std::fs::write(&path, SONG.replace("80", "96")).unwrap();
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    let both = SONG.replace("80", "96").replace("1 | 4 | 5 | 1\",\n", "1 | 2 | 5 | 1\",\n");
    wait(&mut window, "both are in the file", |_| text(&path) == both);
    assert!(is_told(&window, "both changes are in it"));
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "undo takes theirs back", |_| text(&path) == both.replace("96", "80"));
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "and then mine", |_| text(&path) == SONG);
}

/// Both wrote into one bar.
fn clashing(home: &Path) -> (PathBuf, Window, String) {
    let (path, mut window) = on_file(home);
    let theirs = SONG.replace("[\"1 | 4", "[\"1 | 6");
    std::fs::write(&path, &theirs).unwrap();
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    wait(&mut window, "it is asked", |window| is_told(window, "where you did: bar 2 of Verse"));
    assert_eq!(text(&path), theirs, "nothing is written over it");
    (path, window, theirs)
}

#[test]
fn a_change_outside_in_one_place_is_asked_about_and_mine_can_be_kept() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window, theirs) = clashing(home.path());
    type_row(&mut window, 1, "6 | 4 | 5 | 6");
    window.run_steps(3);
    assert_eq!(text(&path), theirs, "nor later, while it is asked");
    click(&mut window, "Keep mine");
    wait(&mut window, "mine is in the file", |_| {
        text(&path).contains("1 | 2 | 5 | 1") && text(&path).contains("5 | 6")
    });
    wait(&mut window, "theirs is a version", |_| versions(home.path(), &path).contains(&theirs));
    wait(&mut window, "nothing is asked any more", |window| !is_told(window, "where you did"));
}

#[test]
fn a_change_outside_in_one_place_can_be_taken_and_mine_stays_a_version() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window, theirs) = clashing(home.path());
    let mine = SONG.replace("[\"1 | 4", "[\"1 | 2");
    click(&mut window, "Take the file’s");
    wait(&mut window, "theirs goes on", |window| shell(window).document.text() == Some(&theirs));
    assert_eq!(text(&path), theirs);
    wait(&mut window, "mine is a version", |_| versions(home.path(), &path).contains(&mine));
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "undo brings mine back", |_| text(&path) == mine);
}

#[test]
fn what_was_asked_about_when_the_window_closed_is_asked_again() {
    let home = tempfile::tempdir().unwrap();
    let (path, window, theirs) = clashing(home.path());
    drop(window);
    assert_eq!(text(&path), theirs);
    let mut window = self::window(home.path(), Source::File(path.clone()));
    wait(&mut window, "it is asked again", |window| is_told(window, "where you did: bar 2 of Verse"));
    click(&mut window, "Keep mine");
    wait(&mut window, "mine is in the file", |_| text(&path) == SONG.replace("[\"1 | 4", "[\"1 | 2"));
}

#[test]
fn two_windows_on_one_song_come_to_have_both_changes() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut one) = on_file(home.path());
    let mut other = window(home.path(), Source::File(path.clone()));
    type_row(&mut one, 0, "1 | 2 | 5 | 1");
    type_row(&mut other, 1, "6 | 4 | 5 | 6");
    let both = SONG.replace("[\"1 | 4", "[\"1 | 2").replace("6 | 4 |  5 | 1", "6 | 4 | 5 | 6");
    for _ in 0..2000 {
        one.step();
        other.step();
        let texts = [shell(&one).document.text(), shell(&other).document.text(), Some(&text(&path))];
        if texts.iter().all(|text| *text == Some(&both)) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    panic!("{}\n{:?}", text(&path), shell(&one).document.text());
}

#[test]
fn a_file_that_is_gone_is_waited_for_or_written_anew() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    let away = home.path().join("away");
    std::fs::rename(home.path().join("shelf"), &away).unwrap();
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    wait(&mut window, "it is told", |window| is_told(window, "is not there any more"));
    assert!(!path.exists(), "the folder is not made anew");
    std::fs::rename(&away, home.path().join("shelf")).unwrap();
    wait(&mut window, "it is written once the folder is back", |_| text(&path).contains("1 | 2 | 5 | 1"));
    wait(&mut window, "that is told", |window| is_told(window, "reeds.json is written now"));

    std::fs::remove_file(&path).unwrap();
    type_row(&mut window, 1, "6 | 4 | 5 | 6");
    click(&mut window, "Write the file anew where it was");
    wait(&mut window, "it is there again", |_| text(&path).contains("6 | 4 | 5 | 6"));
    assert!(TRY_EVERY > SAVE_EVERY);
}

#[test]
fn a_file_that_becomes_read_only_is_told_of_and_tried_again() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    wait(&mut window, "it is in the file", |_| text(&path).contains("1 | 2 | 5 | 1"));
    wait(&mut window, "that is known", |window| shell(window).document.was_written());
    let writable = std::fs::metadata(&path).unwrap().permissions();
    let mut shut = writable.clone();
    shut.set_readonly(true);
    std::fs::set_permissions(&path, shut).unwrap();
    let before = text(&path);
    type_row(&mut window, 1, "6 | 4 | 5 | 6");
    wait(&mut window, "it is told", |window| is_told(window, "may not be written into any more"));
    assert_eq!(text(&path), before);
    std::fs::set_permissions(&path, writable).unwrap();
    wait(&mut window, "it is written then", |_| text(&path).contains("6 | 4 | 5 | 6"));
}

#[test]
fn a_song_is_kept_elsewhere_with_its_versions_and_all_that_can_be_undone() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    let there = home.path().join("loft/weir.json");
    std::fs::create_dir_all(home.path().join("loft")).unwrap();
    type_row(&mut window, 0, "1 | 6 | 5 | 1");
    shell_mut(&mut window).move_file(there.clone());
    wait(&mut window, "it is there", |window| {
        *shell(window).document.source() == Source::File(there.clone())
    });
    assert!(!path.exists());
    let typed = SONG.replace("1 | 4 | 5 | 1\"", "1 | 6 | 5 | 1\"");
    wait(&mut window, "what was typed came along", |_| text(&there) == typed);
    wait(&mut window, "so did its versions", |_| {
        versions(home.path(), &there).last().is_some_and(|v| v == SONG)
    });
    assert!(
        shell(&window).settings.recent.contains(&there) && !shell(&window).settings.recent.contains(&path)
    );
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "undo goes into the file where it is now", |_| text(&there) == SONG);
    // No other file gives way.
    std::fs::write(&path, "{}").unwrap();
    shell_mut(&mut window).move_file(path.clone());
    wait(&mut window, "it is told", |window| {
        shell(window).told.as_ref().is_some_and(|told| told.contains("there is a file of that name"))
    });
    assert_eq!((text(&path).as_str(), text(&there).as_str()), ("{}", SONG));
}

#[test]
fn a_song_that_was_left_can_still_be_undone_when_it_is_opened_again() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    shell_mut(&mut window).open(Source::Demo(DEMOS[1]));
    wait(&mut window, "another song is read", |window| shell(window).document.part().is_some());
    wait(&mut window, "it was written all the same", |_| text(&path).contains("1 | 2 | 5 | 1"));
    shell_mut(&mut window).open(Source::File(path.clone()));
    wait(&mut window, "it is read again", |window| shell(window).document.part().is_some());
    press(&mut window, Modifiers::COMMAND, Key::Z);
    wait(&mut window, "it is undone", |_| text(&path) == SONG);
}

#[test]
fn songs_are_put_aside_and_taken_up_again() {
    let home = tempfile::tempdir().unwrap();
    let (path, mut window) = on_file(home.path());
    press(&mut window, Modifiers::NONE, Key::F3);
    click(&mut window, "Put aside: Reeds at the Weir");
    assert_eq!(shell(&window).settings.aside, std::slice::from_ref(&path));
    drop(window);
    let mut again = self::window(home.path(), Source::Demo(DEMOS[0]));
    press(&mut again, Modifiers::NONE, Key::F3);
    shell_mut(&mut again).list_songs();
    again.run_steps(2);
    assert!(is_told(&again, "Put aside"));
    click(&mut again, "Take up again: Reeds at the Weir");
    assert!(Settings::load(&Places::under(home.path())).settings.recent.contains(&path));
    click(&mut again, "Open Reeds at the Weir");
    wait(&mut again, "it is open", |window| *shell(window).document.source() == Source::File(path.clone()));
}

#[test]
fn a_chart_as_text_becomes_a_song_that_says_what_is_not_certain() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut window) = on_file(home.path());
    let chart = home.path().join("../Sent by mail!.txt");
    let chart = home.path().join(chart.file_name().unwrap());
    std::fs::write(&chart, "Lanterns\nKey: D\n\nVerse x2\nD A/C# Bm G\nthe water keeps the light\n").unwrap();
    drop_files(&mut window, &[&chart]);
    let made = home.path().join("songs/sent-by-mail.json");
    wait(&mut window, "it is open", |window| {
        *shell(window).document.source() == Source::File(made.clone())
            && shell(window).document.part().is_some()
    });
    let song = song::read(&text(&made)).sound().unwrap();
    assert_eq!((song.title.as_str(), song.sections[0].passes), ("Lanterns", Some(2)));
    assert!(song.note.unwrap().contains("each chord was taken for a bar"));
    assert!(is_told(&window, "not certain"));
}

#[test]
fn a_score_in_musicxml_becomes_a_song_whatever_its_name_ends_in() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut window) = on_file(home.path());
    let score = home.path().join("weir.txt");
    let text = r#"<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Piano</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>1</fifths><mode>major</mode></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes><harmony><root><root-step>G</root-step></root><kind>major</kind></harmony><note><rest/><duration>4</duration><type>whole</type></note></measure><measure number="2"><harmony><root><root-step>C</root-step></root><kind>major</kind></harmony><note><rest/><duration>4</duration><type>whole</type></note></measure></part></score-partwise>"#;
    std::fs::write(&score, text).unwrap();
    drop_files(&mut window, &[&score]);
    let made = home.path().join("songs/weir.json");
    wait(&mut window, "it is open", |window| {
        *shell(window).document.source() == Source::File(made.clone())
            && shell(window).document.part().is_some()
    });
    let song = shell(&window).document.song().unwrap();
    let bars: Vec<&str> = song.bars.iter().map(|bar| bar.text.as_str()).collect();
    assert_eq!(bars, ["1", "4"], "G and C in G major");
    assert_eq!(std::fs::read_to_string(&score).unwrap(), text, "what it was made of stays");
}

#[test]
fn a_song_with_its_takes_goes_to_a_coach_and_is_opened_there() {
    let home = tempfile::tempdir().unwrap();
    let (_, mut window) = on_file(home.path());
    let part = shell(&window).document.part().unwrap().clone();
    let take = |late: f64| {
        let expected =
            practice::Expected::of_part(&part, &practice::Timeline::new(&part), practice::Hands::Both, None);
        let note = |n: &practice::ExpectedNote| practice::PlayedNote {
            at: n.at + practice::ChartTime::from_ms(late),
            length: Some(practice::ChartTime::from_ms(200.0)),
            key: n.key,
            velocity: 70,
        };
        let notes = expected.notes.iter().map(note).collect();
        let take = practice::Take::new(notes, practice::Speed::clamped(80.0), practice::Hands::Both, None);
        crate::window::take_file::judged(part.clone(), practice::Take { key: Some(part.key), ..take })
    };
    let places = Places::under(home.path());
    for late in [0.0, 10.0, 20.0] {
        crate::storage::save_take(&places, &take(late), "reeds.json".into()).unwrap();
    }
    let mail = home.path().join("mail");
    shell_mut(&mut window).copy_with_takes_into(mail.clone());
    wait(&mut window, "it is copied", |window| is_told(window, "The song and 3 takes are in"));
    let sent = mail.join("reeds with takes");
    assert_eq!(std::fs::read_dir(&sent).unwrap().count(), 4);

    let coachs_home = tempfile::tempdir().unwrap();
    let mut coach = self::window(coachs_home.path(), Source::Demo(DEMOS[0]));
    drop_files(&mut coach, &[&sent]);
    wait(&mut coach, "all takes are there side by side", |window| {
        shell(window).takes.open(None).is_some_and(|(_, laps)| laps.len() == 3)
    });
    assert_eq!(shell(&coach).view.page, Page::Results);
    let (name, laps) = shell(&coach).takes.open(Some(0)).unwrap();
    assert!(name.starts_with("take-") && laps.iter().all(|lap| lap.score.matched == lap.score.expected));
    assert_eq!(*shell(&coach).document.source(), Source::File(sent.join("reeds.json")));
}

/// Files of a stranger, each with what must be said about it. Whatever they hold, nothing is read or written elsewhere.
#[test]
fn files_of_a_stranger_do_no_harm() {
    let home = tempfile::tempdir().unwrap();
    let strangers = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = strangers.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    };
    let song = |title: &str| SONG.replace("Reeds at the Weir", title);
    let sections = |n: usize| {
        let one = |n: usize| format!("{{ \"name\": \"S{n}\", \"like\": \"S{}\", \"passes\": 99 }}", n + 1);
        (0..n).map(one).collect::<Vec<_>>().join(", ")
    };
    let with = |sections: &str| {
        format!(
            "{{ \"format\": 1, \"title\": \"T\", \"key\": \"C major\", \"tempo\": 80, \"sections\": [{sections}] }}"
        )
    };
    let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    let mut hostile = vec![
        file("deep.json", format!("{{\"a\": {deep}}}").as_bytes()),
        file("not-text.json", b"{ \"format\": 1, \xff\xfe"),
        file("nul.json", b"{ \"format\": 1, \"title\": \"\0\0\" }"),
        file(
            "circle.json",
            with("{ \"name\": \"A\", \"like\": \"B\" }, { \"name\": \"B\", \"like\": \"A\" }").as_bytes(),
        ),
        file("chain.json", with(&sections(2000)).as_bytes()),
        file(
            "bars.json",
            with(&format!("{{ \"name\": \"A\", \"passes\": 99, \"bars\": [\"{}1\"] }}", "1 | ".repeat(5000)))
                .as_bytes(),
        ),
        file(
            "dots.json",
            with(&format!("{{ \"name\": \"A\", \"bars\": [\"1{}\"] }}", ".".repeat(100_000))).as_bytes(),
        ),
        file("numbers.json", with("{ \"name\": \"A\", \"passes\": 1e308, \"bars\": [\"1\"] }").as_bytes()),
        file("program.json", b"\x7fELF\x02\x01\x01\0\0\0"),
        file("take.mid", b"MThd\0\0\0\x06\0\x01\xff\xff\0\x01MTrk\xff\xff\xff\xff\0"),
        file("empty.json", b""),
    ];
    let long = file("long.json", b"{");
    std::fs::File::options().write(true).open(&long).unwrap().set_len(1 << 40).unwrap();
    hostile.push(long);
    #[cfg(unix)]
    {
        let pipe = strangers.path().join("pipe.json");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        hostile.push(pipe);
        for (name, to) in [("zero.json", "/dev/zero"), ("passwords.json", "/etc/passwd")] {
            let link = strangers.path().join(name);
            std::os::unix::fs::symlink(to, &link).unwrap();
            hostile.push(link);
        }
    }
    let mut window = window(home.path(), Source::Demo(DEMOS[0]));
    for path in &hostile {
        drop_files(&mut window, &[path]);
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        wait(&mut window, &format!("{name} is told of"), |window| {
            let shell = shell(window);
            let trouble = shell.document.trouble().is_some();
            shell.told.is_some()
                || trouble
                || shell.document.diagnostics().iter().any(song::Diagnostic::is_error)
        });
        let shell = shell_mut(&mut window);
        shell.told = None;
        shell.open(Source::Demo(DEMOS[0]));
        wait(&mut window, "a song can be opened after it", |window| {
            shell_is_on_a_demo(window) && self::shell(window).document.part().is_some()
        });
    }
    // A title that looks like a path names no folder, and is nobody's when takes are kept.
    let path = file("title.json", song("../../../../tmp/Reeds").as_bytes());
    drop_files(&mut window, &[&path]);
    wait(&mut window, "it is open", |window| {
        shell(window).document.part().is_some_and(|part| part.title.starts_with(".."))
    });
    let folder = Places::under(home.path()).takes_folder("../../../../tmp/Reeds");
    assert_eq!(folder, home.path().join("takes/tmp-reeds"));
    type_row(&mut window, 0, "1 | 2 | 5 | 1");
    wait(&mut window, "it is in the file", |_| text(&path).contains("1 | 2 | 5 | 1"));
    let mut there: Vec<PathBuf> =
        std::fs::read_dir(strangers.path()).unwrap().map(|e| e.unwrap().path()).collect();
    there.sort();
    hostile.push(path);
    hostile.sort();
    assert_eq!(there, hostile, "nothing else came to be there");
}

fn shell_is_on_a_demo(window: &Window) -> bool {
    *shell(window).document.source() == Source::Demo(DEMOS[0])
}
