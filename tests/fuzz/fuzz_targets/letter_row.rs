//! Rows of chords by letter: reading and turning them never panics, and doubts lie in the row.
#![no_main]

use libfuzzer_sys::fuzz_target;
use song::letters;
use theory::Key;

fuzz_target!(|row: &str| {
    let chords = letters::chords(row);
    let guesses = letters::propose_key(&chords);
    assert_eq!(guesses.len(), Key::all().count());
    let key = guesses[0].key;
    let turned = letters::to_numbers(row, key);
    for doubt in &turned.doubts {
        assert!(row.get(doubt.span.0..doubt.span.1).is_some());
    }
    letters::to_letters(&turned.text, key);
    letters::is_letter_row(row);
});
