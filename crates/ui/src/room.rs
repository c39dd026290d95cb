//! The scale room: scales, arpeggios and chords with fingers, crossings pointed out before they come, how even it was, and a
//! map of the key.

use crate::stage::Stage;
use crate::{Subject, fonts, room_choices, room_chords, room_even, room_map, room_scale, room_words};
use egui::{Label, Rect, RichText, Ui, UiBuilder, pos2, vec2};
use practice::RunEvenness;

/// Draws the room between the line of controls and the keyboard.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let room = stage.model.view.room;
    let rect = crate::practice::in_room::show(ui, rect, stage);
    let bottom = room_choices::show(ui, rect, stage, room);
    let card = Rect::from_min_max(pos2(rect.left(), bottom), rect.max);
    stage.card(ui, card);
    match room.subject {
        Subject::Scale | Subject::Arpeggio => run(ui, card, stage),
        Subject::Chords | Subject::SongChords => chords(ui, card, stage),
    }
}

/// How many slots of the exercise lie before the one in hand.
pub(crate) fn at(stage: &Stage<'_>) -> usize {
    let (Some(part), Some(slot)) = (stage.model.part, stage.model.session.slot) else { return 0 };
    part.bars.iter().take(slot.bar).map(|bar| bar.chords.len()).sum::<usize>() + slot.slot
}

/// So many of the newest passes tell how even it is.
const PASSES: usize = 8;

/// How even the last passes were; `None` before the first.
pub(crate) fn evenness(stage: &Stage<'_>) -> Option<RunEvenness> {
    let laps = &stage.model.session.laps;
    let newest = &laps[laps.len().saturating_sub(PASSES)..];
    let even = RunEvenness::of(stage.model.part?, newest);
    (!even.hands.is_empty()).then_some(even)
}

fn run(ui: &mut Ui, card: Rect, stage: &mut Stage<'_>) {
    let even = evenness(stage);
    let row = Rect::from_min_size(card.min, vec2(card.width(), stage.px(room_scale::HEIGHT)));
    let Some(system) = room_scale::show(ui, row, stage) else { return };
    let (mut top, mut air) = (row.bottom(), 0.0);
    if let Some(even) = &even {
        let strip = Rect::from_min_size(row.left_bottom(), vec2(row.width(), stage.px(room_even::HEIGHT)));
        room_even::strip(ui, strip, stage, even, &system);
        (top, air) = (strip.bottom(), stage.px(7.0));
    }
    // What is told of the passes needs more room than what comes next.
    let told = room_words::tells(stage, even.as_ref());
    let split = card.left() + if told { 0.63 } else { 0.52 } * card.width();
    let edge = vec2(stage.px(22.0), stage.px(8.0));
    let words = Rect::from_min_max(pos2(card.left() + edge.x, top + air), pos2(split, card.bottom()) - edge);
    match even.as_ref().filter(|_| told) {
        Some(even) => room_words::show_even(ui, words, stage, even),
        None => room_words::show(ui, words, stage),
    }
    let map = Rect::from_min_max(pos2(split + edge.x, top), card.max - edge);
    if let Some(beside) = room_map::show(ui, map, stage) {
        let text = RichText::new(SHORT_CAUTION).font(fonts::sans(stage.px(12.5))).color(stage.palette.quiet);
        ui.scope_builder(UiBuilder::new().max_rect(beside), |ui| ui.add(Label::new(text).wrap()));
    }
}

fn chords(ui: &mut Ui, card: Rect, stage: &mut Stage<'_>) {
    let split = card.right() - stage.px(330.0);
    let table = Rect::from_min_max(card.min, pos2(split, card.bottom()));
    room_chords::show(ui, table, stage);
    let map = Rect::from_min_max(pos2(split, card.top()), card.max);
    room_map::show(ui, map.shrink2(vec2(stage.px(16.0), stage.px(14.0))), stage);
}

/// The caution of every drill.
pub(crate) const CAUTION: &str = "Keep the wrist loose. Stop at pain, numbness or tingling, and rest a few minutes in every half hour; ask a \
     teacher, or a clinician where it hurts.";

/// The same where the room is short.
pub(crate) const SHORT_CAUTION: &str = "Rest a few minutes in every half hour; stop at pain or tingling.";
