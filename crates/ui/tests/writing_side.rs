//! What is set at the side of a song being written: through the accessible names, to the text of the song.

use crate::support::desk::{self, Shown};
use crate::support::fixture::{self, Stand};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use song::edit::Place;
use ui::{Chosen, Command, Page, Scope, SideCommand, Topic, WritingCommand};

/// A song of a verse with three passes and a chorus.
const SONG: &str = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
  "sections": [
    { "name": "Verse", "passes": 3, "bars": ["1 | 4 5 | 6 | 1"] },
    { "name": "Chorus", "bars": ["4 | 5"] }
  ] }
"#;

/// The page of writing with a place chosen, and a topic open at the side.
fn desk(chosen: impl Into<Chosen>, topic: Topic) -> Shown {
    let mut shown = desk::desk(SONG, SONG, chosen.into(), Some(topic));
    shown.run();
    shown
}

fn click(shown: &mut Shown, name: &str) {
    shown.get_by_label(name).click();
    shown.run();
}

/// Types over a line and goes on with Enter.
fn type_over(shown: &mut Shown, name: &str, text: &str) {
    shown.get_by_label(name).focus();
    shown.run();
    shown.key_press_modifiers(Modifiers::COMMAND, Key::A);
    shown.run();
    shown.key_press(Key::Backspace);
    if !text.is_empty() {
        shown.get_by_label(name).type_text(text);
    }
    shown.run();
    shown.key_press(Key::Enter);
    shown.run();
}

/// The lines of the song's text that are new, without the space around them.
fn new_lines(shown: &Shown) -> Vec<String> {
    let text = &shown.state().text;
    let new = text.lines().filter(|line| !SONG.lines().any(|old| old == *line));
    new.map(|line| line.trim().to_owned()).collect()
}

fn verse_bar(bar: u32, pass: Option<u32>, beat: Option<u8>) -> Place {
    Place::Bar { section: 0, bar, pass, beat }
}

#[test]
fn nothing_is_shown_until_it_is_asked_for() {
    let mut shown = desk(verse_bar(0, None, None), Topic::Notes);
    assert!(shown.query_by_label("Note for Verse, bar 1").is_some());
    click(&mut shown, "Notes (Ctrl+4)");
    assert!(shown.query_by_label("Note for Verse, bar 1").is_none());
    assert!(shown.get_by_label("Row 1 of Verse").is_focused(), "where it is closed one goes on typing");
    for (number, topic) in
        [(Key::Num1, Topic::Settings), (Key::Num3, Topic::Hands), (Key::Num5, Topic::Goals)]
    {
        shown.key_press_modifiers(Modifiers::COMMAND, number);
        shown.run();
        assert_eq!(shown.state().stand.view.writing.side.topic, Some(topic));
    }
}

#[test]
fn the_cursor_is_in_the_first_line_of_what_is_opened() {
    let mut shown = desk(verse_bar(3, None, None), Topic::Notes);
    shown.run_steps(2);
    shown.key_press_modifiers(Modifiers::COMMAND, Key::Num2);
    shown.run_steps(3);
    assert!(shown.get_by_label("Chords of Verse, bar 4 in pass 1").is_focused());
    shown.key_press_modifiers(Modifiers::COMMAND, Key::Num3);
    shown.run_steps(3);
    assert!(shown.get_by_label("Right hand's figure for Verse, bar 4").is_focused());
}

