//! Pages that open on demand: songs, all shortcuts, mistakes, the first start.

use crate::keys::{self, Ask, SHORTCUTS};
use crate::menus::entry;
use crate::plain::Word;
use crate::practice::PRACTICE_KEYS;
use crate::practice::keys::PRACTICE_HEADING;
use crate::room_keys::ROOM_KEYS;
use crate::stage::Stage;
use crate::{Command, Page, fonts, mistakes, plain};
use egui::{Label, Rect, RichText, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};

/// A page's frame: a title, the way back, and the room for the rest.
pub(crate) fn frame(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, title: &str) -> Rect {
    stage.card(ui, rect);
    let inner = rect.shrink2(vec2(stage.px(40.0), stage.px(20.0)));
    let y = inner.top() + stage.px(30.0);
    plain::baseline(
        ui.painter(),
        pos2(inner.left(), y),
        title,
        fonts::serif(stage.px(28.0)),
        stage.palette.ink,
    );
    let text = "back to the song";
    let font = fonts::sans(stage.px(16.0));
    let x = inner.right() - plain::width(ui.painter(), text, &font);
    let word = Word::new(text, stage.px(16.0)).asks(Ask::Back);
    stage.asking(ui, pos2(x, y), &word, Ask::Back);
    Rect::from_min_max(pos2(inner.left(), y + stage.px(30.0)), inner.max)
}

/// Text in a page.
pub(crate) fn say(ui: &mut Ui, text: &str, font: egui::FontId, color: egui::Color32) {
    ui.add(Label::new(RichText::new(text).font(font).color(color)).wrap());
}

/// A small heading in a page.
pub(crate) fn heading(ui: &mut Ui, stage: &Stage<'_>, text: &str) {
    ui.add_space(stage.px(10.0));
    say(ui, text, fonts::italic(stage.px(17.0)), stage.palette.quiet);
    ui.add_space(stage.px(2.0));
}

/// All shortcuts, those of the pages that have their own, and signs, in columns.
pub(crate) fn keys(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Keys and signs");
    let shortcuts = SHORTCUTS.iter().map(|s| (keys::label(s), s.words)).collect();
    let room = ROOM_KEYS.iter().map(|k| (k.written.to_owned(), k.words)).collect();
    let practice = PRACTICE_KEYS.iter().map(|(key, words)| ((*key).to_owned(), *words)).collect();
    let signs = SIGNS.iter().map(|(sign, words)| ((*sign).to_owned(), *words)).collect();
    let blocks: [(&str, Vec<(String, &str)>); 4] =
        [("", shortcuts), (ROOM_HEADING, room), (PRACTICE_HEADING, practice), ("", signs)];
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
        top = key_lines(ui, Rect::from_min_max(pos2(body.left(), top), body.max), stage, block, (step, size));
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
fn key_lines(
    ui: &Ui,
    rect: Rect,
    stage: &Stage<'_>,
    lines: &[(String, &str)],
    (step, size): (f32, f32),
) -> f32 {
    let rows = lines.len().div_ceil(COLUMNS);
    let column = rect.width() / COLUMNS as f32;
    let (key_font, font) = (fonts::bold(stage.px(size)), fonts::sans(stage.px(size)));
    for (index, (key, words)) in lines.iter().enumerate() {
        let x = rect.left() + (index / rows) as f32 * column;
        let y = rect.top() + (index % rows) as f32 * step;
        let key_place = plain::baseline(ui.painter(), pos2(x, y), key, key_font.clone(), stage.palette.ink);
        let shown = plain::elided(ui.painter(), words, &font, column - stage.px(KEY + 12.0));
        let at = pos2(x + stage.px(KEY), y);
        let place = plain::baseline(ui.painter(), at, &shown, font.clone(), stage.palette.ink);
        let response = ui.interact(key_place.union(place), ui.scope_id().with((key, *words)), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("{key}: {words}")));
    }
    rect.top() + rows as f32 * step
}

/// Columns of the page of keys.
const COLUMNS: usize = 3;

const ROOM_HEADING: &str = "On the page of scales and chords these come first; with Shift they go back";

/// Room for a key or a sign on the page of keys, in units.
const KEY: f32 = 102.0;

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

/// All mistakes of the file.
pub(crate) fn all_mistakes(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "What is wrong in the song file");
    mistakes::page(ui, body, stage);
}

/// The first start: playing within a minute.
pub(crate) fn first_start(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    stage.card(ui, rect);
    let wide = rect.width().min(stage.px(720.0));
    let high = (rect.height() - stage.px(24.0)).min(stage.px(470.0));
    let column = Rect::from_center_size(rect.center(), vec2(wide, high));
    let palette = stage.palette;
    let small = fonts::sans(stage.px(17.0));
    ui.scope_builder(UiBuilder::new().max_rect(column), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(9.0);
        say(ui, "Two bars, right hand, slowly", fonts::serif(stage.px(34.0)), palette.ink);
        ui.add_space(stage.px(6.0));
        for (number, text) in FIRST_STEPS.iter().enumerate() {
            step(ui, stage, number + 1, text);
        }
        ui.add_space(stage.px(10.0));
        begin(ui, stage);
        ui.add_space(stage.px(16.0));
        say(ui, &keyboard_words(stage), small.clone(), palette.quiet);
        ui.add_space(stage.px(8.0));
        for (text, ask, page) in
            [("another song", Ask::Songs, Page::Songs), ("scales and chords", Ask::Room, Page::Room)]
        {
            if entry(ui, stage, text, Some(ask), None).clicked() {
                stage.out.push(Command::Show(page));
            }
        }
    });
}

const FIRST_STEPS: [&str; 3] = [
    "The keys to strike are marked on the keyboard: round marks for the right hand, with the finger on them.",
    "Strike them. The song waits for you; a wrong key gets a cross and does no harm.",
    "The program plays the left hand for you. When the two bars go well, choose Play along, or both hands.",
];

fn step(ui: &mut Ui, stage: &Stage<'_>, number: usize, text: &str) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = stage.px(12.0);
        say(ui, &number.to_string(), fonts::serif(stage.px(24.0)), stage.palette.ink);
        say(ui, text, fonts::sans(stage.px(18.0)), stage.palette.ink);
    });
}

fn begin(ui: &mut Ui, stage: &mut Stage<'_>) {
    let (_, rect) = ui.allocate_space(vec2(stage.px(160.0), stage.px(48.0)));
    let at = pos2(rect.left() + stage.px(2.0), rect.top() + stage.px(32.0));
    let word = Word::new("Begin", stage.px(26.0)).font(fonts::serif(stage.px(26.0)));
    let word = word.chosen(true).asks(Ask::StartStop);
    stage.offering(ui, at, &word, Command::Begin);
    stage.text(ui, pos2(rect.left() + stage.px(110.0), at.y), "Space", 15.0, stage.palette.quiet);
}

fn keyboard_words(stage: &Stage<'_>) -> String {
    match &stage.model.devices.midi_port {
        Some(port) => format!("Listening to {port}. You can also click on the keys on the screen."),
        None => "No MIDI keyboard yet: plug one in at any time. Until then click on the keys on the screen, or press \
                 F2 and play on the letters."
            .into(),
    }
}
