//! Pictures: how ready each bar is, and the chart by day.

use super::SongShown;
use crate::stage::Stage;
use egui::Ui;
use egui_plot::{Bar, BarChart, Line, MarkerShape, Plot, PlotPoints, Points};
use practice::learn::PracticeDay;

/// How ready each bar is: a column up to the chance today, a line from its lower to its upper bound, and a diamond for the
/// day it is played.
pub(crate) fn ready(ui: &mut Ui, stage: &Stage<'_>, song: &SongShown, height: f32) {
    let palette = stage.palette;
    let bars: Vec<Bar> = song
        .ready
        .bars
        .iter()
        .enumerate()
        .map(|(bar, ready)| Bar::new(number(bar), ready.today.mean).width(0.7))
        .collect();
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
    plot("how ready each bar is", height)
        .include_y(0.0)
        .include_y(1.0)
        .y_axis_formatter(|mark, _| tenths(mark.value))
        .show(ui, |plot| {
            plot.bar_chart(BarChart::new("today", bars).color(palette.quiet.gamma_multiply(0.3)));
            for bound in bounds {
                plot.line(
                    Line::new("between", PlotPoints::from(bound.to_vec())).color(palette.ink).width(1.5),
                );
            }
            let points = Points::new("on the day", PlotPoints::from(day));
            plot.points(points.shape(MarkerShape::Diamond).radius(4.0).filled(false).color(palette.ink));
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
    plot("the chart by day", height)
        .y_axis_min_width(stage.px(110.0))
        .y_axis_formatter(move |mark, _| label(mark.value))
        .show(ui, |plot| {
            for (name, points, shape, radius, filled) in [
                ("clean at the tempo", tempo, MarkerShape::Square, 5.0, true),
                ("clean, slower", slower, MarkerShape::Square, 3.0, true),
                ("not clean yet", not_yet, MarkerShape::Circle, 3.0, false),
            ] {
                let points = Points::new(name, PlotPoints::from(points));
                plot.points(points.shape(shape).radius(radius).filled(filled).color(palette.ink));
            }
        });
}

/// So many days are shown.
const DAYS: usize = 10;

/// A picture that is looked at and not moved.
fn plot(name: &'static str, height: f32) -> Plot<'static> {
    Plot::new(name)
        .height(height)
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .show_background(false)
        .show_grid([false, true])
        .x_axis_formatter(|mark, _| {
            if mark.value.fract() == 0.0 { format!("{:.0}", mark.value) } else { String::new() }
        })
}

fn number(bar: usize) -> f64 {
    bar as f64 + 1.0
}

fn tenths(chance: f64) -> String {
    let tenths = (10.0 * chance).round();
    // Every fifth line has its words.
    if tenths % 5.0 == 0.0 { format!("{tenths:.0} in 10") } else { String::new() }
}
