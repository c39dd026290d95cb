//! A scale or an arpeggio as a row of notes: the right hand's fingers above, the left hand's below, arcs where the hand
//! crosses.

use crate::key_marks::solid;
use crate::room_run::{Crossing, Note, Run};
use crate::stage::Stage;
use crate::{fonts, plain, room};
use egui::{Color32, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
use theory::Hand;

/// Units.
pub(crate) const HEIGHT: f32 = 206.0;
/// So many notes stand in one row; of more, the way that one is on.
const MOST: usize = 33;

/// What is seen of the run, and where.
pub(crate) struct System {
    /// All of it.
    pub run: Run,
    /// The places that are drawn.
    pub seen: std::ops::Range<usize>,
    left: f32,
    step: f32,
}

impl System {
    /// Where a note stands.
    pub fn x(&self, place: usize) -> f32 {
        self.left + (place - self.seen.start) as f32 * self.step
    }

    /// From note to note.
    pub fn step(&self) -> f32 {
        self.step
    }
}

/// Draws the row; `None` where there is no exercise.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) -> Option<System> {
    let run = Run::of(stage.model.part?);
    let at = room::at(stage).min(run.len().checked_sub(1)?);
    let turn = run.len() / 2;
    let seen = match (run.len() <= MOST, at <= turn) {
        (true, _) => 0..run.len(),
        (false, true) => 0..turn + 1,
        (false, false) => turn..run.len(),
    };
    let margin = stage.px(96.0);
    let step = ((rect.width() - margin - stage.px(30.0)) / seen.len() as f32).min(stage.px(92.0));
    let system = System { left: rect.left() + margin + 0.5 * step, step, run, seen };
    let row = Row { stage, system: &system, at, middle: rect.top() + stage.px(104.0) };
    row.draw(ui.painter(), rect);
    let told = row.spoken();
    let response = ui.interact(rect, ui.scope_id().with("run"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Image, true, &told));
    Some(system)
}

struct Row<'a> {
    stage: &'a Stage<'a>,
    system: &'a System,
    at: usize,
    middle: f32,
}

