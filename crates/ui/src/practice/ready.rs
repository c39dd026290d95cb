//! How ready a song is, in words and pictures.

use super::keys::{DELETE_ALL, DELETE_SONG, EXPORT};
use super::line::offer;
use super::{PracticeCommand, SongShown, days, set_ready};
use crate::pages::{frame, heading, say};
use crate::reasons::capital;
use crate::stage::Stage;
use crate::{fonts, plain};
use egui::{Rect, Role, ScrollArea, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};
use practice::learn::{Chance, SectionReady};

/// Units.
const FOOT: f32 = 112.0;
const TOLD: f32 = 46.0;
const OFFERS: f32 = 350.0;
const LINE: f32 = 23.0;
/// Where the columns of the sections begin.
const TODAY: f32 = 236.0;
const THE_DAY: f32 = 350.0;

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    if let Some(set) = set_ready::of_set(stage) {
        return set_ready::show(ui, rect, stage, set);
    }
    let body = frame(ui, rect, stage, "How ready it is");
    let middle = body.left() + 0.42 * body.width();
    let left = Rect::from_min_max(body.min, pos2(middle - stage.px(20.0), body.bottom()));
    let right = Rect::from_min_max(pos2(middle, body.top()), body.max);
    let high = if stage.model.practice.told.is_some() { FOOT + TOLD } else { FOOT };
    let (told, foot) = left.split_top_bottom_at_y(left.bottom() - stage.px(high));
    ui.scope_builder(UiBuilder::new().max_rect(told), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(4.0);
        ScrollArea::vertical().id_salt("how ready").auto_shrink([false, false]).show(ui, |ui| {
            ui.set_max_width(ui.available_width() - stage.px(10.0));
            words(ui, stage);
            set_ready::to_set(ui, stage);
        });
    });
    ui.scope_builder(UiBuilder::new().max_rect(foot), |ui| remembered(ui, stage));
    ui.scope_builder(UiBuilder::new().max_rect(right), |ui| pictures(ui, stage));
}

fn words(ui: &mut Ui, stage: &Stage<'_>) {
    let (font, ink) = (fonts::sans(stage.px(15.0)), stage.palette.ink);
    let Some(song) = &stage.model.practice.song else {
        return say(ui, "The history is being read.", font, ink);
    };
    if song.ready.is_a_guess {
        let text = "Nothing was heard of this song yet. Play it once along with the click (2, then Space), as slowly as \
                    you like, or begin to practise (F11): whatever you play along with counts.";
        say(ui, text, fonts::serif(stage.px(19.0)), ink);
    } else {
        heard(ui, stage, song);
    }
    if song.elsewhere > 0 {
        let text = format!("Kept as well: {} bars that are no longer in the song.", song.elsewhere);
        say(ui, &text, font, stage.palette.quiet);
    }
}

/// What can be done with the history, and what came of it.
fn remembered(ui: &mut Ui, stage: &mut Stage<'_>) {
    ui.spacing_mut().item_spacing.y = 0.0;
    heading(ui, stage, "What is remembered");
    ui.scope(|ui| {
        ui.set_max_width(stage.px(OFFERS));
        for (text, key, command) in [
            ("write out the whole history as JSON", EXPORT, PracticeCommand::Export),
            ("delete the history of this song", DELETE_SONG, PracticeCommand::DeleteSong),
            ("delete the whole history", DELETE_ALL, PracticeCommand::DeleteAll),
        ] {
            offer(ui, stage, (text, key), None, command);
        }
    });
    if let Some(told) = &stage.model.practice.told {
        ui.add_space(stage.px(4.0));
        say(ui, told, fonts::bold(stage.px(14.5)), stage.palette.ink);
    }
}

/// The whole first, then what is hard and what got better, then section by section.
fn heard(ui: &mut Ui, stage: &Stage<'_>, song: &SongShown) {
    let (font, ink) = (fonts::sans(stage.px(15.0)), stage.palette.ink);
    let date = stage.model.practice.by.as_ref().map_or_else(String::new, |(_, name)| format!("on {name}"));
    let whole = format!("The whole song: {}.", song.ready.song.words(&date));
    say(ui, &whole, fonts::serif(stage.px(19.0)), ink);
    song.progress.iter().for_each(|line| say(ui, &capital(line), font.clone(), ink));
    if !song.hard.is_empty() {
        heading(ui, stage, "Hard bars");
    }
    for hard in song.hard.iter().take(HARD) {
        let reasons: Vec<String> = hard.reasons.iter().map(|reason| reason.text()).collect();
        let why = if reasons.is_empty() { String::new() } else { format!(": {}", reasons.join("; ")) };
        let text = format!("Bar {}, clean {} times of {}{why}.", hard.bar + 1, hard.clean, hard.passes);
        say(ui, &text, font.clone(), ink);
    }
    let weak = song.ready.weak_changes(WEAK);
    if !weak.is_empty() {
        heading(ui, stage, "Changes from chord to chord");
    }
    for change in weak.into_iter().take(CHANGES) {
        say(ui, &format!("{}.", capital(&change.words())), font.clone(), ink);
    }
    if !song.ready.sections.is_empty() {
        sections(ui, stage, song, &date);
    }
}

