//! Words to the player: for the song, a section, a pass, a bar or a chord; and beside them what the program says there.

use super::field::Field as Line;
use super::head::{self, nothing};
use super::line::{field, label};
use super::state::place_in_words;
use crate::stage::Stage;
use crate::{Writing, fonts, pages, reasons};
use egui::Ui;
use song::edit::{Field, Place, said};
use theory::Hand;
use voicing::PartChord;

/// Draws the topic.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    head::reach(ui, stage, writing);
    let view = &stage.model.view.writing;
    let place = view.side.place(view.chosen);
    let of = place_in_words(writing, place);
    let here = said(&writing.song, place);
    label(ui, stage, "what to tell the player");
    let name = format!("Note for {of}");
    let text = here.note.unwrap_or_default();
    if let Some(typed) = Line::line(&name, &text, "e.g. count the three").rows(3).live(ui, stage) {
        stage.out.push(field(place, Field::Note(some(&typed))));
    }
    if place != Place::Song {
        label(ui, stage, "what to listen for");
        let name = format!("Cue for {of}");
        let text = here.cue.unwrap_or_default();
        if let Some(typed) = Line::line(&name, &text, "e.g. the drums stop").live(ui, stage) {
            stage.out.push(field(place, Field::Cue(some(&typed))));
        }
    }
    program_says(ui, stage, place);
}

fn some(typed: &str) -> Option<String> {
    (!typed.trim().is_empty()).then(|| typed.to_owned())
}

/// The reasons for the chord that is chosen, as they stand on the song's page.
fn program_says(ui: &mut Ui, stage: &Stage<'_>, place: Place) {
    let Some(chord) = chord(stage, place) else { return };
    ui.add_space(stage.px(12.0));
    nothing(ui, stage, "What the program says here");
    for hand in [Some(Hand::Right), Some(Hand::Left), None] {
        for why in chord.why.iter().filter(|why| why.hand == hand) {
            let color = hand.map_or(stage.palette.quiet, |hand| stage.palette.hand(hand));
            pages::say(ui, &reasons::sentence(&why.text()), fonts::sans(stage.px(14.5)), color);
        }
    }
}

fn chord<'a>(stage: &Stage<'a>, place: Place) -> Option<&'a PartChord> {
    let Place::Bar { section, bar, pass, beat } = place else { return None };
    let mut bars = stage.model.part?.bars.iter();
    let bar = bars.find(|of| {
        let played = &of.played;
        played.section == section
            && played.written_bar.or(played.in_place_of) == Some(bar)
            && pass.is_none_or(|pass| played.pass == pass)
    })?;
    let begins = |slot: &song::Slot| {
        u8::try_from(slot.start.div_floor(bar.played.beat.length) + 1).is_ok_and(|at| Some(at) == beat)
    };
    let slot = beat.and_then(|_| bar.played.slots.iter().position(begins)).unwrap_or(0);
    bar.chords.get(slot)
}
