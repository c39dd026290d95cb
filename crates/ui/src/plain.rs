//! Controls in plain type: a word that can be clicked; the chosen one is underlined.

use crate::fonts;
use crate::keys::{self, Ask};
use crate::theme::Palette;
use egui::{
    Align2, Color32, FontId, Painter, Pos2, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, pos2, vec2,
};

/// Share of a font's size that lies above its baseline, in the DejaVu family.
const ASCENT: f32 = 0.93;

/// Draws text on a baseline; returns the box it takes.
pub(crate) fn baseline(painter: &Painter, at: Pos2, text: &str, font: FontId, color: Color32) -> Rect {
    let top = at - vec2(0.0, ASCENT * font.size);
    painter.text(top, Align2::LEFT_TOP, text, font, color)
}

/// Draws text centred on a point of its baseline.
pub(crate) fn baseline_centred(
    painter: &Painter,
    at: Pos2,
    text: &str,
    font: FontId,
    color: Color32,
) -> Rect {
    let top = at - vec2(0.0, ASCENT * font.size);
    painter.text(top, Align2::CENTER_TOP, text, font, color)
}

/// Draws text that ends at a point of its baseline.
pub(crate) fn baseline_right(painter: &Painter, at: Pos2, text: &str, font: FontId, color: Color32) -> Rect {
    let top = at - vec2(0.0, ASCENT * font.size);
    painter.text(top, Align2::RIGHT_TOP, text, font, color)
}

/// The width of a text.
pub(crate) fn width(painter: &Painter, text: &str, font: &FontId) -> f32 {
    painter.layout_no_wrap(text.to_owned(), font.clone(), Color32::BLACK).size().x
}

/// The text, or its beginning with `…` where it would be wider than `limit`.
pub(crate) fn elided(painter: &Painter, text: &str, font: &FontId, limit: f32) -> String {
    if width(painter, text, font) <= limit {
        return text.to_owned();
    }
    let chars: Vec<char> = text.chars().collect();
    let fits = |n: usize| {
        let short: String = chars[..n].iter().collect();
        width(painter, &format!("{}…", short.trim_end()), font) <= limit
    };
    let mut low = 0;
    let mut high = chars.len();
    while low < high {
        let middle = (low + high).div_ceil(2);
        if fits(middle) { low = middle } else { high = middle - 1 }
    }
    let short: String = chars[..low].iter().collect();
    if low == 0 { String::new() } else { format!("{}…", short.trim_end()) }
}

/// The text in the largest of these sizes in which it is no wider than `limit`, in the last one cut short.
pub(crate) fn fitted(
    painter: &Painter,
    text: &str,
    font: impl Fn(f32) -> FontId,
    sizes: &[f32],
    limit: f32,
) -> (String, FontId) {
    let fits = |size: &&f32| width(painter, text, &font(**size)) <= limit;
    let size = sizes.iter().find(fits).or(sizes.last()).copied().unwrap_or(0.0);
    (elided(painter, text, &font(size), limit), font(size))
}

/// A word that can be clicked.
pub(crate) struct Word<'a> {
    /// What is drawn.
    pub text: &'a str,
    /// What assistive technology reads, and the tooltip.
    pub name: &'a str,
    /// Its shortcut, if it has one.
    pub ask: Option<Ask>,
    /// Its type.
    pub font: FontId,
    /// Whether it is one of several, and the chosen one.
    pub chosen: Option<bool>,
    /// Drawn as a value rather than as an offer.
    pub strong: bool,
}

impl<'a> Word<'a> {
    /// A word in sans of a size.
    pub fn new(text: &'a str, size: f32) -> Self {
        Word { text, name: text, ask: None, font: fonts::sans(size), chosen: None, strong: false }
    }
    /// With the name that is read out.
    pub fn named(mut self, name: &'a str) -> Self {
        self.name = name;
        self
    }
    /// With a shortcut.
    pub fn asks(mut self, ask: Ask) -> Self {
        self.ask = Some(ask);
        self
    }
    /// As one of several.
    pub fn chosen(mut self, chosen: bool) -> Self {
        self.chosen = Some(chosen);
        self
    }
    /// As a value.
    pub fn strong(mut self) -> Self {
        self.strong = true;
        self
    }
    /// In another typeface.
    pub fn font(mut self, font: FontId) -> Self {
        self.font = font;
        self
    }

    /// The name with the shortcut behind it.
    pub fn full_name(&self) -> String {
        full_name(self.name, self.ask)
    }

    /// Draws it with its left end on a baseline and says whether it was clicked.
    pub fn show(&self, ui: &mut Ui, at: Pos2, palette: &Palette) -> Response {
        let galley = ui.painter().layout_no_wrap(self.text.to_owned(), self.font.clone(), palette.ink);
        let top = pos2(at.x, at.y - ASCENT * self.font.size);
        let text_box = Rect::from_min_size(top, galley.size());
        let response =
            clickable(ui, text_box.expand2(vec2(6.0, 5.0)), &self.full_name(), self.chosen, palette);
        let strong = self.strong || self.chosen == Some(true) || response.hovered() || response.has_focus();
        let color = if strong { palette.ink } else { palette.quiet };
        ui.painter().galley_with_override_text_color(top, galley, color);
        if self.chosen == Some(true) {
            let y = at.y + 0.45 * self.font.size;
            ui.painter().hline(text_box.x_range(), y, Stroke::new(0.15 * self.font.size, palette.ink));
        }
        response
    }
}

/// `Play along (2)`.
pub(crate) fn full_name(name: &str, ask: Option<Ask>) -> String {
    with_key(name, &ask.map(keys::written).unwrap_or_default())
}

/// A name with its key behind it, if it has one.
pub(crate) fn with_key(name: &str, key: &str) -> String {
    if key.is_empty() { name.to_owned() } else { format!("{name} ({key})") }
}

/// A named, focusable, clickable box; draws only the ring of the focus.
pub(crate) fn clickable(
    ui: &mut Ui,
    rect: Rect,
    name: &str,
    chosen: Option<bool>,
    palette: &Palette,
) -> Response {
    let response = ui.interact(rect, ui.scope_id().with(name), Sense::click());
    let enabled = ui.is_enabled();
    response.widget_info(|| {
        let mut info = egui::WidgetInfo::labeled(Role::Button, enabled, name);
        info.selected = chosen;
        info
    });
    focus_ring(ui, &response, palette);
    response.on_hover_text(name)
}

/// Shows where the focus of the computer keyboard is.
pub(crate) fn focus_ring(ui: &Ui, response: &Response, palette: &Palette) {
    if response.has_focus() {
        let stroke = Stroke::new(2.0, palette.ink);
        ui.painter().rect_stroke(response.rect, 4.0, stroke, StrokeKind::Inside);
    }
}
