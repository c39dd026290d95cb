//! Plain charts as people send them, each beside the song and the doubts that it gives. Every reading was read through
//! against what its chart says.

use expect_test::{Expect, expect};
use proptest::prelude::*;
use song::paste::{self, Pasted};

/// The song in short, and the doubts.
fn shown(pasted: &Pasted) -> String {
    let song = &pasted.song;
    let mut out = format!(
        "{} | {} | {} | {}\n",
        song.title,
        song.key,
        song.tempo,
        song.meter.as_deref().unwrap_or("-")
    );
    out += &song.note.iter().map(|note| format!("note {note:?}\n")).collect::<String>();
    for section in &song.sections {
        let passes = section.passes.map_or(String::new(), |n| format!(" x{n}"));
        let like = section.like.as_ref().map_or(String::new(), |like| format!(" like {like}"));
        out += &format!("{}{passes}{like}\n", section.name);
        out += &section.bars.iter().flatten().map(|row| format!("  {row}\n")).collect::<String>();
        out += &section.note.iter().map(|note| format!("  note {note:?}\n")).collect::<String>();
    }
    out += &song.order.iter().map(|order| format!("order {}\n", order.join(", "))).collect::<String>();
    out + &pasted.doubts.iter().map(|doubt| format!("? {doubt}\n")).collect::<String>()
}

fn check(text: &str, expected: Expect) {
    let pasted = paste::read(text, None);
    let told = song::read(&pasted.song.to_text()).diagnostics;
    assert!(told.iter().all(|d| !d.is_error()), "{told:#?}");
    expected.assert_eq(&shown(&pasted));
}

