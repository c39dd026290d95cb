//! Whatever the bytes, they are read or refused.

use exchange::{read_midi, write_take};
use practice::{ChartTime, Hands, Offset, PlayedNote, ScoreOptions, Speed, Take, score};
use proptest::prelude::*;
use theory::MidiKey;

const PART: &[u8] = include_bytes!("../../../tests/reference/midi/s52_ref.mid");

fn ours() -> Vec<u8> {
    let note = |n: u8| PlayedNote {
        at: ChartTime::from_ms(f64::from(n) * 250.0 - 300.0),
        length: Some(ChartTime::from_ms(100.0)),
        key: MidiKey::new(60 + n).expect("a key"),
        velocity: 70,
    };
    write_take(&Take::new((0..12).map(note).collect(), Speed::FULL, Hands::Both, None))
}

/// Reads, and does with the result all that a program would.
fn use_file(bytes: &[u8]) {
    let Ok(file) = read_midi(bytes) else { return };
    let _ = file.take();
    let expected = file.expected();
    let played = file.played(Speed::MIN);
    if expected.notes.len() < 300 {
        score(&expected, &played, &ScoreOptions { offset: Offset::Auto, ..ScoreOptions::default() });
    }
}

fn mutated(file: &[u8], changes: &[(prop::sample::Index, u8)]) -> Vec<u8> {
    let mut bytes = file.to_vec();
    changes.iter().for_each(|(at, byte)| *at.get_mut(&mut bytes) = *byte);
    bytes
}

#[test]
fn a_header_with_minus_128_frames_a_second_is_refused() {
    let bytes = b"MThd\0\0\0\x06\0\x01\0\x01\x80\x28MTrk\0\0\0\x04\0\xFF\x2F\0";
    assert!(read_midi(bytes).is_err());
    // 24 frames a second, of 40 ticks each.
    let mut film = bytes.to_vec();
    film[12] = 0xE8;
    assert!(read_midi(&film).is_ok());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_change_of_bytes_brings_the_reader_down(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
    ) {
        for file in [PART, &ours()] {
            let bytes = mutated(file, &changes);
            use_file(&bytes);
            use_file(&bytes[..cut.index(bytes.len())]);
        }
    }

    #[test]
    fn no_bytes_at_all_bring_the_reader_down(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        use_file(&bytes);
        let mut headed = b"MThd\0\0\0\x06\0\x01\0\x01\x01\xE0MTrk\0\0\0\xC8".to_vec();
        headed.extend(&bytes);
        use_file(&headed);
    }
}
