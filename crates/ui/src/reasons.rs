//! The reasons for this chord, beside it: right hand, left hand, and what else there was.

pub(crate) mod notes;

use crate::keys::Ask;
use crate::menus::entry;
use crate::stage::Stage;
use crate::{Command, Page, Question, Tab, fonts, whole_lines};
use egui::{Color32, FontId, Label, Rect, RichText, Ui, UiBuilder, vec2};
use practice::{Mode, SessionCommand};
use song::SlotKind;
use theory::{Chord, Hand};
use voicing::PartChord;

/// Draws the column.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let bottom = passing(ui, rect, stage);
    let column = Rect::from_min_max(rect.min, egui::pos2(rect.right(), bottom));
    ui.scope_builder(UiBuilder::new().max_rect(column), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(4.0));
        whole_lines::column(ui, stage, "reasons", |ui, stage| {
            if notes::alone(stage) {
                return notes::in_hand(ui, stage);
            }
            chord(ui, stage);
            ui.add_space(stage.px(10.0));
            for (text, ask) in [("other ways to hold it", Ask::Ways), ("as I hold it", Ask::AsHeld)] {
                if entry(ui, stage, text, Some(ask), None).clicked() {
                    stage.out.extend(crate::ask::command(ask, &stage.model));
                }
            }
        });
    });
}

fn chord(ui: &mut Ui, stage: &Stage<'_>) {
    let Some((kind, chord)) = in_hand(stage) else { return };
    title(ui, stage, kind);
    for hand in Hand::BOTH {
        let texts: Vec<String> =
            chord.why.iter().filter(|r| r.hand == Some(hand)).map(|r| sentence(&r.text())).collect();
        if texts.is_empty() {
            continue;
        }
        ui.add_space(stage.px(10.0));
        let heading = format!("{} hand", capital(hand.name()));
        line(ui, &heading, fonts::bold(stage.px(15.5)), stage.palette.hand(hand));
        for text in &texts {
            line(ui, text, fonts::sans(stage.px(16.0)), stage.palette.ink);
        }
    }
    words_of_the_coach(ui, stage);
    let rest: Vec<String> =
        chord.why.iter().filter(|r| r.hand.is_none()).map(|r| sentence(&r.text())).collect();
    let unproven = unproven(stage);
    if !rest.is_empty() || unproven.is_some() {
        ui.add_space(stage.px(10.0));
    }
    for text in rest.iter().chain(&unproven) {
        line(ui, text, fonts::sans(stage.px(15.0)), stage.palette.quiet);
    }
}

/// Said where the search for the cheapest plan had to end before it was sure.
fn unproven(stage: &Stage<'_>) -> Option<String> {
    let gap = stage.model.part?.proof.gap;
    let semitones = crate::choice::in_semitones(gap);
    (gap > 0).then(|| {
        format!(
            "So long a song could not be searched to the end: other shapes may save up to {semitones} of movement in all."
        )
    })
}

pub(crate) fn in_hand<'a>(stage: &Stage<'a>) -> Option<(&'a SlotKind, &'a PartChord)> {
    let slot = stage.model.session.slot?;
    let bar = stage.model.part?.bars.get(slot.bar)?;
    Some((&bar.played.slots.get(slot.slot)?.kind, bar.chords.get(slot.slot)?))
}

/// `5 over 7   A over C♯`
pub(crate) fn title(ui: &mut Ui, stage: &Stage<'_>, kind: &SlotKind) {
    let palette = stage.palette;
    let (numbers, names) = match kind {
        SlotKind::Chord { chord, .. } => (spoken_numbers(chord), spoken_names(chord)),
        SlotKind::Tie { sounding } => {
            (format!("{} goes on", spoken_numbers(sounding)), spoken_names(sounding))
        }
        SlotKind::Rest => ("Rest".into(), "both hands".into()),
    };
    let shape = shape(stage, kind);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = stage.px(14.0);
        line(ui, &numbers, fonts::serif(stage.px(26.0)), palette.ink);
        line(ui, &names, fonts::sans(stage.px(17.0)), palette.quiet);
    });
    if let Some(shape) = shape {
        line(ui, &shape, fonts::sans(stage.px(15.0)), palette.quiet);
    }
}

/// What a guitarist takes for it: `capo 2, shapes of C major: G/B`.
fn shape(stage: &Stage<'_>, kind: &SlotKind) -> Option<String> {
    let capo = stage.capo()?;
    let (SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord }) = kind else { return None };
    Some(format!("Guitar, {}: {}", capo.text(), capo.shape(chord).pretty_name()))
}

fn spoken_numbers(chord: &Chord) -> String {
    let text = chord.written.to_string();
    let (upper, under) = text.split_once('/').map_or((text.as_str(), None), |(u, d)| (u, Some(d)));
    let pretty = |text: &str| text.replace('b', "♭").replace('#', "♯");
    match under {
        Some(under) => format!("{} over {}", pretty(upper), pretty(under)),
        None => pretty(upper),
    }
}

fn spoken_names(chord: &Chord) -> String {
    chord.pretty_name().replace('/', " over ")
}

