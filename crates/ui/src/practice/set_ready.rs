//! How ready the songs of a set are, in words and as pictures, and the days until it is played.

use super::set::{WHOLE, pressed};
use super::{PracticeCommand, SetShown, SetSongShown};
use crate::pages::{frame, heading, say};
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Rect, ScrollArea, Shape, Stroke, Ui, UiBuilder, pos2, vec2};
use practice::learn::Ready;

/// Units.
const LINE: f32 = 27.0;
const BASELINE: f32 = 19.0;
/// The picture of a song: a line from never to always, and the marks on it.
const PICTURE: f32 = 16.0;
const TODAY: f32 = 7.0;
const DIAMOND: f32 = 5.5;

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, set: &SetShown) {
    let body = frame(ui, rect, stage, "How ready the set is");
    let middle = body.left() + 0.46 * body.width();
    let left = Rect::from_min_max(body.min, pos2(middle - stage.px(24.0), body.bottom()));
    let right = Rect::from_min_max(pos2(middle, body.top()), body.max);
    for (name, rect, shown) in
        [("its songs", left, words as fn(&mut Ui, &mut Stage<'_>, &SetShown)), ("its days", right, until)]
    {
        ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
            ui.spacing_mut().item_spacing.y = stage.px(3.0).round();
            ScrollArea::vertical().id_salt(name).auto_shrink([false, false]).show(ui, |ui| {
                ui.set_max_width(ui.available_width() - stage.px(10.0));
                shown(ui, stage, set);
            });
        });
    }
}

fn words(ui: &mut Ui, stage: &mut Stage<'_>, set: &SetShown) {
    let date = stage.model.practice.by.as_ref().map(|(_, name)| format!("on {name}"));
    let title = match &date {
        Some(date) => format!("{}, played {date}", set.title),
        None => format!("{}, with no day to be ready by", set.title),
    };
    say(ui, &title, fonts::serif(stage.px(19.0)), stage.palette.ink);
    for (place, song) in set.songs.iter().enumerate() {
        ui.add_space(stage.px(6.0).round());
        ui.push_id(("song of the set", place), |ui| name(ui, stage, set, place, song));
        if let Some(ready) = &song.ready {
            picture(ui, stage, ready);
        }
        let told = told(song, date.as_deref().unwrap_or_default());
        say(ui, &told, fonts::sans(stage.px(14.5)), stage.palette.ink);
    }
    ui.add_space(stage.px(10.0).round());
    if set.songs.iter().any(|song| song.ready.is_some()) {
        say(ui, LEGEND, fonts::sans(stage.px(13.5)), stage.palette.quiet);
    }
    turn(ui, stage, "the open song alone", false);
}

/// A song: a click goes to it.
fn name(ui: &mut Ui, stage: &mut Stage<'_>, set: &SetShown, place: usize, song: &SetSongShown) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(LINE).round()));
    let at = pos2(rect.left(), rect.top() + stage.px(BASELINE));
    let text = format!("{}  {}", place + 1, song.name);
    let text = plain::elided(ui.painter(), &text, &fonts::bold(stage.px(16.0)), rect.width());
    let word = Word { chosen: Some(set.at == Some(place)), ..Word::new(&text, stage.px(16.0)) };
    let go = Command::Practice(PracticeCommand::SetSongAt(place));
    stage.offering(ui, at, &word.named(&song.name).font(fonts::bold(stage.px(16.0))), go);
}

fn told(song: &SetSongShown, date: &str) -> String {
    match (&song.trouble, song.is_read, &song.ready) {
        (Some(trouble), _, _) => trouble.clone(),
        (None, _, Some(ready)) => format!("{}.", crate::reasons::capital(&ready.words(date))),
        (None, true, None) => "Nothing was heard of it yet.".to_owned(),
        (None, false, None) => "It is being read.".to_owned(),
    }
}

/// What the pictures mean.
const LEGEND: &str = "From never to always: the bar is the chance of a clean run today, the line how sure that is, the diamond \
                      the chance on the day.";

/// A bar up to the chance today, a line from its lower to its upper bound, a diamond for the day it is played.
fn picture(ui: &mut Ui, stage: &Stage<'_>, ready: &Ready) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(PICTURE).round()));
    let (left, wide, y) = (rect.left(), rect.width() - stage.px(DIAMOND), rect.center().y);
    let (palette, painter) = (stage.palette, ui.painter());
    let x = |chance: f64| left + wide * chance as f32;
    painter.hline(left..=x(1.0), y, Stroke::new(stage.px(1.0), palette.line));
    for tenths in [0.0, 0.5, 1.0] {
        let high = stage.px(TODAY) / 2.0;
        painter.vline(x(tenths), y - high..=y + high, Stroke::new(stage.px(1.0), palette.line));
    }
    let high = vec2(0.0, stage.px(TODAY) / 2.0);
    let bar = Rect::from_min_max(pos2(left, y) - high, pos2(x(ready.today.mean), y) + high);
    painter.rect_filled(bar, 0.0, palette.quiet);
    painter.hline(x(ready.today.low)..=x(ready.today.high), y, Stroke::new(stage.px(2.0), palette.ink));
    if let Some(then) = ready.on_the_day {
        let (at, size) = (pos2(x(then.mean), y), stage.px(DIAMOND));
        let corners =
            [vec2(0.0, -size), vec2(size, 0.0), vec2(0.0, size), vec2(-size, 0.0)].map(|to| at + to);
        let edge = Stroke::new(stage.px(1.6), palette.ink);
        painter.add(Shape::convex_polygon(corners.into(), palette.page, edge));
    }
}

/// The days until it is played.
fn until(ui: &mut Ui, stage: &mut Stage<'_>, set: &SetShown) {
    let (font, quiet) = (fonts::sans(stage.px(14.0)), stage.palette.quiet);
    if set.days.is_empty() {
        let text = "Choose the day it is played on the page of practice (F11): the work is spread over the days until then.";
        return say(ui, text, font, quiet);
    }
    heading(ui, stage, "The days until then");
    for day in &set.days {
        let minutes = match day.minutes.round() {
            none if none < 1.0 => String::new(),
            1.0 => ", about a minute".to_owned(),
            minutes => format!(", about {minutes:.0} minutes"),
        };
        say(ui, &format!("{}{minutes}", day.name), fonts::bold(stage.px(14.5)), stage.palette.ink);
        if day.songs.is_empty() {
            say(ui, "Free.", fonts::sans(stage.px(14.5)), quiet);
        }
        for (song, text) in &day.songs {
            say(ui, &format!("{song}: {text}"), fonts::sans(stage.px(14.5)), stage.palette.ink);
        }
        ui.add_space(stage.px(5.0).round());
    }
}

/// The set whose songs are shown on the page of readiness, if it is not the open song that is.
pub(crate) fn of_set<'a>(stage: &Stage<'a>) -> Option<&'a SetShown> {
    stage.model.practice.set.as_ref().filter(|set| set.ready_of_set && !set.songs.is_empty())
}

/// From the open song to all of the set.
pub(crate) fn to_set(ui: &mut Ui, stage: &mut Stage<'_>) {
    if stage.model.practice.set.as_ref().is_some_and(|set| !set.songs.is_empty()) {
        ui.add_space(stage.px(8.0).round());
        turn(ui, stage, "all songs of the set", true);
    }
}

/// Turns between the set and the song that is open, by the word or its key.
fn turn(ui: &mut Ui, stage: &mut Stage<'_>, text: &str, to_set: bool) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(LINE).round()));
    let at = pos2(rect.left(), rect.top() + stage.px(BASELINE));
    let name = format!("{text} ({WHOLE})");
    let word = Word::new(text, stage.px(15.0)).named(&name);
    let command = Command::Practice(PracticeCommand::ReadyOfSet(to_set));
    stage.offering(ui, at, &word, command.clone());
    let wide = plain::width(ui.painter(), text, &fonts::sans(stage.px(15.0)));
    let font = fonts::sans(stage.px(13.0));
    plain::baseline(ui.painter(), pos2(at.x + wide + stage.px(8.0), at.y), WHOLE, font, stage.palette.quiet);
    if pressed(ui, stage) {
        stage.out.push(command);
    }
}
