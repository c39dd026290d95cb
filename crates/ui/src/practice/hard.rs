//! Hard bars on the chart: spectacles in pencil, as players draw them where they have to look out (common practice, no
//! source), and the reasons.

use crate::Page;
use crate::stage::Stage;
use egui::{Rect, Stroke, Ui, pos2};

/// Why a bar of the chart is hard; `None` where it is not, or where the chart is not that of the song that is known.
pub(crate) fn of_bar(stage: &Stage<'_>, bar: usize) -> Option<String> {
    // On the stage there is nothing but the chart.
    let song = stage.model.practice.song.as_ref().filter(|_| stage.model.view.page != Page::Stage)?;
    let part = stage.model.part?;
    if part.title != song.title || part.bars.len() != song.ready.bars.len() {
        return None;
    }
    let hard = song.hard.iter().find(|hard| hard.bar == bar)?;
    let reasons: Vec<String> = hard.reasons.iter().map(|reason| reason.text()).collect();
    let often = format!("clean {} times of {}", hard.clean, hard.passes);
    Some(if reasons.is_empty() { often } else { format!("{}; {often}", reasons.join("; ")) })
}

/// Draws the spectacles at the upper left of a bar.
pub(crate) fn mark(ui: &Ui, stage: &Stage<'_>, cell: Rect) {
    let (radius, stroke) = (stage.px(3.4), Stroke::new(stage.px(1.3), stage.palette.quiet));
    let left = pos2(cell.left() + stage.px(11.0), cell.top() + stage.px(7.0));
    let right = pos2(left.x + stage.px(9.5), left.y);
    for glass in [left, right] {
        ui.painter().circle_stroke(glass, radius, stroke);
    }
    ui.painter().hline(left.x + radius..=right.x - radius, left.y - stage.px(0.8), stroke);
}
