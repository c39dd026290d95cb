//! Single edits, text in, text out. Each expected text was written down from what the edit means and the layout around
//! it, not copied from the program.

use song::edit::{Change, EditError, Field, HandField, Place, apply};
use song::{Figure, LeftShape, Tempo, Tones};
use theory::{Hand, Member};

/// A song of two sections whose layout is a person's own.
const SONG: &str = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 7.2e1,
  "sections": [
    { "name": "A", "passes": 3,   "bars": ["1 | 4 |5| %",
                                           "6|2"],
      "except": [
        { "pass": [1, "last"], "bar": "2-3", "right": { "notes": 2 } },
        { "bar": "last", "bars": "N" }
      ] },
    { "name": "B", "bars": ["1"] }
  ] }
"#;

/// The song after an edit, as the lines that differ: `-` gone, `+` new.
fn lines(text: &str, change: &Change) -> Vec<String> {
    let edited = apply(text, change).unwrap();
    assert_eq!(edited.undo.apply(&edited.text), text);
    assert_eq!(edited.done.apply(text), edited.text);
    let (old, new): (Vec<&str>, Vec<&str>) = (text.lines().collect(), edited.text.lines().collect());
    let gone = old.iter().filter(|line| !new.contains(line)).map(|line| format!("-{}", line.trim()));
    let put_in = new.iter().filter(|line| !old.contains(line)).map(|line| format!("+{}", line.trim()));
    gone.chain(put_in).collect()
}

fn after(change: &Change) -> Vec<String> {
    lines(SONG, change).into_iter().filter(|line| line.starts_with('+')).collect()
}

fn row(row: usize, text: &str) -> Change {
    Change::Row { section: 0, row, text: text.into() }
}

fn bar(bar: u32, pass: Option<u32>, beat: Option<u8>) -> Place {
    Place::Bar { section: 0, bar, pass, beat }
}

fn notes(place: Place, notes: Option<u8>) -> Change {
    Change::Hand { place, hand: Hand::Right, field: HandField::Notes(notes) }
}

