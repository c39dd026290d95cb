//! Reading never panics, whatever the bytes; a song without mistakes can be played and planned.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let reading = song::read_bytes(bytes);
    if let Ok(song) = reading.sound() {
        let played = song.play();
        // A few bars show as much as twenty thousand.
        if played.bars.len() <= 64 {
            let part = voicing::plan(&played, played.key, &voicing::Settings::default())
                .expect("the song's own key is of its mode");
            assert_eq!(part.bars.len(), played.bars.len());
        }
    }
});
