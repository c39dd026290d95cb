//! What the second process plays.

/// Four keys one after the other, of which the last two stay down for ten minutes: a standard MIDI file of format 0 with
/// 500 ticks a quarter at 120 a minute, so that a tick is a millisecond (Standard MIDI Files 1.0).
pub fn held_keys() -> Vec<u8> {
    let long = [0xa4, 0xcf, 0x40];
    let events: [(&[u8], [u8; 3]); 8] = [
        (&[0], [0x90, 60, 90]),
        (&[50], [0x80, 60, 0]),
        (&[50], [0x90, 64, 90]),
        (&[50], [0x80, 64, 0]),
        (&[50], [0x90, 67, 90]),
        (&[50], [0x90, 72, 90]),
        (&long, [0x80, 67, 0]),
        (&[0], [0x80, 72, 0]),
    ];
    let mut track: Vec<u8> = events.iter().flat_map(|(delta, message)| [*delta, message].concat()).collect();
    track.extend([0, 0xff, 0x2f, 0]);
    let mut file = b"MThd\0\0\0\x06\0\0\0\x01\x01\xf4MTrk".to_vec();
    file.extend((track.len() as u32).to_be_bytes());
    file.extend(track);
    file
}
