//! The pedal line under the bar in hand, as printed music has it: down, changes as hats in the line, up.

use crate::Sheet;
use crate::stage::Stage;
use egui::{Painter, Pos2, Shape, Stroke, pos2, vec2};
use song::PlayedBar;
use voicing::{PedalKind, PedalMark};

/// What of the line lies in a bar, in quarters from its start: where it is down, and its marks.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct PedalLine {
    /// From and to, in order.
    pub down: Vec<(f64, f64)>,
    /// Its marks.
    pub marks: Vec<(f64, PedalKind)>,
}

impl PedalLine {
    /// The line of a bar; `None` where no pedal is asked for.
    pub fn of_bar(sheet: &Sheet, bar: &PlayedBar) -> Option<PedalLine> {
        let (from, to) = (bar.start, bar.start + bar.meter.length());
        let first = sheet.pedal.partition_point(|mark| mark.at < from);
        let last = sheet.pedal.partition_point(|mark| mark.at < to);
        let was_down = first.checked_sub(1).is_some_and(|before| sheet.pedal[before].kind != PedalKind::Up);
        let length = bar.meter.length().to_f64();
        let mut line = PedalLine::default();
        let mut since = was_down.then_some(0.0);
        for PedalMark { kind, at, .. } in &sheet.pedal[first..last] {
            let at = (*at - from).to_f64();
            line.down.extend(since.map(|since| (since, at)));
            since = (*kind != PedalKind::Up).then_some(at);
            line.marks.push((at, *kind));
        }
        line.down.extend(since.map(|since| (since, length)));
        (!line.down.is_empty() || !line.marks.is_empty()).then_some(line)
    }

    /// Draws it; `x` turns quarters of the bar into places.
    pub fn draw(&self, painter: &Painter, stage: &Stage<'_>, y: f32, x: impl Fn(f64) -> f32) {
        let stroke = Stroke::new(stage.px(1.5), stage.palette.ink);
        for (from, to) in &self.down {
            painter.hline(x(*from)..=x(*to), y, stroke);
        }
        let high = stage.px(8.0);
        for (at, kind) in &self.marks {
            let foot = pos2(x(*at), y);
            match kind {
                PedalKind::Down | PedalKind::Up => {
                    painter.line_segment([foot, foot - vec2(0.0, high)], stroke);
                }
                PedalKind::Change => hat(painter, stage, foot, high, stroke),
            }
        }
    }

    /// As it is read out.
    pub fn spoken(&self, beat: f64) -> String {
        let one = |(at, kind): &(f64, PedalKind)| {
            let word = match kind {
                PedalKind::Down => "down",
                PedalKind::Change => "changes",
                PedalKind::Up => "up",
            };
            format!("{word} at beat {:.2}", at / beat + 1.0)
        };
        let marks: Vec<String> = self.marks.iter().map(one).collect();
        format!("pedal {}", if marks.is_empty() { "held".into() } else { marks.join(", ") })
    }
}

/// A hat that breaks the line.
fn hat(painter: &Painter, stage: &Stage<'_>, foot: Pos2, high: f32, stroke: Stroke) {
    let half = stage.px(5.0);
    let gap = Stroke::new(stage.px(3.0), stage.palette.page);
    painter.hline(foot.x - half..=foot.x + half, foot.y, gap);
    let points = vec![foot - vec2(half, 0.0), foot - vec2(0.0, high), foot + vec2(half, 0.0)];
    painter.add(Shape::line(points, stroke));
}
