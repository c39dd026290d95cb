//! The bar in hand: beats are columns, hands are rows, a strike is a lozenge as long as it sounds.

use crate::layout::PEDAL_LINE;
use crate::pedal_line::PedalLine;
use crate::stage::{Stage, degree_of};
use crate::strikes::{self, Strike};
use crate::{Labels, fonts, plain};
use egui::{Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
use practice::Mark;
use song::PlayedBar;
use theory::Hand;
use voicing::Event;

/// Units.
const MARGIN: f32 = 128.0;
const HEADER: f32 = 36.0;

/// The time axis of the bar.
struct Axis {
    left: f32,
    per_quarter: f32,
    length: f64,
}

impl Axis {
    fn x(&self, quarters: f64) -> f32 {
        self.left + self.per_quarter * quarters.clamp(0.0, self.length) as f32
    }
}

/// Draws the bar one is in.
pub(crate) fn show(ui: &Ui, rect: Rect, stage: &Stage<'_>) {
    stage.card(ui, rect);
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else { return };
    let index = stage.model.session.position.bar.min(part.bars.len().saturating_sub(1));
    let Some(bar) = part.bars.get(index).map(|b| &b.played) else { return };
    let length = bar.meter.length().to_f64();
    let left = rect.left() + stage.px(MARGIN);
    let axis = Axis { left, per_quarter: (rect.right() - stage.px(16.0) - left) / length as f32, length };
    beat_ground(ui.painter(), rect, stage, bar, &axis);
    let pedal = PedalLine::of_bar(sheet, bar).filter(|_| stage.model.session.settings.pedal);
    let foot = stage.px(if pedal.is_some() { 8.0 + PEDAL_LINE } else { 8.0 });
    let rows =
        Rect::from_min_max(pos2(rect.left(), rect.top() + stage.px(HEADER)), rect.max - vec2(0.0, foot));
    let mut told = Vec::new();
    let mut all = Vec::new();
    for (at, hand) in Hand::BOTH.into_iter().enumerate() {
        let height = rows.height() / 2.0;
        let top = rows.top() + at as f32 * height;
        let row = Rect::from_min_max(pos2(rows.left(), top), pos2(rows.right(), top + height));
        let strikes = strikes::in_bar(part, sheet.longest, index, hand);
        hand_row(ui.painter(), row.shrink2(vec2(0.0, stage.px(3.0))), stage, hand, &strikes, &axis);
        told.push(spoken(stage, hand, &strikes, bar));
        all.extend(strikes);
    }
    header(ui.painter(), rect, stage, part, index, &axis, &legend(stage, &all));
    if let Some(pedal) = pedal {
        let y = rect.bottom() - stage.px(9.0);
        let at = pos2(rect.left() + stage.px(18.0), y + stage.px(1.0));
        plain::baseline(ui.painter(), at, "pedal", fonts::sans(stage.px(14.0)), stage.palette.quiet);
        pedal.draw(ui.painter(), stage, y, |quarters| axis.x(quarters));
        told.push(pedal.spoken(bar.beat.length.to_f64()));
    }
    playhead(ui.painter(), rect, stage, bar, &axis);
    let response = ui.interact(rect, ui.scope_id().with("bar in hand"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, told.join("; ")));
}

/// A quiet ground under the beat one is at, and thin lines between beats.
fn beat_ground(painter: &Painter, rect: Rect, stage: &Stage<'_>, bar: &PlayedBar, axis: &Axis) {
    let beat = bar.beat.length.to_f64();
    let y = (rect.top() + stage.px(4.0), rect.bottom() - stage.px(6.0));
    let at = f64::from(stage.model.session.position.beat.max(1) - 1);
    if stage.model.session.counting_in.is_none() {
        let (from, to) = (axis.x(at * beat), axis.x((at + 1.0) * beat));
        let column = Rect::from_min_max(pos2(from, y.0), pos2(to, y.1)).expand2(vec2(-stage.px(1.0), 0.0));
        painter.rect_filled(column, stage.px(5.0), stage.palette.here);
    }
    for beat_index in 0..=bar.beat.count {
        let x = axis.x(f64::from(beat_index) * beat);
        let line = Stroke::new(stage.px(1.0), stage.palette.rule);
        painter.vline(x, y.0 + stage.px(HEADER - 4.0)..=y.1, line);
    }
}

fn header(
    painter: &Painter,
    rect: Rect,
    stage: &Stage<'_>,
    part: &voicing::Part,
    index: usize,
    axis: &Axis,
    legend: &str,
) {
    let palette = stage.palette;
    let bar = &part.bars[index].played;
    let y = rect.top() + stage.px(25.0);
    let font = fonts::italic(stage.px(15.0));
    let title = match stage.model.session.counting_in {
        Some(_) => "counting in".into(),
        None => format!("{}, bar {}", part.sections[bar.section], bar.bar_in_section),
    };
    let room = stage.px(MARGIN - 24.0);
    let title = if plain::width(painter, &title, &font) <= room {
        title
    } else {
        format!("bar {}", bar.bar_in_section)
    };
    plain::baseline(painter, pos2(rect.left() + stage.px(18.0), y), &title, font, palette.quiet);
    count(painter, y, stage, bar, axis);
    let coming = coming_count(part, index).unwrap_or_default();
    let both = format!("{coming}     {legend}");
    let at = pos2(rect.right() - stage.px(20.0), y);
    let font = fonts::sans(stage.px(14.0));
    let last_sign = axis.x(axis.length - 0.5 * bar.beat.length.to_f64()) + stage.px(28.0);
    let fits = |text: &&str| at.x - plain::width(painter, text, &font) > last_sign;
    if let Some(text) = [both.trim(), legend, &coming].into_iter().filter(|t| !t.is_empty()).find(fits) {
        plain::baseline_right(painter, at, text, font.clone(), palette.quiet);
    }
}

/// `1 & 2 &`, the beat one is at in bold; a dotted beat divides in three.
fn count(painter: &Painter, y: f32, stage: &Stage<'_>, bar: &PlayedBar, axis: &Axis) {
    let palette = stage.palette;
    let session = stage.model.session;
    let now = session.counting_in.map_or(session.position.beat, |c| c.beat);
    let beat = bar.beat.length.to_f64();
    let thirds = bar.beat.length.fraction().0 % 3 == 0;
    for index in 0..bar.beat.count {
        let start = f64::from(index) * beat;
        let here = index + 1 == now;
        let font = if here { fonts::bold(stage.px(20.0)) } else { fonts::sans(stage.px(17.0)) };
        let at = pos2(axis.x(start) + stage.px(8.0), y);
        plain::baseline(painter, at, &(index + 1).to_string(), font, palette.ink);
        let parts: &[f64] = if thirds { &[1.0 / 3.0, 2.0 / 3.0] } else { &[0.5] };
        let sign = if thirds { "·" } else { "&" };
        if axis.per_quarter * beat as f32 > stage.px(60.0) {
            for part in parts {
                let at = pos2(axis.x(start + part * beat) + stage.px(8.0), y);
                stage_small(painter, at, sign, stage);
            }
        }
    }
}

fn stage_small(painter: &Painter, at: Pos2, text: &str, stage: &Stage<'_>) {
    plain::baseline(painter, at, text, fonts::sans(stage.px(14.0)), stage.palette.quiet);
}

/// Where the next bar counts otherwise, its count stands behind this one's.
fn coming_count(part: &voicing::Part, index: usize) -> Option<String> {
    let next = &part.bars.get(index + 1)?.played;
    let count: Vec<String> = (1..=next.beat.count).map(|beat| beat.to_string()).collect();
    (next.meter != part.bars[index].played.meter).then(|| format!("next | {}", count.join(" ")))
}

fn hand_row(
    painter: &Painter,
    row: Rect,
    stage: &Stage<'_>,
    hand: Hand,
    strikes: &[Strike<'_>],
    axis: &Axis,
) {
    let palette = stage.palette;
    let own = stage.model.session.settings.hands.has(hand);
    let x = row.left() + stage.px(18.0);
    let name = fonts::bold(stage.px(16.0));
    let y = row.center().y + stage.px(if own { 6.0 } else { -1.0 });
    plain::baseline(painter, pos2(x, y), hand.name(), name, palette.hand(hand));
    if !own {
        let font = fonts::sans(stage.px(13.0));
        plain::baseline(painter, pos2(x, y + stage.px(18.0)), "by the program", font, palette.quiet);
    }
    if strikes.is_empty() {
        stage_small(painter, pos2(axis.left + stage.px(10.0), y), "rests", stage);
    }
    for (index, strike) in strikes.iter().enumerate() {
        lozenge(painter, row, stage, strike, axis);
        if strike.held_to > strike.end + 1e-6 {
            held_line(painter, row, stage, strike, index, axis);
        }
    }
}

fn lozenge(painter: &Painter, row: Rect, stage: &Stage<'_>, strike: &Strike<'_>, axis: &Axis) {
    let palette = stage.palette;
    let gap = stage.px(2.5);
    let x = (axis.x(strike.start) + gap, (axis.x(strike.end) - gap).max(axis.x(strike.start) + 3.0 * gap));
    let rect = Rect::from_min_max(pos2(x.0, row.top()), pos2(x.1, row.bottom()));
    let round = match strike.hand {
        Hand::Right => 0.5 * rect.height().min(rect.width()),
        Hand::Left => stage.px(2.5),
    };
    let own = stage.model.session.settings.hands.has(strike.hand);
    let fill = if own { palette.tint(strike.hand) } else { palette.page };
    let stroke = Stroke::new(stage.px(1.3), palette.hand(strike.hand));
    painter.rect(rect, round, fill, stroke, StrokeKind::Inside);
    let inset = match strike.hand {
        Hand::Right => stage.px(14.0).min(0.2 * rect.width()),
        Hand::Left => stage.px(9.0).min(0.15 * rect.width()),
    };
    let inner = rect.shrink2(vec2(inset.max(stage.px(4.0)), 0.0));
    if strike.start < 0.0 {
        let at = pos2(inner.left(), rect.center().y + stage.px(5.0));
        let text = plain::elided(painter, "held", &fonts::italic(stage.px(14.0)), inner.width());
        plain::baseline(painter, at, &text, fonts::italic(stage.px(14.0)), palette.hand(strike.hand));
        return;
    }
    let sign = sign(strike.mark(&stage.model.session.marks));
    notes(painter, inner, stage, strike, sign.is_some());
    if let Some(sign) = sign {
        mark(painter, rect, stage, sign);
    }
}

/// Keys that stay down under the next strikes of the hand.
fn held_line(painter: &Painter, row: Rect, stage: &Stage<'_>, strike: &Strike<'_>, lane: usize, axis: &Axis) {
    let y = row.bottom() + stage.px(if lane.is_multiple_of(2) { 2.0 } else { 4.5 });
    let stroke = Stroke::new(stage.px(1.1), stage.palette.hand(strike.hand));
    painter.hline(axis.x(strike.end)..=axis.x(strike.held_to) - stage.px(4.0), y, stroke);
}

/// How much of each note is written, by the room there is.
#[derive(Clone, Copy, PartialEq)]
enum Detail {
    All,
    NoDegree,
    Letters,
    Fingers,
}

/// Room for the sign of what became of a strike, in units.
const SIGN: f32 = 16.0;

fn notes(painter: &Painter, inner: Rect, stage: &Stage<'_>, strike: &Strike<'_>, signed: bool) {
    for detail in [Detail::All, Detail::NoDegree, Detail::Letters, Detail::Fingers] {
        let columns: Vec<Column> =
            strike.notes.iter().map(|(_, event)| Column::new(painter, stage, event, detail)).collect();
        let gap = stage.px(if detail == Detail::Fingers { 4.0 } else { 14.0 });
        let wide: f32 = columns.iter().map(|c| c.width + gap).sum::<f32>() - gap;
        // The sign stands at the end of the names; fingers alone stand under it.
        let room = inner.width() + stage.px(if signed { 6.0 - SIGN } else { 6.0 });
        if wide <= room || detail == Detail::Fingers {
            let mut x = inner.left();
            if strike.notes.iter().any(|(_, e)| e.rolled) && strike.notes.len() > 1 {
                rolled_sign(painter, pos2(x - stage.px(3.0), inner.center().y), stage);
                x += stage.px(8.0);
            }
            for column in &columns {
                if x + column.width <= inner.right() + stage.px(8.0) {
                    column.draw(painter, pos2(x, inner.center().y), stage, strike.hand, signed);
                }
                x += column.width + gap;
            }
            return;
        }
    }
}

/// One note of a strike: its name or degree, under it the finger.
struct Column {
    name: Option<String>,
    degree: Option<String>,
    finger: String,
    width: f32,
}

impl Column {
    fn new(painter: &Painter, stage: &Stage<'_>, event: &Event, detail: Detail) -> Column {
        let labels = stage.model.view.labels;
        let key = stage.model.part.map(|p| p.bars.get(event.bar).map_or(p.key, |b| b.played.key));
        let degree = key.and_then(|key| degree_of(key, event.pitch.name)).map(|d| d.pretty());
        let name = match detail {
            Detail::All | Detail::NoDegree => Some(event.pitch.pretty()),
            Detail::Letters => Some(event.pitch.name.pretty()),
            Detail::Fingers => None,
        };
        let name = name.filter(|_| labels != Labels::Numbers);
        let wanted = labels == Labels::Numbers && detail != Detail::Fingers
            || labels == Labels::Both && detail == Detail::All;
        let degree = degree.filter(|_| wanted);
        let finger = event.finger_text();
        let mut column = Column { name, degree, finger, width: 0.0 };
        column.width = column.measure(painter, stage);
        column
    }

    fn measure(&self, painter: &Painter, stage: &Stage<'_>) -> f32 {
        let name = self.name.as_ref().map_or(0.0, |t| plain::width(painter, t, &name_font(stage)));
        let degree = self.degree.as_ref().map_or(0.0, |t| plain::width(painter, t, &degree_font(stage)));
        let finger = plain::width(painter, &self.finger, &finger_font(stage));
        let gap = if self.name.is_some() && self.degree.is_some() { stage.px(6.0) } else { 0.0 };
        (name + gap + degree).max(finger)
    }

    fn draw(&self, painter: &Painter, at: Pos2, stage: &Stage<'_>, hand: Hand, signed: bool) {
        let palette = stage.palette;
        let ink = palette.ink;
        let (upper, lower) = (at.y - stage.px(2.0), at.y + stage.px(17.0));
        let finger_y =
            if signed || self.name.is_some() || self.degree.is_some() { lower } else { at.y + stage.px(6.0) };
        let mut x = at.x;
        if let Some(name) = &self.name {
            let drawn = plain::baseline(painter, pos2(x, upper), name, name_font(stage), ink);
            x = drawn.right() + stage.px(6.0);
        }
        plain::baseline(painter, pos2(at.x, finger_y), &self.finger, finger_font(stage), palette.hand(hand));
        if let Some(degree) = &self.degree {
            let color = if self.name.is_some() { palette.quiet } else { ink };
            let drawn = plain::baseline(painter, pos2(x, upper), degree, degree_font(stage), color);
            hat(painter, pos2(drawn.right(), upper), stage);
        }
    }
}

/// The hat that tells a degree of the scale from a finger.
fn hat(painter: &Painter, digit_end: Pos2, stage: &Stage<'_>) {
    let middle = digit_end.x - stage.px(4.8);
    let y = digit_end.y - stage.px(13.0);
    let points = [(-3.2, 0.0), (0.0, -3.0), (3.2, 0.0)];
    let points = points.map(|(dx, dy)| pos2(middle + stage.px(dx), y + stage.px(dy))).to_vec();
    painter.add(egui::Shape::line(points, Stroke::new(stage.px(1.2), stage.palette.ink)));
}

fn name_font(stage: &Stage<'_>) -> egui::FontId {
    fonts::sans(stage.px(17.0))
}

fn degree_font(stage: &Stage<'_>) -> egui::FontId {
    fonts::serif(stage.px(15.0))
}

fn finger_font(stage: &Stage<'_>) -> egui::FontId {
    fonts::bold(stage.px(15.5))
}

/// The wave before a rolled chord.
fn rolled_sign(painter: &Painter, at: Pos2, stage: &Stage<'_>) {
    let points = (0..=16)
        .map(|i| {
            let t = i as f32 / 16.0;
            let x = at.x + stage.px(2.2) * (t * 5.0 * std::f32::consts::TAU / 2.0).sin();
            pos2(x, at.y + stage.px(40.0) * (t - 0.5))
        })
        .collect();
    painter.add(egui::Shape::line(points, Stroke::new(stage.px(1.3), stage.palette.ink)));
}

/// What became of a strike: a tick, an arrow to the side it fell on, or a cross.
fn sign(mark: Mark) -> Option<&'static str> {
    match mark {
        Mark::Open => None,
        Mark::Hit(_) | Mark::Struck => Some("✓"),
        Mark::Early(_) => Some("◂"),
        Mark::Late(_) => Some("▸"),
        Mark::Missed => Some("×"),
    }
}

fn mark(painter: &Painter, rect: Rect, stage: &Stage<'_>, sign: &str) {
    let font = fonts::bold(stage.px(15.0));
    let y = rect.center().y - stage.px(4.0);
    if rect.width() < stage.px(30.0) {
        plain::baseline_centred(painter, pos2(rect.center().x, y), sign, font, stage.palette.ink);
    } else {
        plain::baseline_right(painter, pos2(rect.right() - stage.px(9.0), y), sign, font, stage.palette.ink);
    }
}

/// What the signs in this bar mean, where there are any but ticks.
fn legend(stage: &Stage<'_>, strikes: &[Strike<'_>]) -> String {
    let marks: Vec<Mark> = strikes.iter().map(|s| s.mark(&stage.model.session.marks)).collect();
    let said = [
        ("◂ early", marks.iter().any(|m| matches!(m, Mark::Early(_)))),
        ("▸ late", marks.iter().any(|m| matches!(m, Mark::Late(_)))),
        ("× missed", marks.contains(&Mark::Missed)),
    ];
    let said: Vec<&str> = said.into_iter().filter(|s| s.1).map(|s| s.0).collect();
    said.join("   ")
}

