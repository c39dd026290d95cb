//! The one line of controls: plain words, the chosen one underlined.

use crate::keys::Ask;
use crate::menus;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Page, bar_names, fonts};
use egui::{Rect, Stroke, Ui, pos2};
use practice::Mode;

/// A control of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Item {
    Title,
    Key,
    Tempo,
    Step,
    PlayAlong,
    Listen,
    Start,
    Loop,
    Hands,
    Click,
    CountIn,
    Results,
    Scales,
    More,
}

/// In the order of the line; a gap stands before each of the second list.
const LINE: [Item; 14] = [
    Item::Title,
    Item::Key,
    Item::Tempo,
    Item::Step,
    Item::PlayAlong,
    Item::Listen,
    Item::Start,
    Item::Loop,
    Item::Hands,
    Item::Click,
    Item::CountIn,
    Item::Results,
    Item::Scales,
    Item::More,
];
const GROUPS: [Item; 4] = [Item::Step, Item::Start, Item::Loop, Item::Results];

/// What gives way first where the line is too short; all of it is on the page of settings as well.
const GIVES_WAY: [Item; 7] =
    [Item::Results, Item::CountIn, Item::Click, Item::Listen, Item::Scales, Item::Key, Item::Loop];

/// Units.
const SIZE: f32 = 16.0;
const TITLE: f32 = 22.0;
/// A title may be shortened to this before a word gives way.
const SHORT_TITLE: f32 = 130.0;
const LEAST_GAP: f32 = 11.5;

/// A word of the line: what it is, its text and its width.
type Measured = (Item, String, f32);

/// Draws the line.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let room = rect.width() - stage.px(48.0);
    let mut items: Vec<Measured> = LINE.iter().map(|item| measured(ui, stage, *item)).collect();
    if stage.model.view.page == Page::Room {
        items.retain(|item| item.0 != Item::Key);
    }
    let least = stage.px(LEAST_GAP);
    let total = |items: &[Measured]| {
        items.iter().map(|i| i.2).sum::<f32>() + least * (items.len() + GROUPS.len() - 1) as f32
    };
    // A long title ends in `…` before any word gives way.
    let spare = room - total(&items);
    fit_title(ui, stage, &mut items, spare, stage.px(SHORT_TITLE));
    for item in GIVES_WAY {
        if total(&items) > room {
            items.retain(|i| i.0 != item);
        }
    }
    let spare = room - total(&items);
    fit_title(ui, stage, &mut items, spare, stage.px(60.0));
    let steps = items.len() - 1 + items.iter().filter(|i| GROUPS.contains(&i.0)).count();
    let gap = (room - items.iter().map(|i| i.2).sum::<f32>()) / steps.max(1) as f32;
    let gap = gap.clamp(0.4 * least, stage.px(30.0));
    let mut at = pos2(rect.left() + stage.px(24.0), rect.top() + stage.px(37.0));
    for (index, (item, text, width)) in items.iter().enumerate() {
        if index > 0 {
            at.x += if GROUPS.contains(item) { 2.0 * gap } else { gap };
        }
        draw(ui, at, stage, *item, text);
        at.x += width;
    }
    let y = rect.bottom() - 0.5;
    ui.painter().hline(rect.x_range(), y, Stroke::new(1.0, stage.palette.rule));
}

fn measured(ui: &Ui, stage: &Stage<'_>, item: Item) -> Measured {
    let text = text(stage, item);
    let font = font(stage, item);
    let width = plain::width(ui.painter(), &text, &font);
    (item, text, width)
}

/// Shortens the title where the line is too long, but not below `shortest`.
fn fit_title(ui: &Ui, stage: &Stage<'_>, items: &mut [Measured], spare: f32, shortest: f32) {
    if spare >= 0.0 {
        return;
    }
    let font = font(stage, Item::Title);
    for (item, text, width) in items {
        if *item == Item::Title && *width > shortest {
            *text = plain::elided(ui.painter(), text, &font, (*width + spare).max(shortest));
            *width = plain::width(ui.painter(), text, &font);
        }
    }
}

fn font(stage: &Stage<'_>, item: Item) -> egui::FontId {
    match item {
        Item::Title => fonts::serif(stage.px(TITLE)),
        _ => fonts::sans(stage.px(SIZE)),
    }
}

