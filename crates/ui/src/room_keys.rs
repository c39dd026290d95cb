//! The keys of the scale room, in one table: they come before the window's own while its page is shown.

use crate::{Command, Model, Motion, Page, Room, Subject, room_choice::Drill};
use egui::{Key, Modifiers};
use theory::{ArpeggioKind, Scale, ScaleKind};

/// What a key of the room changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum RoomAsk {
    Subject,
    Tonic,
    Kind,
    Form,
    Octaves,
    Motion,
    NotesABeat,
    Accents,
    Tempo,
    Drill,
}

/// A line of the table: a key to go on in the list of choices, and one to go back.
#[derive(Clone, Copy, Debug)]
pub struct RoomKey {
    /// What it changes.
    pub ask: RoomAsk,
    /// The key that goes on, and the one that goes back, each with or without Shift.
    pub keys: [(Key, Modifiers); 2],
    /// Both as they are written.
    pub written: &'static str,
    /// What it does.
    pub words: &'static str,
}

const fn letter(ask: RoomAsk, key: Key, written: &'static str, words: &'static str) -> RoomKey {
    RoomKey { ask, keys: [(key, Modifiers::NONE), (key, Modifiers::SHIFT)], written, words }
}

/// The table. Shift goes back.
pub const ROOM_KEYS: &[RoomKey] = &[
    letter(RoomAsk::Subject, Key::S, "S", "what is practised"),
    RoomKey {
        ask: RoomAsk::Tonic,
        keys: [(Key::Period, Modifiers::NONE), (Key::Comma, Modifiers::NONE)],
        written: ", .",
        words: "the tonic, along the circle of fifths",
    },
    letter(RoomAsk::Kind, Key::T, "T", "kind of scale or chord"),
    letter(RoomAsk::Form, Key::H, "H", "inversion; triads or sevenths"),
    letter(RoomAsk::Octaves, Key::U, "U", "octaves"),
    letter(RoomAsk::Motion, Key::M, "M", "hands together or contrary"),
    letter(RoomAsk::NotesABeat, Key::E, "E", "notes or chords a beat"),
    letter(RoomAsk::Accents, Key::A, "A", "accents"),
    letter(RoomAsk::Tempo, Key::F, "F", "the beat, faster"),
    letter(RoomAsk::Drill, Key::X, "X", "around the next crossing, or all again"),
];

/// The key as it is written.
pub(crate) fn written(ask: RoomAsk) -> &'static str {
    ROOM_KEYS.iter().find(|key| key.ask == ask).map_or("", |key| key.written)
}

/// What the key does.
pub(crate) fn words(ask: RoomAsk) -> &'static str {
    ROOM_KEYS.iter().find(|key| key.ask == ask).map_or("", |key| key.words)
}

/// The command that a key asks for while the room is shown, if it is one of the room's.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if model.view.page != Page::Room {
        return None;
    }
    let pressed = |at: usize, of: &RoomKey| {
        let (own, with) = of.keys[at];
        own == key && modifiers.matches_exact(with)
    };
    let found = |at: usize| ROOM_KEYS.iter().find(|of| pressed(at, of)).map(|of| (of.ask, at == 0));
    let (ask, on) = found(0).or_else(|| found(1))?;
    Some(Command::Room(changed(model.view.room, ask, on)))
}

/// The room after a key: the next choice, or the one before.
pub(crate) fn changed(room: Room, ask: RoomAsk, on: bool) -> Room {
    match ask {
        RoomAsk::Subject => room.with_subject(next(&Subject::ALL, room.subject, on)),
        RoomAsk::Tonic => room.with_scale(next_tonic(room.scale, on)),
        RoomAsk::Kind if room.subject == Subject::Arpeggio => {
            room.with_broken(next(&ArpeggioKind::ALL, room.broken, on))
        }
        RoomAsk::Kind => room.with_scale(room.scale.with_kind(next(&ScaleKind::ALL, room.scale.kind(), on))),
        RoomAsk::Form if room.subject == Subject::Arpeggio => {
            let forms: Vec<u8> = (0..room.broken.size() as u8).collect();
            Room { inversion: next(&forms, room.inversion, on), drill: None, ..room }
        }
        RoomAsk::Form if room.subject == Subject::Chords => Room { sevenths: !room.sevenths, ..room },
        RoomAsk::Form => room,
        RoomAsk::Octaves => {
            let all: Vec<u8> = (1..=Scale::MAX_OCTAVES).collect();
            Room { octaves: next(&all, room.octaves_asked(), on), drill: None, ..room }
        }
        RoomAsk::Motion => {
            Room { motion: next(&[Motion::Together, Motion::Contrary], room.motion, on), drill: None, ..room }
        }
        RoomAsk::NotesABeat => room.with_a_beat(next(&Room::NOTES_A_BEAT, room.a_beat(), on)),
        RoomAsk::Accents => Room { accents: next(&Room::ACCENTS, room.accents, on), ..room },
        RoomAsk::Tempo => room.with_tempo(i32::from(room.tempo) + if on { 4 } else { -4 }),
        RoomAsk::Drill => Room { drill: next_drill(room, on), ..room },
    }
}

/// The next of a list, round and round.
fn next<T: Copy + PartialEq>(all: &[T], now: T, on: bool) -> T {
    let at = all.iter().position(|one| *one == now).unwrap_or(0);
    let step = if on { 1 } else { all.len() - 1 };
    all[(at + step) % all.len()]
}

/// The next scale of the kind by fifths.
fn next_tonic(scale: Scale, on: bool) -> Scale {
    let all: Vec<Scale> = Scale::of_kind(scale.kind()).collect();
    next(&all, scale, on)
}

/// From the whole to the first crossing, to the next, and behind the last to the whole again.
fn next_drill(room: Room, on: bool) -> Option<Drill> {
    let all: Vec<Option<Drill>> = std::iter::once(None).chain(room.drills().into_iter().map(Some)).collect();
    next(&all, room.drill, on)
}
