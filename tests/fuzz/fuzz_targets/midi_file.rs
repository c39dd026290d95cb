//! Reading a standard MIDI file never panics, whatever the bytes; a take that is found is written and read the same.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(file) = exchange::read_midi(bytes) else { return };
    let expected = file.expected();
    assert!(expected.notes.len() <= file.notes().len());
    if let Some(take) = file.take() {
        let again = exchange::read_midi(&exchange::write_take(&take)).expect("what was written can be read");
        assert_eq!(again.take().map(|take| take.notes.len()), Some(take.notes.len()));
    }
});
