//! One printed row: the section's name in the margin, the bars by their beats.

use super::bar::{self, BarNews, Drawn};
use super::{MARGIN, NUMBER, PageRow, RowPlan, Went};
use crate::stage::Stage;
use crate::{Command, Labels, fonts, plain};
use egui::text::LayoutJob;
use egui::{Color32, Galley, Rect, Role, Sense, Stroke, Ui, pos2, vec2};
use practice::SessionCommand;
use std::ops::Range;
use std::sync::Arc;
use voicing::Part;

/// Short songs do not grow beyond this many quarters a row.
const LEAST_QUARTERS: f64 = 12.0;

/// Beyond this crowding a row is broken, even if it is stretched over the whole page.
const TOO_CROWDED: f32 = 1.35;

/// The width of a quarter, the same in all rows, so that beats stand under beats.
pub(crate) fn per_quarter(stage: &Stage<'_>, part: &Part, rows: &[PageRow], width: f32) -> f32 {
    let longest = rows.iter().map(|row| quarters(part, &row.bars)).fold(LEAST_QUARTERS, f64::max);
    room(stage, width) / longest as f32
}

fn quarters(part: &Part, bars: &Range<usize>) -> f64 {
    part.bars[bars.clone()].iter().map(|b| b.played.meter.length().to_f64()).sum()
}

/// A printed row, broken in halves until its symbols have room.
pub(crate) fn fitting(
    ui: &Ui,
    stage: &Stage<'_>,
    part: &Part,
    bars: Range<usize>,
    width: f32,
) -> Vec<Range<usize>> {
    let widest = room(stage, width) / quarters(part, &bars).max(1.0) as f32;
    if bars.len() < 2 || crowding(ui, stage, part, &bars, widest) <= TOO_CROWDED {
        return vec![bars];
    }
    let middle = bars.start + bars.len().div_ceil(2);
    let mut rows = fitting(ui, stage, part, bars.start..middle, width);
    rows.extend(fitting(ui, stage, part, middle..bars.end, width));
    rows
}

/// What a row has for its bars.
fn room(stage: &Stage<'_>, width: f32) -> f32 {
    width - stage.px(MARGIN) - stage.px(26.0)
}

fn crowding(ui: &Ui, stage: &Stage<'_>, part: &Part, bars: &Range<usize>, per_quarter: f32) -> f32 {
    let of = |b: &voicing::PartBar| {
        let wide = per_quarter * b.played.meter.length().to_f64() as f32;
        bar::crowding(ui.painter(), stage, &b.played, wide, stage.px(NUMBER))
    };
    part.bars[bars.clone()].iter().map(of).fold(0.0, f32::max)
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
    let crowded = crowding(ui, stage, part, &row.bars, per_quarter);
    let widest = room(stage, rect.width()) / quarters(part, &row.bars).max(1.0) as f32;
    let stretch = crowded.clamp(1.0, (widest / per_quarter).max(1.0));
    let cells = cells(stage, rect, part, row, stretch * per_quarter);
    let plan = plan(stage, &cells, crowded / stretch);
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
fn plan(stage: &Stage<'_>, cells: &[Rect], crowded: f32) -> RowPlan {
    let full = stage.px(NUMBER);
    let shrink = (1.0 / crowded.max(1.0)).max(0.5);
    let height = cells.first().map_or(80.0, |cell| cell.height()) / stage.unit;
    let names = stage.labels() == Labels::Both;
    let baseline = if names { 0.5 * height + 4.0 } else { 0.5 * height + 13.0 };
    RowPlan {
        size: full * shrink,
        baseline,
        shared_line: baseline + if names { 26.0 } else { 13.0 },
        names_drop: 20.0,
        names: 14.0 * shrink.max(0.75),
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
    let color = if current { palette.ink } else { palette.quiet };
    let lines = margin_lines(stage, row, current);
    let name = section_name(ui, stage, &part.sections[place.section], color);
    let over = if name.rows.len() > 1 { name.rows[0].height() } else { 0.0 };
    y -= over * if lines.is_empty() { 0.5 } else { 1.0 };
    let top = pos2(x, y - stage.px(17.0));
    y = top.y + name.size().y - stage.px(3.0);
    ui.painter().galley(top, name, color);
    for line in lines {
        y += stage.px(15.0);
        stage.text(ui, pos2(x, y), &line, 13.5, palette.quiet);
    }
}

/// The name in the margin, on two lines where one is too short.
fn section_name(ui: &Ui, stage: &Stage<'_>, name: &str, color: Color32) -> Arc<Galley> {
    let room = stage.px(MARGIN - 26.0);
    let large = fonts::italic(stage.px(18.0));
    let fits = plain::width(ui.painter(), name, &large) <= room;
    let font = if fits { large } else { fonts::italic(stage.px(15.5)) };
    let mut job = LayoutJob::simple(name.to_owned(), font, color, room);
    job.wrap.max_rows = 2;
    ui.painter().layout_job(job)
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
    let mut name = bar_name(stage, index);
    let hard = crate::practice::hard::of_bar(stage, index);
    if let Some(why) = &hard {
        crate::practice::hard::mark(ui, stage, cell);
        name += &format!(", hard: {why}");
    }
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Button, true, &name));
    if let Some(why) = hard.filter(|_| response.hovered()) {
        response.clone().on_hover_text(why);
    }
    if response.hovered() {
        let tint = stage.palette.rule.gamma_multiply(0.45);
        ui.painter().rect_filled(cell.shrink2(vec2(stage.px(3.0), 0.0)), stage.px(6.0), tint);
    }
    plain::focus_ring(ui, &response, stage.palette);
    if response.clicked() {
        stage.out.push(Command::Session(SessionCommand::GoToBar(index)));
    }
}

/// `Bridge, bar 2: 5/7`, with what only this pass has.
pub(crate) fn bar_name(stage: &Stage<'_>, index: usize) -> String {
    let Some(part) = stage.model.part else { return String::new() };
    let bar = &part.bars[index].played;
    let section = &part.sections[bar.section];
    let pass = if bar.passes > 1 { format!(", pass {}", bar.pass) } else { String::new() };
    let of_notes = |slot: &&song::Slot| slot.continued && matches!(slot.kind, song::SlotKind::Rest);
    let chords: Vec<String> = bar.slots.iter().filter(|slot| !of_notes(slot)).map(slot_name).collect();
    if chords.is_empty() {
        return format!("{section}{pass}, bar {}", bar.bar_in_section);
    }
    let own = if bar.unlike.is_anything() {
        format!(" (in this pass alone: {})", bar.unlike)
    } else {
        String::new()
    };
    format!("{section}{pass}, bar {}: {}{own}", bar.bar_in_section, chords.join(" "))
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
        differs: bar.filter(|b| b.unlike.is_anything()).map(|b| vec![format!("pass {}", b.pass)]),
        went: went.get(index).copied().flatten(),
    }
}
