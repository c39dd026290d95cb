//! A column that scrolls and never shows half a line: what the edge would cut is covered until it is scrolled to.

use crate::stage::Stage;
use egui::{LayerId, Rangef, Rect, ScrollArea, Shape, Stroke, Ui, vec2};

/// Lines that stick out by less than this, in points, are not cut for the eye.
const HAIR: f32 = 1.0;

/// Less than this below the edge, in units, is not worth a sign.
const LEAST: f32 = 6.0;

/// Shows a column of text that scrolls where it is too long.
pub(crate) fn column<'a>(
    ui: &mut Ui,
    stage: &mut Stage<'a>,
    id: &str,
    content: impl FnOnce(&mut Ui, &mut Stage<'a>),
) {
    let layer = ui.layer_id();
    let before = drawn(ui, layer);
    let bar = stage.px(10.0);
    let area = ScrollArea::vertical().id_salt(id).auto_shrink([false, false]).show(ui, |ui| {
        // Clear of the scroll bar; and the ring of the focus goes a little round words that begin at the edge.
        ui.set_max_width(ui.available_width() - bar);
        let clip = ui.clip_rect();
        ui.set_clip_rect(clip.with_min_x(clip.left() - stage.px(6.0)));
        content(ui, stage);
    });
    let (seen, rows) = rows(ui, layer, before);
    let whole = whole(seen, &rows);
    let view = area.inner_rect;
    let wide = Rangef::new(view.left() - stage.px(6.0), view.right() - bar);
    for cover in [Rangef::new(seen.min, whole.min), Rangef::new(whole.max, seen.max)] {
        if cover.span() > 0.0 {
            ui.painter().rect_filled(Rect::from_x_y_ranges(wide, cover), 0.0, stage.palette.ground);
        }
    }
    more_below(ui, stage, view, area.content_size.y - area.state.clamped_offset().y);
}

/// A small arrow in the track of the scroll bar, at its foot, while more of what scrolls lies below; `content` is how much
/// there is from the top of the view on.
pub(crate) fn more_below(ui: &Ui, stage: &Stage<'_>, view: Rect, content: f32) {
    if content < view.height() + stage.px(LEAST) {
        return;
    }
    let tip = view.right_bottom() - vec2(stage.px(5.0), stage.px(1.0));
    let (wide, high) = (stage.px(5.5), stage.px(7.0));
    let arrow = vec![tip + vec2(-wide, -high), tip + vec2(wide, -high), tip];
    ui.painter().add(Shape::convex_polygon(arrow, stage.palette.ink, Stroke::NONE));
}

/// What of a stretch is left when lines that its ends cut are taken away.
fn whole(view: Rangef, rows: &[Rangef]) -> Rangef {
    let mut whole = view;
    for row in rows {
        if row.min < view.max && view.max + HAIR < row.max {
            whole.max = whole.max.min(row.min);
        }
        if row.min + HAIR < view.min && view.min < row.max {
            whole.min = whole.min.max(row.max);
        }
    }
    whole
}

/// How many shapes are drawn so far.
fn drawn(ui: &Ui, layer: LayerId) -> usize {
    ui.ctx().graphics(|graphics| graphics.get(layer).map_or(0, |list| list.next_idx().0))
}

/// What is seen of the texts that were drawn since, and from where to where each of their lines lies.
fn rows(ui: &Ui, layer: LayerId, before: usize) -> (Rangef, Vec<Rangef>) {
    ui.ctx().graphics(|graphics| {
        let (mut seen, mut rows) = (Rangef::NOTHING, Vec::new());
        for clipped in graphics.get(layer).into_iter().flat_map(|list| list.all_entries().skip(before)) {
            let Shape::Text(text) = &clipped.shape else { continue };
            let clip = clipped.clip_rect.y_range();
            seen = Rangef::new(seen.min.min(clip.min), seen.max.max(clip.max));
            let lines = text.galley.rows.iter().map(|row| row.rect().translate(text.pos.to_vec2()));
            rows.extend(lines.map(|line| line.y_range()));
        }
        (seen, rows)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_the_edge_cuts_are_left_out() {
        let rows = [(0.0, 20.0), (20.0, 40.0), (40.0, 60.0)].map(|(top, bottom)| Rangef::new(top, bottom));
        assert_eq!(whole(Rangef::new(0.0, 50.0), &rows), Rangef::new(0.0, 40.0));
        assert_eq!(whole(Rangef::new(10.0, 60.0), &rows), Rangef::new(20.0, 60.0));
        assert_eq!(whole(Rangef::new(0.0, 59.5), &rows), Rangef::new(0.0, 59.5), "by a hair");
        assert_eq!(whole(Rangef::new(0.0, 60.0), &rows), Rangef::new(0.0, 60.0));
    }
}
