//! A line of text to type in, in the serif of the chart, with its mistakes underlined in place.

use crate::stage::Stage;
use crate::{fonts, plain};
use egui::text::{CCursor, CCursorRange, LayoutJob, TextFormat};
use egui::text_edit::TextEditState;
use egui::{Color32, Frame, Id, Pos2, Rect, Response, Shape, Stroke, TextEdit, Ui, UiBuilder, pos2};
use song::Severity;
use song::typing::Mark;

/// A line before it is drawn.
pub(crate) struct TextLine<'a> {
    /// Its place in egui's memory.
    pub id: Id,
    /// What assistive technology reads.
    pub name: &'a str,
    /// What stands in it while it is empty.
    pub hint: &'a str,
    /// In units.
    pub size: f32,
    /// What is wrong in it.
    pub marks: &'a [Mark],
    /// Tab is for the line itself.
    pub takes_tab: bool,
}

/// What came of it in this frame.
pub(crate) struct Typed {
    /// Whether it has the focus.
    pub focused: bool,
    /// Somebody typed.
    pub changed: bool,
    /// The selection in bytes of the text, where it has the focus; both the same without one.
    pub selected: Option<(usize, usize)>,
    /// Its response.
    pub response: Response,
}

impl Typed {
    /// Where one types, in bytes of the text.
    pub fn cursor(&self) -> Option<usize> {
        self.selected.map(|(_, to)| to)
    }
}

impl TextLine<'_> {
    /// Draws it with its text, which is what was typed afterwards.
    pub fn show(&self, ui: &mut Ui, rect: Rect, stage: &Stage<'_>, text: &mut String) -> Typed {
        let font = fonts::serif(stage.px(self.size));
        let ink = stage.palette.ink;
        let focused = ui.memory(|memory| memory.has_focus(self.id));
        ground(ui, rect, stage, focused);
        let inner = rect.shrink2(egui::vec2(stage.px(6.0), stage.px(2.0)));
        let mut child = ui.new_child(UiBuilder::new().max_rect(inner).id_salt(self.id));
        child.visuals_mut().text_cursor.blink = false;
        child.visuals_mut().text_cursor.stroke = Stroke::new(stage.px(2.0), ink);
        let mut layouter = |ui: &Ui, text: &dyn egui::TextBuffer, _wrap: f32| {
            let mut job = LayoutJob::default();
            job.append(text.as_str(), 0.0, TextFormat::simple(font.clone(), ink));
            job.keep_trailing_whitespace = true;
            ui.fonts_mut(|fonts| fonts.layout_job(job))
        };
        let before = text.clone();
        let shown = TextEdit::singleline(text)
            .id(self.id)
            .frame(Frame::NONE)
            .font(font.clone())
            .hint_text(egui::RichText::new(self.hint).font(fonts::italic(stage.px(0.8 * self.size))))
            .desired_width(inner.width())
            .lock_focus(self.takes_tab)
            .layouter(&mut layouter)
            .show(&mut child);
        let response = shown.response.response.clone();
        let name = self.name.to_owned();
        ui.ctx().accesskit_node_builder(self.id, |node| node.set_label(name));
        if before == *text {
            // Where the text just changed, the marks are those of the one before.
            for mark in self.marks {
                let place = |byte: usize| {
                    let chars = text.get(..byte).map_or(0, |text| text.chars().count());
                    let at = shown.galley.pos_from_cursor(CCursor::new(chars));
                    shown.galley_pos + at.left_bottom().to_vec2()
                };
                underline(ui, stage, (place(mark.span.0), place(mark.span.1)), mark.severity);
            }
        }
        let selected = shown.cursor_range.filter(|_| response.has_focus()).map(|range| {
            let chars = range.as_sorted_char_range();
            let byte = |index: usize| text.char_indices().nth(index).map_or(text.len(), |(at, _)| at);
            (byte(chars.start.0), byte(chars.end.0))
        });
        Typed { focused: response.has_focus(), changed: before != *text, selected, response }
    }
}

/// Puts the cursor into a line, at a place in characters.
pub(crate) fn type_in(ui: &Ui, id: Id, at: usize) {
    let mut state = TextEditState::load(ui.ctx(), id).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::one(CCursor::new(at))));
    state.store(ui.ctx(), id);
    ui.memory_mut(|memory| memory.request_focus(id));
}

fn ground(ui: &Ui, rect: Rect, stage: &Stage<'_>, focused: bool) {
    let color = if focused { stage.palette.line } else { stage.palette.rule };
    let stroke = Stroke::new(if focused { stage.px(1.6) } else { 1.0 }, color);
    ui.painter().hline(rect.x_range(), rect.bottom() - stage.px(1.0), stroke);
}

/// A wave under a mistake, dots under a warning.
fn underline(ui: &Ui, stage: &Stage<'_>, (from, to): (Pos2, Pos2), severity: Severity) {
    let color: Color32 = if severity == Severity::Error { stage.palette.ink } else { stage.palette.quiet };
    let (y, step) = (from.y - stage.px(1.0), stage.px(3.0));
    let right = to.x.max(from.x + 2.0 * step);
    let count = ((right - from.x) / step).ceil() as usize;
    if severity == Severity::Error {
        let wave =
            |n: usize| pos2(from.x + n as f32 * step, y + if n.is_multiple_of(2) { 0.0 } else { step });
        let points: Vec<Pos2> = (0..=count).map(wave).collect();
        ui.painter().add(Shape::line(points, Stroke::new(stage.px(1.6), color)));
    } else {
        for n in (0..=count).step_by(2) {
            let at = pos2(from.x + n as f32 * step, y + stage.px(1.0));
            ui.painter().circle_filled(at, stage.px(1.1), color);
        }
    }
}

/// A line of small words under a text.
pub(crate) fn small(ui: &Ui, at: Pos2, stage: &Stage<'_>, text: &str, room: f32) -> Rect {
    let font = fonts::sans(stage.px(13.5));
    let text = plain::elided(ui.painter(), text, &font, room);
    plain::baseline(ui.painter(), at, &text, font, stage.palette.quiet)
}
