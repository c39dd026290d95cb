//! "This pass differs here": the chosen bar in every pass, each to be typed over, and all that differs in the section.

use super::field::Field as Line;
use super::head::{self, nothing};
use super::line::{Offer, change, label, offers};
use super::state::place_in_words;
use crate::stage::Stage;
use crate::{Command, Writing, WritingCommand, fonts, pages};
use egui::Ui;
use song::edit::{Change, Place, exceptions_about};
use song::{Exception, HandSettings, PlayedBar};

/// So many passes are shown; of more, those that differ and the one that is chosen.
const SHOWN: u32 = 8;

/// Draws the topic.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let chosen = stage.model.view.writing.chosen;
    let Some(section) = chosen.section().filter(|section| *section < writing.song.sections.len()) else {
        return nothing(ui, stage, "Choose a section or a bar to see how its passes differ.");
    };
    let count = writing.passes(section);
    if count < 2 {
        nothing(ui, stage, "This section is played once at each place. Settings make it more passes.");
    }
    head::passes(ui, stage, writing);
    if let Place::Bar { bar, .. } = chosen.place {
        if count > 1 {
            bar_by_pass(ui, stage, writing, section, bar);
        }
        exceptions(ui, stage, writing, section, bar, chosen.pass());
    }
    all_that_differs(ui, stage, writing, section);
    of_no_pass(ui, stage, writing, section);
}

/// What is written for passes that are no more: it stays until it is taken away, for the passes may come back.
fn of_no_pass(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize) {
    let count = writing.passes(section);
    let exceptions = &writing.song.sections[section].exceptions;
    let beyond = |exception: &Exception| {
        exception.pass.as_ref().is_some_and(|pass| pass.value.numbers(count).is_empty())
    };
    let all: Vec<usize> =
        exceptions.iter().enumerate().filter(|(_, one)| beyond(one)).map(|(at, _)| at).collect();
    if all.is_empty() {
        return;
    }
    label(ui, stage, "for passes that are no more");
    for exception in all {
        one_exception(ui, stage, writing, section, exception);
    }
}

/// The bar in each pass, to be typed over.
fn bar_by_pass(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize, bar: u32) {
    label(ui, stage, "this bar, pass by pass: type over what differs; what all play takes it back");
    let chosen = stage.model.view.writing.chosen.pass();
    let count = writing.passes(section);
    for pass in 1..=count {
        let played: Vec<&PlayedBar> =
            writing.pass(section, pass).filter(|played| stands_for(played, bar)).collect();
        let unlike: Vec<String> = played
            .iter()
            .filter(|played| played.unlike.is_anything())
            .map(|played| played.unlike.to_string())
            .collect();
        if count > SHOWN && chosen != Some(pass) && unlike.is_empty() {
            continue;
        }
        let text: Vec<&str> = played.iter().map(|played| played.text.as_str()).collect();
        let text = text.join(" | ");
        let place = place_in_words(writing, Place::Bar { section, bar, pass: Some(pass), beat: None });
        let name = format!("Chords of {place}");
        let hint = if played.is_empty() { "gives way to the bar before" } else { "" };
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = stage.px(8.0);
            pages::say(ui, &format!("pass {pass}"), fonts::sans(stage.px(15.0)), stage.palette.quiet);
            if let Some(text) = Line::line(&name, &text, hint).wide(170.0).done(ui, stage) {
                stage.out.push(change(vec![Change::Bar { section, bar, pass: Some(pass), text }]));
            }
            if !unlike.is_empty() {
                let text = format!("differs: {}", unlike.join(", "));
                pages::say(ui, &text, fonts::italic(stage.px(14.0)), stage.palette.ink);
            }
        });
    }
}

fn stands_for(played: &PlayedBar, bar: u32) -> bool {
    played.written_bar.or(played.in_place_of) == Some(bar)
}

/// What is written about the bar, one by one.
fn exceptions(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    section: usize,
    bar: u32,
    pass: Option<u32>,
) {
    // What is written for passes that are no more stands below.
    let count = writing.passes(section);
    let of_a_pass = |at: &usize| {
        let pass = writing.song.sections[section].exceptions[*at].pass.as_ref();
        pass.is_none_or(|pass| !pass.value.numbers(count).is_empty())
    };
    let mut about = exceptions_about(&writing.song, section, bar, pass);
    about.retain(of_a_pass);
    if about.is_empty() {
        return;
    }
    label(ui, stage, "set here");
    for exception in about {
        one_exception(ui, stage, writing, section, exception);
    }
}

