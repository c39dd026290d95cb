//! One bar of the chart.

use super::symbol::{self, SymbolStyle};
use super::{RowPlan, Went};
use crate::stage::Stage;
use crate::{Labels, fonts, plain, results};
use egui::{Painter, Pos2, Rect, Stroke, StrokeKind, Ui, pos2, vec2};
use song::{PlayedBar, Slot, SlotKind};

/// What is to be said about a bar besides what it holds.
pub(crate) struct BarNews {
    /// One is here.
    pub here: bool,
    /// A loop starts or ends here.
    pub loop_starts: bool,
    /// See above.
    pub loop_ends: bool,
    /// A pass plays something else here than others: which, and perhaps what, the longest way to say it first.
    pub differs: Option<Vec<String>>,
    /// How it went.
    pub went: Option<Went>,
}

/// Where a symbol of a bar came to stand, for ties.
#[derive(Clone, Copy)]
pub(crate) struct Drawn {
    /// The right end of the last symbol and its baseline.
    pub end: Pos2,
}

/// Draws a bar in its box; `before` is where the symbol before it ends, for a tie over the bar line.
pub(crate) fn draw(
    ui: &Ui,
    stage: &Stage<'_>,
    rect: Rect,
    bar: &PlayedBar,
    plan: &RowPlan,
    news: &BarNews,
    before: Option<Drawn>,
) -> Option<Drawn> {
    let painter = ui.painter();
    grounds(painter, stage, rect, news);
    let baseline = rect.top() + stage.px(plan.baseline);
    let inset = inset(stage, bar, news.loop_starts);
    if bar.own_meter {
        let x = rect.left() + inset - stage.px(20.0);
        meter(painter, stage, pos2(x, baseline), bar.meter, plan.size);
    }
    let mut last = before;
    let mut line: Option<(f32, f32)> = None;
    for slot in &bar.slots {
        let at = pos2(slot_x(rect, bar, slot, inset), baseline);
        let (drawn, from) = draw_slot(painter, stage, at, slot, plan, last);
        line = Some((line.map_or(from, |l| l.0), drawn.end.x));
        last = Some(drawn);
    }
    if let (Some((from, to)), true) = (line, bar.slots.iter().filter(|slot| !slot.continued).count() > 1) {
        shared_line(painter, stage, rect, plan, (from, to));
    }
    remarks(painter, stage, rect, news);
    differs(painter, stage, rect, news, last);
    score(painter, stage, rect, news, last);
    last
}

/// Room at the left for the bar line, a repeat sign and a meter.
fn inset(stage: &Stage<'_>, bar: &PlayedBar, loop_starts: bool) -> f32 {
    let meter = if bar.own_meter { 20.0 } else { 0.0 };
    let repeat = if loop_starts { 8.0 } else { 0.0 };
    stage.px(14.0 + meter + repeat)
}

/// Where the symbol of a slot starts.
fn slot_x(rect: Rect, bar: &PlayedBar, slot: &Slot, inset: f32) -> f32 {
    let share = (slot.start.to_f64() / bar.meter.length().to_f64()) as f32;
    rect.left() + inset + share * (rect.width() - inset - 0.4 * inset.min(20.0))
}

/// Where the symbol of a slot of a bar in a box starts.
pub(crate) fn place_of_slot(stage: &Stage<'_>, rect: Rect, bar: &PlayedBar, slot: &Slot) -> f32 {
    slot_x(rect, bar, slot, inset(stage, bar, false))
}

fn grounds(painter: &Painter, stage: &Stage<'_>, rect: Rect, news: &BarNews) {
    let palette = stage.palette;
    let inner = rect.shrink2(vec2(stage.px(3.0), 0.0));
    let corner = stage.px(6.0);
    if let Some(tint) = news.went.and_then(|went| went.tint(palette)) {
        painter.rect_filled(inner, corner, tint);
    }
    if news.here {
        let fill = news.went.and_then(|went| went.tint(palette)).unwrap_or(palette.here);
        painter.rect(inner, corner, fill, Stroke::new(stage.px(1.7), palette.ink), StrokeKind::Inside);
    }
}

