//! The passes of a run, one beside the other: a column for each, filled as far as its notes were hit.

use crate::plain;
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Rect, Stroke, StrokeKind, Ui, pos2, vec2};
use practice::Lap;

/// So many fit beside one another; of more, the last ones.
const SHOWN: usize = 16;

/// Draws the passes where there are several, and the words for the one that is shown.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>) {
    let laps = stage.model.laps;
    if laps.len() < 2 {
        return;
    }
    let first = laps.len().saturating_sub(SHOWN);
    let chosen = stage.model.view.lap.filter(|at| *at < laps.len()).unwrap_or(laps.len() - 1);
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(58.0)));
    let step = (rect.width() / (laps.len() - first) as f32).min(stage.px(26.0));
    for (index, lap) in laps.iter().enumerate().skip(first) {
        let x = rect.left() + (index - first) as f32 * step;
        let place = Rect::from_min_size(pos2(x, rect.top()), vec2(step, rect.height()));
        column(ui, stage, place, lap, index, index == chosen);
    }
    let text = format!("lap {} of {}", chosen + 1, laps.len());
    crate::pages::say(ui, &text, fonts::sans(stage.px(14.5)), stage.palette.quiet);
}

fn column(ui: &mut Ui, stage: &mut Stage<'_>, place: Rect, lap: &Lap, index: usize, chosen: bool) {
    let palette = stage.palette;
    let (matched, expected) = (lap.score.matched, lap.score.expected);
    let name = format!("Lap {}: {matched} of {expected} notes", index + 1);
    if plain::clickable(ui, place, &name, Some(chosen), palette).clicked() {
        stage.out.push(Command::Lap(Some(index)));
    }
    let foot = place.bottom() - stage.px(12.0);
    let whole = Rect::from_min_max(
        pos2(place.left() + stage.px(3.0), place.top() + stage.px(6.0)),
        pos2(place.right() - stage.px(4.0), foot),
    );
    let share = matched as f32 / expected.max(1) as f32;
    let hit = Rect::from_min_max(pos2(whole.left(), foot - share * whole.height()), whole.max);
    ui.painter().rect_filled(hit, 0.0, if chosen { palette.ink } else { palette.line });
    ui.painter().rect_stroke(whole, 0.0, Stroke::new(1.0, palette.line), StrokeKind::Inside);
    if chosen {
        let stroke = Stroke::new(stage.px(2.4), palette.ink);
        ui.painter().hline(whole.x_range(), foot + stage.px(6.0), stroke);
    }
}
