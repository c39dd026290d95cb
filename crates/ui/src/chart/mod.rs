//! The chart: a page of printed numbers, with the place where one is.

pub(crate) mod bar;
mod form;
mod row;
mod symbol;

use crate::stage::Stage;
use crate::theme::Palette;
use crate::{Labels, Page, Sheet};
use egui::{Color32, Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};
use practice::Score;
use song::Diagnostic;
use std::ops::Range;
use std::sync::Arc;
use voicing::Part;

pub(crate) use bar::BarNews;

/// How a bar went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(crate) struct Went {
    /// The bar.
    pub bar: usize,
    /// Notes expected.
    pub expected: usize,
    /// Of them played.
    pub matched: usize,
    /// Nothing to work on there: clean for time, in whatever inversion or octave.
    pub clean: bool,
}

impl Went {
    /// The quiet tint; none where nothing is to be done.
    pub fn tint(self, palette: &Palette) -> Option<Color32> {
        if self.clean || self.expected == 0 {
            return None;
        }
        let missed = 1.0 - self.matched as f32 / self.expected as f32;
        Some(
            palette.went[if missed <= 0.125 {
                0
            } else if missed <= 0.4 {
                1
            } else {
                2
            }],
        )
    }
}

/// How a row is set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RowPlan {
    /// The size of its numbers, in points.
    pub size: f32,
    /// In units from the top of the row: the baseline of the numbers, …
    pub baseline: f32,
    /// … the line under shared bars, …
    pub shared_line: f32,
    /// … and how far the names lie under the baseline.
    pub names_drop: f32,
    /// The size of the names, in units.
    pub names: f32,
}

/// Units.
const MARGIN: f32 = 118.0;
const ROW: f32 = 76.0;
const ROW_WITHOUT_NAMES: f32 = 72.0;
const FORM: f32 = 38.0;
/// What stands above the first row on the stage.
const ON_STAGE: f32 = 6.0;
const NUMBER: f32 = 34.0;

/// A row of the page before it is drawn.
pub(crate) struct PageRow {
    /// The place shown.
    pub place: usize,
    /// The pass of it.
    pub pass: usize,
    /// Whether it is the first of its section.
    pub first: bool,
    /// Its bars.
    pub bars: Range<usize>,
}

/// The largest scale, of some that are no smaller than the window's own, in which the whole chart fits; the window's own
/// where none does.
pub(crate) fn largest(ui: &Ui, rect: Rect, stage: &mut Stage<'_>) -> f32 {
    let own = stage.unit;
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else { return own };
    let wanted = (sheet.fingerprint, [rect.width(), rect.height(), own].map(f32::to_bits), stage.labels());
    let id = ui.scope_id().with("largest scale");
    if let Some((have, unit)) = ui.data(|d| d.get_temp::<(Fitted, f32)>(id))
        && have == wanted
    {
        return unit;
    }
    let fits = |percent: &u16| {
        stage.unit = own * f32::from(*percent) / 100.0;
        let rows = set_rows(ui, stage, part, sheet, 0, rect.width()).len() as f32;
        let least = if stage.labels() == Labels::Both { ROW } else { ROW_WITHOUT_NAMES };
        rows * stage.px(least) <= rect.height() - stage.px(8.0 + ON_STAGE)
    };
    let percent = (100..=240).rev().step_by(10).find(fits).unwrap_or(100);
    stage.unit = own;
    let unit = own * f32::from(percent) / 100.0;
    ui.data_mut(|d| d.insert_temp(id, (wanted, unit)));
    unit
}

/// What the largest scale was found for.
type Fitted = (u64, [u32; 3], Labels);

/// Draws the chart on its card.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    stage.card(ui, rect);
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else {
        let at = pos2(rect.left() + stage.px(24.0), rect.top() + stage.px(40.0));
        let words = if stage.model.diagnostics.iter().any(Diagnostic::is_error) {
            "Put it right here: Ctrl+E. Saved from elsewhere it is read again. Other songs: F3."
        } else {
            "Working out both hands …"
        };
        stage.text(ui, at, words, 16.0, stage.palette.quiet);
        return;
    };
    let bar = stage.model.session.position.bar.min(part.bars.len().saturating_sub(1));
    // On the stage the order is known.
    let on_stage = stage.model.view.page == Page::Stage;
    let high = stage.px(if on_stage { ON_STAGE } else { FORM });
    let form = Rect::from_min_size(rect.min, vec2(rect.width(), high));
    if !on_stage {
        form::show(ui, form, stage, bar);
    }
    let rows = page_rows(ui, stage, part, sheet, bar, rect.width());
    let page = Rect::from_min_max(pos2(rect.left(), form.bottom()), rect.max)
        .shrink2(vec2(stage.px(2.0), stage.px(4.0)));
    let height = row_height(stage, page.height(), rows.len());
    let went = went(stage);
    let builder = UiBuilder::new().max_rect(page);
    ui.scope_builder(builder, |ui| {
        let here = rows.iter().position(|r| r.bars.contains(&bar)).unwrap_or(0);
        let mut area = ScrollArea::vertical().id_salt("chart").auto_shrink([false, false]);
        if let Some(offset) = follow(ui, bar, here, height, page.height(), rows.len()) {
            area = area.vertical_scroll_offset(offset);
        }
        let shown = area.show_viewport(ui, |ui, viewport| {
            // The foot is left blank so that the last screen, too, begins with a whole row.
            let foot = if rows.len() as f32 * height > page.height() { page.height() % height } else { 0.0 };
            let (_, space) = ui.allocate_space(vec2(page.width(), height * rows.len() as f32 + foot));
            let per_quarter = row::per_quarter(stage, part, &rows, space.width());
            let first = (viewport.top() / height).floor().max(0.0) as usize;
            let last = ((viewport.bottom() / height).ceil().max(0.0) as usize).min(rows.len());
            for (index, page_row) in rows.iter().enumerate().take(last).skip(first) {
                let top = space.top() + index as f32 * height;
                let place = Rect::from_min_size(pos2(space.left(), top), vec2(space.width(), height));
                row::show(ui, place, stage, page_row, per_quarter, bar, &went);
            }
        });
        if on_stage {
            let below = rows.len() as f32 * height - shown.state.clamped_offset().y;
            crate::whole_lines::more_below(ui, stage, shown.inner_rect, below);
        }
    });
}

