//! The song's order on one line; a click goes there.

use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Rect, Ui, pos2};
use practice::SessionCommand;

/// One name of the line.
struct Item {
    text: String,
    name: String,
    bar: usize,
    here: bool,
    width: f32,
}

/// Draws the line; where it is too long, the part round the current place.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, bar: usize) {
    let font = fonts::italic(stage.px(15.0));
    let gap = stage.px(18.0);
    let items = items(ui, stage, bar, &font);
    let room = rect.width() - stage.px(64.0);
    let (from, to) = window(&items, gap, room);
    let mut at = pos2(rect.left() + stage.px(18.0), rect.top() + stage.px(26.0));
    if from > 0 {
        at.x = plain::baseline(ui.painter(), at, "…", font.clone(), stage.palette.quiet).right() + 0.6 * gap;
    }
    for item in &items[from..to] {
        let word = Word::new(&item.text, stage.px(15.0)).font(font.clone()).named(&item.name);
        let word = if item.here { word.chosen(true) } else { word };
        let command = Command::Session(SessionCommand::GoToBar(item.bar));
        stage.offering(ui, at, &word, command);
        at.x += item.width + gap;
    }
    if to < items.len() {
        plain::baseline(ui.painter(), at, "…", font, stage.palette.quiet);
    }
}

fn items(ui: &Ui, stage: &Stage<'_>, bar: usize, font: &egui::FontId) -> Vec<Item> {
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else { return Vec::new() };
    let here = sheet.place_of(bar);
    let item = |(index, place): (usize, &crate::sheet::Place)| {
        let section = &part.sections[place.section];
        let times = place.passes.len();
        let text = if times > 1 { format!("{section} ×{times}") } else { section.clone() };
        let name = format!("Go to place {} of the song, {section}", index + 1);
        let width = plain::width(ui.painter(), &text, font);
        Item { text, name, bar: place.bars().start, here: here == Some(index), width }
    };
    sheet.places.iter().enumerate().map(item).collect()
}

/// The stretch of the line that fits, with the current place in it.
fn window(items: &[Item], gap: f32, room: f32) -> (usize, usize) {
    let here = items.iter().position(|item| item.here).unwrap_or(0);
    let (mut from, mut to) = (here, (here + 1).min(items.len()));
    let mut used = items.get(here).map_or(0.0, |item| item.width);
    loop {
        let before = from.checked_sub(1).map(|i| items[i].width + gap).filter(|w| used + w <= room);
        let after = items.get(to).map(|item| item.width + gap).filter(|w| used + w <= room);
        match (before, after) {
            (_, Some(wide)) if before.is_none() || to - here <= here - from => {
                used += wide;
                to += 1;
            }
            (Some(wide), _) => {
                used += wide;
                from -= 1;
            }
            _ => return (from, to),
        }
    }
}
