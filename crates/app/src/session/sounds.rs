//! What a cue of the session is to the sound.

use practice::{Accent, CueKind};
use sound::{ClickKind, EventKind, Key, Port, Source, Velocity};
use theory::MidiKey;

/// The event for a cue; `None` for what has no sound, such as a controller that is no pedal.
pub fn event_of(cue: CueKind) -> Option<EventKind> {
    let part = Source::Part;
    match cue {
        CueKind::NoteOn { key, velocity, .. } => note_on(key, velocity, part),
        CueKind::NoteOff { key, .. } => note_off(key, part),
        CueKind::Click(accent) => Some(EventKind::Click(match accent {
            Accent::Bar => ClickKind::Accent,
            Accent::Beat => ClickKind::Beat,
            Accent::Subdivision => ClickKind::Subdivision,
        })),
        CueKind::TakeOn { key, velocity } => note_on(key, velocity, take_source()?),
        CueKind::TakeOff { key } => note_off(key, take_source()?),
        CueKind::TakePedal { controller, value } => pedal(controller, value, take_source()?),
    }
}

/// Whose keys a take that is heard again plays: its own, so that a key of the part beside it goes on sounding.
pub fn take_source() -> Option<Source> {
    Port::new(Port::COUNT as u8 - 1).map(Source::Own)
}

fn note_on(key: MidiKey, velocity: u8, source: Source) -> Option<EventKind> {
    let velocity = Velocity::clamped(velocity);
    Key::new(key.number()).map(|key| EventKind::NoteOn { key, velocity, source })
}

fn note_off(key: MidiKey, source: Source) -> Option<EventKind> {
    Key::new(key.number()).map(|key| EventKind::NoteOff { key, source })
}

fn pedal(controller: u8, value: u8, source: Source) -> Option<EventKind> {
    match controller {
        64 => Some(EventKind::Sustain { source, value }),
        66 => Some(EventKind::Sostenuto { source, value }),
        67 => Some(EventKind::UnaCorda { source, value }),
        _ => None,
    }
}
