//! A picture of early and late: every strike over the time of the song, early above the middle line, late below.

use crate::key_marks::solid;
use crate::stage::Stage;
use crate::{fonts, plain};
use egui::{Painter, Rect, Role, ScrollArea, Sense, Stroke, Ui, UiBuilder, pos2, vec2};
use practice::{NoteScore, Score, Timeline};
use theory::Hand;
use voicing::Part;

/// Units.
const MARGIN: f32 = 92.0;
const LEAST_PER_QUARTER: f32 = 13.0;
const EDGE: f32 = 8.0;

/// What the picture shows of, and where.
struct Axes {
    left: f32,
    per_quarter: f32,
    first: f64,
    middle: f32,
    half: f32,
    most_ms: f64,
}

impl Axes {
    fn x(&self, quarters: f64) -> f32 {
        self.left + self.per_quarter * (quarters - self.first) as f32
    }
    fn y(&self, ms: f64) -> f32 {
        self.middle + self.half * (ms / self.most_ms).clamp(-1.0, 1.0) as f32
    }
}

/// Draws the picture on its card.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &Stage<'_>) {
    stage.card(ui, rect);
    let Some(lap) = stage.lap() else { return };
    let (part, score) = (&*lap.part, &*lap.score);
    let Some((first, last)) = span(part, score) else { return };
    let plot =
        Rect::from_min_max(rect.min + vec2(stage.px(MARGIN), 0.0), rect.max - vec2(stage.px(12.0), 0.0));
    let narrow = (plot.width() - 2.0 * stage.px(EDGE)) / (last - first) as f32;
    let per_quarter = narrow.max(stage.px(LEAST_PER_QUARTER));
    let middle = rect.top() + 0.46 * rect.height();
    let half = 0.36 * rect.height();
    let most_ms = widest(score);
    labels(ui.painter(), rect, stage, &Axes { left: 0.0, per_quarter, first, middle, half, most_ms });
    ui.scope_builder(UiBuilder::new().max_rect(plot), |ui| {
        ScrollArea::horizontal().id_salt("early and late").auto_shrink([false, false]).show(ui, |ui| {
            let wide = per_quarter * (last - first) as f32 + 2.0 * stage.px(EDGE);
            let (_, space) = ui.allocate_space(vec2(wide, plot.height() - stage.px(8.0)));
            // The first strike stands clear of the edge.
            let left = space.left() + stage.px(EDGE);
            let axes = Axes { left, per_quarter, first, middle, half, most_ms };
            draw(ui.painter(), space, stage, part, score, &axes);
        });
    });
    let response = ui.interact(rect, ui.scope_id().with("early and late"), Sense::hover());
    let told = crate::results::words(score).join(" ");
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Image, true, format!("Early and late. {told}")));
}

/// From the first bar scored to the end of the last, in quarters.
fn span(part: &Part, score: &Score) -> Option<(f64, f64)> {
    let first = part.bars.get(score.bars.iter().map(|b| b.bar).min()?)?;
    let last = part.bars.get(score.bars.iter().map(|b| b.bar).max()?)?;
    Some((first.played.start.to_f64(), (last.played.start + last.played.meter.length()).to_f64()))
}

/// The widest window, as the player felt it.
fn widest(score: &Score) -> f64 {
    score.notes.iter().map(|n| score.as_played_ms(n.window)).fold(60.0, f64::max)
}

fn labels(painter: &Painter, rect: Rect, stage: &Stage<'_>, axes: &Axes) {
    let palette = stage.palette;
    let x = rect.left() + stage.px(18.0);
    for (text, y) in [
        ("early", axes.middle - 0.62 * axes.half),
        ("in time", axes.middle),
        ("late", axes.middle + 0.62 * axes.half),
        ("missed", lane(rect, stage)),
    ] {
        plain::baseline(
            painter,
            pos2(x, y + stage.px(5.0)),
            text,
            fonts::italic(stage.px(15.0)),
            palette.quiet,
        );
    }
}

/// The middle of the lane of missed notes.
fn lane(rect: Rect, stage: &Stage<'_>) -> f32 {
    rect.bottom() - stage.px(18.0)
}