fn text(stage: &Stage<'_>, item: Item) -> String {
    let model = &stage.model;
    match item {
        Item::Title => model.part.map_or("Overhand".into(), |part| part.title.clone()),
        Item::Key => model.part.map_or(String::new(), |part| key_text(stage, part.key)),
        Item::Tempo => speed_text(stage),
        Item::Step => "Step".into(),
        Item::PlayAlong => "Play along".into(),
        Item::Listen => "Listen".into(),
        Item::Start => start_text(stage).into(),
        Item::Loop => loop_text(stage),
        Item::Hands => match model.session.settings.hands {
            practice::Hands::Both => "both hands".into(),
            practice::Hands::Right => "right hand".into(),
            practice::Hands::Left => "left hand".into(),
        },
        Item::Click => "click".into(),
        Item::CountIn => "count-in".into(),
        Item::Results => "how it went".into(),
        Item::Scales => "scales".into(),
        Item::More => "more".into(),
    }
}

/// `D major`; with a capo that a guitarist reads, `D major, capo 2 as C`.
fn key_text(stage: &Stage<'_>, key: theory::Key) -> String {
    let with = stage.capo().map(|capo| match capo.fret() {
        0 => ", no capo".to_owned(),
        fret => format!(", capo {fret} as {}", capo.shapes().tonic().pretty()),
    });
    key.pretty() + &with.unwrap_or_default()
}

fn start_text(stage: &Stage<'_>) -> &'static str {
    match (stage.model.session.settings.mode, stage.model.session.running) {
        (Mode::Step, _) => "Next",
        (_, true) => "Stop",
        (_, false) => "Start",
    }
}

fn speed_text(stage: &Stage<'_>) -> String {
    let Some(bar) = current(stage) else { return String::new() };
    let beats = bar.quarters_per_minute / bar.beat.length.to_f64();
    let speed = stage.model.session.settings.speed;
    if (speed.percent() - 100.0).abs() < 0.01 {
        return format!("♩ = {}", tempo_text(beats)).replace("♩ = ", "");
    }
    let sounding = (beats * speed.ratio()).round();
    format!("{} × {:.0} % = {sounding:.0}", tempo_text(beats), speed.percent())
}

fn loop_text(stage: &Stage<'_>) -> String {
    match stage.model.session.settings.loop_bars {
        Some(bars) => stage.model.part.map_or(String::new(), |part| bar_names::short(part, bars)),
        None if stage.model.view.page == Page::Room => "no loop".into(),
        None => "whole song".into(),
    }
}

fn current<'a>(stage: &Stage<'a>) -> Option<&'a song::PlayedBar> {
    let part = stage.model.part?;
    let bar = stage.model.session.position.bar.min(part.bars.len().checked_sub(1)?);
    Some(&part.bars[bar].played)
}

/// A tempo as charts write it: `72`, `100.5`.
pub(crate) fn tempo_text(beats: f64) -> String {
    let text = format!("{beats:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn draw(ui: &mut Ui, at: egui::Pos2, stage: &mut Stage<'_>, item: Item, text: &str) {
    let session = stage.model.session;
    let settings = session.settings;
    let word = Word::new(text, stage.px(SIZE));
    let mode = |mode: Mode| settings.mode == mode;
    match item {
        Item::Title => {
            let name = format!("{}: choose a song", self::text(stage, Item::Title));
            let word = word.font(font(stage, Item::Title)).named(&name).asks(Ask::Songs).strong();
            stage.asking(ui, at, &word, Ask::Songs);
        }
        Item::Key => menus::key(ui, at, stage, word.strong()),
        Item::Tempo => menus::speed(ui, at, stage, word.strong()),
        Item::Step => offer(ui, at, stage, word.chosen(mode(Mode::Step)), Ask::Step),
        Item::PlayAlong => offer(ui, at, stage, word.chosen(mode(Mode::PlayAlong)), Ask::PlayAlong),
        Item::Listen => offer(ui, at, stage, word.chosen(mode(Mode::Listen)), Ask::Listen),
        Item::Start => offer(ui, at, stage, word.strong(), Ask::StartStop),
        Item::Loop => menus::loops(ui, at, stage, word),
        Item::Hands => menus::hands(ui, at, stage, word),
        Item::Click => offer(ui, at, stage, word.chosen(settings.click), Ask::Click),
        Item::CountIn => offer(ui, at, stage, word.chosen(settings.count_in), Ask::CountIn),
        Item::Results => {
            let word = word.named("How it went").chosen(stage.model.view.page == Page::Results);
            offer(ui, at, stage, word, Ask::Results);
        }
        Item::Scales => {
            let word = word.named("Scales and chords").chosen(stage.model.view.page == Page::Room);
            offer(ui, at, stage, word, Ask::Room);
        }
        Item::More => {
            let word = word.named("Settings").chosen(stage.model.view.page == Page::More);
            offer(ui, at, stage, word, Ask::More);
        }
    }
}

fn offer(ui: &mut Ui, at: egui::Pos2, stage: &mut Stage<'_>, word: Word<'_>, ask: Ask) {
    stage.asking(ui, at, &word.asks(ask), ask);
}
