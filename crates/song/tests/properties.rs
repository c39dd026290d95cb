//! What holds for every chart, figure and file.

use proptest::prelude::*;
use song::{Figure, parse_line, print_line, read, read_bytes, with_id};

fn degree() -> impl Strategy<Value = String> {
    (prop_oneof![4 => Just(""), 1 => Just("b")], 1..=7u8).prop_map(|(sign, n)| format!("{sign}{n}"))
}

fn chord() -> impl Strategy<Value = String> {
    let quality = prop_oneof![
        4 => Just(""), 1 => Just("M"), 1 => Just("m"), 1 => Just("-"), 1 => Just("dim"), 1 => Just("°"),
        1 => Just("aug"), 1 => Just("+"), 1 => Just("sus4"), 1 => Just("no3"),
    ];
    let extension = prop_oneof![4 => Just(""), 1 => Just("(7)"), 1 => Just("(add9)")];
    let under = prop_oneof![3 => Just(String::new()), 1 => degree().prop_map(|d| format!("/{d}"))];
    (degree(), quality, extension, under).prop_map(|(d, q, e, u)| format!("{d}{q}{e}{u}"))
}

fn item() -> impl Strategy<Value = String> {
    let marked = prop_oneof![
        3 => chord(), 1 => chord().prop_map(|c| format!("^{c}")), 1 => chord().prop_map(|c| format!("<{c}>")),
        1 => chord().prop_map(|c| format!("<^{c}>")), 1 => Just("N".to_string()), 1 => Just("~".to_string()),
    ];
    (marked, 0..4usize).prop_map(|(item, dots)| item + &".".repeat(dots))
}

fn bar() -> impl Strategy<Value = String> {
    let meter = prop_oneof![3 => Just(""), 1 => Just("3/4: "), 1 => Just("12/8:")];
    let content = prop_oneof![
        5 => prop::collection::vec(item(), 1..5).prop_map(|items| items.join(" ")), 1 => Just("%".to_string()),
    ];
    (meter, content).prop_map(|(meter, content)| format!("{meter}{content}"))
}

fn line() -> impl Strategy<Value = String> {
    prop::collection::vec(bar(), 1..6).prop_map(|bars| bars.join(" |"))
}

/// Bars without their places in the text.
fn without_places(line: &str) -> (String, usize) {
    let (bars, mistakes) = parse_line(line);
    let spans = regardless_of_spans(&format!("{bars:?}"));
    (spans, mistakes.len())
}

fn regardless_of_spans(debug: &str) -> String {
    let mut text = debug.to_string();
    while let Some(at) = text.find("span: (") {
        let end = text[at..].find(')').map_or(text.len(), |end| at + end + 1);
        text.replace_range(at..end, "");
    }
    text
}

proptest! {
    #[test]
    fn printing_what_was_parsed_parses_the_same(line in line()) {
        let (bars, mistakes) = parse_line(&line);
        prop_assert_eq!(mistakes, vec![]);
        let printed = print_line(&bars);
        prop_assert_eq!(without_places(&printed), without_places(&line));
        prop_assert_eq!(print_line(&parse_line(&printed).0), printed);
    }

    #[test]
    fn figures_print_as_they_parse(text in "( ?(x|-|\\.|[1-9]|t|v1|\\^t|\\[1v3t\\])){1,12}") {
        let figure = Figure::parse(&text).unwrap();
        let printed = figure.to_string();
        prop_assert_eq!(&Figure::parse(&printed).unwrap().beats, &figure.beats);
    }

    #[test]
    fn charts_and_figures_never_panic(text in "[0-9.|~%N^<>: /#b()a-z\\[\\]xé-]{0,40}") {
        let (bars, _) = parse_line(&text);
        print_line(&bars);
        let _ = Figure::parse(&text);
    }

    #[test]
    fn any_bytes_are_read(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let reading = read_bytes(&bytes);
        prop_assert!(reading.song.is_some() || !reading.diagnostics.is_empty());
    }

    #[test]
    fn mutated_songs_are_read_and_played(
        which in 0..5usize,
        cuts in prop::collection::vec((any::<prop::sample::Index>(), 0..12usize, "[\"{}\\[\\],:0-9a-z|.~%N^<>/\\\\#+ -]{0,6}"), 1..4),
    ) {
        let mut bytes = crate::demos::SONGS[which].as_bytes().to_vec();
        for (at, length, text) in cuts {
            let from = at.index(bytes.len());
            let to = (from + length).min(bytes.len());
            bytes.splice(from..to, text.into_bytes());
        }
        let reading = read_bytes(&bytes);
        for d in &reading.diagnostics {
            prop_assert!(d.span.0 <= d.span.1 && d.span.1 <= bytes.len() + 3, "{:?}", d);
        }
        if let Some(song) = reading.song {
            let played = song.play();
            prop_assert!(played.transposed(played.key).is_ok());
            song.page();
        }
    }

    #[test]
    fn saving_an_identity_keeps_all_else(which in 0..5usize, id in "[a-z0-9]{1,12}") {
        let text = &crate::demos::unsaved(which);
        let saved = with_id(text, &id).unwrap();
        let mut again = read(&saved).song.unwrap();
        prop_assert_eq!(again.id.take(), Some(id));
        prop_assert_eq!(again.play().bars.len(), read(text).song.unwrap().play().bars.len());
        prop_assert_eq!(saved.lines().filter(|l| !l.contains("\"id\"")).collect::<Vec<_>>(), text.lines().collect::<Vec<_>>());
    }
}
