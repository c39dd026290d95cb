//! The seven chords of a key, each in all its inversions.

use crate::stage::Stage;
use crate::{Room, exercise, fonts, plain, room};
use egui::{Label, Painter, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, UiBuilder, pos2, vec2};
use theory::{Chord, Hand};
use voicing::PartChord;

const PLACES: [&str; 4] = ["root position", "first inversion", "second inversion", "an octave up"];

/// Draws the chords as a table: a column for each chord, a row for each inversion.
pub(crate) fn show(ui: &mut Ui, card: Rect, stage: &mut Stage<'_>, room: Room) {
    let at = room::at(stage);
    let chords = exercise::chords(room.scale);
    let table = Rect::from_min_max(
        card.min + vec2(stage.px(150.0), stage.px(12.0)),
        card.max - vec2(stage.px(14.0), stage.px(40.0)),
    );
    let size = vec2(table.width() / 7.0, (table.height() - stage.px(56.0)) / 4.0);
    for (row, name) in PLACES.iter().enumerate() {
        let y = table.top() + stage.px(56.0) + (row as f32 + 0.5) * size.y + stage.px(5.0);
        let font = fonts::italic(stage.px(15.0));
        plain::baseline(ui.painter(), pos2(card.left() + stage.px(14.0), y), name, font, stage.palette.quiet);
    }
    let mut said = String::new();
    for (column, chord) in chords.iter().enumerate() {
        heading(ui.painter(), stage, pos2(table.left() + (column as f32 + 0.5) * size.x, table.top()), chord);
        for (row, place) in PLACES.iter().enumerate() {
            let min = pos2(
                table.left() + column as f32 * size.x,
                table.top() + stage.px(56.0) + row as f32 * size.y,
            );
            let cell = Rect::from_min_size(min, size).shrink(stage.px(3.0));
            let index = 4 * column + row;
            let Some(held) = stage.model.part.and_then(|p| p.bars.get(column)?.chords.get(row)) else {
                continue;
            };
            position(ui, stage, cell, held, index, at);
            if index == at {
                said = format!("{}, {place}", chord.pretty_name());
            }
        }
    }
    let response = ui.interact(card, ui.scope_id().with("chords"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, &said));
    caution(ui, card, stage);
}

fn caution(ui: &mut Ui, card: Rect, stage: &Stage<'_>) {
    let place = Rect::from_min_max(
        pos2(card.left() + stage.px(22.0), card.bottom() - stage.px(32.0)),
        card.max - vec2(stage.px(16.0), 0.0),
    );
    ui.scope_builder(UiBuilder::new().max_rect(place), |ui| {
        let text = RichText::new(room::CAUTION).font(fonts::sans(stage.px(13.5))).color(stage.palette.quiet);
        ui.add(Label::new(text).truncate());
    });
}

fn heading(painter: &Painter, stage: &Stage<'_>, top: egui::Pos2, chord: &Chord) {
    let number = chord.written.to_string().replace('b', "♭").replace('#', "♯");
    let at = pos2(top.x, top.y + stage.px(27.0));
    plain::baseline_centred(painter, at, &number, fonts::serif(stage.px(27.0)), stage.palette.ink);
    let at = pos2(top.x, top.y + stage.px(48.0));
    plain::baseline_centred(
        painter,
        at,
        &chord.pretty_name(),
        fonts::sans(stage.px(15.0)),
        stage.palette.quiet,
    );
}

/// One chord in one position: its notes, and both hands' fingers in their colours.
fn position(ui: &Ui, stage: &Stage<'_>, cell: Rect, held: &PartChord, index: usize, at: usize) {
    let (painter, palette) = (ui.painter(), stage.palette);
    if index == at {
        let stroke = Stroke::new(stage.px(1.7), palette.ink);
        painter.rect(cell, stage.px(6.0), palette.here, stroke, StrokeKind::Inside);
    } else {
        painter.rect_stroke(cell, stage.px(6.0), Stroke::new(1.0, palette.rule), StrokeKind::Inside);
    }
    let names: Vec<String> = held.right.notes.iter().map(|n| n.pitch.name.pretty()).collect();
    let centre = cell.center();
    let font = fonts::sans(stage.px(17.0));
    plain::baseline_centred(painter, centre - vec2(0.0, stage.px(3.0)), &names.join("  "), font, palette.ink);
    let size = stage.px(14.5);
    for (hand, x, from) in [(Hand::Right, -0.22, &held.right), (Hand::Left, 0.22, &held.left)] {
        let fingers: Vec<String> = from.notes.iter().map(|n| n.finger.number().to_string()).collect();
        let at = centre + vec2(x * cell.width(), stage.px(19.0));
        plain::baseline_centred(painter, at, &fingers.join(" "), fonts::bold(size), palette.hand(hand));
    }
}