#[test]
fn key_meter_and_tempo_are_typed() {
    let mut shown = desk(Place::Song, Topic::Settings);
    type_over(&mut shown, "Key of the song", "Eb");
    assert!(shown.get_by_label("Key of the song").is_focused(), "Tab goes on from where one was");
    type_over(&mut shown, "Meter of the song", "3/4");
    type_over(&mut shown, "Tempo of the song", "96");
    assert_eq!(
        new_lines(&shown),
        [r#"{ "format": 1, "title": "T", "key": "Eb major", "tempo": 96, "meter": "3/4","#]
    );
    type_over(&mut shown, "Tempo of the song", "960");
    assert!(shown.query_by_label("A tempo is from 20 to 300 beats a minute.").is_some());
    assert!(shown.state().text.contains(r#""tempo": 96,"#), "what is wrong is not taken");
}

#[test]
fn escape_leaves_the_line_with_what_was_and_then_the_page() {
    let mut shown = desk(Place::Song, Topic::Settings);
    shown.get_by_label("Key of the song").focus();
    shown.run();
    shown.get_by_label("Key of the song").type_text("xx");
    shown.run();
    shown.key_press(Key::Escape);
    shown.run();
    assert_eq!((shown.state().stand.view.page, &*shown.state().text), (Page::Writing, SONG));
    shown.run();
    shown.key_press(Key::Escape);
    shown.run();
    assert_eq!(shown.state().stand.view.page, Page::Song);
}

#[test]
fn the_rest_is_chosen_among_words() {
    let mut shown = desk(Place::Song, Topic::Settings);
    for name in [
        "Count-in: 2 bars",
        "Feel of the song: swing",
        "How full in the song: 4",
        "Bass player in the song: yes",
        "Pedal marks in the song: no",
    ] {
        click(&mut shown, name);
    }
    let line = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "count_in": 2, "feel": "swing", "level": 4, "bass": true, "pedal": false,"#;
    assert_eq!(new_lines(&shown), [line]);
    click(&mut shown, "Count-in: as usual");
    assert!(!shown.state().text.contains("count_in"));
}

#[test]
fn a_section_has_its_own_where_it_is_asked_to() {
    let mut shown = desk(Place::Section(1), Topic::Settings);
    type_over(&mut shown, "Key of Chorus", "+2");
    type_over(&mut shown, "Passes of Chorus", "2");
    click(&mut shown, "How full in Chorus: 5");
    let line = r#"{ "name": "Chorus", "bars": ["4 | 5"], "passes": 2, "key": "+2", "level": 5 }"#;
    assert_eq!(new_lines(&shown), [line]);
    type_over(&mut shown, "Key of Chorus", "");
    click(&mut shown, "Settings of the song");
    assert!(shown.query_by_label("Key of the song").is_some());
    assert!(!shown.state().text.contains(r#""+2""#));
}

#[test]
fn a_tempo_is_tapped_and_set() {
    let mut shown = desk(Place::Song, Topic::Settings);
    // As the window's clock had it: 100 beats a minute.
    for beat in 0..4 {
        let tap = SideCommand::Tap(20.0 + 0.6 * f64::from(beat));
        shown.state_mut().carry_out(Command::Writing(WritingCommand::Side(tap)));
    }
    shown.run();
    click(&mut shown, "Set the tempo of the song to 100");
    assert!(shown.state().text.contains(r#""tempo": 100,"#));
    assert_eq!(shown.state().stand.view.writing.side.taps.count(), 0);
    click(&mut shown, "Tap the tempo");
    assert_eq!(shown.state().stand.view.writing.side.taps.count(), 1);
}

#[test]
fn this_pass_differs_here_and_no_longer() {
    let mut shown = desk(verse_bar(3, None, None), Topic::Passes);
    type_over(&mut shown, "Chords of Verse, bar 4 in pass 3", "6");
    let line = r#"{ "name": "Verse", "passes": 3, "bars": ["1 | 4 5 | 6 | 1"], "except": [ { "pass": 3, "bar": 4, "bars": "6" } ] },"#;
    assert_eq!(new_lines(&shown), [line]);
    assert!(shown.query_by_label("differs: chords").is_some());
    assert!(shown.query_by_label("pass 3, bar 4: 6").is_some());
    type_over(&mut shown, "Chords of Verse, bar 4 in pass 3", "1");
    assert_eq!(shown.state().text, SONG, "what all play takes it back");
    type_over(&mut shown, "Chords of Verse, bar 4 in pass 2", "5 1");
    click(&mut shown, "Go to pass 2, bar 4: chords");
    assert_eq!(shown.state().stand.view.writing.chosen.place, verse_bar(3, Some(2), None));
    click(&mut shown, "Take away: pass 2, bar 4: 5 1");
    assert_eq!(shown.state().text, SONG);
}

#[test]
fn a_figure_is_clicked_together_and_typed() {
    let mut shown = desk(verse_bar(1, None, None), Topic::Hands);
    let told = |figure: &str| {
        format!(
            r#"{{ "name": "Verse", "passes": 3, "bars": ["1 | 4 5 | 6 | 1"], "except": [ {{ "bar": 2, "right": {{ "figure": "{figure}" }} }} ] }},"#
        )
    };
    // What the level plays is what one begins with.
    click(&mut shown, "Beat 3: holds");
    assert_eq!(new_lines(&shown), [told("x - x -")]);
    click(&mut shown, "Beat 3 in 2");
    click(&mut shown, "A click puts in: strike the highest note (t)");
    click(&mut shown, "Beat 3, 2 of 2: holds");
    assert_eq!(new_lines(&shown), [told("x - xt -")]);
    // From the computer keyboard, in the cell that has the focus; the window's own letters keep out.
    shown.state_mut().asked.clear();
    let name = "Beat 4: holds";
    shown.get_by_label(name).focus();
    shown.run();
    for (key, sign) in [(Key::Num1, "1"), (Key::Num3, "3")] {
        shown.key_press(key);
        shown.event(egui::Event::Text(sign.into()));
        shown.run();
    }
    assert_eq!(new_lines(&shown), [told("x - xt [13]")]);
    assert!(!shown.state().asked.iter().any(|command| matches!(command, Command::Session(_))));
    let figure = "Right hand's figure for Verse, bar 2";
    type_over(&mut shown, figure, "x y");
    assert!(shown.query_by_label_contains("Y is no sign of a figure").is_some());
    type_over(&mut shown, figure, "[v12]1-- x x x");
    assert_eq!(new_lines(&shown), [told("[v12]1-- x x x")]);
    click(&mut shown, "Right hand's figure: none of its own for Verse, bar 2");
    assert_eq!(shown.state().text, SONG);
    // What is heard is the bar and no further.
    click(&mut shown, "Hear this place, once");
    let heard = Command::Writing(WritingCommand::HearPlace(verse_bar(1, None, None)));
    assert_eq!(shown.state().asked.last(), Some(&heard));
}

#[test]
fn hands_are_told_as_far_out_as_was_asked_for() {
    let mut shown = desk(verse_bar(1, Some(2), None), Topic::Hands);
    click(&mut shown, "Set for the song");
    click(&mut shown, "Right hand's keys: 2 for the song");
    click(&mut shown, "Tell the left hand");
    click(&mut shown, "Set for Verse");
    click(&mut shown, "Left hand's shape: octave for Verse");
    click(&mut shown, "Set for Verse, pass 2");
    click(&mut shown, "Left hand's figure begins again at each chord for Verse, pass 2");
    click(&mut shown, "Set for Verse, bar 2 in pass 2");
    type_over(&mut shown, "Left hand's pinned tones for Verse, bar 2 in pass 2", "1 5");
    type_over(&mut shown, "Left hand's lowest key near for Verse, bar 2 in pass 2", "D2");
    let lines = new_lines(&shown);
    let song = read(&shown);
    assert_eq!(song.plays.right.notes.unwrap().value, 2);
    assert_eq!(song.sections[0].plays.left.shape.unwrap().value, song::LeftShape::Octave);
    let told: Vec<String> = ui_words(&song);
    assert_eq!(told, ["pass 2 bar 1-4", "pass 2 bar 2"], "{lines:?}");
    assert!(
        shown.state().text.contains(r#"{ "pass": 2, "bar": 2, "left": { "tones": "1 5", "near": "D2" } }"#),
        "{lines:?}"
    );
    assert!(shown.state().refused.is_empty());
}

fn read(shown: &Shown) -> song::Song {
    song::read(&shown.state().text).sound().expect("the edits leave no mistake")
}

/// Pass and bars of the verse's exceptions.
fn ui_words(song: &song::Song) -> Vec<String> {
    let list = |selector: &song::Selector| {
        selector.parts.iter().map(ToString::to_string).collect::<Vec<_>>().join(",")
    };
    let each = song.sections[0].exceptions.iter();
    each.map(|e| {
        format!(
            "pass {} bar {}",
            list(&e.pass.as_ref().expect("it is for some passes").value),
            list(&e.bar.value)
        )
    })
    .collect()
}

#[test]
fn tones_of_a_chord_hold_wherever_it_stands() {
    let mut shown = desk(Place::Section(1), Topic::Hands);
    type_over(&mut shown, "Right hand's tones of one more chord for Chorus", "5: 5 1");
    let line = r#"{ "name": "Chorus", "bars": ["4 | 5"], "right": { "shapes": { "5": "5 1" } } }"#;
    assert_eq!(new_lines(&shown), [line]);
    type_over(&mut shown, "Right hand's tones of one more chord for Chorus", "5 1");
    assert!(shown.query_by_label_contains("Write a chord, a colon and its tones").is_some());
    click(&mut shown, "Right hand's tones of 5 for Chorus: take them away");
    assert_eq!(shown.state().text, SONG);
}

#[test]
fn notes_reach_the_song_a_section_a_bar_and_a_chord() {
    let mut shown = desk(verse_bar(1, None, None), Topic::Notes);
    let write = |shown: &mut Shown, name: &str, text: &str| {
        shown.get_by_label(name).focus();
        shown.run();
        shown.get_by_label(name).type_text(text);
        shown.run();
    };
    write(&mut shown, "Note for Verse, bar 2", "lean on it");
    click(&mut shown, "5, on beat 3");
    write(&mut shown, "Note for Verse, bar 2, beat 3", "short");
    write(&mut shown, "Cue for Verse, bar 2, beat 3", "the snare");
    click(&mut shown, "Set for Verse");
    write(&mut shown, "Note for Verse", "soft");
    click(&mut shown, "Set for the song");
    write(&mut shown, "Note for the song", "72 and no faster");
    let song = read(&shown);
    assert_eq!(song.note.as_deref(), Some("72 and no faster"));
    assert_eq!(song.sections[0].note.as_deref(), Some("soft"));
    let played = song.play();
    assert_eq!(played.bars[1].note.as_deref(), Some("lean on it; on beat 3: short"));
    assert_eq!(played.bars[1].cue.as_deref(), Some("on beat 3: the snare"));
    assert!(shown.query_by_label_contains("hold").is_none(), "no reasons where no chord is chosen");
}

#[test]
fn the_coachs_words_stand_beside_the_programs_reasons() {
    let shown = desk(verse_bar(1, None, Some(3)), Topic::Notes);
    assert!(shown.query_by_label("What the program says here").is_some());
    let chord = &shown.state().stand.part.bars[1].chords[1];
    let why = ui::sentence(&chord.why[0].text());
    assert!(shown.query_all_by_label(&why).next().is_some(), "{why}");
}

#[test]
fn a_goal_is_set_for_what_is_chosen() {
    let bars = Chosen { last: Some(2), ..Chosen::bar(0, 1) };
    let mut shown = desk(bars, Topic::Goals);
    click(&mut shown, "Set a goal for Verse, bars 2–3");
    type_over(&mut shown, "Speed of goal 1", "85");
    type_over(&mut shown, "Day of goal 1", "2026-12-04");
    type_over(&mut shown, "Words to goal 1", "with the singer");
    let goal = r#"{ "section": "Verse", "bar": "2-3", "speed": 85, "day": "2026-12-04", "note": "with the singer" }"#;
    assert!(shown.state().text.contains(goal), "{}", shown.state().text);
    type_over(&mut shown, "Day of goal 1", "soon");
    assert!(shown.query_by_label("Write year, month and day: 2026-12-04.").is_some());
    click(&mut shown, "Take goal 1 away");
    assert!(!shown.state().text.contains("goal"));
}

#[test]
fn a_place_without_what_is_asked_for_says_what_to_do() {
    let mut shown = desk(Place::Song, Topic::Passes);
    assert!(shown.query_by_label_contains("Choose a section or a bar").is_some());
    click(&mut shown, "Goals (Ctrl+5)");
    click(&mut shown, "Set a goal for the whole song");
    assert!(shown.state().text.contains(r#""goals": [{ "speed": 100 }]"#), "{}", shown.state().text);
    let scope = Command::Writing(WritingCommand::Side(SideCommand::Scope(Scope::Bar)));
    shown.state_mut().carry_out(scope);
    click(&mut shown, "Notes (Ctrl+4)");
    assert!(shown.query_by_label("Note for the song").is_some());
}

/// A guitarist beside the player: shapes behind a capo, with their key, on the page of the song; the written key stays.
#[test]
fn shapes_for_a_guitar_stand_in_the_chart_while_they_are_asked_for() {
    let stand = Stand::of_part(fixture::part_in(SONG, "Eb major"));
    let mut shown = crate::stand::window(stand, [1280.0, 800.0]);
    shown.run();
    assert!(shown.query_by_label("Key of the song, E♭ major").is_some());
    shown.key_press(Key::S);
    shown.run();
    assert_eq!(crate::stand::asked(&mut shown), [Command::Capo(Some(0))]);
    assert!(shown.query_by_label("Guitar, capo 1, shapes of D major: D").is_some());
    shown.key_press(Key::S);
    shown.run();
    assert!(shown.query_by_label("Guitar, capo 3, shapes of C major: C").is_some());
    shown.key_press(Key::S);
    shown.key_press(Key::S);
    shown.run();
    assert!(shown.query_by_label_contains("Guitar").is_none());
}

#[test]
fn the_key_of_the_night_is_typed_by_its_name() {
    let mut shown = crate::stand::window(Stand::new(SONG), [1280.0, 800.0]);
    shown.get_by_label("Key of the song, D major").click();
    shown.run();
    let name = "Key of the song by its name";
    shown.get_by_label(name).focus();
    shown.run();
    crate::stand::asked(&mut shown);
    shown.get_by_label(name).type_text("Bb");
    shown.run();
    shown.key_press(Key::Enter);
    shown.run();
    assert_eq!(crate::stand::asked(&mut shown), [Command::KeyOfSong(fixture::key("Bb major"))]);
}
