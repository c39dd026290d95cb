//! Pictures: how ready each bar is, and the chart by day.

use super::SongShown;
use crate::fonts;
use crate::stage::Stage;
use egui::{Rangef, Stroke, Ui, vec2};
use egui_plot::{AxisHints, Bar, BarChart, GridMark, Line, MarkerShape, Plot, PlotPoints, Points};
use practice::learn::PracticeDay;

/// How ready each bar is: a column up to the chance today, a line from its lower to its upper bound, and a diamond for the
/// day it is played.
pub(crate) fn ready(ui: &mut Ui, stage: &Stage<'_>, song: &SongShown, height: f32) {
    let palette = stage.palette;
    let column = |bar: usize, chance: f64| {
        Bar::new(number(bar), chance).width(0.62).fill(palette.line.gamma_multiply(0.88)).stroke(Stroke::NONE)
    };
    let bars = song.ready.bars.iter().enumerate();
    let bars: Vec<Bar> = bars.map(|(bar, ready)| column(bar, ready.today.mean)).collect();
    let bounds: Vec<[[f64; 2]; 2]> = song
        .ready
        .bars
        .iter()
        .enumerate()
        .map(|(bar, ready)| [[number(bar), ready.today.low], [number(bar), ready.today.high]])
        .collect();
    let day = song
        .ready
        .bars
        .iter()
        .enumerate()
        .filter_map(|(bar, ready)| Some([number(bar), ready.on_the_day?.mean]));
    let day: Vec<[f64; 2]> = day.collect();
    let axis = AxisHints::new_y().formatter(|mark, _| format!("{:.0} in 10", 10.0 * mark.value));
    plot("how ready each bar is", stage, song, height)
        .include_y(0.0)
        .include_y(1.0)
        .y_grid_spacer(|_| [0.0, 0.5, 1.0].map(mark).into())
        .custom_y_axes(vec![labelled(stage, axis).min_thickness(stage.px(WORDS))])
        .show(ui, |plot| {
            plot.bar_chart(BarChart::new("today", bars));
            for bound in bounds {
                plot.line(
                    Line::new("between", PlotPoints::from(bound.to_vec())).color(palette.ink).width(2.0),
                );
            }
            for (radius, filled, color) in [(5.0, true, palette.page), (4.0, false, palette.ink)] {
                let points = Points::new("on the day", PlotPoints::from(day.clone()));
                plot.points(points.shape(MarkerShape::Diamond).radius(radius).filled(filled).color(color));
            }
        });
}

/// The chart by day: a row for each day, the latest below; large squares were clean at the tempo, small ones slower, rings
/// were played and not clean yet.
pub(crate) fn by_day(
    ui: &mut Ui,
    stage: &Stage<'_>,
    song: &SongShown,
    height: f32,
    name: impl Fn(i64) -> String,
) {
    let palette = stage.palette;
    let last: Vec<&PracticeDay> = song.days.iter().rev().take(DAYS).rev().collect();
    let at = |test: &dyn Fn(Option<f64>) -> bool| -> Vec<[f64; 2]> {
        let mut points = Vec::new();
        for (row, day) in last.iter().enumerate() {
            for (bar, of) in
                day.bars.iter().enumerate().filter(|(_, of)| of.passes > 0 && test(of.fastest_clean))
            {
                let _ = of;
                points.push([number(bar), -(row as f64)]);
            }
        }
        points
    };
    let tempo = at(&|fastest| fastest.is_some_and(|speed| speed >= 100.0));
    let slower = at(&|fastest| fastest.is_some_and(|speed| speed < 100.0));
    let not_yet = at(&|fastest| fastest.is_none());
    let names: Vec<String> =
        last.iter().map(|day| format!("{} {:.0} min", name(day.date), day.minutes)).collect();
    let label = move |row: f64| match row.fract() == 0.0 && row <= 0.0 {
        true => names.get(-row as usize).cloned().unwrap_or_default(),
        false => String::new(),
    };
    let axis = AxisHints::new_y().formatter(move |mark, _| label(mark.value));
    let rows = last.len();
    plot("the chart by day", stage, song, height)
        .include_y(0.5)
        .include_y(0.5 - rows as f64)
        .y_grid_spacer(move |_| (0..rows).map(|row| mark(-(row as f64))).collect())
        .custom_y_axes(vec![labelled(stage, axis).min_thickness(stage.px(WORDS))])
        .show(ui, |plot| {
            for (name, points, shape, radius, filled) in [
                ("clean at the tempo", tempo, MarkerShape::Square, 5.0, true),
                ("clean, slower", slower, MarkerShape::Square, 3.0, true),
                ("not clean yet", not_yet, MarkerShape::Circle, 3.6, false),
            ] {
                let points = Points::new(name, PlotPoints::from(points));
                plot.points(points.shape(shape).radius(radius).filled(filled).color(palette.ink));
            }
        });
}

/// So many days are shown.
const DAYS: usize = 10;

/// A picture that is looked at and not moved; bars stand under bars in all of them.
fn plot<'a>(name: &'a str, stage: &Stage<'_>, song: &SongShown, height: f32) -> Plot<'a> {
    let bars = song.ready.bars.len();
    let axis = AxisHints::new_x().formatter(|mark, _| format!("{:.0}", mark.value));
    Plot::new(name)
        .height(height)
        .include_x(0.3)
        .include_x(number(bars) - 0.3)
        .x_grid_spacer(move |_| (0..bars).step_by(step(bars)).map(|bar| mark(number(bar))).collect())
        .custom_x_axes(vec![labelled(stage, axis)])
        .grid_color(stage.palette.line)
        .set_margin_fraction(vec2(0.0, 0.04))
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .show_background(false)
        .show_grid([false, true])
}

/// Words beside an axis that can be read.
fn labelled<'a>(stage: &Stage<'_>, axis: AxisHints<'a>) -> AxisHints<'a> {
    axis.tick_label_font(fonts::sans(stage.px(13.0)))
        .tick_label_color(stage.palette.quiet)
        .label_spacing(Rangef::new(1.0, 2.0))
}

/// For the words at the left, in units; the same in all pictures.
const WORDS: f32 = 132.0;

/// All marks weigh the same.
const fn mark(value: f64) -> GridMark {
    GridMark { value, step_size: 1e3 }
}

/// From one bar with its number to the next, so that there are no more than a dozen of them.
fn step(bars: usize) -> usize {
    [1, 2, 4, 8, 16, 32].into_iter().find(|step| bars <= 12 * step).unwrap_or(64)
}

fn number(bar: usize) -> f64 {
    bar as f64 + 1.0
}
