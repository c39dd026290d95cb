//! Plain charts: whatever is pasted becomes a song without mistakes, and every doubt has its place.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let pasted = song::paste::read(text, None);
    let told = song::read(&pasted.song.to_text()).diagnostics;
    assert!(told.iter().all(|mistake| !mistake.is_error()), "{told:?}");
    for doubt in &pasted.doubts {
        assert!(text.get(doubt.span.0..doubt.span.1).is_some());
    }
});
