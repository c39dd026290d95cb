//! The page of writing, by keys and accessible names, down to the text of the song.

use crate::support::desk::{self, Shown};
use egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;
use song::edit::{Clip, Place};
use ui::{Chosen, Command, NewLine, Page, WRITING_KEYS, WritingCommand};

const SONG: &str = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
  "sections": [
    { "name": "Verse", "passes": 2, "bars": ["1 | 4 5 | 6", "2 | 5"],
      "except": [ { "bar": 2, "right": { "tones": "3 1" } } ] },
    { "name": "Chorus", "bars": ["4 | 1... 5."] }
  ] }
"#;

fn desk(text: &str, chosen: impl Into<Chosen>) -> Shown {
    desk::desk(SONG, text, chosen.into(), None)
}

fn press(shown: &mut Shown, modifiers: Modifiers, key: Key) {
    shown.key_press_modifiers(modifiers, key);
    shown.run_steps(2);
}

fn types(shown: &mut Shown, text: &str) {
    for c in text.chars() {
        if c == '\n' {
            press(shown, Modifiers::NONE, Key::Enter);
            continue;
        }
        shown.input_mut().events.push(Event::Text(c.to_string()));
        shown.step();
    }
    shown.run_steps(2);
}

/// Puts the cursor into a row, at its end.
fn open(shown: &mut Shown, row: &str) {
    shown.run_steps(2);
    shown.get_by_label(row).focus();
    shown.run_steps(2);
    press(shown, Modifiers::NONE, Key::End);
}

fn bars(shown: &Shown, section: usize) -> Vec<String> {
    let song = song::read(&shown.state().text).song.expect("a song with a title and a key");
    song.rows(section).iter().map(|row| song::print_line(&row.bars)).collect()
}

#[test]
fn a_row_is_typed_on_broken_joined_and_followed_by_a_new_one() {
    let mut shown = desk(SONG, Chosen::bar(0, 0));
    open(&mut shown, "Row 1 of Verse");
    types(&mut shown, " | 1\n3 | 4\n");
    assert_eq!(bars(&shown, 0), ["1 | 4 5 | 6 | 1", "3 | 4", "2 | 5"]);
    types(&mut shown, "Bridge x2\n6 | <1>");
    assert_eq!(bars(&shown, 1), ["6 | <1>"]);
    let song = song::read(&shown.state().text).sound().unwrap();
    assert_eq!((song.sections[1].name.as_str(), song.sections[1].passes), ("Bridge", Some(2)));
    press(&mut shown, Modifiers::NONE, Key::Home);
    press(&mut shown, Modifiers::NONE, Key::ArrowRight);
    press(&mut shown, Modifiers::NONE, Key::ArrowRight);
    press(&mut shown, Modifiers::NONE, Key::ArrowRight);
    press(&mut shown, Modifiers::NONE, Key::Enter);
    assert_eq!(bars(&shown, 1), ["6", "<1>"]);
    press(&mut shown, Modifiers::NONE, Key::Backspace);
    assert_eq!(bars(&shown, 1), ["6 | <1>"]);
}

#[test]
fn a_mistake_says_what_would_be_right_and_is_put_right_by_a_click() {
    let wrong = SONG.replace("1... 5.", "1... A.");
    let mut shown = desk(&wrong, Chosen::bar(1, 1));
    shown.run_steps(3);
    let told = shown.state().stand.writing.as_ref().unwrap().rows[1][0].marks.len();
    assert!(told >= 1);
    assert_eq!(bars(&shown, 0).len(), 2, "the rest is there");
    shown.get_by_label("Put it right: 5").click();
    shown.run_steps(3);
    assert_eq!(bars(&shown, 1), ["4 | 1... 5."]);
}

#[test]
fn tab_takes_a_completion_and_typing_goes_on_behind_it() {
    let mut shown = desk(SONG, Chosen::bar(1, 1));
    open(&mut shown, "Row 1 of Chorus");
    types(&mut shown, " | 5/");
    press(&mut shown, Modifiers::NONE, Key::Tab);
    types(&mut shown, " 1");
    assert_eq!(bars(&shown, 1), ["4 | 1... 5. | 5/7 1"]);
}

