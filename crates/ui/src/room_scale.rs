//! A scale as a row of notes: the right hand's fingers above, the left hand's below, arcs where the hand crosses.

use crate::key_marks::solid;
use crate::stage::Stage;
use crate::{Room, exercise, fonts, plain, room};
use egui::{
    Label, Painter, Pos2, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, UiBuilder, pos2, vec2,
};
use theory::{Crossing, CrossingKind, Finger, Hand, Pitch, ScaleFingers};

/// The row on its card.
struct Row<'a> {
    pitches: Vec<Pitch>,
    fingers: [Vec<Finger>; 2],
    crossings: [Vec<Crossing>; 2],
    stage: &'a Stage<'a>,
    at: usize,
    left: f32,
    step: f32,
    middle: f32,
}

/// Draws the scale.
pub(crate) fn show(ui: &mut Ui, card: Rect, stage: &mut Stage<'_>, room: Room) {
    let Some(row) = Row::new(stage, card, room) else { return };
    row.draw(ui.painter(), card);
    let told: Vec<String> = Hand::BOTH.iter().map(|hand| row.coming(*hand)).collect();
    let response = ui.interact(card, ui.scope_id().with("scale"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, told.join(" ")));
    let words = Rect::from_min_max(pos2(card.left(), row.middle + stage.px(118.0)), card.max);
    let words = words.shrink2(vec2(stage.px(22.0), 0.0));
    let palette = stage.palette;
    ui.scope_builder(UiBuilder::new().max_rect(words), |ui| {
        for (hand, text) in Hand::BOTH.iter().zip(&told) {
            let text = RichText::new(text).font(fonts::sans(stage.px(18.0))).color(palette.hand(*hand));
            ui.add(Label::new(text).wrap());
        }
        ui.add_space(stage.px(8.0));
        let caution = RichText::new(room::CAUTION).font(fonts::sans(stage.px(14.0))).color(palette.quiet);
        ui.add(Label::new(caution).wrap());
    });
}

