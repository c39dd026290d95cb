//! A picture of how even a run was: for each gap a mark between its two notes, above the line where it was too long, below
//! where it was too short; larger where the key went down harder, filled where the hand crosses.

use crate::key_marks::solid;
use crate::room_scale::System;
use crate::stage::Stage;
use crate::{fonts, plain};
use egui::{Painter, Rect, Role, Sense, Stroke, Ui, pos2};
use practice::{Gap, HandEvenness, RunEvenness};
use theory::Hand;

/// Units.
pub(crate) const HEIGHT: f32 = 64.0;
/// The picture reaches at least so far either way, in milliseconds.
const LEAST_MS: f64 = 50.0;

/// Draws the picture under the row of notes.
pub(crate) fn strip(ui: &mut Ui, rect: Rect, stage: &Stage<'_>, even: &RunEvenness, system: &System) {
    let painter = ui.painter();
    let last = even.hands.iter().flat_map(|hand| &hand.gaps).map(|gap| gap.pass).max().unwrap_or(0);
    let seen = |gap: &&Gap| gap.pass == last && place(gap, system).is_some();
    let widest = even.hands.iter().flat_map(|hand| &hand.gaps).filter(seen).map(|gap| gap.error_ms.abs());
    let most_ms = widest.fold(LEAST_MS, f64::max);
    let axes = Axes { middle: rect.center().y, half: 0.36 * rect.height(), most_ms };
    ground(painter, rect, stage, &axes);
    for hand in &even.hands {
        for gap in hand.gaps.iter().filter(seen) {
            mark(painter, stage, system, hand, gap, &axes);
        }
    }
    let response = ui.interact(rect, ui.scope_id().with("evenness"), Sense::hover());
    let told = even.words().join(" ");
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Image, true, format!("How even it was. {told}")));
}

struct Axes {
    middle: f32,
    half: f32,
    most_ms: f64,
}

impl Axes {
    fn y(&self, ms: f64) -> f32 {
        self.middle - self.half * (ms / self.most_ms).clamp(-1.0, 1.0) as f32
    }
}

/// The place of the note that ends a gap, where the one before it is drawn too.
fn place(gap: &Gap, system: &System) -> Option<usize> {
    let place = system.run.place_of(gap.event)?;
    (place > system.seen.start && system.seen.contains(&place)).then_some(place)
}

/// The line of what was asked, and the band in which nobody hears a difference: 6 ms or 2.5 % (Friberg & Sundberg), here 10
/// ms.
fn ground(painter: &Painter, rect: Rect, stage: &Stage<'_>, axes: &Axes) {
    let palette = stage.palette;
    let plot = rect.left() + stage.px(88.0)..=rect.right() - stage.px(14.0);
    let band = Rect::from_x_y_ranges(plot.clone(), axes.y(10.0)..=axes.y(-10.0));
    painter.rect_filled(band, 0.0, palette.in_time);
    painter.hline(plot, axes.middle, Stroke::new(stage.px(1.0), palette.line));
    let x = rect.left() + stage.px(22.0);
    let most = axes.most_ms.round();
    for (text, y) in [
        (format!("+{most} ms"), axes.y(axes.most_ms)),
        ("gaps".into(), axes.middle),
        (format!("−{most} ms"), axes.y(-axes.most_ms)),
    ] {
        let at = pos2(x, y + stage.px(4.5));
        plain::baseline(painter, at, &text, fonts::italic(stage.px(13.0)), palette.quiet);
    }
}

fn mark(painter: &Painter, stage: &Stage<'_>, system: &System, of: &HandEvenness, gap: &Gap, axes: &Axes) {
    let Some(place) = place(gap, system) else { return };
    let both = system.run.has(Hand::Right) && system.run.has(Hand::Left);
    let aside = match (both, of.hand) {
        (false, _) => 0.0,
        (true, Hand::Right) => -0.13 * system.step(),
        (true, Hand::Left) => 0.13 * system.step(),
    };
    let x = 0.5 * (system.x(place - 1) + system.x(place)) + aside;
    let color = stage.palette.hand(of.hand);
    let end = pos2(x, axes.y(gap.error_ms));
    painter.line_segment([pos2(x, axes.middle), end], Stroke::new(stage.px(1.4), color));
    let louder = match (&of.loudness, gap.velocity) {
        (Some(loudness), Some(velocity)) => (f64::from(velocity) - loudness.mean) / 10.0,
        _ => 0.0,
    };
    let radius = stage.px(4.2 + louder.clamp(-2.0, 2.5) as f32).min(0.3 * system.step());
    let fill = if gap.crossing.is_some() { color } else { stage.palette.page };
    solid(painter, end, radius, of.hand, fill, Stroke::new(stage.px(1.4), color));
}
