//! Rows of the chart: reading, marking, completing and printing never panic, and what is printed reads the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use song::typing::{Row, complete, marks};

fuzz_target!(|text: &str| {
    let (bars, mistakes) = song::parse_line(text);
    for mistake in &mistakes {
        assert!(mistake.span.0 <= mistake.span.1 && mistake.span.1 <= text.len());
    }
    let row = Row::default();
    for mark in marks(text, &row) {
        assert!(text.get(mark.span.0..mark.span.1).is_some());
    }
    complete(text, text.len() / 2, &row);
    if mistakes.is_empty() {
        let printed = song::print_line(&bars);
        assert_eq!(song::print_line(&song::parse_line(&printed).0), printed);
    }
});