fn draw(painter: &Painter, space: Rect, stage: &Stage<'_>, part: &Part, score: &Score, axes: &Axes) {
    let palette = stage.palette;
    bands(painter, space, stage, score, axes);
    let mut section = usize::MAX;
    for bar in &score.bars {
        let Some(played) = part.bars.get(bar.bar).map(|b| &b.played) else { continue };
        let x = axes.x(played.start.to_f64());
        let starts = played.section != section;
        section = played.section;
        let color = if starts { palette.line } else { palette.rule };
        painter.vline(x, space.top() + stage.px(22.0)..=space.bottom(), Stroke::new(1.0, color));
        if starts {
            let at = pos2(x + stage.px(4.0), space.top() + stage.px(16.0));
            plain::baseline(
                painter,
                at,
                &part.sections[section],
                fonts::italic(stage.px(13.5)),
                palette.quiet,
            );
        }
    }
    painter.hline(space.x_range(), axes.middle, Stroke::new(stage.px(1.2), palette.line));
    if score.steady_shift.is_some() {
        return beside_the_beat(painter, stage, score, axes);
    }
    let seen = painter.clip_rect().x_range().expand(stage.px(8.0));
    for note in score.notes.iter().filter(|note| seen.contains(axes.x(note.start.to_f64()))) {
        strike(painter, space, stage, score, note, axes);
    }
    wrong(painter, space, stage, part, score, axes);
    if let Some(at) = stage.model.replay {
        let y = space.top() + stage.px(22.0)..=space.bottom();
        painter.vline(axes.x(at), y, Stroke::new(stage.px(2.0), palette.ink));
    }
}

/// Where all strikes lie beside the beat by as much, none of them is drawn as missed: the one thing to say is said.
fn beside_the_beat(painter: &Painter, stage: &Stage<'_>, score: &Score, axes: &Axes) {
    let said = practice::remarks(score).into_iter().find(|remark| remark.is_of_time());
    let text = said.map(|remark| crate::reasons::sentence(&remark.text())).unwrap_or_default();
    let late = score.steady_shift.is_some_and(|shift| shift.by.ms() > 0.0);
    let y = axes.middle + if late { 0.62 } else { -0.62 } * axes.half + stage.px(6.0);
    let at = pos2(painter.clip_rect().left() + stage.px(40.0), y);
    plain::baseline(painter, at, &text, fonts::sans(stage.px(18.0)), stage.palette.ink);
}

/// The ground of what is in time.
fn bands(painter: &Painter, space: Rect, stage: &Stage<'_>, score: &Score, axes: &Axes) {
    let narrow = score.notes.iter().map(|n| score.as_played_ms(n.narrow)).fold(f64::MAX, f64::min);
    let narrow = if narrow > 1e6 { 40.0 } else { narrow };
    let band = Rect::from_x_y_ranges(space.x_range(), axes.y(-narrow)..=axes.y(narrow));
    painter.rect_filled(band, 0.0, stage.palette.in_time);
}

fn strike(painter: &Painter, space: Rect, stage: &Stage<'_>, score: &Score, note: &NoteScore, axes: &Axes) {
    let x = axes.x(note.start.to_f64());
    let color = stage.palette.hand(note.hand);
    let radius = stage.px(3.4);
    match note.error {
        Some(error) => {
            let centre = pos2(x, axes.y(score.as_played_ms(error)));
            let fill = if note.in_time { color } else { stage.palette.page };
            solid(painter, centre, radius, note.hand, fill, Stroke::new(stage.px(1.4), color));
        }
        None => {
            let centre = pos2(x, lane(space, stage) + stage.px(4.0));
            cross(painter, centre, radius, Stroke::new(stage.px(1.8), color));
            if note.hand == Hand::Left {
                painter.hline(
                    x - radius..=x + radius,
                    centre.y + 1.7 * radius,
                    Stroke::new(stage.px(1.4), color),
                );
            }
        }
    }
}

/// Keys that are not in the part: crosses in ink on the line of the lane.
fn wrong(painter: &Painter, space: Rect, stage: &Stage<'_>, part: &Part, score: &Score, axes: &Axes) {
    let timeline = Timeline::new(part);
    for extra in &score.extras {
        let x = axes.x(timeline.quarters(extra.played_at));
        let centre = pos2(x, space.top() + stage.px(28.0));
        cross(painter, centre, stage.px(3.4), Stroke::new(stage.px(1.8), stage.palette.ink));
    }
}

fn cross(painter: &Painter, centre: egui::Pos2, r: f32, stroke: Stroke) {
    painter.line_segment([centre + vec2(-r, -r), centre + vec2(r, r)], stroke);
    painter.line_segment([centre + vec2(-r, r), centre + vec2(r, -r)], stroke);
}
