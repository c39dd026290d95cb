//! A row as it is printed: its bars to be chosen, moved, and shared out with the mouse.

use super::{Chosen, Writing, WritingCommand};
use crate::chart::{BarNews, RowPlan, bar};
use crate::stage::Stage;
use crate::{Command, Labels, fonts, plain};
use egui::{CursorIcon, Id, Rect, Role, Sense, Stroke, Ui, pos2, vec2};
use song::PlayedBar;
use song::edit::{Change, Place};

/// Units.
pub(crate) const MARGIN: f32 = 118.0;
const NUMBER: f32 = 32.0;
const RIGHT: f32 = 22.0;
/// Short songs do not grow beyond this many quarters a row.
const LEAST_QUARTERS: f64 = 12.0;

/// A bar as it came to stand on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Cell {
    /// Its section.
    pub section: usize,
    /// The bar as written, from 0.
    pub bar: u32,
    /// Its box.
    pub rect: Rect,
}

/// The width of a quarter, the same in all rows, so that beats stand under beats.
pub(crate) fn per_quarter(stage: &Stage<'_>, writing: &Writing, width: f32) -> f32 {
    let mut longest = LEAST_QUARTERS;
    let mut row = (usize::MAX, 0, 0.0);
    for bar in &writing.written.bars {
        let long = bar.meter.length().to_f64();
        row = if (row.0, row.1) == (bar.section, bar.row) {
            (row.0, row.1, row.2 + long)
        } else {
            (bar.section, bar.row, long)
        };
        longest = f64::max(longest, row.2);
    }
    (width - stage.px(MARGIN + RIGHT)) / longest as f32
}

/// Draws the bars of a row.
pub(crate) fn show(
    ui: &mut Ui,
    rect: Rect,
    stage: &mut Stage<'_>,
    writing: &Writing,
    (section, row): (usize, usize),
    per_quarter: f32,
    cells: &mut Vec<Cell>,
) {
    let chosen = stage.model.view.writing.chosen;
    let pass = chosen.pass().filter(|_| chosen.section() == Some(section));
    let bars: Vec<&PlayedBar> = match pass {
        Some(pass) => writing.pass(section, pass).filter(|bar| bar.row as usize == row).collect(),
        None => writing.as_written(section).filter(|bar| bar.row as usize == row).collect(),
    };
    let room = rect.width() - stage.px(MARGIN + RIGHT);
    let quarters: f64 = bars.iter().map(|bar| bar.meter.length().to_f64()).sum();
    let most = room / quarters.max(1.0) as f32;
    let per_quarter = per_quarter.min(most);
    let crowding = |per_quarter: f32| {
        let of = |bar: &&PlayedBar| {
            let wide = per_quarter * bar.meter.length().to_f64() as f32;
            bar::crowding(ui.painter(), stage, bar, wide, stage.px(NUMBER))
        };
        bars.iter().map(of).fold(0.0, f32::max)
    };
    // A crowded row takes all the width there is before its numbers shrink.
    let per_quarter = per_quarter * crowding(per_quarter).clamp(1.0, (most / per_quarter).max(1.0));
    let boxes = boxes(stage, rect, &bars, per_quarter);
    let plan = plan(stage, rect.height(), crowding(per_quarter));
    bar_lines(ui, stage, rect, &boxes);
    let mut before = None;
    for (played, cell) in bars.iter().zip(&boxes) {
        let written = played.written_bar.or(played.in_place_of);
        let here = written.is_some_and(|bar| {
            chosen.section() == Some(section) && chosen.bars().is_some_and(|bars| bars.contains(&bar))
        });
        let differs = written.map(|bar| writing.differs(section, bar)).unwrap_or_default();
        let differs =
            (!differs.is_empty()).then(|| vec![differs_in_words(&differs), passes_in_words(&differs)]);
        let news = BarNews { here, loop_starts: false, loop_ends: false, differs, went: None };
        if let Some(bar) = written {
            cells.push(Cell { section, bar, rect: *cell });
            choose(ui, stage, *cell, (section, bar, pass), played, writing);
        }
        before = bar::draw(ui, stage, *cell, played, &plan, &news, before);
        if let Some(bar) = written {
            not_certain(ui, stage, *cell, (section, bar), writing);
        }
        if let Some(bar) = written.filter(|_| played.written_bar.is_some()) {
            borders(ui, stage, *cell, (section, bar), played);
        }
    }
}

