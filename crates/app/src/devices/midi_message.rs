//! The few MIDI messages a practising player needs.

use sound::{Key, Velocity};

use super::inbox::InputKind;

/// The controller numbers of the three pedals (MIDI 1.0).
const SUSTAIN: u8 = 64;
const SOSTENUTO: u8 = 66;
const UNA_CORDA: u8 = 67;

/// Reads one complete channel message (without running status; drivers undo that). A note-on with velocity zero is a
/// note-off (MIDI 1.0). Whatever else there is means nothing here, and neither does anything malformed.
pub(super) fn parse(bytes: &[u8]) -> Option<InputKind> {
    let &[status, first, second] = bytes else { return None };
    if second > 127 {
        return None;
    }
    match status & 0xf0 {
        0x90 => {
            let key = Key::new(first)?;
            Some(
                Velocity::new(second)
                    .map_or(InputKind::KeyUp { key }, |velocity| InputKind::KeyDown { key, velocity }),
            )
        }
        0x80 => Some(InputKind::KeyUp { key: Key::new(first)? }),
        0xb0 if first == SUSTAIN => Some(InputKind::Sustain { value: second }),
        0xb0 if first == SOSTENUTO => Some(InputKind::Sostenuto { value: second }),
        0xb0 if first == UNA_CORDA => Some(InputKind::UnaCorda { value: second }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_notes_and_the_pedals_of_every_channel() {
        // Status bytes after the MIDI 1.0 specification, table of channel voice messages.
        let key = Key::new(60).unwrap();
        for channel in 0..16 {
            let velocity = Velocity::clamped(64);
            assert_eq!(parse(&[0x90 | channel, 60, 64]), Some(InputKind::KeyDown { key, velocity }));
            assert_eq!(parse(&[0x90 | channel, 60, 0]), Some(InputKind::KeyUp { key }));
            assert_eq!(parse(&[0x80 | channel, 60, 64]), Some(InputKind::KeyUp { key }));
            assert_eq!(parse(&[0xb0 | channel, 64, 127]), Some(InputKind::Sustain { value: 127 }));
            assert_eq!(parse(&[0xb0 | channel, 66, 64]), Some(InputKind::Sostenuto { value: 64 }));
            assert_eq!(parse(&[0xb0 | channel, 67, 1]), Some(InputKind::UnaCorda { value: 1 }));
        }
    }

    #[test]
    fn ignores_everything_else_whatever_the_bytes() {
        for other in
            [&[][..], &[0x90], &[0x90, 60], &[0xf8], &[0xfe], &[0xe0, 0, 64], &[0xb0, 1, 9], &[0xc0, 5]]
        {
            assert_eq!(parse(other), None, "{other:?}");
        }
        for broken in [[0x90, 200, 64], [0x90, 60, 200], [60, 60, 60], [0xf0, 0x7e, 0xf7]] {
            assert_eq!(parse(&broken), None, "{broken:?}");
        }
    }
}