fn draw_slot(
    painter: &Painter,
    stage: &Stage<'_>,
    at: Pos2,
    slot: &Slot,
    plan: &RowPlan,
    before: Option<Drawn>,
) -> (Drawn, f32) {
    let size = plan.size;
    if slot.continued {
        return (Drawn { end: before.map_or(at, |b| b.end) }, at.x);
    }
    dots(painter, stage, at, slot.dots, size);
    match &slot.kind {
        SlotKind::Chord { chord, push, diamond } => {
            let names = stage.labels() == Labels::Names;
            let read = stage.read(chord);
            let style = SymbolStyle { names, size, diamond: *diamond, palette: stage.palette };
            let (whole, root) = symbol::draw(painter, at, if names { &read } else { chord }, style);
            let mut end = whole.right();
            if *push {
                symbol::push(painter, at, size, stage.palette.ink);
            }
            if *diamond {
                end = end.max(symbol::diamond(painter, root, size, stage.palette.ink).right());
            }
            if stage.labels() == Labels::Both {
                let font = fonts::sans(stage.px(plan.names));
                let beside = if *diamond { root.center().x + 0.24 * size } else { at.x };
                let below = pos2(beside, at.y + stage.px(plan.names_drop));
                let text = read.pretty_name();
                end = end.max(plain::baseline(painter, below, &text, font, stage.palette.quiet).right());
            }
            (Drawn { end: pos2(end, at.y) }, at.x)
        }
        SlotKind::Tie { .. } => (tie(painter, stage, at, before, size), at.x),
        SlotKind::Rest => {
            let drawn = plain::baseline(painter, at, "N", fonts::italic(0.7 * size), stage.palette.quiet);
            (Drawn { end: pos2(drawn.right(), at.y) }, at.x)
        }
    }
}

/// One dot for each beat of an uneven bar's chord.
fn dots(painter: &Painter, stage: &Stage<'_>, at: Pos2, count: u8, size: f32) {
    for dot in 0..count {
        let x = at.x + 0.12 * size + f32::from(dot) * 0.30 * size;
        painter.circle_filled(pos2(x, at.y - 1.02 * size), 0.075 * size, stage.palette.ink);
    }
}

/// An arc from where the chord before ends into this slot.
fn tie(painter: &Painter, stage: &Stage<'_>, at: Pos2, before: Option<Drawn>, size: f32) -> Drawn {
    let y = at.y - 0.12 * size;
    let same_row = before.filter(|b| (b.end.y - at.y).abs() < 1.0 && b.end.x < at.x);
    let from = same_row.map_or(at.x - 0.4 * size, |b| (b.end.x + 0.25 * size).min(at.x));
    let to = at.x + 1.6 * size;
    let sag = (0.10 * (to - from)).clamp(0.22 * size, 0.42 * size);
    let curve = |thick: f32| {
        let c1 = pos2(from + 0.25 * (to - from), y + sag + thick);
        let c2 = pos2(to - 0.25 * (to - from), y + sag + thick);
        [pos2(from, y), c1, c2, pos2(to, y)]
    };
    for thick in [0.0, 0.035 * size, 0.07 * size] {
        let stroke = Stroke::new(0.045 * size, stage.palette.ink);
        let shape = egui::epaint::CubicBezierShape::from_points_stroke(
            curve(thick),
            false,
            egui::Color32::TRANSPARENT,
            stroke,
        );
        painter.add(shape);
    }
    Drawn { end: pos2(to, at.y) }
}

fn meter(painter: &Painter, stage: &Stage<'_>, at: Pos2, meter: song::Meter, size: f32) {
    let font = fonts::serif(0.46 * size);
    let ink = stage.palette.quiet;
    let x = at.x + stage.px(4.0);
    let middle = at.y - 0.36 * size;
    let upper = pos2(x, middle - 0.12 * size);
    let a = plain::baseline_centred(painter, upper, &meter.upper().to_string(), font.clone(), ink);
    let lower = pos2(x, middle + 0.46 * size);
    let b = plain::baseline_centred(painter, lower, &meter.lower().to_string(), font, ink);
    let wide = a.union(b).x_range();
    painter.hline(wide.min - 1.0..=wide.max + 1.0, middle, Stroke::new(stage.px(1.0), ink));
}

/// Numbers that share a bar stand on one line.
fn shared_line(painter: &Painter, stage: &Stage<'_>, rect: Rect, plan: &RowPlan, span: (f32, f32)) {
    let y = rect.top() + stage.px(plan.shared_line);
    let right = (span.1 + stage.px(4.0)).min(rect.right() - stage.px(8.0));
    painter.hline(span.0..=right, y, Stroke::new(stage.px(1.3), stage.palette.ink));
}