impl Row<'_> {
    fn draw(&self, painter: &Painter, rect: Rect) {
        let (stage, palette) = (self.stage, self.stage.palette);
        let size = vec2(self.system.step.min(stage.px(64.0)), stage.px(128.0));
        let frame = Rect::from_center_size(pos2(self.system.x(self.at), self.middle), size);
        let stroke = Stroke::new(stage.px(1.7), palette.ink);
        painter.rect(frame, stage.px(6.0), palette.here, stroke, StrokeKind::Inside);
        for (hand, dy) in [(Hand::Right, -44.0), (Hand::Left, 44.0)] {
            if self.system.run.has(hand) {
                let at = pos2(rect.left() + stage.px(22.0), self.middle + stage.px(dy + 6.0));
                let font = fonts::bold(stage.px(16.0));
                plain::baseline(painter, at, hand.name(), font, palette.hand(hand));
            }
        }
        if self.system.run.len() > MOST {
            let way = if self.system.seen.start == 0 { "way out" } else { "way back" };
            let at = pos2(rect.left() + stage.px(22.0), self.middle + stage.px(5.0));
            plain::baseline(painter, at, way, fonts::italic(stage.px(13.5)), palette.quiet);
        }
        let agree = self.system.run.names_agree();
        for place in self.system.seen.clone() {
            self.names(painter, place, agree);
            for hand in Hand::BOTH {
                if let Some(note) = self.system.run.note(hand, place) {
                    self.finger(painter, place, hand, note);
                }
            }
        }
        for hand in Hand::BOTH {
            for crossing in self.system.run.crossings(hand).iter().filter(|c| self.sees(c)) {
                self.arc(painter, hand, crossing);
            }
        }
    }

    /// Whether both ends of a crossing are drawn.
    fn sees(&self, crossing: &Crossing) -> bool {
        self.system.seen.contains(&crossing.from) && self.system.seen.contains(&(crossing.from + 1))
    }

    /// One name for both hands, or one for each.
    fn names(&self, painter: &Painter, place: usize, agree: bool) {
        let stage = self.stage;
        let names = Hand::BOTH.map(|hand| self.system.run.note(hand, place).map(|n| n.pitch.name.pretty()));
        let lines: Vec<(&String, f32)> = match &names {
            [Some(name), Some(_)] if agree => vec![(name, 0.0)],
            [right, left] => {
                let apart = if right.is_some() && left.is_some() { 12.0 } else { 0.0 };
                let one = right.as_ref().map(|name| (name, -apart));
                one.into_iter().chain(left.as_ref().map(|name| (name, apart))).collect()
            }
        };
        let most = if lines.len() == 1 { 24.0 } else { 19.0 };
        let size = stage.px(most).min(0.62 * self.system.step);
        for (name, dy) in lines {
            let at = pos2(self.system.x(place), self.middle + stage.px(dy) + 0.36 * size);
            plain::baseline_centred(painter, at, name, fonts::serif(size), stage.palette.ink);
        }
    }

    fn finger(&self, painter: &Painter, place: usize, hand: Hand, note: Note) {
        let (stage, palette) = (self.stage, self.stage.palette);
        let side = side(hand);
        let radius = stage.px(14.0).min(0.4 * self.system.step);
        let centre = pos2(self.system.x(place), self.middle + side * stage.px(44.0));
        let now = place == self.at;
        let fill = if now { palette.hand(hand) } else { palette.tint(hand) };
        solid(painter, centre, radius, hand, fill, Stroke::new(stage.px(1.2), palette.hand(hand)));
        let color = if now { palette.page } else { palette.hand(hand) };
        let at = centre + vec2(0.0, 0.36 * 1.2 * radius);
        plain::baseline_centred(painter, at, &note.finger.to_string(), fonts::bold(1.2 * radius), color);
        if note.accented {
            // Inside of the finger, where no arc passes; where two rows of names leave no room there, beside it.
            let (place, size) = if self.system.run.names_agree() {
                (vec2(0.0, -side * stage.px(20.5)), 13.0)
            } else {
                (vec2(radius + stage.px(5.5), side * 0.5 * radius), 11.5)
            };
            let at = centre + place + vec2(0.0, stage.px(4.5));
            plain::baseline_centred(painter, at, ">", fonts::bold(stage.px(size)), palette.ink);
        }
    }

    /// An arc from the note before a crossing to the one after it, outside of the fingers.
    fn arc(&self, painter: &Painter, hand: Hand, crossing: &Crossing) {
        let (stage, side) = (self.stage, side(hand));
        let y = self.middle + side * stage.px(66.0);
        let (from, to) = (self.system.x(crossing.from), self.system.x(crossing.from + 1));
        let middle: Pos2 = pos2(0.5 * (from + to), y + side * stage.px(17.0));
        let near = crossing.from >= self.at && crossing.from <= self.at + 2;
        let color = if near { stage.palette.hand(hand) } else { stage.palette.line };
        let stroke = Stroke::new(stage.px(if near { 3.0 } else { 1.6 }), color);
        let curve = egui::epaint::QuadraticBezierShape::from_points_stroke(
            [pos2(from, y), middle, pos2(to, y)],
            false,
            Color32::TRANSPARENT,
            stroke,
        );
        painter.add(curve);
        // Where notes stand close, only the next crossings are named, and not two side by side.
        let next = self.system.run.crossings(hand).iter().map(|c| c.from).find(|from| *from >= self.at);
        let clear = next.is_some_and(|next| crossing.from == next || crossing.from > next + 1);
        if (near && clear) || self.system.step > stage.px(46.0) {
            let at = pos2(middle.x, y + stage.px(if side < 0.0 { -15.0 } else { 26.0 }));
            let color = if near { stage.palette.hand(hand) } else { stage.palette.quiet };
            let font = if near { fonts::bold(stage.px(14.0)) } else { fonts::sans(stage.px(13.0)) };
            plain::baseline_centred(painter, at, &crossing.text(), font, color);
        }
    }

    /// The note in hand as it is read out.
    fn spoken(&self) -> String {
        let of = |hand: Hand| {
            let note = self.system.run.note(hand, self.at)?;
            let accent = if note.accented { ", accented" } else { "" };
            Some(format!("{} hand {} finger {}{accent}", hand.name(), note.pitch, note.finger))
        };
        let notes: Vec<String> = Hand::BOTH.into_iter().filter_map(of).collect();
        format!("Note {} of {}: {}", self.at + 1, self.system.run.len(), notes.join("; "))
    }
}

fn side(hand: Hand) -> f32 {
    if hand == Hand::Right { -1.0 } else { 1.0 }
}