fn one_exception(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize, exception: usize) {
    let text = in_words(&writing.song.sections[section].exceptions[exception]);
    pages::say(ui, &text, fonts::sans(stage.px(15.0)), stage.palette.ink);
    let command = change(vec![Change::RemoveException { section, exception }]);
    let name = format!("Take away: {text}");
    offers(ui, stage, "", vec![Offer::deed("take it away", name, command)]);
}

/// Each bar of the section that some pass plays otherwise, to go there.
fn all_that_differs(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing, section: usize) {
    let unlike: Vec<&PlayedBar> = writing.played.unlike(section).collect();
    if unlike.is_empty() {
        return;
    }
    label(ui, stage, "differs in this section");
    for played in unlike {
        let Some(bar) = played.written_bar.or(played.in_place_of) else { continue };
        let text = format!("pass {}, bar {}: {}", played.pass, bar + 1, played.unlike);
        let place = Place::Bar { section, bar, pass: Some(played.pass), beat: None };
        let command = Command::Writing(WritingCommand::Choose(place.into()));
        offers(ui, stage, "", vec![Offer::deed(text.clone(), format!("Go to {text}"), command)]);
    }
}

/// An exception as a person would tell it: `pass 3, last, bar 4: 6; right hand x x x -`.
pub(crate) fn in_words(exception: &Exception) -> String {
    let list = |selector: &song::Selector| {
        let parts: Vec<String> =
            selector.parts.iter().map(|part| part.to_string().replace('-', "–")).collect();
        parts.join(", ")
    };
    let pass = exception.pass.as_ref().map(|pass| format!("pass {}, ", list(&pass.value)));
    let beat = exception.beat.map(|beat| format!(", beat {}", beat.value));
    let place =
        format!("{}bar {}{}", pass.unwrap_or_default(), list(&exception.bar.value), beat.unwrap_or_default());
    let said = [
        exception.bars.as_ref().map(|put_in| {
            let rows = put_in.rows.iter().map(|row| song::print_line(&row.bars));
            let rows: Vec<String> = rows.collect();
            if put_in.is_empty() { "left out".to_owned() } else { rows.join(" | ") }
        }),
        hand_in_words("right hand", &exception.right),
        hand_in_words("left hand", &exception.left),
        exception.note.as_ref().map(|note| format!("“{note}”")),
        exception.cue.as_ref().map(|cue| format!("listen for {cue}")),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    format!("{place}: {}", said.join("; "))
}

/// `right hand 2 keys, tones 3 1, figure x x x -`.
fn hand_in_words(name: &str, hand: &HandSettings) -> Option<String> {
    let mut told = Vec::new();
    told.extend(hand.notes.map(|notes| match notes.value {
        1 => "1 key".to_owned(),
        n => format!("{n} keys"),
    }));
    told.extend(hand.shape.map(|shape| shape.value.name().to_owned()));
    told.extend(hand.tones.as_ref().map(|tones| format!("tones {}", tones.value)));
    told.extend(hand.shapes.iter().map(|shape| format!("{} as {}", shape.chord, shape.tones.value)));
    told.extend(hand.near.map(|near| format!("near {}", near.value)));
    told.extend(hand.figure.as_ref().map(|figure| format!("figure {}", figure.value.text)));
    told.extend(hand.restart.map(|restart| match restart {
        song::Restart::Bar => "begun at each bar".to_owned(),
        song::Restart::Chord => "begun at each chord".to_owned(),
    }));
    (!told.is_empty()).then(|| format!("{name} {}", told.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_exception_is_told_as_a_person_would() {
        let text = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "sections": [
          { "name": "A", "passes": 4, "bars": ["1 | 4 | 5 | 1"], "except": [
            { "pass": [3, "last"], "bar": 4, "bars": "6", "right": { "notes": 2, "figure": "x x x -" } },
            { "bar": "2-3", "beat": 3, "left": { "shape": "octave", "shapes": { "4": "1 5" } }, "note": "soft" },
            { "pass": 2, "bar": 1, "bars": [], "replaces": 1 } ] } ] }"#;
        let song = song::read(text).sound().unwrap();
        let told: Vec<String> = song.sections[0].exceptions.iter().map(in_words).collect();
        assert_eq!(
            told,
            [
                "pass 3, last, bar 4: 6; right hand 2 keys, figure x x x -",
                "bar 2–3, beat 3: left hand octave, 4 as 1 5; “soft”",
                "pass 2, bar 1: left out",
            ]
        );
    }
}
