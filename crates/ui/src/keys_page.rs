//! The page of all shortcuts, those of the pages that have their own, and signs.

use crate::keys::{self, SHORTCUTS};
use crate::pages::{frame, say};
use crate::practice::PRACTICE_KEYS;
use crate::practice::keys::PRACTICE_HEADING;
use crate::room_keys::ROOM_KEYS;
use crate::stage::Stage;
use crate::{fonts, plain};
use egui::{Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2};

/// Keys that stand on one line: how they are written there, what they do, and by their own names.
struct Line {
    keys: String,
    words: String,
    names: Vec<String>,
}

impl Line {
    fn of(keys: &str, words: &str) -> Line {
        Line { keys: keys.into(), words: words.into(), names: vec![format!("{keys}: {words}")] }
    }
}

/// Draws it, in columns.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Keys and signs");
    let blocks: [(&str, Vec<Line>); 4] = [
        ("", shortcuts()),
        (ROOM_HEADING, ROOM_KEYS.iter().map(|key| Line::of(key.written, key.words)).collect()),
        (PRACTICE_HEADING, PRACTICE_KEYS.iter().map(|(key, words)| Line::of(key, words)).collect()),
        ("", SIGNS.iter().map(|(sign, words)| Line::of(sign, words)).collect()),
    ];
    let rows: usize = blocks.iter().map(|(_, block)| block.len().div_ceil(COLUMNS)).sum();
    let headings = blocks.iter().filter(|(heading, _)| !heading.is_empty()).count();
    let foot = stage.px(34.0);
    let gaps = headings as f32 + 0.4 * blocks.len() as f32;
    let step = ((body.height() - foot) / (rows as f32 + gaps)).min(stage.px(30.0));
    let size = 14.5_f32.min(0.76 * step / stage.unit);
    let mut top = body.top() + 0.2 * step;
    for (heading, block) in &blocks {
        if !heading.is_empty() {
            let font = fonts::italic(stage.px(size));
            plain::baseline(ui.painter(), pos2(body.left(), top), heading, font, stage.palette.quiet);
            top += step;
        }
        top = lines(ui, Rect::from_min_max(pos2(body.left(), top), body.max), stage, block, (step, size));
        top += 0.4 * step;
    }
    let words = "While letters play notes: Z S X D C … is the lower row of keys, Q 2 W 3 E … an octave higher; − and + \
                 move both by an octave. Tab walks through all controls, Enter presses one.";
    let foot = Rect::from_min_max(pos2(body.left(), body.bottom() - foot), body.max);
    ui.scope_builder(UiBuilder::new().max_rect(foot), |ui| {
        say(ui, words, fonts::sans(stage.px(14.0)), stage.palette.quiet);
    });
}

/// Keys with their words, in columns; returns where the next line would stand.
fn lines(ui: &Ui, rect: Rect, stage: &Stage<'_>, lines: &[Line], (step, size): (f32, f32)) -> f32 {
    let rows = lines.len().div_ceil(COLUMNS);
    let column = rect.width() / COLUMNS as f32;
    let (key_font, font) = (fonts::bold(stage.px(size)), fonts::sans(stage.px(size)));
    for (index, line) in lines.iter().enumerate() {
        let x = rect.left() + (index / rows) as f32 * column;
        let y = rect.top() + (index % rows) as f32 * step;
        let keys = plain::baseline(ui.painter(), pos2(x, y), &line.keys, key_font.clone(), stage.palette.ink);
        let shown = plain::elided(ui.painter(), &line.words, &font, column - stage.px(KEY + 12.0));
        let at = pos2(x + stage.px(KEY), y);
        let place = plain::baseline(ui.painter(), at, &shown, font.clone(), stage.palette.ink);
        for name in &line.names {
            let response = ui.interact(keys.union(place), ui.scope_id().with(("key", name)), Sense::hover());
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, name));
        }
    }
    rect.top() + rows as f32 * step
}

/// The lines of the window's own shortcuts: those that [`TOGETHER`] names on one line where the first of them stands.
fn shortcuts() -> Vec<Line> {
    let name = |label: &str| {
        let words = SHORTCUTS.iter().find(|s| keys::label(s) == label).map_or("", |s| s.words);
        format!("{label}: {words}")
    };
    let mut lines = Vec::new();
    for shortcut in SHORTCUTS {
        let label = keys::label(shortcut);
        match TOGETHER.iter().find(|(_, _, labels)| labels.contains(&label.as_str())) {
            None => lines.push(Line::of(&label, shortcut.words)),
            Some((keys, words, labels)) if labels[0] == label => {
                let names = labels.iter().map(|label| name(label)).collect();
                lines.push(Line { keys: (*keys).into(), words: (*words).into(), names });
            }
            Some(_) => {}
        }
    }
    lines
}

/// Shortcuts that are read more easily together: how they are written, what they do, and each as it is named.
const TOGETHER: [(&str, &str, &[&str]); 11] = [
    ("→ ←", "a beat on, back", &["→", "←"]),
    ("Shift+→ ←", "a bar on, back", &["Shift+→", "Shift+←"]),
    ("Home End", "to the first bar, the last bar", &["Home", "End"]),
    ("↑ ↓", "5 % faster, slower", &["↑", "↓"]),
    ("Shift+↑ ↓", "1 % faster, slower", &["Shift+↑", "Shift+↓"]),
    ("1 2 3", "step, play along, listen", &["1", "2", "3"]),
    ("B R L", "both hands, right alone, left alone", &["B", "R", "L"]),
    ("[ ]", "loop from this bar, to this bar", &["[", "]"]),
    (", .", "the song a semitone lower, higher", &[",", "."]),
    ("− +", "quieter, louder", &["−", "+"]),
    ("F1 ?", "all keys and signs", &["F1", "?"]),
];

/// Columns of the page.
const COLUMNS: usize = 3;

const ROOM_HEADING: &str = "On the page of scales and chords these come first; with Shift they go back";

/// Room for a key or a sign, in units.
const KEY: f32 = 112.0;

/// The signs on the song's page that are not those of every chart.
const SIGNS: [(&str, &str); 12] = [
    ("✓", "struck, and in time"),
    ("◂", "struck early"),
    ("▸", "struck late"),
    ("×", "missed; on a key: not in the part"),
    ("○ ●", "right hand: all its marks are round"),
    ("□ ■", "left hand: all its marks are square"),
    ("1–5", "a finger, the thumb is 1"),
    ("◌", "a dashed mark: comes next"),
    ("hat", "over a digit: a degree of the scale"),
    ("◇", "strike once and let it ring"),
    ("^", "a push: an eighth early"),
    ("◥", "this pass differs from the others"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn every_shortcut_stands_on_one_line() {
        let named: Vec<String> = shortcuts().into_iter().flat_map(|line| line.names).collect();
        let wanted = SHORTCUTS.iter().map(|s| format!("{}: {}", keys::label(s), s.words));
        assert_eq!(named.len(), SHORTCUTS.len());
        assert_eq!(named.into_iter().collect::<HashSet<_>>(), wanted.collect::<HashSet<_>>());
    }
}