impl<'a> Row<'a> {
    fn new(stage: &'a Stage<'a>, card: Rect, room: Room) -> Option<Row<'a>> {
        let octave = exercise::right_octave(room.scale, room.octaves);
        let pitches = exercise::pitches(room.scale, octave, room.octaves);
        let of = |hand| room.scale.fingers(hand, room.octaves);
        let (right, left) = (of(Hand::Right)?, of(Hand::Left)?);
        let margin = stage.px(96.0);
        let step = (card.width() - margin - stage.px(30.0)) / pitches.len() as f32;
        Some(Row {
            fingers: [exercise::fingers(&right), exercise::fingers(&left)],
            crossings: [in_order(&right, pitches.len()), in_order(&left, pitches.len())],
            at: room::at(stage).min(pitches.len() - 1),
            left: card.left() + margin + 0.5 * step,
            middle: card.top() + (0.36 * card.height()).max(stage.px(104.0)),
            step,
            stage,
            pitches,
        })
    }

    fn x(&self, index: usize) -> f32 {
        self.left + index as f32 * self.step
    }

    fn draw(&self, painter: &Painter, card: Rect) {
        let (stage, palette) = (self.stage, self.stage.palette);
        let frame = Rect::from_center_size(
            pos2(self.x(self.at), self.middle),
            vec2(self.step.min(stage.px(64.0)), stage.px(132.0)),
        );
        painter.rect(
            frame,
            stage.px(6.0),
            palette.here,
            Stroke::new(stage.px(1.7), palette.ink),
            StrokeKind::Inside,
        );
        for (hand, dy) in [(Hand::Right, -44.0), (Hand::Left, 44.0)] {
            let at = pos2(card.left() + stage.px(22.0), self.middle + stage.px(dy + 6.0));
            plain::baseline(painter, at, hand.name(), fonts::bold(stage.px(16.0)), palette.hand(hand));
        }
        for index in 0..self.pitches.len() {
            self.note(painter, index);
        }
        for (hand, crossings) in Hand::BOTH.into_iter().zip(&self.crossings) {
            for crossing in crossings {
                self.arc(painter, hand, crossing);
            }
        }
    }

    fn note(&self, painter: &Painter, index: usize) {
        let (stage, palette) = (self.stage, self.stage.palette);
        let x = self.x(index);
        let name = self.pitches[index].name.pretty();
        let size = stage.px(24.0).min(0.62 * self.step);
        let at = pos2(x, self.middle + 0.36 * size);
        plain::baseline_centred(painter, at, &name, fonts::serif(size), palette.ink);
        let radius = stage.px(14.0).min(0.4 * self.step);
        for (hand, fingers, dy) in
            [(Hand::Right, &self.fingers[0], -44.0), (Hand::Left, &self.fingers[1], 44.0)]
        {
            let centre = pos2(x, self.middle + stage.px(dy));
            let now = index == self.at;
            let fill = if now { palette.hand(hand) } else { palette.tint(hand) };
            solid(painter, centre, radius, hand, fill, Stroke::new(stage.px(1.2), palette.hand(hand)));
            let color = if now { palette.page } else { palette.hand(hand) };
            let at = centre + vec2(0.0, 0.36 * 1.2 * radius);
            let finger = fingers[index].number().to_string();
            plain::baseline_centred(painter, at, &finger, fonts::bold(1.2 * radius), color);
        }
    }

    /// An arc from the note before a crossing to the one after it, outside of the fingers.
    fn arc(&self, painter: &Painter, hand: Hand, crossing: &Crossing) {
        let stage = self.stage;
        let side = if hand == Hand::Right { -1.0 } else { 1.0 };
        let y = self.middle + side * stage.px(66.0);
        let (from, to) = (self.x(crossing.from), self.x(crossing.to));
        let middle: Pos2 = pos2(0.5 * (from + to), y + side * stage.px(17.0));
        let near = crossing.from >= self.at && crossing.from <= self.at + 2;
        let color = if near { stage.palette.hand(hand) } else { stage.palette.line };
        let stroke = Stroke::new(stage.px(if near { 3.0 } else { 1.6 }), color);
        let points = [pos2(from, y), middle, pos2(to, y)];
        painter.add(egui::epaint::QuadraticBezierShape::from_points_stroke(
            points,
            false,
            egui::Color32::TRANSPARENT,
            stroke,
        ));
        if near || self.step > stage.px(52.0) {
            let at = pos2(middle.x, if side < 0.0 { y - stage.px(16.0) } else { y + stage.px(28.0) });
            let word = if crossing.kind == CrossingKind::ThumbUnder { "under" } else { "over" };
            plain::baseline_centred(
                painter,
                at,
                word,
                fonts::italic(stage.px(14.0)),
                color_of_text(stage, hand, near),
            );
        }
    }

    /// The next crossing in words, before it comes.
    fn coming(&self, hand: Hand) -> String {
        let crossings = &self.crossings[if hand == Hand::Right { 0 } else { 1 }];
        let Some(next) = crossings.iter().find(|c| c.from >= self.at) else {
            return format!("{} hand: no more crossings.", crate::reasons::capital(hand.name()));
        };
        let hand = crate::reasons::capital(hand.name());
        let what = match next.kind {
            CrossingKind::ThumbUnder => format!("the thumb passes under finger {}", next.finger.number()),
            CrossingKind::FingerOver => format!("finger {} passes over the thumb", next.finger.number()),
        };
        let to = self.pitches[next.to].name.pretty();
        match next.from - self.at {
            0 => format!("{hand} hand: now {what}, on to {to}."),
            1 => format!("{hand} hand: after the next note {what}, on to {to}."),
            n => format!("{hand} hand: after {n} more notes {what}, on to {to}."),
        }
    }
}

fn color_of_text(stage: &Stage<'_>, hand: Hand, near: bool) -> egui::Color32 {
    if near { stage.palette.hand(hand) } else { stage.palette.quiet }
}

/// Crossings in playing order, with places counted in playing order: the way down goes on behind the way up.
fn in_order(fingers: &ScaleFingers, notes: usize) -> Vec<Crossing> {
    let last = notes - 1;
    let down = fingers.crossings_down.iter().map(|c| Crossing { from: last - c.from, to: last - c.to, ..*c });
    fingers.crossings_up.iter().copied().chain(down).collect()
}