fn boxes(stage: &Stage<'_>, rect: Rect, bars: &[&PlayedBar], per_quarter: f32) -> Vec<Rect> {
    let mut x = rect.left() + stage.px(MARGIN);
    let y = (rect.top() + stage.px(3.0), rect.bottom() - stage.px(3.0));
    let one = |bar: &&PlayedBar| {
        let wide = per_quarter * bar.meter.length().to_f64() as f32;
        x += wide;
        Rect::from_min_max(pos2(x - wide, y.0), pos2(x, y.1))
    };
    bars.iter().map(one).collect()
}

fn plan(stage: &Stage<'_>, height: f32, crowded: f32) -> RowPlan {
    let shrink = (1.0 / crowded.max(1.0)).max(0.5);
    let height = height / stage.unit - 6.0;
    let names = stage.model.view.labels == Labels::Both;
    let baseline = if names { 0.5 * height + 4.0 } else { 0.5 * height + 12.0 };
    RowPlan {
        size: stage.px(NUMBER) * shrink,
        baseline,
        shared_line: baseline + if names { 25.0 } else { 12.0 },
        names_drop: 19.0,
        names: 14.0 * shrink.max(0.75),
    }
}

fn bar_lines(ui: &Ui, stage: &Stage<'_>, rect: Rect, boxes: &[Rect]) {
    let (Some(first), Some(last)) = (boxes.first(), boxes.last()) else { return };
    let y = rect.shrink2(vec2(0.0, stage.px(7.0))).y_range();
    for cell in &boxes[1..] {
        ui.painter().vline(cell.left(), y, Stroke::new(stage.px(1.0), stage.palette.rule));
    }
    let firm = Stroke::new(stage.px(1.6), stage.palette.line);
    ui.painter().vline(first.left(), y, firm);
    ui.painter().vline(last.right(), y, Stroke::new(stage.px(1.0), stage.palette.line));
}

/// A click chooses the bar, with Shift all up to it; what is dragged is moved.
fn choose(
    ui: &Ui,
    stage: &mut Stage<'_>,
    cell: Rect,
    (section, bar, pass): (usize, u32, Option<u32>),
    played: &PlayedBar,
    writing: &Writing,
) {
    let response =
        ui.interact(cell, ui.scope_id().with(("written bar", section, bar)), Sense::click_and_drag());
    let name = name(writing, section, bar, played);
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Button, true, &name));
    if response.hovered() {
        let tint = stage.palette.rule.gamma_multiply(0.45);
        ui.painter().rect_filled(cell.shrink2(vec2(stage.px(3.0), 0.0)), stage.px(6.0), tint);
    }
    plain::focus_ring(ui, &response, stage.palette);
    if response.clicked() {
        let chosen = stage.model.view.writing.chosen;
        let extended =
            ui.input(|input| input.modifiers.shift).then(|| extended(chosen, section, bar)).flatten();
        let place = Place::Bar { section, bar, pass, beat: None };
        let chosen = extended.unwrap_or(place.into());
        stage.out.push(Command::Writing(WritingCommand::Choose(chosen)));
        super::row::open(ui, writing, chosen);
    }
    if response.drag_started() {
        let chosen = stage.model.view.writing.chosen;
        let several = chosen.bars().filter(|bars| chosen.section() == Some(section) && bars.contains(&bar));
        let carried = several.unwrap_or(bar..bar + 1);
        ui.data_mut(|data| data.insert_temp(carried_id(), Some((section, carried.start, carried.end))));
    }
}

/// A question mark at a bar of a pasted chart that is not certain, and why.
fn not_certain(ui: &Ui, stage: &Stage<'_>, cell: Rect, (section, bar): (usize, u32), writing: &Writing) {
    let doubts = writing.pasted.as_ref().map(|chart| chart.doubts_at(section, bar)).unwrap_or_default();
    if doubts.is_empty() {
        return;
    }
    let at = cell.right_bottom() - vec2(stage.px(9.0), stage.px(6.0));
    let drawn = plain::baseline_right(ui.painter(), at, "?", fonts::bold(stage.px(18.0)), stage.palette.ink);
    let said = format!("Not certain: {}", doubts.join("; "));
    let id = ui.scope_id().with(("not certain", section, bar));
    let response = ui.interact(drawn.expand(stage.px(4.0)), id, Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, &said));
    response.on_hover_text(&said);
}