#[test]
fn letters_become_numbers_in_the_key_that_is_taken() {
    let blank = r#"{ "format": 1, "title": "T", "key": "C major", "tempo": 72, "sections": [] }"#;
    let mut shown = desk(blank, Place::Song);
    shown.run_steps(3);
    types(&mut shown, "G D/F# | Em | C");
    assert!(shown.query_by_label("Letters in G major").is_some());
    types(&mut shown, "\n");
    assert_eq!(bars(&shown, 0), ["1 5/7 | 6 | 4"]);
    assert_eq!(song::read(&shown.state().text).song.unwrap().key.to_string(), "G major");
}

#[test]
fn bars_move_by_keys_and_their_pins_with_them() {
    let mut shown = desk(SONG, Chosen::bar(0, 1));
    shown.run_steps(2);
    shown.get_by_label("Row 1 of Verse").focus();
    shown.run_steps(2);
    press(&mut shown, Modifiers::NONE, Key::Home);
    press(&mut shown, Modifiers::ALT, Key::ArrowRight);
    assert_eq!(bars(&shown, 0), ["4 5 | 1 | 6", "2 | 5"]);
    assert!(shown.state().text.contains(r#"{ "bar": 1, "right": { "tones": "3 1" } }"#));
    press(&mut shown, Modifiers::ALT, Key::ArrowDown);
    let song = song::read(&shown.state().text).sound().unwrap();
    assert_eq!(song.sections[0].name, "Chorus", "the section moved down");
}

#[test]
fn bars_are_chosen_over_rows_copied_and_cut() {
    let mut shown = desk(SONG, Chosen::bar(0, 0));
    open(&mut shown, "Row 1 of Verse");
    press(&mut shown, Modifiers::SHIFT, Key::ArrowDown);
    press(&mut shown, Modifiers::SHIFT, Key::ArrowDown);
    assert_eq!(shown.state().stand.view.writing.chosen.bars(), Some(0..5));
    press(&mut shown, Modifiers::SHIFT, Key::ArrowUp);
    assert_eq!(shown.state().stand.view.writing.chosen.bars(), Some(0..3));
    shown.input_mut().events.push(Event::Cut);
    shown.run_steps(2);
    let copied = WritingCommand::Copy { section: 0, from: 0, to: 3 };
    assert!(shown.state().asked.contains(&Command::Writing(copied)));
    assert_eq!(bars(&shown, 0), ["2 | 5"]);
    assert_eq!(Clip::of(SONG, 0, 0, 3).unwrap().bars(), "1 | 4 5 | 6");
}

#[test]
fn signs_are_put_on_by_the_mouse_and_a_border_between_chords_is_dragged() {
    let mut shown = desk(SONG, Chosen::bar(0, 1));
    shown.run_steps(2);
    let border = shown.get_by_label("Border 1 of bar 2 of section 1").rect();
    let at = border.center();
    shown.drag_at(at);
    shown.run_steps(1);
    let wide = 1.4 * (at.x - shown.get_by_label_contains("Verse, bar 2:").rect().left()) / 2.0;
    shown.hover_at(at + egui::vec2(wide, 0.0));
    shown.run_steps(2);
    shown.drop_at(at + egui::vec2(wide, 0.0));
    shown.run_steps(2);
    assert_eq!(bars(&shown, 0)[0], "1 | 4... 5. | 6");
    open(&mut shown, "Row 1 of Verse");
    shown.get_by_label("Diamond: strike once and let it ring").click();
    shown.run_steps(3);
    assert_eq!(bars(&shown, 0)[0], "1 | 4... 5. | <6>");
}

#[test]
fn a_section_that_is_there_is_played_again_and_the_order_is_typed() {
    let mut shown = desk(SONG, Chosen::bar(1, 0));
    open(&mut shown, "Row 1 of Chorus");
    types(&mut shown, "\nVerse\n");
    let order = |shown: &Shown| song::read(&shown.state().text).song.unwrap().playing_order();
    assert_eq!(order(&shown), [0, 1, 0]);
    press(&mut shown, Modifiers::COMMAND | Modifiers::SHIFT, Key::P);
    press(&mut shown, Modifiers::COMMAND, Key::A);
    types(&mut shown, "V, Ch x2, V\n");
    assert_eq!(order(&shown), [0, 1, 1, 0]);
}

#[test]
fn what_is_looked_for_is_found_round_and_round() {
    let mut shown = desk(SONG, Chosen::bar(0, 0));
    open(&mut shown, "Row 1 of Verse");
    press(&mut shown, Modifiers::COMMAND, Key::F);
    types(&mut shown, "5");
    let chosen = |shown: &Shown| shown.state().stand.view.writing.chosen;
    // One was in the third bar.
    assert_eq!(chosen(&shown), Chosen::bar(0, 4));
    for (section, bar) in [(1, 1), (0, 1), (0, 4)] {
        types(&mut shown, "\n");
        assert_eq!(chosen(&shown), Chosen::bar(section, bar), "behind the last comes the first");
    }
    open(&mut shown, "Row 2 of Verse");
    press(&mut shown, Modifiers::NONE, Key::Escape);
    let view = &shown.state().stand.view;
    assert_eq!((view.page, &view.writing.find), (Page::Writing, &None), "from wherever one is");
    assert!(shown.get_by_label("Row 2 of Verse").is_focused());
    press(&mut shown, Modifiers::NONE, Key::Escape);
    press(&mut shown, Modifiers::NONE, Key::Escape);
    assert_eq!(shown.state().stand.view.page, Page::Song);
}

#[test]
fn the_readme_and_the_page_list_the_keys_of_writing() {
    let readme = include_str!("../../../README.md");
    let section = readme.split("\n## Writing a song\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let listed: Vec<&str> =
        section.split("| key | does |").nth(1).unwrap().split('`').skip(1).step_by(2).collect();
    for key in WRITING_KEYS.iter().flat_map(|(keys, _)| keys.split(' ')).filter(|key| key.len() > 1) {
        assert!(listed.contains(&key), "{key} is not in the README: {listed:?}");
    }
    let mut shown = desk(SONG, Place::Song);
    shown.run_steps(2);
    for (key, words) in WRITING_KEYS {
        assert!(shown.query_by_label(&format!("{key}: {words}")).is_some(), "{key}");
    }
}

#[test]
fn an_empty_song_begins_with_a_line_to_type_in() {
    let blank = r#"{ "format": 1, "title": "T", "key": "C major", "tempo": 72, "sections": [] }"#;
    let mut shown = desk(blank, Place::Song);
    shown.run_steps(3);
    assert_eq!(shown.state().stand.view.writing.line, Some(NewLine { section: 0, row: 0 }));
    types(&mut shown, "Intro\n3/4: 1.. 5.");
    assert_eq!(bars(&shown, 0), ["3/4: 1.. 5."]);
}

#[test]
fn keys_lead_from_nowhere_and_from_a_new_line_into_the_rows() {
    let last = Chosen::bar(1, 0);
    let speeds =
        |shown: &Shown| shown.state().asked.iter().filter(|c| matches!(c, Command::Session(_))).count();
    let mut shown = desk(SONG, Place::Song);
    shown.run_steps(2);
    press(&mut shown, Modifiers::NONE, Key::ArrowDown);
    assert!(shown.get_by_label("Row 1 of Verse").is_focused());
    assert_eq!(speeds(&shown), 0, "the arrow changed the speed as well");
    let mut shown = desk(SONG, last);
    shown.run_steps(2);
    press(&mut shown, Modifiers::COMMAND, Key::Home);
    assert!(shown.get_by_label("Row 1 of Verse").is_focused());
    open(&mut shown, "Row 1 of Verse");
    press(&mut shown, Modifiers::NONE, Key::Enter);
    assert!(shown.get_by_label("New line").is_focused());
    press(&mut shown, Modifiers::COMMAND, Key::Home);
    assert!(shown.get_by_label("Row 1 of Verse").is_focused());
    assert!(shown.query_by_label("New line").is_none());
}

#[test]
fn a_new_song_is_begun_by_the_arrows_and_enter_or_by_its_number() {
    let mut shown = desk(SONG, Place::Song);
    shown.state_mut().stand.view.page = Page::NewSong;
    shown.run_steps(2);
    press(&mut shown, Modifiers::NONE, Key::ArrowDown);
    press(&mut shown, Modifiers::NONE, Key::Enter);
    assert_eq!(shown.state().asked, [Command::Writing(WritingCommand::New(1))]);
    press(&mut shown, Modifiers::NONE, Key::Num3);
    press(&mut shown, Modifiers::NONE, Key::C);
    let by_key = [WritingCommand::New(2), WritingCommand::Duplicate].map(Command::Writing);
    assert_eq!(shown.state().asked[1..], by_key);
}
