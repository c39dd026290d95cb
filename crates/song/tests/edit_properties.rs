//! What holds for every edit of every song: it is undone to the byte, and what is played afterwards is what was played
//! before, with the edit made to it. The model of an edit is written here a second time, on the bars as played.

use proptest::prelude::*;
use proptest::sample::Index;
use song::edit::{Change, Draft, Field, HandField, Place, apply, apply_all};
use song::{Choice, Goal, Hold, LeftShape, Meter, PlayedSong, Selector, Tones, read};
use theory::{Hand, Member};

/// A bar as it is played in a pass, without its number: its text, both hands, and the words about it.
type Sounds = (String, Vec<String>, Option<String>);

/// All bars of a section, pass by pass: the written bar that each stands for, and what is played.
fn passes(played: &PlayedSong, section: usize) -> Vec<Vec<(Option<u32>, Sounds)>> {
    let mut all: Vec<Vec<(Option<u32>, Sounds)>> = Vec::new();
    for bar in played.bars.iter().filter(|bar| bar.section == section) {
        if bar.bar_in_section == 1 || all.len() < bar.pass as usize {
            all.push(Vec::new());
        }
        let hands = bar.slots.iter().map(|slot| {
            format!(
                "{} | {} | {}",
                slot.symbol,
                crate::show::hand(&slot.right),
                crate::show::hand(&slot.left)
            )
        });
        let sounds = (bar.text.clone(), hands.collect(), bar.note.clone());
        all.last_mut().unwrap().push((bar.written_bar.or(bar.in_place_of), sounds));
    }
    all
}

fn sounds(passes: &[Vec<(Option<u32>, Sounds)>]) -> Vec<Vec<Sounds>> {
    passes.iter().map(|pass| pass.iter().map(|(_, sounds)| sounds.clone()).collect()).collect()
}

