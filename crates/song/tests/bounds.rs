//! The limits of the song format, and bytes that are no song.

use song::limits::{BARS_PLAYED, DEPTH, FILE_BYTES};
use song::{read, read_bytes};

fn first(text: &str) -> String {
    read(text).diagnostics.first().map(|d| d.to_string()).unwrap_or_default()
}

#[test]
fn a_file_has_at_most_four_megabytes() {
    let title = |bytes: usize| {
        let frame = r#"{ "format": 1, "title": "", "key": "D major", "tempo": 72, "sections": [ { "name": "A", "bars": ["1"] } ] }"#;
        frame.replacen("\"\"", &format!("\"{}\"", "x".repeat(bytes - frame.len())), 1)
    };
    assert_eq!(first(&title(FILE_BYTES)), "");
    assert!(first(&title(FILE_BYTES + 1)).starts_with("1:1: the file has 4000001 bytes"));
}

#[test]
fn depth_is_told_and_never_followed() {
    let deep = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
    assert_eq!(first(&deep(DEPTH)), "1:1: a song is an object; write { \"format\": 1, \"title\": … }");
    let what =
        "1:33: lists and objects lie more than 32 deep in one another here; a song needs only a few levels";
    assert_eq!(first(&deep(DEPTH + 1)), what);
    assert_eq!(first(&"[".repeat(FILE_BYTES)), what);
    assert_eq!(first(&r#"{"a":"#.repeat(100_000)).split(": ").nth(1), what.split(": ").nth(1));
}

/// 99 passes at each of many places: counted before anything is unfolded.
#[test]
fn bars_as_played_are_counted_before_they_are_unfolded() {
    let song = |bars: usize, passes: u32, places: usize| {
        let line = vec!["1"; bars].join(" | ");
        let order = vec!["\"A\""; places].join(",");
        format!(
            r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
            "sections": [ {{ "name": "A", "passes": {passes}, "bars": ["{line}"] }} ], "order": [{order}] }}"#
        )
    };
    assert_eq!(first(&song(100, 2, 100)), "");
    assert_eq!(read(&song(100, 2, 100)).song.unwrap().play().bars.len() as u64, BARS_PLAYED);
    let over = first(&song(100, 2, 101));
    assert!(over.contains("the song has more than 20000 bars as played"), "{over}");
    let over = first(&song(2_000, 99, 200_000));
    assert!(over.contains("the song has more than 20000 bars as played"), "{over}");
    assert_eq!(read(&song(100, 99, 1_000)).song.unwrap().play().bars.len() as u64, BARS_PLAYED);
}

#[test]
fn bytes_that_are_no_text_are_a_mistake_with_a_place() {
    let told = read_bytes(b"{ \"format\": 1,\n  \"title\": \"\xff\" }").diagnostics;
    let wanted = "2:13: this byte is not UTF-8 text; save the file as UTF-8";
    assert!(told.iter().any(|d| d.to_string() == wanted), "{told:?}");
    let told = read_bytes(b"\xef\xbb\xbf{ \"format\": 2 }").diagnostics;
    assert_eq!(
        told[0].to_string(),
        "1:1: the file begins with a byte order mark; save it as UTF-8 without one"
    );
    // The mark is one character of the raw line.
    assert!(told.iter().any(|d| d.to_string().starts_with("1:14: this program reads format 1")), "{told:?}");
    assert_eq!(first(""), "1:1: the file is empty; write a song: { \"format\": 1, … }");
    assert_eq!(first("\u{a0}{}"), "1:1: this is not JSON: expected value");
}

#[test]
fn mistakes_without_number_are_told_up_to_a_thousand() {
    let fields: Vec<String> = (0..2_000).map(|n| format!("\"f{n}\": 0")).collect();
    let told = read(&format!("{{ {} }}", fields.join(", "))).diagnostics;
    assert_eq!(told.len(), song::limits::DIAGNOSTICS);
    assert!(
        told.last().unwrap().hint.as_ref().unwrap().ends_with("(and 1005 more mistakes that are not shown)")
    );
}

/// Many bars, each given way by each of many exceptions: only the last of them is played.
#[test]
fn many_exceptions_over_many_bars_are_read() {
    let bars = vec!["1"; 2_000].join(" | ");
    let except = vec![r#"{ "bar": "1-2000", "bars": "4" }"#; 100].join(", ");
    let text = format!(
        r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72,
        "sections": [ {{ "name": "A", "bars": ["{bars}"], "except": [ {except} ] }} ] }}"#
    );
    let reading = read(&text);
    let told: Vec<String> = reading.diagnostics.iter().map(|d| d.message.clone()).collect();
    assert_eq!(told, vec!["this exception never applies"; 99]);
    assert!(reading.song.unwrap().play().bars.iter().all(|bar| bar.text == "4"));
}
