//! What is moved on the page of writing: bars and sections by the mouse, bars cut and pasted inside a row; and what is
//! marked there.

use crate::support::desk::{self, Shown};
use egui::{Event, Modifiers, Pos2, Rect, vec2};
use egui_kittest::kittest::Queryable;
use song::edit::Place;
use ui::{Chosen, Command, PastedChart, Topic, WritingCommand};

const SONG: &str = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
  "sections": [
    { "name": "Verse", "passes": 4, "bars": ["1 | 4 5 | 6", "2 | 5"],
      "except": [
        { "bar": 2, "right": { "tones": "3 1" } },
        { "pass": [3, 4], "bar": 5, "bars": "4" }
      ] },
    { "name": "Chorus", "bars": ["4 | 1... 5."] },
    { "name": "Tag", "bars": ["3"] }
  ] }
"#;

fn desk(chosen: impl Into<Chosen>) -> Shown {
    desk_with(SONG, chosen.into(), None)
}

fn desk_with(text: &str, chosen: Chosen, topic: Option<Topic>) -> Shown {
    let mut shown = desk::desk(SONG, text, chosen, topic);
    shown.run_steps(3);
    shown
}

fn bars(shown: &Shown, section: usize) -> Vec<String> {
    let song = song::read(&shown.state().text).song.expect("a song with a title and a key");
    song.rows(section).iter().map(|row| song::print_line(&row.bars)).collect()
}

fn names(shown: &Shown) -> Vec<String> {
    let song = song::read(&shown.state().text).song.expect("a song with a title and a key");
    song.sections.into_iter().map(|section| section.name).collect()
}

/// The place of something by the beginning of its name.
fn place(shown: &Shown, name: &str) -> Rect {
    shown
        .query_all_by_label_contains(name)
        .next()
        .unwrap_or_else(|| panic!("nothing is called {name}"))
        .rect()
}

/// Takes something with the mouse and lets it go elsewhere.
fn drag(shown: &mut Shown, from: Pos2, to: Pos2) {
    shown.drag_at(from);
    shown.run_steps(1);
    shown.hover_at(from + 0.5 * (to - from));
    shown.run_steps(2);
    shown.hover_at(to);
    shown.run_steps(2);
    shown.drop_at(to);
    shown.run_steps(3);
}