fn hand() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(r#""right": { "notes": 2 }"#.to_string()),
        Just(r#""right": { "tones": "3 1" }"#.to_string()),
        Just(r#""left": { "shape": "octave" }"#.to_string()),
        Just(r#""left": { "figure": "1 - 1 -" }"#.to_string()),
        "[a-z]{3}".prop_map(|word| format!(r#""note": "{word}""#)),
    ]
}

/// An exception for a section of eight bars and three passes; `puts_in` lets it put a bar in.
fn exception(puts_in: bool) -> impl Strategy<Value = String> {
    let pass = prop_oneof![
        Just(""),
        Just(r#""pass": 1, "#),
        Just(r#""pass": [1, "last"], "#),
        Just(r#""pass": "2-3", "#),
    ];
    let bar = prop_oneof![
        (1..=8u32).prop_map(|bar| bar.to_string()),
        Just(r#""last""#.to_string()),
        (1..5u32, 1..4u32).prop_map(|(from, more)| format!(r#""{from}-{}""#, from + more)),
        Just(r#"[2, 5, "last"]"#.to_string()),
    ];
    (pass, bar, hand(), 0..6u8).prop_map(move |(pass, bar, hand, kind)| match kind {
        0 if puts_in => format!(r#"{{ {pass}"bar": {bar}, "bars": "4m 5", {hand} }}"#),
        _ => format!(r#"{{ {pass}"bar": {bar}, {hand} }}"#),
    })
}

/// Two sections of eight bars in rows of three, four and one, and three passes each.
fn song() -> impl Strategy<Value = String> {
    let bar = prop_oneof![4 => "[1-6]", 2 => "[1-3] [4-6]", 1 => Just("%".to_string())];
    let bars = prop::collection::vec(bar, 8).prop_map(|mut bars| {
        bars[0] = bars[0].replace('%', "1");
        format!(r#"["{}", "{}", "{}"]"#, bars[..3].join(" | "), bars[3..7].join("|"), bars[7])
    });
    let except = prop::collection::vec(exception(true), 0..5).prop_map(|list| match list.len() {
        0 => String::new(),
        _ => format!(",\n      \"except\": [\n        {} ]", list.join(",\n        ")),
    });
    let section =
        (bars, except).prop_map(|(bars, except)| format!(r#""passes": 3, "bars": {bars}{except}"#)).boxed();
    (section.clone(), section).prop_map(|(a, b)| {
        format!(
            "{{ \"format\": 1, \"title\": \"T\", \"key\": \"D major\", \"tempo\": 72,\n  \"sections\": [\n    \
             {{ \"name\": \"A\", {a} }},\n    {{ \"name\": \"B\", {b} }}\n  ] }}\n"
        )
    })
}

fn played(text: &str) -> PlayedSong {
    let reading = read(text);
    assert!(reading.diagnostics.iter().all(|d| !d.is_error()), "{:#?}\n{text}", reading.diagnostics);
    reading.song.unwrap().play()
}

fn goal() -> impl Strategy<Value = Goal> {
    let bars = prop::option::of((1..9u32).prop_map(|bar| Selector { parts: vec![Choice::One(bar)] }));
    (prop::option::of(0..3usize), bars, 30..=130u8).prop_map(|(section, bars, speed)| Goal {
        bars: bars.filter(|_| section.is_some()),
        section,
        speed,
        day: song::Day::new(2026, 12, 4),
        note: None,
    })
}

/// Any edit, sensible or not.
fn change() -> impl Strategy<Value = Change> {
    let text = prop_oneof![Just("N".to_string()), "[1-7%~N |.]{0,8}", Just("4 | 5".to_string())];
    let number = 0..9u32;
    let small = 0..3usize;
    let place = prop_oneof![
        Just(Place::Song),
        (0..3usize).prop_map(Place::Section),
        (0..2usize, 1..4u32).prop_map(|(section, pass)| Place::Pass { section, pass }),
        (0..2usize, 0..9u32, prop::option::of(1..4u32), prop::option::of(1..5u8))
            .prop_map(|(section, bar, pass, beat)| Place::Bar { section, bar, pass, beat }),
        (0..2usize, 0..5usize).prop_map(|(section, exception)| Place::Exception { section, exception }),
    ];
    let field = prop_oneof![
        prop::option::of("[ -~]{0,9}").prop_map(Field::Note),
        prop::option::of(1..=5u8).prop_map(Field::Level),
        Just(Field::Meter(Meter::new(3, 4))),
        prop::option::of(1..4u32).prop_map(Field::Passes),
        Just(Field::Title("Other".into())),
        prop::option::of(0..=4u8).prop_map(Field::CountIn),
    ];
    let hand_field = prop_oneof![
        prop::option::of(1..=4u8).prop_map(HandField::Notes),
        Just(HandField::Shape(Some(LeftShape::Octave))),
        prop::option::of(Just(Tones(vec![Member::FIFTH, Member::ROOT]))).prop_map(HandField::Tones),
        prop::option::of(Just(Tones(vec![Member::ROOT])))
            .prop_map(|tones| HandField::ChordTones("1".parse().unwrap(), tones)),
    ];
    let hand = prop_oneof![Just(Hand::Right), Just(Hand::Left)];
    prop_oneof![
        (small.clone(), 0..4usize, text.clone()).prop_map(|(section, row, text)| Change::Row {
            section,
            row,
            text
        }),
        (small.clone(), 0..4usize, text.clone()).prop_map(|(section, row, text)| Change::InsertRow {
            section,
            row,
            text
        }),
        (small.clone(), 0..4usize).prop_map(|(section, row)| Change::RemoveRow { section, row }),
        (small.clone(), number.clone()).prop_map(|(section, bar)| Change::BreakRow { section, bar }),
        (small.clone(), 0..4usize).prop_map(|(section, row)| Change::JoinRow { section, row }),
        (small.clone(), number.clone(), prop::option::of(1..4u32), text.clone())
            .prop_map(|(section, bar, pass, text)| Change::Bar { section, bar, pass, text }),
        (small.clone(), 0..4usize, text.clone()).prop_map(|(section, exception, text)| Change::PutIn {
            section,
            exception,
            text
        }),
        (small.clone(), number.clone(), text).prop_map(|(section, at, text)| Change::InsertBars {
            section,
            at,
            text
        }),
        (small.clone(), number.clone(), number.clone()).prop_map(|(section, from, to)| Change::RemoveBars {
            section,
            from,
            to
        }),
        (small.clone(), number.clone(), number.clone(), small.clone(), number)
            .prop_map(|(section, from, to, into, at)| Change::MoveBars { section, from, to, into, at }),
        (small.clone(), "[ABC ]{0,2}").prop_map(|(section, name)| Change::CopySection { section, name }),
        (small.clone(), "[ABC]{1,2}").prop_map(|(section, name)| Change::LikeSection { section, name }),
        small.clone().prop_map(|section| Change::OwnBars { section }),
        small.clone().prop_map(|section| Change::RemoveSection { section }),
        (small.clone(), "[ABC]{1,2}").prop_map(|(section, name)| Change::RenameSection { section, name }),
        (small.clone(), small.clone()).prop_map(|(section, to)| Change::MoveSection { section, to }),
        prop::option::of(prop::collection::vec(0..3usize, 0..4)).prop_map(Change::Order),
        (small.clone(), 0..5usize)
            .prop_map(|(section, exception)| Change::RemoveException { section, exception }),
        (small, prop::option::of(goal())).prop_map(|(at, goal)| Change::Goal { at, goal }),
        (place.clone(), field).prop_map(|(place, field)| Change::Field { place, field }),
        (place, hand, hand_field).prop_map(|(place, hand, field)| Change::Hand { place, hand, field }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(80))]

    #[test]
    fn every_edit_is_undone_to_the_byte(song in song(), demo in prop::option::of(0..5usize), changes in prop::collection::vec(change(), 1..8)) {
        let text = demo.map_or(song, |which| crate::demos::SONGS[which].to_string());
        let changes: Vec<Change> = changes.into_iter().flat_map(|change| [change.clone(), change]).collect();
        let mut draft = Draft::new(text.clone());
        let mut texts = vec![text];
        for (number, change) in changes.iter().enumerate() {
            let before = draft.text().to_string();
            match draft.apply(change) {
                Ok(done) => prop_assert_eq!(done.clone().apply(&before), draft.text()),
                Err(_) => prop_assert_eq!(draft.text(), &before),
            }
            // What is typed in one go is one step: now and then it goes on.
            if number % 2 == 1 {
                draft.pause();
            }
            let now = draft.text().to_string();
            prop_assert!(serde_json::from_str::<serde_json::Value>(&now).is_ok(), "{}", now);
            read(&now);
            texts.push(now);
        }
        let last = texts.pop().unwrap();
        while draft.undo().is_some() {}
        prop_assert_eq!(draft.text(), &texts[0]);
        while draft.redo().is_some() {}
        prop_assert_eq!(draft.text(), &last);
    }

    /// A short run of what the fuzzing of edits does at length.
    #[test]
    fn edits_of_mutated_songs_are_made_or_refused(
        song in song(), at in any::<Index>(), length in 0..12usize, put_in in "[\"{}\\[\\],:0-9a-z|%~-]{0,6}", change in change(),
    ) {
        let mut text = song;
        let from = at.index(text.len());
        text.replace_range(from..(from + length).min(text.len()), &put_in);
        if let Ok(edited) = apply(&text, &change) {
            prop_assert_eq!(edited.undo.apply(&edited.text), text);
            read(&edited.text);
        }
    }

    #[test]
    fn bars_put_in_leave_the_others_as_they_were(text in song(), at in 0..=8u32, two in any::<bool>()) {
        let bars = if two { "7dim(dim7) | b7" } else { "7dim(dim7)" };
        let before = passes(&played(&text), 0);
        let edited = apply(&text, &Change::InsertBars { section: 0, at, text: bars.into() }).unwrap().text;
        let after = passes(&played(&edited), 0);
        let length = if two { 2 } else { 1 };
        let old: Vec<Vec<_>> = after.iter().map(|pass| {
            let is_new = |(written, _): &&(Option<u32>, Sounds)| !written.is_some_and(|w| (at..at + length).contains(&w));
            pass.iter().filter(is_new).cloned().collect()
        }).collect();
        prop_assert_eq!(sounds(&old), sounds(&before), "{}\n{}", text, edited);
        for pass in &after {
            prop_assert!(pass[at as usize].1.0 == "7dim(dim7)" || pass[at as usize].1.0 == "4m 5");
        }
        prop_assert_eq!(passes(&played(&edited), 1), passes(&played(&text), 1));
    }

    #[test]
    fn bars_taken_out_take_nothing_else_along(text in song(), from in 0..7u32, length in 1..3u32) {
        let to = (from + length).min(8);
        let before = passes(&played(&text), 0);
        let edited = apply(&text, &Change::RemoveBars { section: 0, from, to }).unwrap().text;
        let left: Vec<Vec<_>> = before.iter().map(|pass| {
            pass.iter().filter(|(written, _)| !written.is_some_and(|w| (from..to).contains(&w))).cloned().collect()
        }).collect();
        prop_assert_eq!(sounds(&passes(&played(&edited), 0)), sounds(&left), "{}\n{}", text, edited);
    }

    #[test]
    fn bars_move_with_all_that_was_said_about_them(
        text in song(), from in 0..7u32, length in 1..4u32, at in 0..=8u32, across in any::<bool>(),
    ) {
        let to = (from + length).min(8);
        let into = usize::from(across);
        let (here, there) = (passes(&played(&text), 0), passes(&played(&text), 1));
        let edited = apply(&text, &Change::MoveBars { section: 0, from, to, into, at }).unwrap().text;
        let after = played(&edited);
        let mut target = if across { there } else { here.clone() };
        let mut rest = here;
        for (pass, rest) in target.iter_mut().zip(&mut rest) {
            let moved: Vec<_> = rest.drain(from as usize..to as usize).collect();
            if across {
                pass.splice(at as usize..at as usize, moved);
            } else {
                let at = if at >= to { at - (to - from) } else { at.min(from) };
                rest.splice(at as usize..at as usize, moved);
                pass.clone_from(rest);
            }
        }
        prop_assert_eq!(sounds(&passes(&after, into)), sounds(&target), "{}\n{}", text, edited);
        if across {
            prop_assert_eq!(sounds(&passes(&after, 0)), sounds(&rest), "{}\n{}", text, edited);
        }
    }

    #[test]
    fn a_pass_that_differs_differs_in_that_bar_alone(text in song(), bar in 0..8u32, pass in 1..=3u32) {
        let mut model = passes(&played(&text), 0);
        let differs = Change::Bar { section: 0, bar, pass: Some(pass), text: "7dim b7".into() };
        let edited = apply(&text, &differs).unwrap().text;
        let after = passes(&played(&edited), 0);
        let here = &mut model[pass as usize - 1][bar as usize].1;
        prop_assert_eq!(&after[pass as usize - 1][bar as usize].1.0, "7dim b7");
        *here = after[pass as usize - 1][bar as usize].1.clone();
        prop_assert_eq!(sounds(&after), sounds(&model), "{}\n{}", text, edited);
    }

    /// Whatever exceptions are put together or parted on the way.
    #[test]
    fn passes_told_one_by_one_play_what_they_were_told_last(
        text in song(), bar in 0..8u32, told in prop::collection::vec((1..=3u32, 0..3usize), 1..7),
    ) {
        let mut model = passes(&played(&text), 0);
        let mut edited = text.clone();
        for (pass, which) in &told {
            let text = ["7dim b7", "<6>", "1 4"][*which].to_string();
            let differs = Change::Bar { section: 0, bar, pass: Some(*pass), text };
            edited = apply(&edited, &differs).unwrap().text;
        }
        let after = passes(&played(&edited), 0);
        for (pass, which) in told {
            let last = ["7dim b7", "<6>", "1 4"][which];
            model[pass as usize - 1][bar as usize].1.0 = last.to_string();
        }
        for (after, model) in after.iter().flatten().zip(model.iter().flatten()) {
            prop_assert_eq!(&after.1.0, &model.1.0, "{}\n{}", text, edited);
        }
    }

    #[test]
    fn what_was_read_is_written_as_it_was(song in song(), demo in prop::option::of(0..5usize)) {
        let text = demo.map_or(song, |which| crate::demos::SONGS[which].to_string());
        prop_assert_eq!(apply_all(&text, &[]).unwrap().text, text);
    }

    #[test]
    fn a_pin_holds_at_its_bar_and_nowhere_else(text in song(), bar in 0..8u32, pass in 1..=3u32, again in any::<Index>()) {
        let place = Place::Bar { section: 0, bar, pass: Some(pass), beat: None };
        let pin = |tones| Change::Hand { place, hand: Hand::Right, field: HandField::Tones(tones) };
        let tones = Tones(vec![Member::FIFTH, Member::THIRD, Member::ROOT]);
        let edited = apply(&text, &pin(Some(tones.clone()))).unwrap().text;
        let now = played(&edited);
        for b in now.bars.iter().filter(|b| b.section == 0) {
            let here = b.pass == pass && b.written_bar.or(b.in_place_of) == Some(bar);
            for slot in &b.slots {
                prop_assert_eq!(slot.right.hold == Hold::Tones(tones.clone()), here, "{}", edited);
            }
        }
        let mut model = passes(&played(&text), 0);
        let after = passes(&now, 0);
        model[pass as usize - 1][bar as usize] = after[pass as usize - 1][bar as usize].clone();
        prop_assert_eq!(sounds(&after), sounds(&model), "{}\n{}", text, edited);
        // Taken back and pinned again, it holds again.
        let mut other = edited.clone();
        for _ in 0..=again.index(2) {
            other = apply(&other, &pin(None)).unwrap().text;
            other = apply(&other, &pin(Some(tones.clone()))).unwrap().text;
        }
        prop_assert_eq!(sounds(&passes(&played(&other), 0)), sounds(&after), "{}\n{}", edited, other);
    }

    #[test]
    fn a_section_with_bars_of_its_own_sounds_as_before(text in song(), own in prop::collection::vec(exception(true), 0..3), hands in hand()) {
        let hands = if hands.contains("note") { String::new() } else { format!(", {hands}") };
        let like = format!(r#"{{ "name": "C", "like": "A", "except": [ {} ]{hands} }}"#, own.join(", "));
        let text = text.replace("\n  ] }", &format!(",\n    {like}\n  ] }}"));
        let edited = apply(&text, &Change::OwnBars { section: 2 }).unwrap().text;
        prop_assert_eq!(passes(&played(&edited), 2), passes(&played(&text), 2), "{}\n{}", text, edited);
    }
}
