//! Goals and the count-in: read, checked, edited, and following their sections and bars.

use song::edit::{Change, Field, Place, apply};
use song::{Choice, Day, Goal, Selector, read};

const SONG: &str = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
  "sections": [
    { "name": "A", "bars": ["1 | 4 | 5 | 1"] },
    { "name": "B", "bars": ["6"] }
  ],
  "goals": [
    { "section": "A", "bar": "2-3", "speed": 90, "day": "2026-12-04" },
    { "note": "by heart" },
    { "section": "B" }
  ] }
"#;

fn goals(text: &str) -> Vec<String> {
    let at = text.find("\"goals\"").map_or(text.len(), |at| at);
    let lines = text[at..].lines().skip(1).map(|line| line.trim().trim_end_matches(','));
    lines.filter(|line| line.starts_with('{')).map(str::to_owned).collect()
}

fn after(change: &Change) -> Vec<String> {
    let edited = apply(SONG, change).unwrap();
    assert_eq!(edited.undo.apply(&edited.text), SONG);
    assert!(read(&edited.text).diagnostics.iter().all(|told| !told.is_error()), "{}", edited.text);
    goals(&edited.text)
}

#[test]
fn a_goal_is_read_with_what_it_leaves_unsaid() {
    let song = read(SONG).sound().unwrap();
    let goals: Vec<&Goal> = song.goals.iter().map(|goal| &goal.value).collect();
    let bars = Some(Selector { parts: vec![Choice::Range(2, 3)] });
    let first = Goal { section: Some(0), bars, speed: 90, day: Day::new(2026, 12, 4), note: None };
    assert_eq!(*goals[0], first);
    let whole = Goal { section: None, bars: None, speed: 100, day: None, note: Some("by heart".into()) };
    assert_eq!(*goals[1], whole);
    let played = song.play();
    assert_eq!(first.bars_played(&played), [1, 2]);
    assert_eq!(whole.bars_played(&played), [0, 1, 2, 3, 4]);
    assert_eq!(played.goals.len(), 3);
}

/// Each message read against what the goal says.
#[test]
fn a_goal_that_names_what_there_is_not_is_a_mistake() {
    let told = |goal: &str, count_in: &str| {
        let text = format!(
            r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "count_in": {count_in},
"sections": [ {{ "name": "A", "bars": ["1 | 4"] }} ], "goals": [ {goal} ] }}"#
        );
        read(&text).diagnostics.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(told(r#"{ "section": "A", "bar": "last" }"#, "0"), Vec::<String>::new());
    let cases = [
        (r#"{ "section": "B" }"#, "no section “B”"),
        (r#"{ "section": "A", "bar": 3 }"#, "“A” has 2 bars, and this goal names bar 3"),
        (r#"{ "bar": 1 }"#, "the bars of a goal are those of a section"),
        (r#"{ "speed": 20 }"#, "speed is from 30 to 130"),
        (r#"{ "day": "4.12.2026" }"#, "write year, month and day: \"2026-12-04\""),
        (r#"{ "tempo": 90 }"#, "there is no field \"tempo\" here"),
        ("7", "a goal is an object"),
    ];
    for (goal, wanted) in cases {
        let told = told(goal, "4");
        let wanted = wanted.replace(['“', '”'], "\"");
        assert!(told.len() == 1 && told[0].contains(&wanted), "{goal}: {told:?}");
    }
    assert!(told("{}", "5")[0].contains("count_in is from 0 to 4"));
}

#[test]
fn a_goal_is_set_changed_and_taken_away() {
    let third = Goal {
        section: Some(1),
        bars: Some(Selector { parts: vec![Choice::One(1)] }),
        speed: 75,
        day: Day::new(2027, 1, 9),
        note: Some("with the singer".into()),
    };
    let set = |at, goal: Option<&Goal>| Change::Goal { at, goal: goal.cloned() };
    let added = after(&set(3, Some(&third)));
    assert_eq!(
        added[3],
        r#"{ "section": "B", "bar": 1, "speed": 75, "day": "2027-01-09", "note": "with the singer" }"#
    );
    let song = read(SONG).sound().unwrap();
    let heart = Goal { day: Day::new(2026, 12, 24), ..song.goals[1].value.clone() };
    let changed = after(&set(1, Some(&heart)));
    assert_eq!(changed[1], r#"{ "day": "2026-12-24", "note": "by heart" }"#);
    assert_eq!(after(&set(0, None)).len(), 2);
    let bare = SONG.replace(&SONG[SONG.find(",\n  \"goals\"").unwrap()..SONG.rfind(" }").unwrap()], "");
    let first = apply(&bare, &set(0, Some(&heart))).unwrap().text;
    assert!(
        first.contains(r#""goals": [{ "speed": 100, "day": "2026-12-24", "note": "by heart" }]"#),
        "{first}"
    );
    assert_eq!(apply(&first, &set(0, None)).unwrap().text, bare);
    let far = apply(SONG, &set(5, Some(&heart))).unwrap_err().to_string();
    assert_eq!(far, "the song has no goal 6; it has 3");
}

#[test]
fn goals_follow_their_sections_and_bars() {
    let put_in = after(&Change::InsertBars { section: 0, at: 1, text: "2".into() });
    assert_eq!(put_in[0], r#"{ "section": "A", "bar": "3-4", "speed": 90, "day": "2026-12-04" }"#);
    let gone = after(&Change::RemoveBars { section: 0, from: 1, to: 3 });
    assert_eq!(gone, [r#"{ "note": "by heart" }"#, r#"{ "section": "B" }"#]);
    let renamed = after(&Change::RenameSection { section: 1, name: "Lift".into() });
    assert_eq!(renamed[2], r#"{ "section": "Lift" }"#);
    let removed = after(&Change::RemoveSection { section: 1 });
    assert_eq!(removed.len(), 2);
}

#[test]
fn the_count_in_belongs_to_the_song() {
    let count_in = |place, bars| Change::Field { place, field: Field::CountIn(bars) };
    let edited = apply(SONG, &count_in(Place::Song, Some(2))).unwrap().text;
    assert!(edited.contains(r#""tempo": 72, "count_in": 2,"#), "{edited}");
    assert_eq!(read(&edited).sound().unwrap().play().count_in, Some(2));
    assert_eq!(apply(&edited, &count_in(Place::Song, None)).unwrap().text, SONG);
    let error = apply(SONG, &count_in(Place::Section(0), Some(1))).unwrap_err().to_string();
    assert_eq!(error, "count_in cannot be set for a section; set it for the song");
}