/// The rows that were set last, and what for: breaking rows means measuring every symbol of the page.
type Set = ((u64, Option<(usize, usize)>, u32, u32, (Labels, Option<theory::Capo>)), Arc<Vec<PageRow>>);

/// All rows of the page while one is at a bar.
fn page_rows(
    ui: &Ui,
    stage: &Stage<'_>,
    part: &Part,
    sheet: &Sheet,
    bar: usize,
    width: f32,
) -> Arc<Vec<PageRow>> {
    let place = sheet.place_of(bar);
    let pass =
        place.and_then(|p| Some((p, sheet.places[p].passes.iter().position(|pass| pass.contains(&bar))?)));
    let wanted = (
        sheet.fingerprint,
        pass,
        width.to_bits(),
        stage.unit.to_bits(),
        (stage.model.view.labels, stage.capo()),
    );
    let id = ui.scope_id().with("rows of the page");
    if let Some((have, rows)) = ui.data(|d| d.get_temp::<Set>(id))
        && have == wanted
    {
        return rows;
    }
    let rows = Arc::new(set_rows(ui, stage, part, sheet, bar, width));
    ui.data_mut(|d| d.insert_temp::<Set>(id, (wanted, rows.clone())));
    rows
}

fn set_rows(ui: &Ui, stage: &Stage<'_>, part: &Part, sheet: &Sheet, bar: usize, width: f32) -> Vec<PageRow> {
    let mut rows = Vec::new();
    for section in &sheet.sections {
        let Some((place, pass)) = sheet.shown_pass(section, bar) else { continue };
        let printed = sheet.rows(part, &sheet.places[place].passes[pass]);
        let fitting = printed.into_iter().flat_map(|bars| row::fitting(ui, stage, part, bars, width));
        for (n, bars) in fitting.enumerate() {
            rows.push(PageRow { place, pass, first: n == 0, bars });
        }
    }
    rows
}

/// Rows share the card evenly, so many of them as keep a readable height.
fn row_height(stage: &Stage<'_>, room: f32, rows: usize) -> f32 {
    let least = if stage.labels() == Labels::Both { ROW } else { ROW_WITHOUT_NAMES };
    let whole = (room / stage.px(least)).floor().max(1.0) as usize;
    (room / rows.clamp(1, whole) as f32).min(stage.px(least + 16.0))
}

/// Where to scroll to so that the current row stays in sight: whenever the bar changed, with a row of the next in view.
fn follow(ui: &Ui, bar: usize, row: usize, height: f32, room: f32, rows: usize) -> Option<f32> {
    let id = ui.scope_id().with("followed bar");
    let state = (bar, room.to_bits(), rows);
    let seen = ui.data(|d| d.get_temp::<(usize, u32, usize)>(id));
    if seen == Some(state) {
        return None;
    }
    ui.data_mut(|d| d.insert_temp(id, state));
    let whole = (room / height).floor().max(1.0) as usize;
    let before = if whole > 2 { 1 } else { 0 };
    let first = row.saturating_sub(before).min(rows.saturating_sub(whole));
    Some(first as f32 * height)
}

/// How each bar went, by its index in the part; nothing while the clock runs or before anything was played.
fn went(stage: &Stage<'_>) -> Vec<Option<Went>> {
    let (Some(part), Some(lap)) = (stage.model.part, stage.lap_of_page()) else { return Vec::new() };
    // Beside the results it is clear what the tint is of; on the song's own page it must be of what is on it.
    let of_this = stage.model.view.page == Page::Results || lap.part.key == part.key;
    // Where all of it lies beside the beat, no bar is worse than another.
    let told = lap.score.steady_shift.is_none();
    let on_stage = stage.model.view.page == Page::Stage;
    if stage.model.session.running || !of_this || !told || on_stage {
        return Vec::new();
    }
    bars_of(&lap.score, part.bars.len())
}

fn bars_of(score: &Score, bars: usize) -> Vec<Option<Went>> {
    let mut went = vec![None; bars];
    for bar in &score.bars {
        if let Some(slot) = went.get_mut(bar.bar) {
            *slot = Some(Went {
                bar: bar.bar,
                expected: bar.expected,
                matched: bar.matched,
                clean: bar.clean_in_time,
            });
        }
    }
    went
}