/// What is dragged just now: bars of a section.
pub(crate) fn carried_id() -> Id {
    Id::unique("bars that are carried")
}

fn extended(chosen: Chosen, section: usize, to: u32) -> Option<Chosen> {
    let Place::Bar { section: from, bar, pass, .. } = chosen.place else { return None };
    let (first, last) = (bar.min(to), bar.max(to).max(chosen.last.filter(|_| to < bar).unwrap_or(0)));
    let place = Place::Bar { section, bar: first, pass, beat: None };
    (from == section).then_some(Chosen { place, last: Some(last) })
}

/// `Intro, bar 2: 6`, with what it is in other passes.
pub(crate) fn name(writing: &Writing, section: usize, bar: u32, played: &PlayedBar) -> String {
    let differs = writing.differs(section, bar);
    let differs = if differs.is_empty() {
        String::new()
    } else {
        format!(", differs in {}", differs_in_words(&differs))
    };
    let name = &writing.song.sections[section].name;
    format!("{name}, bar {}: {}{differs}", bar + 1, played.text)
}

/// `pass 2: right hand; pass 3, 4: 6`.
fn differs_in_words(differs: &[(Vec<u32>, String)]) -> String {
    let each = differs.iter().map(|(passes, what)| format!("pass {}: {what}", in_a_row(passes)));
    each.collect::<Vec<_>>().join("; ")
}

/// `pass 2, 3, 4`.
fn passes_in_words(differs: &[(Vec<u32>, String)]) -> String {
    let mut passes: Vec<u32> = differs.iter().flat_map(|(passes, _)| passes.iter().copied()).collect();
    passes.sort_unstable();
    passes.dedup();
    format!("pass {}", in_a_row(&passes))
}

fn in_a_row(passes: &[u32]) -> String {
    passes.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// The borders between the chords of a bar can be dragged from beat to beat.
fn borders(ui: &Ui, stage: &mut Stage<'_>, cell: Rect, (section, bar): (usize, u32), played: &PlayedBar) {
    let own = stage.model.writing.and_then(|writing| writing.bar_text(section, bar));
    let Some(text) = own else { return };
    let beat = played.beat.length.to_f64();
    let slots: Vec<_> = played.slots.iter().filter(|slot| !slot.continued).collect();
    let beats: Vec<f64> = slots.iter().map(|slot| slot.length.to_f64() / beat).collect();
    if slots.len() < 2 || beats.iter().any(|beats| beats.fract() != 0.0) {
        return;
    }
    for border in 1..slots.len() {
        let at = bar::place_of_slot(stage, cell, played, slots[border]) - stage.px(9.0);
        let handle = Rect::from_min_max(
            pos2(at - stage.px(7.0), cell.top() + stage.px(6.0)),
            pos2(at + stage.px(7.0), cell.bottom() - stage.px(6.0)),
        );
        let id = ui.scope_id().with(("border", section, bar, border));
        let response = ui.interact(handle, id, Sense::drag());
        let name = format!("Border {border} of bar {} of section {}", bar + 1, section + 1);
        response.widget_info(|| egui::WidgetInfo::labeled(Role::Slider, true, &name));
        if response.hovered() || response.dragged() {
            ui.set_cursor_icon(CursorIcon::ResizeHorizontal);
            let stroke = Stroke::new(stage.px(2.0), stage.palette.line);
            ui.painter().vline(handle.center().x, handle.y_range(), stroke);
        }
        let Some(pointer) = response.interact_pointer_pos().filter(|_| response.dragged()) else { continue };
        let wide = cell.width() / played.meter.length().to_f64() as f32 * beat as f32;
        let before: f64 = beats[..border].iter().sum();
        let wanted = before + f64::from(((pointer.x - at) / wide).round());
        let (least, most) = (before - beats[border - 1] + 1.0, before + beats[border] - 1.0);
        let moved = wanted.clamp(least, most.max(least)) - before;
        if moved != 0.0 {
            let mut dots: Vec<u8> = beats.iter().map(|beats| *beats as u8).collect();
            dots[border - 1] = (beats[border - 1] + moved) as u8;
            dots[border] = (beats[border] - moved) as u8;
            let text = song::typing::with_dots(&text, &dots);
            let change = Change::Bar { section, bar, pass: None, text };
            stage.out.push(Command::Writing(WritingCommand::Change(vec![change])));
        }
    }
}
