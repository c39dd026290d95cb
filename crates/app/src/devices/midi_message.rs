//! The few MIDI messages a practising player needs, out of the bytes that a port sends.

use sound::{Key, Velocity};

use super::inbox::InputKind;

/// The controller numbers of the three pedals (MIDI 1.0).
const SUSTAIN: u8 = 64;
const SOSTENUTO: u8 = 66;
const UNA_CORDA: u8 = 67;

/// One of the sixteen MIDI channels, 1 to 16 as players count them.
///
/// ```
/// use app::devices::MidiChannel;
/// assert_eq!(MidiChannel::new(16).map(MidiChannel::number), Some(16));
/// assert_eq!(MidiChannel::new(0), None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct MidiChannel(u8);

impl MidiChannel {
    /// A channel by its number; `None` outside 1 to 16.
    pub fn new(number: u8) -> Option<MidiChannel> {
        (1..=16).contains(&number).then_some(MidiChannel(number))
    }

    /// Its number, 1 to 16.
    pub const fn number(self) -> u8 {
        self.0
    }
}

/// A message that means something here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Message {
    pub(super) channel: MidiChannel,
    pub(super) kind: InputKind,
}

/// Reads the bytes of one port, however they are cut: a status byte may be left out where it is that of the message before
/// (running status), and clock, active sensing and reset may stand between any two bytes (MIDI 1.0). What means nothing here,
/// system exclusive included, is passed over, and so is whatever is malformed. It never allocates.
#[derive(Clone, Debug, Default)]
pub(super) struct Reader {
    /// Of the channel message under way or just over.
    status: Option<u8>,
    first: Option<u8>,
}

impl Reader {
    /// Takes one byte in; gives the message that it completes.
    pub(super) fn read(&mut self, byte: u8) -> Option<Message> {
        match byte {
            // System real time: stands inside other messages and ends none.
            0xf8.. => None,
            // System exclusive and system common end the running status.
            0xf0..=0xf7 => {
                (self.status, self.first) = (None, None);
                None
            }
            0x80..=0xef => {
                (self.status, self.first) = (Some(byte), None);
                None
            }
            data => self.data(data),
        }
    }

    fn data(&mut self, data: u8) -> Option<Message> {
        let status = self.status?;
        // A change of program and pressure on a channel have one data byte, all others two.
        if matches!(status & 0xf0, 0xc0 | 0xd0) {
            return None;
        }
        let Some(first) = self.first.take() else {
            self.first = Some(data);
            return None;
        };
        let channel = MidiChannel((status & 0x0f) + 1);
        kind(status & 0xf0, first, data).map(|kind| Message { channel, kind })
    }
}

/// A note-on with velocity zero is a note-off (MIDI 1.0).
fn kind(status: u8, first: u8, second: u8) -> Option<InputKind> {
    match status {
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

    fn all(bytes: &[u8]) -> Vec<Message> {
        let mut reader = Reader::default();
        bytes.iter().filter_map(|byte| reader.read(*byte)).collect()
    }

    fn kinds(bytes: &[u8]) -> Vec<InputKind> {
        all(bytes).into_iter().map(|message| message.kind).collect()
    }

    fn down(midi: u8, velocity: u8) -> InputKind {
        InputKind::KeyDown { key: Key::new(midi).unwrap(), velocity: Velocity::clamped(velocity) }
    }

    fn up(midi: u8) -> InputKind {
        InputKind::KeyUp { key: Key::new(midi).unwrap() }
    }

    #[test]
    fn reads_notes_and_the_pedals_of_every_channel() {
        // Status bytes after the MIDI 1.0 specification, table of channel voice messages.
        for channel in 0..16 {
            let (on, off, control) = (0x90 | channel, 0x80 | channel, 0xb0 | channel);
            let bytes = [
                [on, 60, 64],
                [on, 60, 0],
                [off, 60, 64],
                [control, 64, 127],
                [control, 66, 64],
                [control, 67, 1],
            ];
            let read = all(&bytes.concat());
            assert!(read.iter().all(|message| message.channel.number() == channel + 1), "{read:?}");
            let kinds: Vec<InputKind> = read.into_iter().map(|message| message.kind).collect();
            let pedals = [
                InputKind::Sustain { value: 127 },
                InputKind::Sostenuto { value: 64 },
                InputKind::UnaCorda { value: 1 },
            ];
            assert_eq!(kinds, [[down(60, 64), up(60), up(60)], pedals].concat());
        }
    }

    #[test]
    fn running_status_goes_on_until_another_status_or_system_message() {
        // MIDI 1.0: a status byte may be left out where it is the same as before; note-off by velocity 0 makes use of it.
        assert_eq!(
            kinds(&[0x90, 60, 64, 64, 64, 60, 0, 64, 0]),
            [down(60, 64), down(64, 64), up(60), up(64)]
        );
        assert_eq!(kinds(&[0x90, 60, 64, 0xf1, 5, 67, 64]), [down(60, 64)], "system common ends it");
        assert_eq!(kinds(&[60, 64, 0x90, 60, 64]), [down(60, 64)], "data before any status");
    }

    #[test]
    fn clock_and_active_sensing_stand_between_any_two_bytes() {
        assert_eq!(
            kinds(&[0xfe, 0x90, 0xf8, 60, 0xfe, 64, 0xf8, 62, 0xf8, 64]),
            [down(60, 64), down(62, 64)]
        );
    }

    #[test]
    fn system_exclusive_is_passed_over_however_long_and_however_cut() {
        let mut bytes = vec![0x90, 60, 64, 0xf0];
        bytes.extend([0x90 & 0x7f, 60, 64, 0xf8].repeat(500));
        assert_eq!(kinds(&[&bytes[..], &[0xf7, 0x90, 62, 64]].concat()), [down(60, 64), down(62, 64)]);
        assert_eq!(
            kinds(&[&bytes[..], &[0x90, 62, 64]].concat()).len(),
            2,
            "a status ends one that was cut off"
        );
    }

    #[test]
    fn what_means_nothing_here_is_passed_over() {
        let others = [0xe0, 0, 64, 0xb0, 1, 9, 0xc0, 5, 6, 0xd0, 9, 8, 0xa0, 60, 4, 0xf3, 1, 0xff];
        assert_eq!(kinds(&[&others[..], &[0x80, 60, 1]].concat()), [up(60)]);
    }

    #[test]
    fn no_bytes_make_it_stumble() {
        let mut state = 7u32;
        let mut reader = Reader::default();
        for _ in 0..200_000 {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            reader.read((state >> 24) as u8);
        }
        reader.read(0x90);
        reader.read(60);
        assert_eq!(reader.read(64).map(|message| message.kind), Some(down(60, 64)));
    }
}
