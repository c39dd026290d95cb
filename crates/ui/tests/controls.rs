//! Every control by its accessible name and by its key.

use crate::stand::{Shown, asked, window};
use crate::support::fixture::{self, Stand};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use practice::{ClickBars, ClickStyle, Hands, LoopBars, Mode, SessionCommand, Speed, StepBy, Unit};
use std::collections::HashSet;
use ui::keys::{Ask, SHORTCUTS, label, piano_note};
use ui::room_keys::ROOM_KEYS;
use ui::{Command, KeyboardView, Labels, Page, Theme};

fn lanterns() -> Shown {
    window(Stand::new(fixture::LANTERNS), [1280.0, 800.0])
}

fn click(shown: &mut Shown, name: &str) -> Vec<Command> {
    shown.get_by_label(name).click();
    shown.run();
    asked(shown)
}

fn press(shown: &mut Shown, modifiers: Modifiers, key: Key) -> Vec<Command> {
    shown.key_press_modifiers(modifiers, key);
    shown.run();
    asked(shown)
}

fn session(command: SessionCommand) -> Vec<Command> {
    vec![Command::Session(command)]
}

#[test]
fn words_of_the_line_ask_for_what_they_say() {
    let mut shown = lanterns();
    for (name, command) in [
        ("Step (1)", SessionCommand::SetMode(Mode::Step)),
        ("Play along (2)", SessionCommand::SetMode(Mode::PlayAlong)),
        ("Listen (3)", SessionCommand::SetMode(Mode::Listen)),
        ("Next (Space)", SessionCommand::Advance),
        ("click (C)", SessionCommand::SetClick(false)),
        ("count-in (I)", SessionCommand::SetCountIn(false)),
    ] {
        assert_eq!(click(&mut shown, name), session(command), "{name}");
    }
    assert_eq!(click(&mut shown, "Settings (F6)"), [Command::Show(Page::More)]);
}

#[test]
fn a_click_on_a_bar_goes_there() {
    let mut shown = lanterns();
    assert_eq!(click(&mut shown, "Intro, bar 3: 1 5"), session(SessionCommand::GoToBar(2)));
    let lift = fixture::bar_of(&shown.state().stand.part, "Lift", 0);
    let name = "Go to place 3 of the song, Lift";
    assert_eq!(click(&mut shown, name), session(SessionCommand::GoToBar(lift)));
}

#[test]
fn menus_open_and_choose() {
    let mut shown = lanterns();
    click(&mut shown, "Hands, both hands");
    let left = "left hand alone, the program plays the right (L)";
    assert_eq!(click(&mut shown, left), session(SessionCommand::SetHands(Hands::Left)));
    click(&mut shown, "Key of the song, D major");
    assert_eq!(click(&mut shown, "E♭ major"), [Command::KeyOfSong(fixture::key("Eb major"))]);
    click(&mut shown, "Loop, whole song");
    let bars = LoopBars::new(0, 3);
    assert_eq!(click(&mut shown, "this section (O)"), session(SessionCommand::SetLoop(Some(bars))));
    click(&mut shown, "Speed, 100 percent of the chart's tempo");
    assert_eq!(click(&mut shown, "60 %"), session(SessionCommand::SetSpeed(Speed::clamped(60.0))));
}