/// So many hard bars are told of.
const HARD: usize = 6;
/// So many changes are told of.
const CHANGES: usize = 3;
/// A change is told of that is less likely than this to be clean today.
const WEAK: f64 = 0.7;

/// A line for each section: its name and bars, today, on the day.
fn sections(ui: &mut Ui, stage: &Stage<'_>, song: &SongShown, date: &str) {
    heading(ui, stage, "Clean so often in ten, section by section");
    ui.spacing_mut().item_spacing.y = 0.0;
    let (font, quiet) = (fonts::sans(stage.px(14.0)), stage.palette.quiet);
    let (_, head) = ui.allocate_space(vec2(ui.available_width(), stage.px(LINE)));
    let y = head.top() + stage.px(17.0);
    plain::baseline(ui.painter(), pos2(head.left() + stage.px(TODAY), y), "today", font.clone(), quiet);
    if !date.is_empty() {
        plain::baseline(ui.painter(), pos2(head.left() + stage.px(THE_DAY), y), "on the day", font, quiet);
    }
    for (place, section) in song.ready.sections.iter().enumerate() {
        line(ui, stage, section, date, place);
    }
}

fn line(ui: &mut Ui, stage: &Stage<'_>, section: &SectionReady, date: &str, place: usize) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(LINE)));
    let y = rect.top() + stage.px(17.0);
    let (from, to) = (section.bars.from() + 1, section.bars.to() + 1);
    let (font, ink) = (fonts::sans(stage.px(15.0)), stage.palette.ink);
    let name = format!("{}, bars {from} to {to}", section.name);
    let shown = plain::elided(ui.painter(), &name, &font, stage.px(TODAY - 10.0));
    plain::baseline(ui.painter(), pos2(rect.left(), y), &shown, font.clone(), ink);
    let chances = [(TODAY, Some(section.ready.today)), (THE_DAY, section.ready.on_the_day)];
    for (left, chance) in chances.into_iter().filter_map(|(left, chance)| Some((left, chance?))) {
        let at = pos2(rect.left() + stage.px(left), y);
        plain::baseline(ui.painter(), at, &in_ten(chance), font.clone(), ink);
    }
    let response = ui.interact(rect, ui.scope_id().with(("section", place)), Sense::hover());
    let words = format!("{name}: {}.", section.ready.words(date));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
}

/// `8 (6 to 9)`.
fn in_ten(chance: Chance) -> String {
    let [mean, low, high] = [chance.mean, chance.low, chance.high].map(|c| (10.0 * c).round());
    if low == high { format!("{mean}") } else { format!("{mean} ({low} to {high})") }
}

fn pictures(ui: &mut Ui, stage: &Stage<'_>) {
    let Some(song) = &stage.model.practice.song else { return };
    let (font, quiet) = (fonts::sans(stage.px(14.5)), stage.palette.quiet);
    if song.ready.is_a_guess {
        let text = "Here will stand, bar by bar, how often in ten it would come out clean at the chart's tempo: today and on \
                    the day you play it, and how sure that is. Under it the chart by day: what was clean at the tempo, \
                    what slower, what not yet.";
        return say(ui, text, font, quiet);
    }
    let height = 0.5 * ui.available_height() - stage.px(36.0);
    let day = if stage.model.practice.by.is_some() { ", diamond: on the day" } else { "" };
    let text = format!("Clean so often in ten, bar by bar. Column: today, with how sure that is{day}.");
    say(ui, &text, font.clone(), quiet);
    days::ready(ui, stage, song, height);
    if song.days.is_empty() {
        return;
    }
    ui.add_space(stage.px(6.0));
    say(ui, "By day. Large square: clean at the tempo, small: slower; ring: not yet.", font, quiet);
    let today = stage.model.practice.today;
    days::by_day(ui, stage, song, height, |day| match today - day {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        ago => format!("{ago} days ago"),
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chance_is_told_in_tenths_with_its_bounds() {
        assert_eq!(in_ten(Chance { mean: 0.81, low: 0.62, high: 0.9 }), "8 (6 to 9)");
        assert_eq!(in_ten(Chance { mean: 1.0, low: 0.98, high: 1.0 }), "10");
    }
}
