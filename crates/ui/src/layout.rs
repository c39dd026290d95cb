//! Where the parts of a page stand.

use egui::{Rect, pos2};

/// The boxes of the song page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SongPage {
    /// The line of controls.
    pub controls: Rect,
    /// Mistakes of the file, if there are any.
    pub strip: Option<Rect>,
    /// The chart.
    pub chart: Rect,
    /// The reasons.
    pub reasons: Rect,
    /// The bar in hand.
    pub bar: Rect,
    /// The keyboard.
    pub keyboard: Rect,
}

impl SongPage {
    /// All but the controls and the strip.
    pub fn rest(&self) -> Rect {
        Rect::from_min_max(self.chart.min, self.keyboard.max)
    }

    /// The bar in hand and the keyboard together.
    pub fn foot(&self) -> Rect {
        Rect::from_min_max(self.bar.min, self.keyboard.max)
    }

    /// The chart, the reasons and the bar in hand together.
    pub fn above_keyboard(&self) -> Rect {
        Rect::from_min_max(self.chart.min, self.bar.max)
    }
}

/// Units.
const CONTROLS: f32 = 58.0;
const EDGE: f32 = 18.0;
const GAP: f32 = 13.0;
const BAR: f32 = 146.0;
const KEYBOARD: f32 = 160.0;
const STRIP_LINE: f32 = 24.0;
/// What a pedal line takes under the bar in hand.
pub(crate) const PEDAL_LINE: f32 = 16.0;

/// The boxes of a window, in a scale; `mistakes` lines of the file's mistakes stand on top, and the bar in hand may have a
/// pedal line.
pub(crate) fn song_page(window: Rect, unit: f32, mistakes: usize, pedal: bool) -> SongPage {
    let px = |length: f32| length * unit;
    let (left, right) = (window.left() + px(EDGE), window.right() - px(EDGE));
    let controls = Rect::from_min_max(window.min, pos2(window.right(), window.top() + px(CONTROLS)));
    let mut top = controls.bottom() + px(GAP);
    let strip = (mistakes > 0).then(|| {
        let bottom = top + px(STRIP_LINE * mistakes as f32 + 14.0);
        let strip = Rect::from_min_max(pos2(left, top), pos2(right, bottom));
        top = bottom + px(GAP);
        strip
    });
    // A tall window gives the keyboard and the bar in hand a share of what it has too much.
    let spare = (window.height() - px(800.0)).max(0.0);
    let keyboard_top = window.bottom() - px(EDGE) - px(KEYBOARD) - 0.15 * spare;
    let keyboard = Rect::from_min_max(pos2(left, keyboard_top), pos2(right, window.bottom() - px(EDGE)));
    let bar_bottom = keyboard_top - px(GAP);
    let line = if pedal { px(PEDAL_LINE) } else { 0.0 };
    let bar_top = bar_bottom - px(BAR) - line - 0.1 * spare;
    let bar = Rect::from_min_max(pos2(left, bar_top), pos2(right, bar_bottom));
    let bottom = (bar_top - px(GAP)).max(top);
    let split = left + 0.725 * (right - left);
    SongPage {
        controls,
        strip,
        chart: Rect::from_min_max(pos2(left, top), pos2(split, bottom)),
        reasons: Rect::from_min_max(pos2(split + px(26.0), top + px(4.0)), pos2(right, bottom)),
        bar,
        keyboard,
    }
}