#[test]
fn a_bar_typed_over_is_the_same_bar() {
    assert_eq!(
        after(&row(0, "1 | 2m |5| %")),
        [r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 2m |5| %","#]
    );
    // The same number of bars, one of them now as its neighbour: nothing has moved.
    assert_eq!(after(&row(0, "1 | 5 |5| %")).len(), 1);
}

#[test]
fn a_bar_typed_between_two_moves_what_is_said_of_those_behind() {
    let told = after(&row(0, "1 | 2 | 4 |5| %"));
    assert_eq!(told[0], r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 2 | 4 |5| %","#);
    assert_eq!(told[1], r#"+{ "pass": [1, "last"], "bar": "3-4", "right": { "notes": 2 } },"#);
    assert_eq!(told.len(), 2);
}

#[test]
fn a_bar_put_into_a_range_belongs_to_it() {
    let told = after(&Change::InsertBars { section: 0, at: 2, text: "3m".into() });
    assert_eq!(told[0], r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 4 | 3m | 5| %","#);
    assert_eq!(told[1], r#"+{ "pass": [1, "last"], "bar": "2-4", "right": { "notes": 2 } },"#);
}

#[test]
fn a_bar_behind_the_last_leaves_what_was_said_of_the_last_with_it() {
    let told = after(&Change::InsertBars { section: 0, at: 6, text: "7".into() });
    assert_eq!(told, [r#"+"6|2|7"],"#, r#"+{ "bar": 6, "bars": "N" }"#]);
}

#[test]
fn bars_go_with_what_was_said_about_them() {
    let told = after(&Change::RemoveBars { section: 0, from: 1, to: 3 });
    // The repeat meant the 5 that is gone.
    assert_eq!(told, [r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 5","#]);
    let edited = apply(SONG, &Change::RemoveBars { section: 0, from: 1, to: 3 }).unwrap().text;
    assert!(
        edited.contains("\"except\": [\n        { \"bar\": \"last\", \"bars\": \"N\" }\n      ] },"),
        "{edited}"
    );
    let edited = apply(&edited, &Change::RemoveRow { section: 0, row: 1 }).unwrap().text;
    assert!(edited.contains("\"bars\": [\"1 | 5\"] },"), "{edited}");
    let none = Change::RemoveBars { section: 0, from: 3, to: 3 };
    assert_eq!(apply(SONG, &none).unwrap_err().to_string(), "no bar is chosen; choose at least one");
    let all = Change::RemoveBars { section: 1, from: 0, to: 1 };
    assert_eq!(apply(SONG, &all), Err(EditError::Last("section")));
}

#[test]
fn bars_move_within_a_section_and_to_another() {
    let within = Change::MoveBars { section: 0, from: 1, to: 2, into: 0, at: 6 };
    let told = after(&within);
    assert_eq!(
        told,
        [
            r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 5| %","#,
            r#"+"6|2|4"],"#,
            r#"+{ "pass": [1, "last"], "bar": [2, 6], "right": { "notes": 2 } },"#,
            r#"+{ "bar": 5, "bars": "N" }"#
        ]
    );
    let across = Change::MoveBars { section: 0, from: 2, to: 4, into: 1, at: 0 };
    let told = after(&across);
    assert_eq!(
        told,
        [
            r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 4","#,
            r#"+{ "pass": [1, "last"], "bar": 2, "right": { "notes": 2 } },"#,
            r#"+{ "name": "B", "bars": ["5 | 5 | 1"], "except": [ { "pass": [1, "last"], "bar": 1, "right": { "notes": 2 } } ] }"#
        ]
    );
}

#[test]
fn rows_break_and_join_on_paper_only() {
    assert_eq!(
        after(&Change::BreakRow { section: 0, bar: 2 }),
        [r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 4","#, r#"+"5| %","#]
    );
    assert_eq!(
        after(&Change::JoinRow { section: 0, row: 0 }),
        [r#"+{ "name": "A", "passes": 3,   "bars": ["1 | 4 |5| % | 6|2"],"#]
    );
    assert_eq!(apply(SONG, &Change::JoinRow { section: 0, row: 1 }), Err(EditError::NoRow(3, 2)));
}

#[test]
fn a_pass_differs_and_differs_no_more() {
    let differs = |text: &str| Change::Bar { section: 0, bar: 1, pass: Some(2), text: text.into() };
    let told = after(&differs("4m"));
    assert_eq!(told, [r#"+{ "bar": "last", "bars": "N" },"#, r#"+{ "pass": 2, "bar": 2, "bars": "4m" }"#]);
    let edited = apply(SONG, &differs("4m")).unwrap().text;
    let again = apply(&edited, &differs("4m 5")).unwrap().text;
    assert!(again.contains(r#"{ "pass": 2, "bar": 2, "bars": "4m 5" }"#), "{again}");
    let longer = apply(&again, &differs("4m | 5")).unwrap().text;
    assert!(longer.contains(r#"{ "pass": 2, "bar": 2, "bars": "4m | 5", "replaces": 1 }"#), "{longer}");
    assert_eq!(apply(&edited, &differs("4")).unwrap().text, SONG);
    assert_eq!(apply(SONG, &differs(" 4 ")).unwrap().text, SONG);
}

/// Every pass plays N in the last bar; pass 1 shall have what is written.
#[test]
fn a_pass_can_go_back_to_what_is_written_where_another_exception_holds() {
    let back = Change::Bar { section: 0, bar: 5, pass: Some(1), text: "2".into() };
    assert_eq!(after(&back)[1], r#"+{ "pass": 1, "bar": 6, "bars": "2" }"#);
    let played = song::read(&apply(SONG, &back).unwrap().text).song.unwrap().play();
    let last: Vec<&str> = [5, 11, 17].map(|i| played.bars[i].text.as_str()).to_vec();
    assert_eq!(last, ["2", "N", "N"]);
}

#[test]
fn pins_are_exceptions_with_tones() {
    let tones = Tones(vec![Member::THIRD, Member::ROOT]);
    let pin = |pass, beat, tones| Change::Hand {
        place: bar(0, pass, beat),
        hand: Hand::Right,
        field: HandField::Tones(tones),
    };
    let one = apply(SONG, &pin(Some(2), None, Some(tones.clone()))).unwrap().text;
    assert!(one.contains(r#"{ "pass": 2, "bar": 1, "right": { "tones": "3 1" } }"#), "{one}");
    let all = apply(&one, &pin(None, None, Some(tones.clone()))).unwrap().text;
    // What holds for every pass stands before what holds for one.
    let place = |text: &str| all.find(text).unwrap();
    assert!(place(r#"{ "bar": 1, "right": { "tones": "3 1" } }"#) < place(r#"{ "pass": 2, "bar": 1,"#));
    let chord = apply(SONG, &pin(None, Some(3), Some(tones))).unwrap().text;
    assert!(chord.contains(r#"{ "bar": 1, "beat": 3, "right": { "tones": "3 1" } }"#), "{chord}");
    assert_eq!(apply(&chord, &pin(None, Some(3), None)).unwrap().text, SONG);
    assert_eq!(apply(SONG, &pin(None, Some(3), None)), Err(EditError::NothingSet));
}

/// Two notes are asked for in bars 2 and 3 of the first and last pass; they are taken back for one of the four.
#[test]
fn taking_something_back_for_one_bar_leaves_the_others_what_they_had() {
    let told = after(&notes(bar(1, Some(1), None), None));
    assert_eq!(
        told,
        [
            r#"+{ "pass": "last", "bar": "2-3", "right": { "notes": 2 } },"#,
            r#"+{ "pass": 1, "bar": 3, "right": { "notes": 2 } },"#
        ]
    );
}

/// Three passes: the last of them is the third, and stays the last.
#[test]
fn passes_that_are_told_the_same_one_by_one_become_one_exception() {
    let differs = |pass, text: &str| Change::Bar { section: 0, bar: 0, pass: Some(pass), text: text.into() };
    let all = |changes: &[Change]| {
        changes.iter().fold(SONG.to_owned(), |text, change| apply(&text, change).unwrap().text)
    };
    let third = all(&[differs(2, "6"), differs(3, "6")]);
    assert!(third.contains(r#"{ "pass": [2, 3], "bar": 1, "bars": "6" }"#), "{third}");
    assert_eq!(third.matches(r#""bar": 1,"#).count(), 1, "{third}");
    // What is told one of them otherwise parts them, and what is told it alike puts them together.
    let parted = all(&[differs(2, "6"), differs(3, "6"), differs(3, "4")]);
    let played = song::read(&parted).song.unwrap().play();
    assert_eq!([0, 6, 12].map(|bar: usize| played.bars[bar].text.as_str()), ["1", "6", "4"]);
    // A pass on its way back to what all play leaves the others theirs.
    let back = all(&[differs(2, "6"), differs(3, "6"), differs(2, "1")]);
    let played = song::read(&back).song.unwrap().play();
    assert_eq!([0, 6, 12].map(|bar: usize| played.bars[bar].text.as_str()), ["1", "1", "6"], "{back}");
    // Not over something in between that is about the same bar.
    let between = SONG.replace(
        r#"{ "bar": "last", "bars": "N" }"#,
        r#"{ "pass": 1, "bar": 1, "bars": "6" }, { "pass": "2-3", "bar": 1, "bars": "4" }"#,
    );
    let over = apply(&between, &differs(2, "6")).unwrap().text;
    assert!(over.contains(r#"{ "pass": 1, "bar": 1, "bars": "6" }"#), "{over}");
    let played = song::read(&over).song.unwrap().play();
    assert_eq!([0, 6, 12].map(|bar: usize| played.bars[bar].text.as_str()), ["6", "6", "4"], "{over}");
}

#[test]
fn hands_are_told_at_every_level_in_the_layout_that_is_there() {
    assert_eq!(
        after(&notes(Place::Song, Some(2))),
        [r#"+{ "format": 1, "title": "T", "key": "D major", "tempo": 7.2e1, "right": { "notes": 2 },"#]
    );
    let shape = HandField::Shape(Some(LeftShape::Octave));
    let left = Change::Hand { place: Place::Section(1), hand: Hand::Left, field: shape };
    assert_eq!(after(&left), [r#"+{ "name": "B", "bars": ["1"], "left": { "shape": "octave" } }"#]);
    let figure = HandField::Figure(Some(Figure::parse("x - x -").unwrap()));
    let pass = Change::Hand { place: Place::Pass { section: 0, pass: 2 }, hand: Hand::Left, field: figure };
    assert_eq!(after(&pass), [r#"+{ "pass": 2, "bar": "1-6", "left": { "figure": "x - x -" } },"#]);
    let chord = HandField::ChordTones("5/7".parse().unwrap(), Some(Tones(vec![Member::FIFTH, Member::ROOT])));
    let shapes = Change::Hand { place: Place::Section(1), hand: Hand::Right, field: chord };
    assert_eq!(
        after(&shapes),
        [r#"+{ "name": "B", "bars": ["1"], "right": { "shapes": { "5/7": "5 1" } } }"#]
    );
    let wrong = Change::Hand { place: Place::Song, hand: Hand::Left, field: HandField::Notes(Some(2)) };
    let told = apply(SONG, &wrong).unwrap_err().to_string();
    assert_eq!(told, "notes cannot be set for the left hand; set it for the right hand");
}

#[test]
fn fields_are_set_where_they_belong() {
    let field = |place, field| Change::Field { place, field };
    let tempo = field(Place::Song, Field::Tempo(Tempo::new(80.5)));
    assert_eq!(after(&tempo), [r#"+{ "format": 1, "title": "T", "key": "D major", "tempo": 80.5,"#]);
    let words = field(bar(0, None, Some(3)), Field::Note(Some("softly".into())));
    assert_eq!(after(&words)[1], r#"+{ "bar": 1, "beat": 3, "note": "softly" }"#);
    let passes = field(Place::Section(0), Field::Passes(None));
    assert_eq!(after(&passes), [r#"+{ "name": "A",   "bars": ["1 | 4 |5| %","#]);
    let told = apply(SONG, &field(bar(0, None, None), Field::Level(Some(2)))).unwrap_err();
    assert_eq!(told.to_string(), "level cannot be set for a bar; set it for the song or a section");
}

#[test]
fn sections_are_put_in_renamed_and_taken_away_with_the_order() {
    let song = SONG.replace("  ] }\n", "  ],\n  \"order\": [\"A\", \"B\", \"A\"] }\n");
    let order = |text: &str| text.lines().last().unwrap().trim().to_string();
    let made = |change: &Change| apply(&song, change).unwrap().text;
    let named = made(&Change::RenameSection { section: 0, name: "Verse".into() });
    assert_eq!(order(&named), r#""order": ["Verse", "B", "Verse"] }"#);
    let like = made(&Change::LikeSection { section: 0, name: "A2".into() });
    assert_eq!(order(&like), r#""order": ["A", "B", "A", "A2"] }"#);
    assert!(like.contains("    { \"name\": \"A2\", \"like\": \"A\" },\n    { \"name\": \"B\""), "{like}");
    let gone = made(&Change::RemoveSection { section: 0 });
    assert_eq!(order(&gone), r#""order": ["B"] }"#);
    assert_eq!(apply(&like, &Change::RemoveSection { section: 0 }), Err(EditError::BarsNeeded("A2".into())));
    let moved = made(&Change::MoveSection { section: 1, to: 0 });
    assert!(moved.find("\"B\"").unwrap() < moved.find("\"A\"").unwrap());
    let reordered = made(&Change::Order(Some(vec![1, 0, 0])));
    assert_eq!(order(&reordered), r#""order": ["B", "A", "A"] }"#);
    let taken = apply(&song, &Change::CopySection { section: 0, name: " B ".into() });
    assert_eq!(taken, Err(EditError::NameTaken("B".into())));
}

/// Bars belong to the section that has them; what is said of them follows wherever they are played.
#[test]
fn a_section_that_is_like_another_follows_its_bars() {
    let like = SONG.replace(
        "{ \"name\": \"B\", \"bars\": [\"1\"] }",
        "{ \"name\": \"B\", \"like\": \"A\", \"except\": [ { \"bar\": 6, \"cue\": \"horn\" } ] }",
    );
    let edited = apply(&like, &Change::InsertBars { section: 0, at: 0, text: "N".into() }).unwrap().text;
    assert!(edited.contains(r#""except": [ { "bar": 7, "cue": "horn" } ]"#), "{edited}");
    let told = apply(&like, &Change::InsertBars { section: 1, at: 0, text: "N".into() }).unwrap_err();
    assert_eq!(told, EditError::BarsOfAnother("A".into()));
    let own = apply(&like, &Change::OwnBars { section: 1 }).unwrap().text;
    let played = |text: &str| crate::show::bars(&song::read(text).song.unwrap().play());
    assert_eq!(played(&own), played(&like));
    assert!(!own.contains("like"));
}

/// Bars that an exception puts in for several keep their place when bars come and go among those that give way.
#[test]
fn a_stretch_that_gives_way_grows_and_shrinks_with_its_bars() {
    let song = r#"{ "sections": [ { "name": "A", "bars": ["1 | 2 | 3 | 4 | 5"], "except": [ { "bar": 2, "bars": "6 | 7" } ] } ] }"#;
    let except = |change: &Change| {
        let text = apply(song, change).unwrap().text;
        let rest = text.split_once("\"except\": ").map_or(" } ] }", |(_, rest)| rest);
        rest.strip_suffix(" } ] }").unwrap().to_string()
    };
    let insert = |at| Change::InsertBars { section: 0, at, text: "N".into() };
    let remove = |from, to| Change::RemoveBars { section: 0, from, to };
    assert_eq!(except(&insert(1)), r#"[ { "bar": 3, "bars": "6 | 7" } ]"#);
    assert_eq!(except(&insert(2)), r#"[ { "bar": 2, "bars": "6 | 7", "replaces": 3 } ]"#);
    assert_eq!(except(&insert(3)), r#"[ { "bar": 2, "bars": "6 | 7" } ]"#);
    assert_eq!(except(&remove(1, 2)), r#"[ { "bar": 2, "bars": "6 | 7", "replaces": 1 } ]"#);
    assert_eq!(except(&remove(0, 1)), r#"[ { "bar": 1, "bars": "6 | 7" } ]"#);
    assert_eq!(except(&remove(1, 3)), "");
}

#[test]
fn what_is_no_json_is_not_edited() {
    for text in ["", "{", "[]", "{ \"sections\": [ ], }"] {
        assert_eq!(apply(text, &Change::Order(None)), Err(EditError::NotJson));
    }
    let deep = "[".repeat(100_000);
    assert_eq!(apply(&deep, &Change::Order(None)), Err(EditError::NotJson));
    assert_eq!(apply("{}", &row(0, "1")), Err(EditError::NoSection(1, 0)));
    let first = Change::InsertSection { at: 0, name: "A".into(), rows: vec!["1 | 4".into()] };
    assert_eq!(apply("{}", &first).unwrap().text, r#"{"sections": [{ "name": "A", "bars": ["1 | 4"] }]}"#);
}