fn remarks(painter: &Painter, stage: &Stage<'_>, rect: Rect, news: &BarNews) {
    if news.loop_starts {
        repeat_sign(painter, stage, rect.left(), rect, 1.0);
    }
    if news.loop_ends {
        repeat_sign(painter, stage, rect.right(), rect, -1.0);
    }
}

/// A turned corner where a pass plays something else, and which pass it is and what, where there is room.
fn differs(painter: &Painter, stage: &Stage<'_>, rect: Rect, news: &BarNews, last: Option<Drawn>) {
    let Some(texts) = &news.differs else { return };
    let color = stage.palette.quiet;
    let corner = rect.right_top() + vec2(-stage.px(4.0), stage.px(1.0));
    let leg = stage.px(8.0);
    let fold = vec![corner - vec2(leg, 0.0), corner, corner + vec2(0.0, leg)];
    painter.add(egui::Shape::convex_polygon(fold, color, Stroke::NONE));
    let font = fonts::italic(stage.px(13.0));
    let at = corner + vec2(-stage.px(12.0), stage.px(12.0));
    let free = last.map_or(rect.left(), |last| last.end.x + stage.px(6.0));
    let fits = |text: &&String| at.x - plain::width(painter, text, &font) > free;
    if let Some(text) = texts.iter().find(fits) {
        plain::baseline_right(painter, at, text, font, color);
    }
}

/// `5 of 6`, behind the last symbol, where there is room.
fn score(painter: &Painter, stage: &Stage<'_>, rect: Rect, news: &BarNews, last: Option<Drawn>) {
    let Some(went) = news.went.filter(|went| !went.clean) else { return };
    let Some(last) = last else { return };
    let text = match stage.lap_of_page() {
        Some(lap) => results::how(&lap.score, (went.bar, went.bar)),
        None => format!("{} of {}", went.matched, went.expected),
    };
    let font = fonts::sans(stage.px(13.0));
    let right = rect.right() - stage.px(if news.loop_ends { 18.0 } else { 9.0 });
    if right - plain::width(painter, &text, &font) > last.end.x + stage.px(8.0) {
        plain::baseline_right(painter, pos2(right, last.end.y), &text, font, stage.palette.quiet);
    }
}

/// The repeat sign of printed music: a thick and a thin line, and two dots on the side of what is repeated.
fn repeat_sign(painter: &Painter, stage: &Stage<'_>, x: f32, rect: Rect, inward: f32) {
    let ink = stage.palette.ink;
    let y = rect.shrink(stage.px(5.0)).y_range();
    painter.vline(x, y, Stroke::new(stage.px(3.5), ink));
    painter.vline(x + inward * stage.px(4.5), y, Stroke::new(stage.px(1.2), ink));
    for step in [-1.0, 1.0] {
        let at = pos2(x + inward * stage.px(8.5), rect.center().y + step * stage.px(6.0));
        painter.circle_filled(at, stage.px(2.1), ink);
    }
}

/// Air behind a symbol, in parts of its size: before another one, so that `/5` and `5` are not read as one number, and
/// before the bar line.
const APART: [f32; 2] = [0.42, 0.22];

/// How wide a bar's symbols have to be against the room they have: above 1 they must shrink.
pub(crate) fn crowding(
    painter: &Painter,
    stage: &Stage<'_>,
    bar: &PlayedBar,
    bar_width: f32,
    size: f32,
) -> f32 {
    let room = bar_width - inset(stage, bar, false);
    let names = stage.labels() == Labels::Names;
    let length = bar.meter.length().to_f64();
    let one = |slot: &Slot| {
        let SlotKind::Chord { chord, diamond, .. } = &slot.kind else { return 0.0 };
        let style = SymbolStyle { names, size, diamond: *diamond, palette: stage.palette };
        let read = stage.read(chord);
        let mut wide = symbol::width(painter, if names { &read } else { chord }, style);
        if stage.labels() == Labels::Both {
            let font = fonts::sans(stage.px(14.0));
            wide = wide.max(plain::width(painter, &read.pretty_name(), &font));
        }
        let wide = wide + APART[usize::from(slot.start + slot.length >= bar.meter.length())] * size;
        wide / (room * (slot.length.to_f64() / length) as f32).max(1.0)
    };
    bar.slots.iter().map(one).fold(0.0, f32::max)
}