#[test]
fn chords_over_words_from_an_e_mail() {
    check(
        "Lanterns at the Lock\nKey: D   \n72 bpm\n\n[Verse 1]\nD        A/C#     Bm       G\nThe water keeps the light we gave\n\n\
         [Chorus] x2\nG  A  Bm  A\nLow, low lanterns\n\n[Verse 2]\nD A/C# Bm G\nAnother night\n\n[Chorus]\n",
        expect![[r#"
            Lanterns at the Lock | D major | 72 | -
            Verse 1
              1 | 5/7 | 6 | 4
              note "The water keeps the light we gave"
            Chorus x2
              4 | 5 | 6 | 5
              note "Low, low lanterns"
            Verse 2 x1 like Verse 1
              note "Another night"
            order Verse 1, Chorus, Verse 2, Chorus
            ? 1:1: this line was taken for the title
            ? 6:1: there are no bar lines in this row: each chord was taken for a bar
            ? 10:1: there are no bar lines in this row: each chord was taken for a bar
            ? 14:1: there are no bar lines in this row: each chord was taken for a bar
        "#]],
    );
}

#[test]
fn bar_lines_repeats_and_uneven_bars() {
    check(
        "Title: Heron\nTempo: 96\nTime: 4/4\nIntro: | Em | C . D . | %  | N.C. |\n\nVERSE\n|: Em | G D | C :| x3\n| Am | Am B7 Em | Em / D / | C / / D |\n",
        expect![[r#"
            Heron | E minor | 96 | 4/4
            Intro
              1 | 6 7 | % | N
            VERSE
              1 | 3 7 | 6 | 1 | 3 7 | 6 | 1 | 3 7 | 6
              4 | 4.. 5M(7). 1. | 1 7 | 6... 7.
            ? 4:1: no key is named: the chords suggest E minor (91 %)
            ? 8:8: 3 chords share 4 beats: the first was given the most
        "#]],
    );
}

#[test]
fn numbers_with_dots_and_a_repeat() {
    check(
        "Saturday\nKey of A\nmeter 3/4\n\nVerse (x2)\n1 | 5/7.. 6. | 4(maj7) | 1\nEnd\n1... 4... 1...\n",
        expect![[r#"
            Saturday | A major | 90 | 3/4
            Verse x2
              1 | 5/7.. 6. | 4(maj7) | 1
            End
              1 | 4 | 1
            ? 1:1: no tempo is named: 90 was put in
            ? 1:1: this line was taken for the title
            ? 8:1: there are no bar lines in this row: beats were counted
        "#]],
    );
}

#[test]
fn no_headings_no_key_no_bar_lines() {
    check(
        "Am G\nF E7\nsome words here\n\nC - G - F - G x2\n\nAm\n",
        expect![[r#"
        Untitled | A minor | 90 | -
        Part 1
          1 | 7
          6 | 5M(7)
          note "some words here"
        Part 2 x2
          3 | 7 | 6 | 7
        Part 3
          1
        ? 1:1: no title is named
        ? 1:1: no tempo is named: 90 was put in
        ? 1:1: no key is named: the chords suggest A minor (94 %)
        ? 1:1: there are no bar lines in this row: each chord was taken for a bar
        ? 1:1: there is no heading here: the section is called “Part 1”
        ? 2:1: there are no bar lines in this row: each chord was taken for a bar
        ? 5:1: there are no bar lines in this row: each chord was taken for a bar
        ? 5:1: there is no heading here: the section is called “Part 2”
        ? 7:1: there are no bar lines in this row: each chord was taken for a bar
        ? 7:1: there is no heading here: the section is called “Part 3”
    "#]],
    );
}

#[test]
fn what_cannot_be_read_is_kept_and_told() {
    check(
        "play it slowly\n\nVerse:\n| G | Gxq7 | D* (loud) | C6/9 |\nBridge\n1st time only: hum\nG G7alt (C) D\n\nOutro\nfade out\ncapo 2\n",
        expect![[r#"
            play it slowly | G major | 90 | -
            note "capo 2\nOutro\nfade out"
            Verse
              1 | ~ | 5 | 4(6)
              note "Gxq7 (loud)"
            Bridge
              1 | 1(7) | 4 | 5
              note "1st time only: hum"
            ? 1:1: no tempo is named: 90 was put in
            ? 1:1: this line was taken for the title
            ? 4:1: no key is named: the chords suggest G major (70 %); it may be E minor
            ? 4:1: this row may be words: it was read as chords
            ? 4:7: “Gxq7” is no chord: it is kept in the note
            ? 4:14: “D*” is read as a chord like any other
            ? 4:17: “(loud)” is no chord: it is kept in the note
            ? 4:26: number charts have no 9 beside the 6: read as C6
            ? 7:1: there are no bar lines in this row: each chord was taken for a bar
            ? 7:3: number charts have no alt: read as G7
            ? 7:9: “(C)” is read as a chord like any other
            ? 9:1: no chords stand under this heading: it is kept in the song's note
            ? 11:1: with a capo the song sounds higher than it is written: choose the key
        "#]],
    );
}

/// Xm is no chord, so that the line may be words; it may as well be chords with a slip of the pen.
#[test]
fn a_line_with_as_many_chords_as_words_is_kept_as_words_and_told() {
    let pasted = paste::read("Verse\nG | D\nC Xm D\nthe water keeps the light\n", None);
    assert_eq!(pasted.song.sections[0].note.as_deref(), Some("C Xm D\nthe water keeps the light"));
    let told: Vec<(usize, &str)> =
        pasted.doubts.iter().map(|doubt| (doubt.line, doubt.message.as_str())).collect();
    let lines: Vec<usize> =
        told.iter().filter(|(_, told)| told.contains("may be chords")).map(|told| told.0).collect();
    assert_eq!(lines, [3], "{told:?}");
}

#[test]
fn chords_in_brackets_between_words() {
    check(
        "Verse\n[G]slow [D/F#]water\n[Em]under the [C]bridge\n",
        expect![[r#"
        Untitled | G major | 90 | -
        Verse
          1 | 5/7
          6 | 4
          note "slow water\nunder the bridge"
        ? 1:1: no title is named
        ? 1:1: no tempo is named: 90 was put in
        ? 2:1: no key is named: the chords suggest G major (68 %); it may be E minor
        ? 2:1: there are no bar lines in this row: each chord was taken for a bar
        ? 3:1: there are no bar lines in this row: each chord was taken for a bar
    "#]],
    );
}

#[test]
fn nothing_is_a_song_as_well() {
    check(
        "",
        expect![[r#"
            Untitled | C major | 90 | -
            Part 1
              N
            ? 1:1: no key is named: C major was put in
            ? 1:1: no title is named
            ? 1:1: there are no chords in this text
            ? 1:1: no tempo is named: 90 was put in
        "#]],
    );
    check(
        "~ | % |\n",
        expect![[r#"
            Untitled | C major | 90 | -
            Part 1
              N | %
            ? 1:1: no title is named
            ? 1:1: no tempo is named: 90 was put in
            ? 1:1: nothing sounds here that could go on: a rest was put in
            ? 1:1: no key is named: C major was put in
            ? 1:1: there is no heading here: the section is called “Part 1”
        "#]],
    );
}

const SEEDS: [&str; 2] = [
    include_str!("../../../tests/fuzz/seeds/pasted_chart/mail.txt"),
    include_str!("../../../tests/fuzz/seeds/pasted_chart/numbers.txt"),
];

fn line() -> impl Strategy<Value = String> {
    let chord = prop::sample::select(vec![
        "G", "D/F#", "Em", "C", "Am7", "B7", "N.C.", "%", "~", "/", "|", "|:", ":|", "||", "x2", "(x3)", "1",
        "5/7", "6..", "4.", "^5", "<1>", "3/4:", "-", "A", "Go", "(C)", "x", "H7", "Gb5", "b7", "2(7)",
    ]);
    prop_oneof![
        4 => prop::collection::vec(chord, 1..12).prop_map(|words| words.join(" ")),
        1 => "[Verse \\[\\]12:xX()=#-]{0,14}",
        1 => prop::sample::select(vec!["Verse", "Chorus x2", "[Bridge]", "Verse 2:", "Key: Em", "tempo 80", "6/8", "Capo 3", "Intro: G | D"])
            .prop_map(String::from),
        1 => "[a-zé ,.'|/]{0,20}",
        1 => Just(String::new()),
    ]
}

proptest! {
    #[test]
    fn whatever_is_pasted_becomes_a_song_without_mistakes(lines in prop::collection::vec(line(), 0..14), crlf in any::<bool>()) {
        let text = lines.join(if crlf { "\r\n" } else { "\n" });
        let pasted = paste::read(&text, None);
        let written = pasted.song.to_text();
        let told = song::read(&written).diagnostics;
        prop_assert!(told.iter().all(|d| !d.is_error()), "{}\n{:#?}\n{}", text, told, written);
        for doubt in &pasted.doubts {
            prop_assert!(text.get(doubt.span.0..doubt.span.1).is_some());
        }
    }

    /// Words that are no chords are found again somewhere in the song.
    #[test]
    fn no_word_is_lost(lines in prop::collection::vec(line(), 0..10), words in prop::collection::vec("[k-z]{3,6}", 1..4), at in any::<prop::sample::Index>()) {
        let mut lines = lines;
        let marked: Vec<String> = words.iter().map(|word| format!("qu{word}")).collect();
        lines.insert(at.index(lines.len() + 1), marked.join(" "));
        let pasted = paste::read(&lines.join("\n"), None);
        let song = pasted.song.to_text();
        for word in &marked {
            prop_assert!(song.contains(word.as_str()), "{}\n{}\n{}", word, lines.join("\n"), song);
        }
    }

    /// A short run of what the fuzzing of pasted charts does at length, from the same seeds.
    #[test]
    fn mutated_charts_are_read(which in 0..SEEDS.len(), cuts in prop::collection::vec((any::<prop::sample::Index>(), 0..9usize, "[A-Gm#b/|:x~%N.() 0-9\\n-]{0,5}"), 1..5)) {
        let mut text: Vec<char> = SEEDS[which].chars().collect();
        for (at, length, put_in) in cuts {
            let from = at.index(text.len());
            let to = (from + length).min(text.len());
            text.splice(from..to, put_in.chars());
        }
        let text: String = text.into_iter().collect();
        let written = paste::read(&text, None).song.to_text();
        let told = song::read(&written).diagnostics;
        prop_assert!(told.iter().all(|d| !d.is_error()), "{}\n{:#?}\n{}", text, told, written);
    }

    #[test]
    fn any_text_is_read(text in "\\PC{0,60}", key in 0..30usize) {
        let key = theory::Key::all().nth(key);
        let pasted = paste::read(&text, key);
        prop_assert!(song::read(&pasted.song.to_text()).diagnostics.iter().all(|d| !d.is_error()));
    }
}

/// Headings again and again, with many repeats: the song stays within its limits.
#[test]
fn repeats_without_end_are_cut() {
    let rows = "1 | ".repeat(2_000);
    let text = format!("[Verse] x99\n| {rows}\n{}", "[Verse] x99\n".repeat(1_000));
    let pasted = paste::read(&text, None);
    assert!(song::read(&pasted.song.to_text()).diagnostics.iter().all(|d| !d.is_error()));
    assert!(pasted.doubts.iter().any(|doubt| doubt.message.contains("too long")));
    let likes: String = (0..1_500).map(|n| format!("[Verse {n}]\n")).collect();
    let pasted = paste::read(&format!("[Verse]\n| {rows}\n{likes}"), None);
    assert!(song::read(&pasted.song.to_text()).diagnostics.iter().all(|d| !d.is_error()));
    let long = "word ".repeat(10_000);
    let pasted = paste::read(&long, None);
    assert!(pasted.doubts.iter().any(|doubt| doubt.message.contains("too long for one song")));
}
