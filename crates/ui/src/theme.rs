//! Colours: ink on warm paper by day, chalk on slate by night; aubergine for the right hand, bronze for the left.
//!
//! Colour never stands alone: the right hand is round and the left one square wherever they are drawn.

use egui::{Color32, Stroke, Visuals};
use theory::Hand;

/// Day or night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Theme {
    /// Ink on warm paper.
    #[default]
    Day,
    /// Chalk on slate.
    Night,
}

impl Theme {
    /// The other one.
    pub const fn other(self) -> Theme {
        match self {
            Theme::Day => Theme::Night,
            Theme::Night => Theme::Day,
        }
    }

    /// Its colours.
    pub const fn palette(self) -> &'static Palette {
        match self {
            Theme::Day => &DAY,
            Theme::Night => &NIGHT,
        }
    }
}

/// All colours of a theme. Text colours keep 4.5 : 1 against every ground they stand on, marks 3 : 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Palette {
    /// Behind everything.
    pub ground: Color32,
    /// The page of the chart and other cards.
    pub page: Color32,
    /// Hairlines that only order the page.
    pub rule: Color32,
    /// Bar lines and outlines that carry meaning.
    pub line: Color32,
    /// Text and whatever must be seen.
    pub ink: Color32,
    /// Text that steps back.
    pub quiet: Color32,
    /// The right hand.
    pub right: Color32,
    /// A ground in the right hand's hue.
    pub right_tint: Color32,
    /// The left hand.
    pub left: Color32,
    /// A ground in the left hand's hue.
    pub left_tint: Color32,
    /// The place one is at.
    pub here: Color32,
    /// How it went, from a little to much to do.
    pub went: [Color32; 3],
    /// A ground for the window in time.
    pub in_time: Color32,
}

/// Colours of the keys; a keyboard is a thing, so it hardly changes with the theme.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Keys {
    /// A white key.
    pub white: Color32,
    /// A black key.
    pub black: Color32,
    /// Edges between white keys.
    pub edge: Color32,
    /// Letters on white keys.
    pub text: Color32,
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

const DAY: Palette = Palette {
    ground: rgb(0xF8F3EA),
    page: rgb(0xFFFEF9),
    rule: rgb(0xE4DACA),
    line: rgb(0x857B6B),
    ink: rgb(0x2A2520),
    quiet: rgb(0x5F5749),
    right: rgb(0x7A3466),
    right_tint: rgb(0xEEDDE8),
    left: rgb(0x6B520B),
    left_tint: rgb(0xF1E8CF),
    here: rgb(0xF3E9D2),
    went: [rgb(0xF8EEE4), rgb(0xF3E0D0), rgb(0xEDD0BA)],
    in_time: rgb(0xEDE8DC),
};

const NIGHT: Palette = Palette {
    ground: rgb(0x1D2225),
    page: rgb(0x252B2F),
    rule: rgb(0x3A4247),
    line: rgb(0x889096),
    ink: rgb(0xEDE8DC),
    quiet: rgb(0xBAB7AC),
    right: rgb(0xDFACD2),
    right_tint: rgb(0x48334A),
    left: rgb(0xDEC07A),
    left_tint: rgb(0x443D28),
    here: rgb(0x40402F),
    went: [rgb(0x3A332F), rgb(0x483A33), rgb(0x574238)],
    in_time: rgb(0x30373B),
};

const DAY_KEYS: Keys =
    Keys { white: rgb(0xFFFFFF), black: rgb(0x2A2520), edge: rgb(0x8A8070), text: rgb(0x6B6355) };
const NIGHT_KEYS: Keys =
    Keys { white: rgb(0xDAD6CC), black: rgb(0x14181A), edge: rgb(0x585F63), text: rgb(0x4E483D) };

impl Theme {
    /// The colours of the keyboard.
    pub const fn keys(self) -> &'static Keys {
        match self {
            Theme::Day => &DAY_KEYS,
            Theme::Night => &NIGHT_KEYS,
        }
    }
}

impl Palette {
    /// The colour of a hand for text and marks on paper.
    pub const fn hand(&self, hand: Hand) -> Color32 {
        match hand {
            Hand::Right => self.right,
            Hand::Left => self.left,
        }
    }

    /// The ground of a hand's strikes.
    pub const fn tint(&self, hand: Hand) -> Color32 {
        match hand {
            Hand::Right => self.right_tint,
            Hand::Left => self.left_tint,
        }
    }
}

/// A hand's mark on a key: fill and the text on it. Dark on white keys and light on black ones, by day and night.
pub const fn key_mark(hand: Hand, black: bool) -> (Color32, Color32) {
    let palette = if black { &NIGHT } else { &DAY };
    (palette.hand(hand), if black { DAY.ink } else { Color32::WHITE })
}

/// egui's own widgets (sliders, scroll bars, popups) in these colours.
pub(crate) fn visuals(theme: Theme) -> Visuals {
    let palette = theme.palette();
    let mut visuals = if theme == Theme::Night { Visuals::dark() } else { Visuals::light() };
    visuals.override_text_color = Some(palette.ink);
    visuals.weak_text_color = Some(palette.quiet);
    visuals.panel_fill = palette.ground;
    visuals.window_fill = palette.page;
    visuals.window_stroke = Stroke::new(1.0, palette.line);
    visuals.extreme_bg_color = palette.page;
    visuals.selection.bg_fill = palette.here;
    visuals.selection.stroke = Stroke::new(2.0, palette.ink);
    visuals.text_cursor.stroke = Stroke::new(2.0, palette.ink);
    visuals.text_cursor.blink = false;
    visuals.popup_shadow = egui::Shadow::NONE;
    visuals.window_shadow = egui::Shadow::NONE;
    let widgets = &mut visuals.widgets;
    for state in [
        &mut widgets.noninteractive,
        &mut widgets.inactive,
        &mut widgets.hovered,
        &mut widgets.active,
        &mut widgets.open,
    ] {
        state.bg_fill = palette.rule;
        state.weak_bg_fill = palette.page;
        state.bg_stroke = Stroke::new(1.0, palette.rule);
        state.fg_stroke = Stroke::new(1.5, palette.ink);
        state.expansion = 0.0;
    }
    widgets.inactive.bg_fill = palette.line;
    widgets.hovered.bg_fill = palette.quiet;
    widgets.active.bg_fill = palette.ink;
    visuals
}
