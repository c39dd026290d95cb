//! A part of notes alone, a MIDI file's: what is struck and held is said where a song says its chord, and pages that need a
//! chart say that there is none.

use crate::reasons::capital;
use crate::stage::Stage;
use crate::{fonts, whole_lines};
use egui::{Rect, Ui, UiBuilder, vec2};
use practice::SlotRef;
use theory::Hand;
use voicing::{HeldNote, Part};

/// Where chords are held otherwise.
pub(crate) const NOTHING_TO_CHOOSE: &str =
    "These are the notes of a MIDI file. There is no chord here to hold otherwise, and nothing to pin.";
/// Where songs are written.
pub(crate) const NOTHING_TO_WRITE: &str =
    "These are the notes of a MIDI file, without a chart: nothing here can be written. Ctrl+N begins a song.";
/// Where sheets are printed.
pub(crate) const NOTHING_TO_PRINT: &str = "These are the notes of a MIDI file, without a chart: there is nothing to \
     print. X saves them as MusicXML, for a program that prints notes.";

/// Whether the part on the stand is one.
pub(crate) fn alone(stage: &Stage<'_>) -> bool {
    stage.model.part.is_some_and(Part::is_notes_alone)
}

/// What each hand strikes and holds at the place one is at, in the column of the reasons.
pub(crate) fn in_hand(ui: &mut Ui, stage: &Stage<'_>) {
    let (Some(part), Some(slot)) = (stage.model.part, stage.model.session.slot) else { return };
    let said = Hand::BOTH.map(|hand| Said::of(stage, part, slot, hand));
    let title = if said.iter().all(Said::is_nothing) { "Nothing is held" } else { "Held here" };
    crate::reasons::line(ui, title, fonts::serif(stage.px(26.0)), stage.palette.ink);
    for (hand, said) in Hand::BOTH.into_iter().zip(said) {
        ui.add_space(stage.px(10.0));
        let heading = format!("{} hand", capital(hand.name()));
        crate::reasons::line(ui, &heading, fonts::bold(stage.px(15.5)), stage.palette.hand(hand));
        crate::reasons::line(ui, &said.text(), fonts::sans(stage.px(16.0)), stage.palette.ink);
    }
}

/// In place of a page that needs a chart.
pub(crate) fn nothing_here(ui: &mut Ui, rect: Rect, stage: &Stage<'_>, words: &str) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        crate::reasons::line(ui, words, fonts::sans(stage.px(16.0)), stage.palette.quiet);
    });
}

/// In place of other ways to hold a chord.
pub(crate) fn nothing_to_choose(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(4.0));
        whole_lines::column(ui, stage, "other ways", |ui, stage| {
            in_hand(ui, stage);
            ui.add_space(stage.px(12.0));
            crate::reasons::line(ui, NOTHING_TO_CHOOSE, fonts::sans(stage.px(15.0)), stage.palette.quiet);
            let back = Some(crate::keys::Ask::Back);
            if crate::menus::entry(ui, stage, "back to the notes", back, None).clicked() {
                stage.out.extend(crate::ask::command(crate::keys::Ask::Back, &stage.model));
            }
        });
    });
}

/// One hand at one place.
struct Said {
    struck: Vec<String>,
    fingers: Vec<String>,
    held: Vec<String>,
}

impl Said {
    fn of(stage: &Stage<'_>, part: &Part, at: SlotRef, hand: Hand) -> Said {
        let bar = part.bars.get(at.bar);
        let struck = bar.and_then(|bar| bar.chords.get(at.slot)).map(|chord| &chord.hand(hand).notes[..]);
        let struck = struck.unwrap_or_default();
        let start = bar.and_then(|bar| Some(bar.played.start + bar.played.slots.get(at.slot)?.start));
        let longest = stage.model.sheet.map(|sheet| sheet.longest).unwrap_or_default();
        let first = start.map_or(0, |start| part.events.partition_point(|e| e.start + longest < start));
        let before = part.events[first..].iter().take_while(|e| Some(e.start) < start);
        let sounds = |e: &voicing::Event| start.is_some_and(|start| e.start + e.length > start);
        let goes_on = |e: &&voicing::Event| e.hand == hand && sounds(e);
        let struck_anew = |e: &&voicing::Event| !struck.iter().any(|note| note.key == e.key);
        let held = before.filter(goes_on).filter(struck_anew).map(|e| e.pitch.pretty()).collect();
        Said {
            struck: struck.iter().map(|note| note.pitch.pretty()).collect(),
            fingers: struck.iter().map(HeldNote::finger_text).collect(),
            held,
        }
    }

    fn is_nothing(&self) -> bool {
        self.struck.is_empty() && self.held.is_empty()
    }

    /// `Strikes E4 G4 (1 3); C4 goes on.`
    fn text(&self) -> String {
        let held = self.held.join(" ");
        let struck = format!("Strikes {} ({})", self.struck.join(" "), self.fingers.join(" "));
        match (self.struck.is_empty(), self.held.len()) {
            (true, 0) => "Holds nothing.".to_owned(),
            (true, 1) => format!("{held} goes on."),
            (true, _) => format!("{held} go on."),
            (false, 0) => format!("{struck}."),
            (false, 1) => format!("{struck}; {held} goes on."),
            (false, _) => format!("{struck}; {held} go on."),
        }
    }
}
