//! Chords in the words of a MIDI file: whatever the bytes, what is read is a song without mistakes.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(file) = exchange::read_midi(bytes) else { return };
    if let Some(Ok(imported)) = exchange::midi_chart(&file, "fuzz") {
        assert!(song::read(&imported.song.to_text()).sound().is_ok());
    }
});