#[test]
fn keys_ask_for_the_same() {
    let mut shown = lanterns();
    let none = Modifiers::NONE;
    for (modifiers, key, command) in [
        (none, Key::Space, SessionCommand::Advance),
        (none, Key::ArrowRight, SessionCommand::Forward(Unit::Beat)),
        (none, Key::ArrowLeft, SessionCommand::Back(Unit::Beat)),
        (none, Key::PageDown, SessionCommand::Forward(Unit::Bar)),
        (Modifiers::SHIFT, Key::ArrowLeft, SessionCommand::Back(Unit::Bar)),
        (none, Key::ArrowUp, SessionCommand::SetSpeed(Speed::clamped(105.0))),
        (Modifiers::SHIFT, Key::ArrowDown, SessionCommand::SetSpeed(Speed::clamped(99.0))),
        (none, Key::R, SessionCommand::SetHands(Hands::Right)),
        (none, Key::G, SessionCommand::SetStepBy(StepBy::Strike)),
        (none, Key::O, SessionCommand::SetLoop(Some(LoopBars::new(0, 3)))),
        (none, Key::Backspace, SessionCommand::SetLoop(None)),
        (none, Key::C, SessionCommand::SetClick(false)),
    ] {
        assert_eq!(press(&mut shown, modifiers, key), session(command), "{key:?}");
    }
    assert_eq!(press(&mut shown, none, Key::Period), [Command::KeyOfSong(fixture::key("Eb major"))]);
    assert_eq!(press(&mut shown, none, Key::D), [Command::Theme(Theme::Night)]);
    assert_eq!(press(&mut shown, none, Key::N), [Command::Labels(Labels::Numbers)]);
    assert_eq!(press(&mut shown, none, Key::K), [Command::Keyboard(KeyboardView::Players)]);
    assert_eq!(press(&mut shown, none, Key::Equals), [Command::Volume(0.75)]);
    assert_eq!(press(&mut shown, none, Key::P), session(SessionCommand::SetPedal(true)));
    let bars = ClickStyle { bars: ClickBars::EveryOther, ..ClickStyle::default() };
    assert_eq!(press(&mut shown, none, Key::V), session(SessionCommand::SetClickStyle(bars)));
    assert_eq!(press(&mut shown, Modifiers::COMMAND, Key::Q), [Command::Quit]);
}

#[test]
fn speed_stays_within_its_limits() {
    let mut shown = lanterns();
    shown.state_mut().stand.does(&[SessionCommand::SetSpeed(Speed::MIN)], 0.0);
    let slowest = session(SessionCommand::SetSpeed(Speed::MIN));
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::ArrowDown), slowest);
}

#[test]
fn space_starts_and_stops_where_a_clock_runs() {
    let mut shown = lanterns();
    shown.state_mut().stand.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::Space), session(SessionCommand::Toggle));
    assert!(shown.query_by_label("Start (Space)").is_some());
}

#[test]
fn the_table_of_keys_has_no_key_twice() {
    let mut seen = HashSet::new();
    for shortcut in SHORTCUTS {
        let keys = (shortcut.key, shortcut.modifiers.command, shortcut.modifiers.shift);
        assert!(seen.insert(keys), "{} stands for two things", label(shortcut));
    }
}

/// What stands between backquotes in the first column of a table of the README's section of keys: 0 is that of the window,
/// 1 that of the scale room.
fn keys_of_the_readme(table: usize) -> Vec<String> {
    let readme = include_str!("../../../README.md");
    let section = readme.split("\n## Keys\n").nth(1).expect("the README has a section of keys");
    let section = section.split("\n## ").next().expect("splitting gives one part at least");
    let tables = section.split("\n\n").filter(|block| block.starts_with('|'));
    let rows = tables.skip(table).take(1).flat_map(str::lines);
    let rows = rows.filter_map(|line| line.strip_prefix("| ")?.split(" | ").next());
    rows.flat_map(|keys| keys.split('`').skip(1).step_by(2).map(str::to_owned)).collect()
}

#[test]
fn the_readme_lists_exactly_the_keys_there_are() {
    let there: HashSet<String> = SHORTCUTS.iter().map(label).collect();
    let listed = HashSet::from_iter(keys_of_the_readme(0));
    let missing: Vec<_> = there.difference(&listed).collect();
    let invented: Vec<_> = listed.difference(&there).collect();
    assert!(missing.is_empty() && invented.is_empty(), "missing {missing:?}, invented {invented:?}");
}

#[test]
fn the_readme_and_the_page_of_keys_list_the_keys_of_the_scale_room() {
    let there: Vec<&str> = ROOM_KEYS.iter().flat_map(|key| key.written.split(' ')).collect();
    let mut listed = keys_of_the_readme(1);
    assert_eq!(listed.len(), there.len(), "no key twice: {listed:?}");
    listed.retain(|key| !there.contains(&key.as_str()));
    assert_eq!(listed, Vec::<String>::new(), "invented");
    let mut shown = lanterns();
    shown.state_mut().stand.view.page = Page::Keys;
    shown.run();
    for key in ROOM_KEYS {
        let line = format!("{}: {}", key.written, key.words);
        assert!(shown.query_by_label(&line).is_some(), "{line}");
    }
    for shortcut in SHORTCUTS {
        let line = format!("{}: {}", label(shortcut), shortcut.words);
        assert!(shown.query_by_label(&line).is_some(), "{line}");
    }
}

