//! What the scale room says: the next crossings, the notes around them to drill, how even it was, where the fingers are from.

use crate::exercise_run::drilled;
use crate::plain::Word;
use crate::reasons::capital;
use crate::room_keys::{RoomAsk, written};
use crate::room_run::Run;
use crate::stage::Stage;
use crate::{Command, Drill, Motion, Room, fonts, octaves_on, plain, room};
use egui::{Color32, Label, Rect, RichText, ScrollArea, Ui, UiBuilder, pos2, vec2};
use practice::{Mode, RunEvenness};
use theory::{CrossingKind, Hand};

/// The size of what is told, in units.
const EVEN: f32 = 13.5;

/// Whether it is time to tell how even it was, rather than what comes next: a pass is over and no clock runs.
pub(crate) fn tells(stage: &Stage<'_>, even: Option<&RunEvenness>) -> bool {
    let session = stage.model.session;
    even.is_some() && !session.running && session.settings.mode != Mode::Step
}

/// Draws what comes next.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    drills(ui, pos2(rect.left(), rect.top() + stage.px(17.0)), stage);
    let palette = stage.palette;
    let run = stage.model.part.map(Run::of).unwrap_or_default();
    let at = room::at(stage);
    let coming = |hand: Hand| coming(&run, at, hand).map(|text| (text, 16.0, palette.hand(hand)));
    let mut words: Vec<(String, f32, Color32)> = Hand::BOTH.into_iter().filter_map(coming).collect();
    // What is missing comes first.
    let played = octaves_on(stage.model.view.room, stage.model.settings.keys);
    words.splice(0..0, too_wide(stage, played).map(|text| (text, 16.0, palette.ink)));
    words.push((source(stage.model.view.room), 13.0, palette.quiet));
    words.push((room::CAUTION.into(), 13.0, palette.quiet));
    column(ui, below_drills(rect, stage), stage, "coming", &words);
}

/// Draws how even it was: a column for each hand, and how they went together.
pub(crate) fn show_even(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, even: &RunEvenness) {
    drills(ui, pos2(rect.left(), rect.top() + stage.px(17.0)), stage);
    let palette = stage.palette;
    let body = below_drills(rect, stage);
    let columns = even.hands.len().max(1);
    let wide = body.width() / columns as f32;
    for (index, hand) in even.hands.iter().enumerate() {
        let mut words: Vec<(String, f32, Color32)> =
            hand.words().into_iter().map(|text| (text, EVEN, palette.ink)).collect();
        if let Some(first) = words.first_mut() {
            first.2 = palette.hand(hand.hand);
        }
        if index + 1 == columns {
            words.extend(even.together.map(|together| (together.text(), EVEN, palette.ink)));
        }
        let left = body.left() + index as f32 * wide;
        let place = Rect::from_min_size(pos2(left, body.top()), vec2(wide - stage.px(8.0), body.height()));
        column(ui, place, stage, hand.hand.name(), &words);
    }
}

fn below_drills(rect: Rect, stage: &Stage<'_>) -> Rect {
    Rect::from_min_max(rect.min + vec2(0.0, stage.px(26.0)), rect.max)
}

/// Sentences under each other, each in its size and colour.
fn column(ui: &mut Ui, rect: Rect, stage: &Stage<'_>, name: &str, words: &[(String, f32, Color32)]) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(1.0);
        ScrollArea::vertical().id_salt(("room words", name)).auto_shrink([false, false]).show(ui, |ui| {
            for (text, size, color) in words.iter().filter(|(text, ..)| !text.is_empty()) {
                let text = RichText::new(text).font(fonts::sans(stage.px(*size))).color(*color);
                ui.add(Label::new(text).wrap());
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

/// Says that the keyboard is too short for the octaves that were asked for, where fewer are played.
pub(crate) fn too_wide(stage: &Stage<'_>, played: u8) -> Option<String> {
    let (room, keys) = (stage.model.view.room, stage.model.settings.keys);
    let count = keys.high().number() - keys.low().number() + 1;
    let how =
        if room.subject.is_run() && room.motion == Motion::Contrary { " in contrary motion" } else { "" };
    (played < room.octaves_asked()).then(|| {
        let asked = room.octaves_asked();
        let many = if played == 1 { "1 octave is played" } else { &format!("{played} are played") };
        format!("{asked} octaves{how} are more than your {count} keys hold from here: {many}.")
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
