//! One printed row: the section's name in the margin, the bars by their beats.

use super::bar::{self, BarNews, Drawn};
use super::{MARGIN, NUMBER, PageRow, RowPlan, Went};
use crate::stage::Stage;
use crate::{Command, Labels, fonts, plain};
use egui::{Rect, Role, Sense, Stroke, Ui, pos2, vec2};
use practice::SessionCommand;
use voicing::Part;

/// Short songs do not grow beyond this many quarters a row.
const LEAST_QUARTERS: f64 = 16.0;

/// The width of a quarter, the same in all rows, so that beats stand under beats.
pub(crate) fn per_quarter(stage: &Stage<'_>, part: &Part, rows: &[PageRow], width: f32) -> f32 {
    let longest = rows.iter().map(|row| quarters(part, row)).fold(LEAST_QUARTERS, f64::max);
    (width - stage.px(MARGIN) - stage.px(26.0)) / longest as f32
}

fn quarters(part: &Part, row: &PageRow) -> f64 {
    part.bars[row.bars.clone()].iter().map(|b| b.played.meter.length().to_f64()).sum()
}

/// Draws a row.
pub(crate) fn show(
    ui: &mut Ui,
    rect: Rect,
    stage: &mut Stage<'_>,
    row: &PageRow,
    per_quarter: f32,
    here: usize,
    went: &[Option<Went>],
) {
    let Some(part) = stage.model.part else { return };
    if row.first {
        margin(ui, rect, stage, row, here);
    }
    let cells = cells(stage, rect, part, row, per_quarter);
    let plan = plan(ui, stage, part, row, &cells);
    bar_lines(ui, stage, rect, row, &cells);
    let mut before: Option<Drawn> = None;
    for (index, cell) in row.bars.clone().zip(&cells) {
        click(ui, stage, index, *cell);
        let news = news(stage, index, here, went);
        before = bar::draw(ui, stage, *cell, &part.bars[index].played, &plan, &news, before);
    }
}

fn cells(stage: &Stage<'_>, rect: Rect, part: &Part, row: &PageRow, per_quarter: f32) -> Vec<Rect> {
    let mut x = rect.left() + stage.px(MARGIN);
    let y = (rect.top() + stage.px(4.0), rect.bottom() - stage.px(4.0));
    let mut cells = Vec::with_capacity(row.bars.len());
    for bar in &part.bars[row.bars.clone()] {
        let wide = per_quarter * bar.played.meter.length().to_f64() as f32;
        cells.push(Rect::from_min_max(pos2(x, y.0), pos2(x + wide, y.1)));
        x += wide;
    }
    cells
}

/// One size for the row: as large as its most crowded bar allows.
fn plan(ui: &Ui, stage: &Stage<'_>, part: &Part, row: &PageRow, cells: &[Rect]) -> RowPlan {
    let full = stage.px(NUMBER);
    let bars = part.bars[row.bars.clone()].iter().zip(cells);
    let crowded = bars
        .map(|(b, cell)| bar::crowding(ui.painter(), stage, &b.played, cell.width(), full))
        .fold(0.0, f32::max);
    let size = if crowded > 1.0 { (full / crowded).max(0.45 * full) } else { full };
    let height = cells.first().map_or(80.0, |cell| cell.height()) / stage.unit;
    let names = stage.model.view.labels == Labels::Both;
    let baseline = if names { 0.5 * height + 5.0 } else { 0.5 * height + 13.0 };
    let names_size = 14.0 * (size / full).max(0.8);
    RowPlan {
        size,
        baseline,
        shared_line: baseline + if names { 27.0 } else { 14.0 },
        names_drop: 21.0,
        names: names_size,
    }
}

fn margin(ui: &Ui, rect: Rect, stage: &Stage<'_>, row: &PageRow, here: usize) {
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else { return };
    let palette = stage.palette;
    let place = &sheet.places[row.place];
    let bars = place.bars();
    let current = bars.contains(&here);
    let x = rect.left() + stage.px(18.0);
    let mut y = rect.center().y - stage.px(2.0);
    let font = fonts::italic(stage.px(18.0));
    let name = plain::elided(ui.painter(), &part.sections[place.section], &font, stage.px(MARGIN - 26.0));
    let color = if current { palette.ink } else { palette.quiet };
    plain::baseline(ui.painter(), pos2(x, y), &name, font, color);
    for line in margin_lines(stage, row, current) {
        y += stage.px(18.0);
        stage.text(ui, pos2(x, y), &line, 13.5, palette.quiet);
    }
}

