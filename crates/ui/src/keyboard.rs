//! The keyboard: where each key lies, how it is drawn, and playing it with the mouse.

use crate::key_marks::{self, KeyMark};
use crate::stage::Stage;
use crate::{Command, KeyboardView, fonts, keys as computer_keys, plain};
use egui::{Color32, CornerRadius, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
use theory::MidiKey;
use voicing::KeyRange;

/// Where the keys lie.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Geometry {
    rect: Rect,
    low: MidiKey,
    high: MidiKey,
    white_width: f32,
}

impl Geometry {
    /// Keys of a range in a box.
    pub fn new(rect: Rect, range: KeyRange) -> Geometry {
        let whites = keys(range.low(), range.high()).filter(|key| !key.is_black()).count().max(1);
        Geometry { rect, low: range.low(), high: range.high(), white_width: rect.width() / whites as f32 }
    }

    /// All keys.
    pub fn keys(&self) -> impl Iterator<Item = MidiKey> {
        keys(self.low, self.high)
    }

    /// The box of a key; `None` for a key that is not drawn.
    pub fn key(&self, key: MidiKey) -> Option<Rect> {
        if key < self.low || key > self.high {
            return None;
        }
        let before = keys(self.low, self.high).take_while(|k| *k < key).filter(|k| !k.is_black()).count();
        let x = self.rect.left() + before as f32 * self.white_width;
        if !key.is_black() {
            return Some(Rect::from_min_size(
                pos2(x, self.rect.top()),
                vec2(self.white_width, self.rect.height()),
            ));
        }
        let wide = 0.60 * self.white_width;
        let middle = x + black_offset(key) * self.white_width;
        let size = vec2(wide, 0.63 * self.rect.height());
        let left =
            (middle - 0.5 * wide).clamp(self.rect.left(), (self.rect.right() - wide).max(self.rect.left()));
        Some(Rect::from_min_size(pos2(left, self.rect.top()), size))
    }

    /// The key at a place; black keys lie over white ones.
    pub fn at(&self, place: Pos2) -> Option<MidiKey> {
        let hit = |black: bool| {
            self.keys()
                .filter(move |key| key.is_black() == black)
                .find(|key| self.key(*key).is_some_and(|rect| rect.contains(place)))
        };
        hit(true).or_else(|| hit(false))
    }
}

fn keys(low: MidiKey, high: MidiKey) -> impl Iterator<Item = MidiKey> {
    (low.number()..=high.number()).filter_map(MidiKey::new)
}

/// How far the middle of a black key lies from the line between its neighbours, in white keys: the outer ones of each
/// group lean outwards, as on a real keyboard (common practice of makers, no source).
fn black_offset(key: MidiKey) -> f32 {
    match key.number() % 12 {
        1 => -0.10,
        3 => 0.10,
        6 => -0.14,
        10 => 0.14,
        _ => 0.0,
    }
}

/// Which keys are drawn.
pub(crate) fn range(stage: &Stage<'_>) -> KeyRange {
    match stage.model.view.keyboard {
        KeyboardView::Full => KeyRange::FULL,
        KeyboardView::Players => stage.model.settings.keys,
        KeyboardView::Song => stage.model.sheet.map_or(KeyRange::FULL, |sheet| sheet.used),
    }
}

/// Draws the keyboard, and turns the mouse on it into keys.
pub(crate) fn show(ui: &Ui, rect: Rect, stage: &mut Stage<'_>) {
    let colors = stage.model.view.theme.keys();
    let felt = stage.px(6.0);
    let body = Rect::from_min_max(rect.min + vec2(0.0, felt), rect.max);
    let geometry = Geometry::new(body, range(stage));
    let painter = ui.painter();
    let marks = key_marks::marks(stage);
    painter.rect_filled(body, stage.px(2.0), colors.edge);
    for key in geometry.keys().filter(|k| !k.is_black()) {
        white_key(painter, stage, &geometry, key, &marks);
    }
    for key in geometry.keys().filter(|k| k.is_black()) {
        black_key(painter, stage, &geometry, key, &marks);
    }
    painter.rect_filled(Rect::from_min_size(rect.min, vec2(rect.width(), felt)), 0.0, stage.palette.ink);
    for mark in &marks {
        if let Some(key_rect) = geometry.key(mark.key) {
            key_marks::draw(painter, stage, key_rect, mark);
        }
    }
    off_screen(painter, stage, rect, &geometry, &marks);
    mouse(ui, rect, stage, &geometry, &marks);
}

fn pressed(marks: &[KeyMark], key: MidiKey) -> bool {
    marks.iter().any(|mark| mark.key == key && mark.held.is_some())
}

fn white_key(painter: &Painter, stage: &Stage<'_>, geometry: &Geometry, key: MidiKey, marks: &[KeyMark]) {
    let Some(rect) = geometry.key(key) else { return };
    let colors = stage.model.view.theme.keys();
    let low = stage.px(4.0).min(0.2 * rect.width()) as u8;
    let corner = CornerRadius { nw: 0, ne: 0, sw: low, se: low };
    let fill = if pressed(marks, key) { mix(colors.white, colors.edge, 0.18) } else { colors.white };
    painter.rect_filled(rect.shrink2(vec2(0.5, 0.0)), corner, fill);
    let lettered = letter(painter, stage, rect, key);
    if !lettered && key.number().is_multiple_of(12) && rect.width() > stage.px(16.0) {
        let size = stage.px(13.0).min(0.46 * rect.width());
        let at = pos2(rect.center().x, rect.bottom() - stage.px(9.0));
        plain::baseline_centred(painter, at, &key.pitch().to_string(), fonts::sans(size), colors.text);
    }
}

