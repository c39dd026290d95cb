//! The typefaces: serif for music, sans for the rest, both from the DejaVu family, which has ♭ ♯ ♮.

use egui::{FontData, FontDefinitions, FontFamily, FontId};
use std::sync::Arc;

const BOLD: &str = "bold";
const SERIF: &str = "serif";
const SERIF_ITALIC: &str = "serif italic";

/// The font definitions: proportional and monospace are DejaVu Sans, and the families of the bold sans, the serif and its
/// italic.
pub fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::empty();
    let files: [(&str, &'static [u8]); 4] = [
        ("sans", dejavu::sans::regular()),
        (BOLD, dejavu::sans::bold()),
        (SERIF, dejavu::serif::regular()),
        (SERIF_ITALIC, dejavu::serif::italic()),
    ];
    for (name, bytes) in files {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(bytes)));
    }
    let family = |names: [&str; 2]| names.map(String::from).to_vec();
    fonts.families.insert(FontFamily::Proportional, vec!["sans".into()]);
    fonts.families.insert(FontFamily::Monospace, vec!["sans".into()]);
    fonts.families.insert(FontFamily::Name(BOLD.into()), family([BOLD, "sans"]));
    fonts.families.insert(FontFamily::Name(SERIF.into()), family([SERIF, "sans"]));
    fonts.families.insert(FontFamily::Name(SERIF_ITALIC.into()), family([SERIF_ITALIC, "sans"]));
    fonts
}

/// Sans, for words.
pub(crate) fn sans(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Bold sans, for fingers and hands.
pub(crate) fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(BOLD.into()))
}

/// Serif, for music.
pub(crate) fn serif(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(SERIF.into()))
}

/// Serif italic, for names of sections and the coach's words.
pub(crate) fn italic(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(SERIF_ITALIC.into()))
}