/// How often, in which key, how fast, where it is not as in the whole song.
fn margin_lines(stage: &Stage<'_>, row: &PageRow, current: bool) -> Vec<String> {
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else { return Vec::new() };
    let place = &sheet.places[row.place];
    let passes = place.passes.len();
    let mut lines = Vec::new();
    if passes > 1 {
        let pass = row.pass + 1;
        lines.push(if current { format!("pass {pass} of {passes}") } else { format!("{passes} times") });
    }
    let first = &part.bars[row.bars.start].played;
    if first.key != part.key {
        lines.push(format!("in {}", first.key.pretty().replace(" major", "").replace(" minor", " min.")));
    }
    let start = &part.bars[0].played;
    if (first.quarters_per_minute - start.quarters_per_minute).abs() > 0.01 {
        let beats = first.quarters_per_minute / first.beat.length.to_f64();
        lines.push(format!("at {}", crate::controls::tempo_text(beats)));
    }
    lines.truncate(2);
    lines
}

fn bar_lines(ui: &Ui, stage: &Stage<'_>, rect: Rect, row: &PageRow, cells: &[Rect]) {
    let painter = ui.painter();
    let (Some(first), Some(last)) = (cells.first(), cells.last()) else { return };
    let y = rect.shrink2(vec2(0.0, stage.px(8.0))).y_range();
    let thin = Stroke::new(stage.px(1.0), stage.palette.rule);
    let firm = Stroke::new(stage.px(1.6), stage.palette.line);
    for cell in &cells[1..] {
        painter.vline(cell.left(), y, thin);
    }
    painter.vline(first.left(), y, firm);
    let ends = stage.model.sheet.is_some_and(|s| s.places[row.place].passes[row.pass].end == row.bars.end);
    painter.vline(last.right(), y, if ends { firm } else { thin });
}

/// A click on a bar goes there; so does Enter while it has the focus.
fn click(ui: &Ui, stage: &mut Stage<'_>, index: usize, cell: Rect) {
    let response = ui.interact(cell, ui.scope_id().with(("bar", index)), Sense::click());
    let name = bar_name(stage, index);
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Button, true, &name));
    if response.hovered() {
        let tint = stage.palette.rule.gamma_multiply(0.45);
        ui.painter().rect_filled(cell.shrink2(vec2(stage.px(3.0), 0.0)), stage.px(6.0), tint);
    }
    plain::focus_ring(ui, &response, stage.palette);
    if response.clicked() {
        stage.out.push(Command::Session(SessionCommand::GoToBar(index)));
    }
}

/// `Bridge, bar 2: 5/7`.
pub(crate) fn bar_name(stage: &Stage<'_>, index: usize) -> String {
    let Some(part) = stage.model.part else { return String::new() };
    let bar = &part.bars[index].played;
    let section = &part.sections[bar.section];
    let pass = if bar.passes > 1 { format!(", pass {}", bar.pass) } else { String::new() };
    let chords: Vec<String> = bar.slots.iter().map(slot_name).collect();
    format!("{section}{pass}, bar {}: {}", bar.bar_in_section, chords.join(" "))
}

fn slot_name(slot: &song::Slot) -> String {
    match &slot.kind {
        song::SlotKind::Chord { chord, .. } => chord.written.to_string(),
        song::SlotKind::Tie { .. } => "tied".into(),
        song::SlotKind::Rest => "rest".into(),
    }
}

fn news(stage: &Stage<'_>, index: usize, here: usize, went: &[Option<Went>]) -> BarNews {
    let looped = stage.model.session.settings.loop_bars;
    let bar = stage.model.part.map(|p| &p.bars[index].played);
    BarNews {
        here: index == here,
        loop_starts: looped.is_some_and(|l| l.from() == index),
        loop_ends: looped.is_some_and(|l| l.to() == index),
        differs: bar.filter(|b| b.differs && b.passes > 1).map(|b| b.pass),
        went: went.get(index).copied().flatten(),
    }
}