/// The letter of the computer keyboard that plays a key, where none of the marks lie: in front on a white key, in place
/// of the note's name, and far back on a black one.
fn letter(painter: &Painter, stage: &Stage<'_>, rect: Rect, key: MidiKey) -> bool {
    let view = stage.model.view;
    let letter = computer_keys::piano_letter(key, view.piano_octave).filter(|_| view.piano_keys);
    let Some(letter) = letter.filter(|_| rect.width() > stage.px(8.0)) else { return false };
    let colors = view.theme.keys();
    let size = stage.px(15.0).min(0.8 * rect.width());
    let (y, color) = if key.is_black() {
        (rect.top() + 0.35 * rect.height(), colors.white)
    } else {
        (rect.bottom() - stage.px(9.0), colors.text)
    };
    plain::baseline_centred(painter, pos2(rect.center().x, y), letter, fonts::bold(size), color);
    true
}

fn black_key(painter: &Painter, stage: &Stage<'_>, geometry: &Geometry, key: MidiKey, marks: &[KeyMark]) {
    let Some(rect) = geometry.key(key) else { return };
    let colors = stage.model.view.theme.keys();
    let low = stage.px(3.0) as u8;
    let corner = CornerRadius { nw: 0, ne: 0, sw: low, se: low };
    painter.rect(rect, corner, colors.black, Stroke::new(1.0, colors.black), StrokeKind::Outside);
    let sunk = if pressed(marks, key) { 0.02 } else { 0.06 };
    let top = Rect::from_min_max(
        rect.min + vec2(0.12 * rect.width(), 0.0),
        pos2(rect.right() - 0.12 * rect.width(), rect.bottom() - sunk * rect.height()),
    );
    painter.rect_filled(top, corner, mix(colors.black, Color32::WHITE, 0.07));
    letter(painter, stage, rect, key);
}

/// A mix of two colours.
pub(crate) fn mix(a: Color32, b: Color32, share: f32) -> Color32 {
    let one = |a: u8, b: u8| (f32::from(a) + share * (f32::from(b) - f32::from(a))).round() as u8;
    Color32::from_rgb(one(a.r(), b.r()), one(a.g(), b.g()), one(a.b(), b.b()))
}

/// Notes beyond the drawn keys are told at the edge.
fn off_screen(painter: &Painter, stage: &Stage<'_>, rect: Rect, geometry: &Geometry, marks: &[KeyMark]) {
    let outside = |low: bool| {
        let beyond = |m: &&KeyMark| if low { m.key < geometry.low } else { m.key > geometry.high };
        let names: Vec<String> = marks.iter().filter(beyond).map(|m| m.name()).collect();
        names.join(" ")
    };
    let font = fonts::bold(stage.px(14.0));
    let colors = stage.model.view.theme.keys();
    let y = rect.bottom() - stage.px(64.0);
    for (text, x, left) in [
        (outside(true), rect.left() + stage.px(6.0), true),
        (outside(false), rect.right() - stage.px(6.0), false),
    ] {
        if text.is_empty() {
            continue;
        }
        let text = if left { format!("← {text}") } else { format!("{text} →") };
        let wide = plain::width(painter, &text, &font);
        let from = if left { x } else { x - wide };
        let label = Rect::from_min_size(pos2(from, y - stage.px(16.0)), vec2(wide, stage.px(22.0)));
        painter.rect_filled(label.expand(stage.px(3.0)), stage.px(3.0), colors.white);
        plain::baseline(painter, pos2(from, y), &text, font.clone(), colors.text);
    }
}

/// A pressed mouse plays the key under it, harder towards the front edge; dragging glides.
fn mouse(ui: &Ui, rect: Rect, stage: &mut Stage<'_>, geometry: &Geometry, marks: &[KeyMark]) {
    let id = ui.scope_id().with("keyboard");
    let response = ui.interact(rect, id, Sense::hover());
    let label = key_marks::spoken(stage, geometry.low, geometry.high, marks);
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Image, true, &label));
    let before = ui.data(|d| d.get_temp::<MidiKey>(id));
    let (down, origin, place) =
        ui.input(|i| (i.pointer.primary_down(), i.pointer.press_origin(), i.pointer.interact_pos()));
    let begun_here =
        origin.is_some_and(|o| rect.contains(o)) && (response.contains_pointer() || before.is_some());
    let now = place.filter(|_| down && begun_here).and_then(|p| geometry.at(p).map(|key| (key, p)));
    if now.map(|(key, _)| key) == before {
        return;
    }
    if let Some(key) = before {
        stage.out.push(Command::KeyUp(key));
    }
    match now {
        Some((key, place)) => {
            let depth = geometry.key(key).map_or(0.5, |r| (place.y - r.top()) / r.height());
            stage.out.push(Command::KeyDown(key, (40.0 + 70.0 * depth.clamp(0.0, 1.0)) as u8));
            ui.data_mut(|d| d.insert_temp(id, key));
        }
        None => ui.data_mut(|d| d.remove::<MidiKey>(id)),
    }
}
