//! Reading a score, plain or compressed, never panics, whatever the bytes; what is read is a song without mistakes.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(imported) = exchange::musicxml::read(bytes, "fuzz") else { return };
    assert!(song::read(&imported.song.to_text()).sound().is_ok());
});
