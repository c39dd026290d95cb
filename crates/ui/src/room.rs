//! The scale room: any scale and the chords of its key, with fingers, and crossings pointed out before they come.

use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, Room, Subject, fonts, room_chords, room_scale};
use egui::{Rect, Ui, pos2};
use theory::{Key, NoteName, Scale, ScaleKind};

/// Draws the room between the line of controls and the keyboard.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let room = stage.model.view.room;
    let bottom = choices(ui, rect, stage, room);
    let card = Rect::from_min_max(pos2(rect.left(), bottom), rect.max);
    stage.card(ui, card);
    match room.subject {
        Subject::Scale => room_scale::show(ui, card, stage, room),
        Subject::Chords => room_chords::show(ui, card, stage, room),
    }
}

/// How many slots of the exercise lie before the one in hand.
pub(crate) fn at(stage: &Stage<'_>) -> usize {
    let (Some(part), Some(slot)) = (stage.model.part, stage.model.session.slot) else { return 0 };
    part.bars.iter().take(slot.bar).map(|bar| bar.chords.len()).sum::<usize>() + slot.slot
}

/// The lines of choices; returns where they end.
fn choices(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, room: Room) -> f32 {
    let x = rect.left() + stage.px(6.0);
    let mut y = rect.top() + stage.px(20.0);
    let step = stage.px(34.0);
    let subject = [("the scale", Subject::Scale), ("the chords of the key", Subject::Chords)];
    let mut line: Vec<(String, bool, Room)> = subject
        .map(|(text, subject)| (text.to_owned(), room.subject == subject, Room { subject, ..room }))
        .to_vec();
    if room.subject == Subject::Scale {
        for (text, octaves) in [("one octave", 1), ("two octaves", 2)] {
            line.push((text.into(), room.octaves == octaves, Room { octaves, ..room }));
        }
    }
    words(ui, stage, pos2(x, y), "practise", &line, 2);
    y += step;
    words(ui, stage, pos2(x, y), "tonic", &tonics(room), usize::MAX);
    y += step;
    let kinds: Vec<(String, bool, Room)> = ScaleKind::ALL
        .iter()
        .filter_map(|kind| {
            let scale = scale_on(room.scale.key().tonic(), *kind)?;
            let name = if *kind == ScaleKind::NaturalMinor { "natural minor" } else { kind.name() };
            Some((name.to_owned(), room.scale.kind() == *kind, Room { scale, ..room }))
        })
        .collect();
    words(ui, stage, pos2(x, y), "kind", &kinds, usize::MAX);
    y + stage.px(20.0)
}

/// The tonics of the circle of fifths that have a key signature in this kind.
fn tonics(room: Room) -> Vec<(String, bool, Room)> {
    let kind = room.scale.kind();
    Key::all()
        .filter(|key| key.mode() == kind.mode())
        .filter_map(|key| {
            let scale = Scale::new(key, kind)?;
            let chosen = room.scale.key() == key;
            Some((key.tonic().pretty(), chosen, Room { scale, ..room }))
        })
        .collect()
}

/// The scale of a kind on a tonic, or on the same key where the tonic has no signature in that mode.
fn scale_on(tonic: NoteName, kind: ScaleKind) -> Option<Scale> {
    let named = Key::new(tonic, kind.mode());
    let same = || {
        Key::all()
            .filter(|key| key.mode() == kind.mode() && key.tonic().pitch_class() == tonic.pitch_class())
            .min_by_key(|key| key.signature().abs())
    };
    Scale::new(named.or_else(same)?, kind)
}

fn words(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    at: egui::Pos2,
    heading: &str,
    line: &[(String, bool, Room)],
    gap_after: usize,
) {
    let font = fonts::italic(stage.px(16.0));
    plain::baseline(ui.painter(), at, heading, font, stage.palette.quiet);
    let mut at = pos2(at.x + stage.px(98.0), at.y);
    for (index, (text, chosen, room)) in line.iter().enumerate() {
        if index == gap_after {
            at.x += stage.px(30.0);
        }
        let name = format!("{heading}: {text}");
        let word = Word::new(text, stage.px(17.0)).named(&name).chosen(*chosen);
        let right = stage.offering(ui, at, &word, Command::Room(*room)).rect.right();
        at.x = right + stage.px(20.0);
    }
}

/// The caution of every drill.
pub(crate) const CAUTION: &str = "Keep the wrist loose. Stop at pain, numbness or tingling, and rest a few minutes in every half hour; ask a \
     teacher, or a clinician where it hurts.";
