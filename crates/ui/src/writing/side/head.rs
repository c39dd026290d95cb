//! The head of the side column: the place, what can be set there, and how far it reaches.

use super::keys;
use super::line::{Offer, offers, side};
use super::state::{Scope, Side, SideCommand, Topic, place_in_words};
use crate::stage::Stage;
use crate::{Chosen, Command, Writing, WritingCommand, fonts, pages, plain};
use egui::{Ui, vec2};
use song::edit::Place;
use song::{PlayedBar, SlotKind};

/// So many passes stand side by side; of more, one is stepped through.
const PASSES_IN_A_LINE: u32 = 8;

/// The place, and the topics.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let view = &stage.model.view.writing;
    let text = crate::reasons::capital(&place_in_words(writing, view.chosen.place));
    let font = fonts::serif(stage.px(24.0));
    let (_, line) = ui.allocate_space(vec2(ui.available_width(), stage.px(36.0)));
    let shown = plain::elided(ui.painter(), &text, &font, line.width());
    plain::baseline(
        ui.painter(),
        egui::pos2(line.left(), line.top() + stage.px(27.0)),
        &shown,
        font,
        stage.palette.ink,
    );
    let open = view.side.topic;
    let topics = Topic::ALL.map(|topic| {
        let name = format!("{} ({})", crate::reasons::capital(topic.name()), keys::written(topic));
        Offer::of(topic.name(), name, open == Some(topic), side(SideCommand::Topic(topic)))
    });
    offers(ui, stage, "", topics.into());
}

/// How far what is set reaches: `for` the song, the section, the pass, the bar; in which pass; at which chord.
pub(crate) fn reach(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let (chosen, state) = (stage.model.view.writing.chosen, &stage.model.view.writing.side);
    let place = state.place(chosen);
    let there = Side::scopes(chosen);
    if there.len() > 1 {
        let scopes = there.iter().map(|scope| {
            let is = Side { scope: *scope, ..Side::default() }.place(chosen);
            let text = match scope {
                Scope::Song => "the song".to_owned(),
                Scope::Section => place_in_words(writing, is),
                Scope::Pass => format!("pass {}", chosen.pass().unwrap_or(1)),
                Scope::Bar => "this bar".to_owned(),
            };
            let name = format!("Set for {}", place_in_words(writing, is));
            Offer::of(text, name, is == place, side(SideCommand::Scope(*scope)))
        });
        offers(ui, stage, "for", scopes.collect());
    }
    passes(ui, stage, writing);
    match place {
        Place::Bar { .. } => chords(ui, stage, writing),
        // What is below stays where it is, however far out one goes.
        _ if has_chords(writing, chosen.place) => drop(ui.allocate_space(vec2(1.0, stage.px(LINE)))),
        _ => {}
    }
}

/// The height of a line of words, in units.
const LINE: f32 = 26.0;

/// Whether a bar has several chords to choose among.
fn has_chords(writing: &Writing, place: Place) -> bool {
    played(writing, place).is_some_and(|played| chords_of(played).len() > 1)
}

/// In which pass, where there are several.
pub(crate) fn passes(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let chosen = stage.model.view.writing.chosen;
    let Some(section) = chosen.section() else { return };
    let count = writing.passes(section);
    if count < 2 {
        return;
    }
    let choose = |pass: Option<u32>| Command::Writing(WritingCommand::Choose(in_pass(chosen, section, pass)));
    let now = chosen.pass();
    let mut words = vec![Offer::of("every pass", "In every pass", now.is_none(), choose(None))];
    let one = |pass: u32| {
        Offer::of(pass.to_string(), format!("In pass {pass} alone"), now == Some(pass), choose(Some(pass)))
    };
    if count <= PASSES_IN_A_LINE {
        words.extend((1..=count).map(one));
    } else {
        let at = now.unwrap_or(1);
        words.push(one(at));
        words.push(Offer::deed("less", "The pass before", choose(Some((at - 1).max(1)))));
        words.push(Offer::deed("more", "The next pass", choose(Some((at + 1).min(count)))));
    }
    offers(ui, stage, "in", words);
}

/// At which chord of the bar, where there are several.
fn chords(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let chosen = stage.model.view.writing.chosen;
    let Place::Bar { section, bar, pass, beat } = chosen.place else { return };
    let Some(played) = played(writing, chosen.place) else { return };
    let at = chords_of(played);
    if at.len() < 2 {
        return;
    }
    let choose = |beat: Option<u8>| {
        let place = Place::Bar { section, bar, pass, beat };
        Command::Writing(WritingCommand::Choose(place.into()))
    };
    let mut words = vec![Offer::of("the whole bar", "The whole bar", beat.is_none(), choose(None))];
    words.extend(at.into_iter().map(|(number, symbol)| {
        let name = format!("{symbol}, on beat {number}");
        Offer::of(symbol, name, beat == Some(number), choose(Some(number)))
    }));
    offers(ui, stage, "at", words);
}

/// The chosen place in a pass; of several bars the first.
fn in_pass(chosen: Chosen, section: usize, pass: Option<u32>) -> Chosen {
    let place = match (chosen.place, pass) {
        (Place::Bar { section, bar, beat, .. }, pass) => Place::Bar { section, bar, pass, beat },
        (_, Some(pass)) => Place::Pass { section, pass },
        (_, None) => Place::Section(section),
    };
    Chosen { place, last: chosen.last }
}

/// A bar as it is played in its pass, or in the first.
pub(crate) fn played(writing: &Writing, place: Place) -> Option<&PlayedBar> {
    let Place::Bar { section, bar, pass, .. } = place else { return None };
    let mut bars = writing.pass(section, pass.unwrap_or(1));
    bars.find(|played| played.written_bar.or(played.in_place_of) == Some(bar))
}

/// The chords of a bar and the beats they begin on, from 1.
pub(crate) fn chords_of(bar: &PlayedBar) -> Vec<(u8, String)> {
    let chords =
        bar.slots.iter().filter(|slot| !slot.continued && matches!(slot.kind, SlotKind::Chord { .. }));
    let beats = chords.filter_map(|slot| {
        let beat = u8::try_from(slot.start.div_floor(bar.beat.length) + 1).ok()?;
        Some((beat, slot.symbol.clone()))
    });
    beats.collect()
}

/// Something to read where there is nothing to set.
pub(crate) fn nothing(ui: &mut Ui, stage: &Stage<'_>, text: &str) {
    pages::say(ui, text, fonts::sans(stage.px(15.0)), stage.palette.quiet);
}