fn playhead(painter: &Painter, rect: Rect, stage: &Stage<'_>, bar: &PlayedBar, axis: &Axis) {
    let session = stage.model.session;
    if session.running && session.counting_in.is_none() {
        let x = axis.x(session.position.quarters - bar.start.to_f64());
        let y = rect.top() + stage.px(HEADER - 4.0)..=rect.bottom() - stage.px(4.0);
        painter.vline(x, y, Stroke::new(stage.px(2.0), stage.palette.ink));
    }
}

/// The row as it is read out.
fn spoken(stage: &Stage<'_>, hand: Hand, strikes: &[Strike<'_>], bar: &PlayedBar) -> String {
    let one = |strike: &Strike<'_>| {
        let beat = strike.start / bar.beat.length.to_f64() + 1.0;
        let notes = strike.notes.iter().map(|(_, e)| format!("{} finger {}", e.pitch, e.finger_text()));
        format!("beat {beat:.2} {}", notes.collect::<Vec<_>>().join(", "))
    };
    let told: Vec<String> = strikes.iter().map(one).collect();
    let own = stage.model.session.settings.hands.has(hand);
    let who = if own { "" } else { ", played by the program" };
    format!("{} hand{who}: {}", hand.name(), if told.is_empty() { "rests".into() } else { told.join(", ") })
}