fn words_of_the_coach(ui: &mut Ui, stage: &Stage<'_>) {
    let Some(part) = stage.model.part else { return };
    let Some(bar) = part.bars.get(stage.model.session.position.bar) else { return };
    let section = part.words.get(bar.played.section).cloned().unwrap_or_default();
    let listen = |cue: &String| format!("Listen for: {cue}");
    let said = [
        bar.played.note.clone(),
        bar.played.cue.as_ref().map(listen),
        section.note,
        section.cue.as_ref().map(listen),
        part.note.clone().filter(|_| stage.model.session.position.bar == 0),
    ];
    for text in said.into_iter().flatten() {
        ui.add_space(stage.px(10.0));
        line(ui, &text, fonts::italic(stage.px(16.0)), stage.palette.ink);
    }
    let way = way_of_playing(&bar.played);
    if !way.is_empty() {
        ui.add_space(stage.px(10.0));
        line(ui, &way, fonts::sans(stage.px(14.0)), stage.palette.quiet);
    }
}

/// How the song wants it played, where that is not the usual: `swing, level 4, with a bass player, pedal`.
fn way_of_playing(bar: &song::PlayedBar) -> String {
    let said = [
        (bar.feel == song::Feel::Swing).then(|| "swing".to_owned()),
        (bar.level != 3).then(|| format!("level {}", bar.level)),
        bar.bass.then(|| "with a bass player".to_owned()),
        bar.pedal.then(|| "pedal".to_owned()),
    ];
    said.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// What is said in passing, at the foot of the column; returns where the column above it ends.
fn passing(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) -> f32 {
    let lines = passing_lines(stage);
    let mut y = rect.bottom() - stage.px(8.0);
    for (text, offers) in lines.iter().rev() {
        y = passing_line(ui, rect, stage, y, text, offers);
    }
    y - stage.px(6.0)
}

type Offer = (&'static str, String, Command);

fn passing_lines(stage: &Stage<'_>) -> Vec<(String, Vec<Offer>)> {
    let model = &stage.model;
    let mut lines: Vec<(String, Vec<Offer>)> = Vec::new();
    if let Some(shift) = model.session.octave_offer {
        let octaves = shift.abs() / 12;
        let way = if shift < 0 { "above" } else { "below" };
        let text = format!("You play {octaves} octave{} {way}.", if octaves == 1 { "" } else { "s" });
        let command = Command::Session(SessionCommand::SetOctaveShift(shift));
        lines.push((text, vec![("take it so", "Take my keys an octave off".into(), command)]));
    }
    if let Some(message) = &model.devices.message {
        lines.push((message.clone(), Vec::new()));
    }
    if model.view.piano_keys {
        let off = Command::PianoKeys(false);
        lines.push((
            format!("Letters play notes from C{}.", model.view.piano_octave),
            vec![("stop that", "Letters no longer play notes".into(), off)],
        ));
    }
    lines.extend(how_it_went(stage));
    // One thing at a time: what is asked in passing can wait.
    let calm = !model.session.running && !model.laps.is_empty() && lines.len() < 2;
    if calm && !model.view.asked_reach {
        lines.push(("How far does your hand reach?".into(), asked(Question::Reach)));
    } else if calm && !model.view.asked_keyboard {
        lines.push(("Which keyboard do you have?".into(), asked(Question::Keyboard)));
    }
    lines
}

/// At the end of a run: how many of how many, and where there is more.
fn how_it_went(stage: &Stage<'_>) -> Option<(String, Vec<Offer>)> {
    let session = stage.model.session;
    let lap =
        stage.model.laps.last().filter(|_| !session.running && session.settings.mode == Mode::PlayAlong)?;
    let (matched, expected) = (lap.score.matched, lap.score.expected);
    let which = match stage.model.laps.len() {
        1 => String::new(),
        laps => format!("Lap {laps}: "),
    };
    let offer = ("F5 shows how it went", "Show how it went".into(), Command::Show(Page::Results));
    Some((format!("{which}{matched} of {expected} notes."), vec![offer]))
}

fn asked(question: Question) -> Vec<Offer> {
    let tab = match question {
        Question::Reach => Tab::Part,
        Question::Keyboard => Tab::Playing,
    };
    vec![
        ("set it", "Answer in the settings".into(), Command::Tab(tab)),
        ("leave it", "Leave it as it is".into(), Command::Answered(question)),
    ]
}

fn passing_line(
    ui: &mut Ui,
    rect: Rect,
    stage: &mut Stage<'_>,
    bottom: f32,
    text: &str,
    offers: &[Offer],
) -> f32 {
    let size = stage.px(14.5);
    let galley = ui.painter().layout(text.to_owned(), fonts::sans(size), stage.palette.quiet, rect.width());
    let height = galley.size().y + if offers.is_empty() { 0.0 } else { stage.px(26.0) };
    let top = bottom - height;
    let place = Rect::from_min_size(egui::pos2(rect.left(), top), vec2(rect.width(), galley.size().y));
    ui.scope_builder(UiBuilder::new().max_rect(place), |ui| {
        line(ui, text, fonts::sans(size), stage.palette.quiet);
    });
    let mut x = rect.left();
    for (word, name, command) in offers {
        let word = crate::plain::Word::new(word, size).named(name).strong();
        let at = egui::pos2(x, bottom - stage.px(6.0));
        x = stage.offering(ui, at, &word, command.clone()).rect.right() + stage.px(10.0);
    }
    top - stage.px(10.0)
}

pub(crate) fn line(ui: &mut Ui, text: &str, font: FontId, color: Color32) {
    ui.add(Label::new(RichText::new(text).font(font).color(color)).wrap());
}

/// A text with a capital and a full stop.
pub fn sentence(text: &str) -> String {
    let text = capital(text.trim());
    if text.ends_with(['.', '!', '?', ':']) { text } else { format!("{text}.") }
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}
