//! What the scale room says: the next crossings, the notes around them to drill, how even it was, where the fingers are from.

use crate::exercise_run::drilled;
use crate::plain::Word;
use crate::reasons::capital;
use crate::room_keys::{RoomAsk, written};
use crate::room_run::Run;
use crate::stage::Stage;
use crate::{Command, Drill, Room, fonts, plain, room};
use egui::{Label, Rect, RichText, ScrollArea, Ui, UiBuilder, pos2, vec2};
use practice::RunEvenness;
use theory::{CrossingKind, Hand};

/// Draws the words.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, even: Option<&RunEvenness>) {
    drills(ui, pos2(rect.left(), rect.top() + stage.px(17.0)), stage);
    let body = Rect::from_min_max(rect.min + vec2(0.0, stage.px(28.0)), rect.max);
    let palette = stage.palette;
    let stepping = stage.model.session.running || stage.model.session.settings.mode == practice::Mode::Step;
    let told = even.filter(|_| !stepping).map(RunEvenness::words);
    let coming = || {
        let run = stage.model.part.map(Run::of).unwrap_or_default();
        let at = room::at(stage);
        Hand::BOTH
            .into_iter()
            .filter_map(|hand| coming(&run, at, hand).map(|text| (Some(hand), text)))
            .collect()
    };
    let words: Vec<(Option<Hand>, String)> = match told {
        Some(told) => told.into_iter().map(|text| (None, text)).collect(),
        None => coming(),
    };
    let size = stage.px(if words.len() > 3 { 14.5 } else { 16.0 });
    let small = fonts::sans(stage.px(13.0));
    let source = source(stage.model.view.room);
    ui.scope_builder(UiBuilder::new().max_rect(body), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(2.0);
        ScrollArea::vertical().id_salt("room words").auto_shrink([false, false]).show(ui, |ui| {
            for (hand, text) in words {
                let color = hand.map_or(palette.ink, |hand| palette.hand(hand));
                ui.add(Label::new(RichText::new(text).font(fonts::sans(size)).color(color)).wrap());
            }
            ui.add_space(stage.px(4.0));
            for text in [source.as_str(), room::CAUTION] {
                ui.add(Label::new(RichText::new(text).font(small.clone()).color(palette.quiet)).wrap());
            }
        });
    });
}

/// The next crossing of a hand in words, before it comes; `None` for a hand that does not play.
fn coming(run: &Run, at: usize, hand: Hand) -> Option<String> {
    if !run.has(hand) {
        return None;
    }
    let who = capital(hand.name());
    let Some(next) = run.crossings(hand).iter().find(|c| c.from >= at) else {
        return Some(format!("{who} hand: no more crossings."));
    };
    let what = match next.what.kind {
        CrossingKind::ThumbUnder => format!("the thumb passes under finger {}", next.what.finger),
        CrossingKind::FingerOver => format!("finger {} passes over the thumb", next.what.finger),
    };
    let to = next.what.onto.pretty();
    Some(match next.from - at {
        0 => format!("{who} hand: now {what}, on to {to}."),
        1 => format!("{who} hand: after the next note {what}, on to {to}."),
        n => format!("{who} hand: after {n} more notes {what}, on to {to}."),
    })
}

/// Where the fingers are from.
fn source(room: Room) -> String {
    let of = |hand| room.fingers(hand).map(|fingers| fingers.source);
    match of(Hand::Right).into_iter().chain(of(Hand::Left)).min_by_key(|source| source.is_published()) {
        Some(source) => format!("Fingers: {}.", source.text()),
        None => String::new(),
    }
}

/// The notes around each crossing, to drill, and the whole again.
fn drills(ui: &mut Ui, at: egui::Pos2, stage: &mut Stage<'_>) {
    let room = stage.model.view.room;
    let heading = format!("around a crossing {}", written(RoomAsk::Drill));
    let font = fonts::italic(stage.px(15.0));
    let shown = plain::baseline(ui.painter(), at, &heading, font, stage.palette.quiet);
    let mut at = pos2(shown.right() + stage.px(14.0), at.y);
    let mut offer = |stage: &mut Stage<'_>, text: &str, name: &str, drill: Option<Drill>| {
        let word = Word::new(text, stage.px(15.0)).named(name).chosen(room.drill == drill);
        let asked = Command::Room(Room { drill, ..room });
        at.x = stage.offering(ui, at, &word, asked).rect.right() - 6.0 + stage.px(14.0);
    };
    offer(stage, "all", "drill: all notes", None);
    for drill in room.drills() {
        let Some(notes) = drilled(room, drill) else { continue };
        let names: Vec<String> = notes.iter().map(|(pitch, _)| pitch.name.pretty()).collect();
        let text = format!("{} {}", &capital(drill.hand.name())[..1], names.join("–"));
        let name = format!("drill: {} hand {}", drill.hand.name(), names.join(" "));
        offer(stage, &text, &name, Some(drill));
    }
}
