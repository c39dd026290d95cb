//! Reading an archive never panics, whatever the bytes behind its first sign.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let mut packed = b"PK\x03\x04".to_vec();
    packed.extend_from_slice(bytes);
    let _ = exchange::musicxml::read(&packed, "fuzz");
    let _ = exchange::musicxml::looks_like(bytes);
});