#[test]
fn a_long_title_is_shortened_before_a_word_gives_way() {
    for width in [1280.0, 1920.0] {
        let shown = window(Stand::new(&fixture::crowded()), [width, width * 0.625]);
        for name in ["How it went (F5)", "Listen (3)", "click (C)", "count-in (I)", "Scales and chords (F4)"]
        {
            assert!(shown.query_by_label(name).is_some(), "{name} at {width}");
        }
    }
}

#[test]
fn every_key_of_the_table_is_answered() {
    let mut shown = lanterns();
    for shortcut in SHORTCUTS {
        shown.state_mut().stand = Stand::new(fixture::LANTERNS);
        // Starting leaves such a page as well, see below.
        let page = if shortcut.ask == Ask::StartStop { Page::Song } else { Page::Songs };
        shown.state_mut().stand.view.page = page;
        let commands = press(&mut shown, shortcut.modifiers, shortcut.key);
        assert_eq!(commands.len(), 1, "{} asks for {commands:?}", label(shortcut));
    }
}

#[test]
fn a_focused_word_takes_space_for_itself() {
    let mut shown = lanterns();
    shown.get_by_label("Listen (3)").focus();
    shown.run();
    let listen = session(SessionCommand::SetMode(Mode::Listen));
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::Space), listen);
}

#[test]
fn letters_play_two_rows_of_keys_only_when_asked_to() {
    // Two rows of a computer keyboard as piano keys (common practice, no source).
    assert_eq!(piano_note(Key::Z, 3).unwrap().pitch().to_string(), "C3");
    assert_eq!(piano_note(Key::S, 3).unwrap().pitch().to_string(), "C#3");
    assert_eq!(piano_note(Key::M, 3).unwrap().pitch().to_string(), "B3");
    assert_eq!(piano_note(Key::Q, 3).unwrap().pitch().to_string(), "C4");
    assert_eq!(piano_note(Key::I, 3).unwrap().pitch().to_string(), "C5");
    assert_eq!(piano_note(Key::A, 3), None);

    let mut shown = lanterns();
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::F2), [Command::PianoKeys(true)]);
    let c3 = piano_note(Key::Z, 3).unwrap();
    let played = press(&mut shown, Modifiers::NONE, Key::Z);
    assert_eq!(played, [Command::KeyDown(c3, 80), Command::KeyUp(c3)]);
    let d = press(&mut shown, Modifiers::NONE, Key::D);
    assert!(matches!(d[0], Command::KeyDown(..)), "D plays a note and does not change the light");
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::Space), session(SessionCommand::Advance));
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::Escape), [Command::PianoKeys(false)]);
}

#[test]
fn starting_from_a_page_without_keys_goes_back_to_the_song() {
    let mut shown = lanterns();
    for (key, page) in
        [(Key::F5, Page::Results), (Key::F6, Page::More), (Key::F1, Page::Keys), (Key::F3, Page::Songs)]
    {
        assert_eq!(press(&mut shown, Modifiers::NONE, key), [Command::Show(page)]);
        let asked = press(&mut shown, Modifiers::NONE, Key::Space);
        assert_eq!(asked, [Command::Session(SessionCommand::Advance), Command::Show(Page::Song)]);
    }
    press(&mut shown, Modifiers::NONE, Key::F4);
    let in_the_room = press(&mut shown, Modifiers::NONE, Key::Space);
    assert_eq!(in_the_room, session(SessionCommand::Advance), "the scale room has bars and keys of its own");
}

#[test]
fn escape_leaves_a_page_before_it_stops_the_letters() {
    let mut shown = lanterns();
    press(&mut shown, Modifiers::NONE, Key::F2);
    press(&mut shown, Modifiers::NONE, Key::F1);
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::Escape), [Command::Show(Page::Song)]);
    assert_eq!(press(&mut shown, Modifiers::NONE, Key::Escape), [Command::PianoKeys(false)]);
}

#[test]
fn the_mouse_plays_the_key_under_it_and_lets_it_go() {
    let mut shown = lanterns();
    let keyboard = shown.get_by_label_contains("Keyboard ").rect();
    let place = egui::pos2(keyboard.left() + 4.0, keyboard.bottom() - 4.0);
    shown.drag_at(place);
    shown.run();
    let down = asked(&mut shown);
    let Some(Command::KeyDown(key, _)) = down.first().cloned() else { panic!("no key went down: {down:?}") };
    assert!(!key.is_black());
    shown.drop_at(place);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::KeyUp(key)]);
}
