//! Help while typing: marks in place, what would be right, and completions.

use expect_test::{Expect, expect};
use proptest::prelude::*;
use song::typing::{Mark, Row, complete, marks};
use song::{Severity, parse_line};

fn row(key: &str) -> Row {
    Row { key: key.parse().unwrap(), ..Row::default() }
}

/// Each mark under its row, with the row as it would be right.
fn check(text: &str, row: &Row, expected: Expect) {
    let shown = marks(text, row).into_iter().map(|mark| {
        let underlined = &text[mark.span.0..mark.span.1];
        let hint = if mark.hint.is_empty() { String::new() } else { format!("; {}", mark.hint) };
        let instead = mark.instead.map_or(String::new(), |edit| format!(" => {}", edit.apply(text)));
        let warning = if mark.severity == Severity::Warning { "warning: " } else { "" };
        format!("[{underlined}] {warning}{}{hint}{instead}\n", mark.message)
    });
    expected.assert_eq(&shown.collect::<String>());
}

fn choices(text: &str, row: &Row) -> Vec<String> {
    complete(text, text.len(), row).all.into_iter().map(|choice| choice.text).collect()
}

/// Read through against the song format: each says what is wrong, and the row it would become is right.
#[test]
fn marks_say_what_would_be_right() {
    let d = row("D major");
    check(
        "1 | 4maj7 | 2m7/5 5sus | 7ø",
        &d,
        expect![[r#"
            [4maj7] put the extension in brackets: 4(maj7) => 1 | 4(maj7) | 2m7/5 5sus | 7ø
            [2m7/5] put the extension in brackets: 2m(7); write 2(7)/5 => 1 | 4maj7 | 2(7)/5 5sus | 7ø
            [5sus] “sus” is no quality: write 5sus4 => 1 | 4maj7 | 2m7/5 5sus4 | 7ø
            [7ø] “ø” is no quality: write 7dim(7) => 1 | 4maj7 | 2m7/5 5sus | 7(7)
        "#]],
    );
    check(
        "G | 1.. 5. | 1 4 5 | 1.. 5",
        &d,
        expect![[r#"
            [G] G is a note name: write the number of its degree in the key, 1 to 7; in D major that is 4 => 4 | 1.. 5. | 1 4 5 | 1.. 5
            [1.. 5.] this bar has 4 beats and its dots add up to 3; write 1... 5. or put 3/4: before it => G | 1... 5. | 1 4 5 | 1.. 5
            [1 4 5] this bar's 4 beats do not split evenly into 3; give each its beats with dots, e.g. 1.. 4. 5. => G | 1.. 5. | 1.. 4. 5. | 1.. 5
            [1.. 5] some chords of this bar have dots and some have none; write 1.. 5.. => G | 1.. 5. | 1 4 5 | 1.. 5..
        "#]],
    );
    check(
        "% | N ~ | 1(7) | 8 | ",
        &d,
        expect![[r#"
        [%] there is no written bar before this %; write the bar out
        [~] there is nothing before this ~ that could go on; write the chord, or N to rest
        [1(7)] warning: (7) brings C, which is not in D major; (maj7) would stay in the key
        [8] 8 is no scale degree: write 1, the octave is the same degree
        [| ] this bar is empty; write ~ to hold on, N to rest, or take away the bar line
    "#]],
    );
    check(
        "5M(7)/#7 | b6 | Am7/G",
        &row("A minor"),
        expect![[r#"
            [b6] warning: b6 in a minor key lowers what is low already: write 6 for the key's own F
            [Am7/G] A is a note name: write the number of its degree in the key, 1 to 7; in A minor that is 1(7)/7 => 5M(7)/#7 | b6 | 1(7)/7
        "#]],
    );
    assert_eq!(marks("1 | 4 5/7 | ~ | % | <6> | 3/4: ^1.. 5.", &d), []);
}

#[test]
fn what_stands_before_the_row_counts() {
    let before = |bar: &str| Row { before: parse_line(bar).0.pop(), ..row("D major") };
    assert_eq!(marks("% | 1", &before("1 4")), []);
    assert_eq!(marks("~", &before("1")), []);
    assert_eq!(marks("~", &before("N")).len(), 1);
    assert_eq!(marks("%", &row("D major")).len(), 1);
}

#[test]
fn a_row_knows_its_place_in_the_song() {
    let song = song::read(crate::demos::SONGS[3]).song.unwrap();
    let break_row = Row::of(&song, 2, 1).unwrap();
    assert_eq!(break_row.before.as_ref().unwrap().to_string(), "4-");
    assert_eq!(Row::of(&song, 4, 0).unwrap().key.to_string(), "B major");
    assert_eq!(break_row.used[..2], ["4", "1"]);
    assert_eq!(Row::of(&song, 9, 0), None);
}

/// The demo songs have no mark that the reader would not have.
#[test]
fn rows_of_songs_without_mistakes_have_no_mistakes() {
    for text in crate::demos::SONGS {
        let song = song::read(text).song.unwrap();
        for (index, section) in song.sections.iter().enumerate() {
            for (number, bars) in section.rows.iter().enumerate() {
                let row = Row::of(&song, index, number).unwrap();
                let line = song::print_line(&bars.bars);
                let told: Vec<_> =
                    marks(&line, &row).into_iter().filter(|mark| mark.severity == Severity::Error).collect();
                assert_eq!(told, [], "{line}");
            }
        }
    }
}

#[test]
fn completions_are_what_the_trade_writes() {
    let d = row("D major");
    assert_eq!(choices("1 | 5/", &d)[..2], ["5/7", "5/2"]);
    assert_eq!(choices("1 | 5s", &d)[..2], ["5sus4", "5sus2"]);
    assert!(choices("5s", &d).iter().all(|choice| choice.starts_with("5sus")));
    // What stays in the key comes first: G is the 4 of D, and its seventh F#.
    assert_eq!(choices("4(", &d)[..2], ["4(6)", "4(maj7)"]);
    assert_eq!(choices("2(", &d)[..2], ["2(6)", "2(7)"]);
    let says: Vec<String> = complete("1 | 2(", 6, &d).all.into_iter().map(|choice| choice.says).collect();
    assert_eq!(says[..2], ["Em6", "Em7"]);
    // Minor keys play their dominant as a major chord.
    assert!(choices("5", &row("A minor")).iter().position(|choice| choice == "5M").unwrap() < 12);
    // A letter is the number that it is in the key.
    assert_eq!(choices("1 | F#m7", &d)[0], "3(7)");
    // Dots that fill the bar.
    assert_eq!(choices("1.. 5", &d)[0], "5..");
    assert_eq!(choices("3/4: 1.. 5", &d)[0], "5.");
    // Nothing typed yet: degrees first, then signs; % only where a whole bar can be repeated.
    let empty = choices("1 | ", &d);
    assert_eq!(empty[..4], ["1", "4", "5", "6"]);
    assert!(choices("", &d).len() <= 24);
}

#[test]
fn chords_of_the_song_are_offered_first() {
    let used = Row { used: vec!["5/7".into(), "5sus4".into(), "1".into()], ..row("D major") };
    assert_eq!(choices("5", &used)[..2], ["5/7", "5sus4"]);
    assert_eq!(choices("", &used)[0], "5/7");
}

#[test]
fn signs_are_offered_where_they_can_stand() {
    let signs = |text: &str, row: &Row| {
        let all = complete(text, text.len(), row).all;
        all.into_iter().map(|c| c.text).filter(|t| matches!(t.as_str(), "%" | "~" | "N")).collect::<Vec<_>>()
    };
    let d = row("D major");
    assert_eq!(signs("1 | ", &d), ["%", "~", "N"]);
    assert_eq!(signs("1 | 4 ", &d), ["~", "N"]);
    assert_eq!(signs("", &d), ["~", "N"]);
    let before = Row { before: parse_line("1").0.pop(), ..row("D major") };
    assert_eq!(signs("", &before), ["%", "~", "N"]);
}

proptest! {
    #[test]
    fn any_row_is_marked_and_completed(text in "[0-9A-Gbm.|~%N^<>: /#()a-zéø♭-]{0,30}", at in 0..34usize, which in 0..30usize) {
        let row = Row { key: theory::Key::all().nth(which).unwrap(), ..Row::default() };
        for mark in marks(&text, &row) {
            prop_assert!(text.get(mark.span.0..mark.span.1).is_some(), "{:?}", mark);
            if let Some(edit) = mark.instead {
                // What is put in its place has no more mistakes than what stood there; what comes after may show its own.
                let errors = |text: &str, end: usize| {
                    let there = |m: &Mark| m.severity == Severity::Error && m.span.0 < end && m.span.1 > edit.span.0;
                    marks(text, &row).iter().filter(|m| there(m)).count()
                };
                let (now, end) = (edit.apply(&text), edit.span.0 + edit.text.len());
                prop_assert!(errors(&now, end) <= errors(&text, edit.span.1), "{} => {}", text, now);
            }
        }
        let found = complete(&text, at, &row);
        prop_assert!(text.get(found.span.0..found.span.1).is_some());
        for choice in &found.all {
            prop_assert!(!choice.text.is_empty() && !choice.says.is_empty());
            prop_assert_eq!(parse_line(&choice.text).1, vec![], "{}", choice.text);
        }
    }
}