#[test]
fn a_bar_is_dragged_in_front_of_another_and_its_pin_goes_with_it() {
    let mut shown = desk(Place::Song);
    // By its first chord: the border between its chords is dragged for itself.
    let from = place(&shown, "Verse, bar 2:").left_center() + vec2(20.0, 0.0);
    let to = place(&shown, "Verse, bar 5:").left_center() + vec2(6.0, 0.0);
    drag(&mut shown, from, to);
    assert_eq!(bars(&shown, 0), ["1 | 6", "2 | 4 5 | 5"]);
    assert!(
        shown.state().text.contains(r#"{ "bar": 4, "right": { "tones": "3 1" } }"#),
        "{}",
        shown.state().text
    );
    assert!(shown.state().text.contains(r#"{ "pass": [3, 4], "bar": 5, "bars": "4" }"#));
    assert_eq!(shown.state().stand.view.writing.chosen, Chosen::bar(0, 3), "what was moved stays chosen");
}

#[test]
fn chosen_bars_are_dragged_together_into_another_section() {
    let both = Chosen { last: Some(1), ..Chosen::bar(0, 0) };
    let mut shown = desk(both);
    let from = place(&shown, "Verse, bar 1:").center();
    // Behind the first bar of the chorus, past its middle.
    let to = place(&shown, "Chorus, bar 1:").right_center() - vec2(6.0, 0.0);
    drag(&mut shown, from, to);
    assert_eq!(bars(&shown, 0), ["6", "2 | 5"]);
    assert_eq!(bars(&shown, 1), ["4 | 1 | 4 5 | 1... 5."]);
    let song = song::read(&shown.state().text).sound().unwrap();
    assert_eq!(song.sections[1].exceptions.len(), 1, "the pin is the chorus's now");
    // Let go where no bar is, nothing moves.
    let before = shown.state().text.clone();
    let from = place(&shown, "Verse, bar 2:").center();
    drag(&mut shown, from, Pos2::new(1100.0, 700.0));
    assert_eq!(shown.state().text, before);
}

#[test]
fn a_section_is_dragged_by_its_name_and_the_order_by_its_words() {
    let mut shown = desk(Place::Song);
    let name = |shown: &Shown, name: &str| place(shown, name).center();
    let (from, to) = (name(&shown, "Section Tag"), name(&shown, "Section Verse"));
    drag(&mut shown, from, to);
    assert_eq!(names(&shown), ["Tag", "Verse", "Chorus"]);
    let (from, to) = (name(&shown, "Section Tag"), name(&shown, "Section Chorus"));
    drag(&mut shown, from, to);
    assert_eq!(names(&shown), ["Verse", "Chorus", "Tag"], "from above it goes behind");
    let from = place(&shown, "Place 3 of the order").center();
    let to = place(&shown, "Place 1 of the order").left_center() - vec2(2.0, 0.0);
    drag(&mut shown, from, to);
    let song = song::read(&shown.state().text).song.unwrap();
    assert_eq!(song.playing_order(), [2, 0, 1]);
}

/// Selects a part of the text of the first row of the verse.
fn select(shown: &mut Shown, part: &str) {
    shown.get_by_label("Row 1 of Verse").focus();
    shown.run_steps(2);
    let text = "1 | 4 5 | 6";
    let from = text.find(part).expect("the text has this part");
    shown.key_press_modifiers(Modifiers::NONE, egui::Key::Home);
    shown.run_steps(2);
    for _ in 0..from {
        shown.key_press_modifiers(Modifiers::NONE, egui::Key::ArrowRight);
        shown.run_steps(1);
    }
    for _ in 0..part.len() {
        shown.key_press_modifiers(Modifiers::SHIFT, egui::Key::ArrowRight);
        shown.run_steps(1);
    }
    shown.run_steps(2);
}

#[test]
fn whole_bars_that_are_selected_in_a_row_are_cut_and_pasted_as_bars() {
    let mut shown = desk(Chosen::bar(0, 0));
    select(&mut shown, "4 5 | ");
    shown.input_mut().events.push(Event::Cut);
    shown.run_steps(3);
    assert_eq!(bars(&shown, 0), ["1 | 6", "2 | 5"]);
    let copied = WritingCommand::Copy { section: 0, from: 1, to: 2 };
    assert!(shown.state().asked.contains(&Command::Writing(copied)), "{:?}", shown.state().asked);
    let text = &shown.state().text;
    assert!(!text.contains("tones"), "its pin went with it: {text}");
    assert!(text.contains(r#""pass": [3, 4], "bar": 4"#), "the others keep theirs: {text}");
    // Part of a bar is text like any other.
    let mut shown = desk(Chosen::bar(0, 0));
    select(&mut shown, " 5 | 6");
    shown.input_mut().events.push(Event::Cut);
    shown.run_steps(3);
    assert_eq!(bars(&shown, 0), ["1 | 4", "2 | 5"]);
    assert!(!shown.state().asked.iter().any(|c| matches!(c, Command::Writing(WritingCommand::Copy { .. }))));
}

#[test]
fn the_chosen_bar_is_asked_for_once_more() {
    let mut shown = desk(Chosen::bar(0, 0));
    select(&mut shown, "4 5");
    shown.key_press_modifiers(Modifiers::COMMAND, egui::Key::D);
    shown.run_steps(2);
    let double = Command::Writing(WritingCommand::Double { section: 0, from: 1, to: 2 });
    assert!(shown.state().asked.contains(&double), "{:?}", shown.state().asked);
}

#[test]
fn the_page_says_which_passes_differ_and_what_they_play() {
    let shown = desk(Place::Song);
    assert!(shown.query_by_label("Verse, bar 5: 5, differs in pass 3, 4: 4").is_some());
    assert!(shown.query_by_label("Verse, bar 1: 1").is_some());
}

#[test]
fn what_is_set_for_passes_that_are_no_more_is_told_and_can_be_taken_away() {
    let fewer = SONG.replace(r#""passes": 4"#, r#""passes": 2"#);
    let mut shown = desk_with(&fewer, Place::Section(0).into(), Some(Topic::Passes));
    assert!(shown.query_by_label_contains("Verse, what differs in bar 5: ").is_some(), "it is told");
    shown.get_by_label("Take away: pass 3, 4, bar 5: 4").click();
    shown.run_steps(3);
    assert!(!shown.state().text.contains("[3, 4]"), "{}", shown.state().text);
    assert!(song::read(&shown.state().text).sound().is_ok());
    assert!(shown.state().text.contains("tones"), "the pin stays");
}

#[test]
fn what_is_not_certain_in_a_pasted_chart_is_marked_at_its_bars() {
    let mut shown = desk(Place::Song);
    // Its verse became the section Chorus of the song here, for the sake of the test.
    let pasted = song::paste::read("Verse\nG | D wobble | Em | C\n", None);
    let doubt = pasted.doubts.iter().find(|doubt| doubt.message.contains("wobble")).unwrap();
    assert_eq!(doubt.in_song(), "Verse, bars 1–4: “wobble” is no chord: it is kept in the note");
    let key = pasted.song.key.parse().unwrap();
    let chart = PastedChart { key, keys: vec![key], doubts: pasted.doubts.clone(), begin: 1 };
    shown.state_mut().stand.writing.as_mut().unwrap().pasted = Some(chart);
    shown.run_steps(2);
    let marks = shown.query_all_by_label_contains("Not certain: ").count();
    assert_eq!(marks, 1, "at the first bar of its row");
    let name = "“wobble” is no chord";
    assert!(shown.query_all_by_label_contains(name).next().is_some());
}
