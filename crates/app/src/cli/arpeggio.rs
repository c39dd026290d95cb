//! `overhand arpeggio`: the notes of a broken chord, both hands' fingers, and where they cross.

use super::args::Run;
use super::run::{ContraryJson, Fingered, FingersJson};
use super::{Answer, Form};
use serde::Serialize;
use theory::{Arpeggio, Hand};

#[derive(Serialize)]
struct ArpeggioJson {
    chord: String,
    name: String,
    inversion: u8,
    notes: Vec<String>,
    octaves: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    right: Option<FingersJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left: Option<FingersJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contrary: Option<ContraryJson>,
}

/// An arpeggio, over some octaves.
pub fn answer(chord: &str, inversion: u8, run: Run, form: Form) -> Answer {
    let root: Arpeggio = match chord.parse() {
        Ok(arpeggio) => arpeggio,
        Err(theory::ParseKeyError { message }) => return Answer::wrong_call(message),
    };
    let Some(arpeggio) = root.inverted(inversion) else {
        return Answer::wrong_call(format!("{root} has three notes: write --inversion 0, 1 or 2"));
    };
    let fingers = |hand| arpeggio.fingers(hand, run.octaves);
    let (Some(right), Some(left)) = (fingers(Hand::Right), fingers(Hand::Left)) else {
        return Answer::wrong_call("an arpeggio is shown over 1 to 4 octaves".to_owned());
    };
    let up = arpeggio.pitches_up(4, run.octaves);
    let down = up.iter().rev().copied().collect();
    let fingered = Fingered { up, down, comes_down_otherwise: false, right, left };
    if form.json {
        Answer::json(&ArpeggioJson {
            chord: format!("{} {}", root.root(), root.kind().name()),
            name: root.name(),
            inversion,
            notes: arpeggio.notes().iter().map(|note| note.to_string()).collect(),
            octaves: run.octaves,
            right: fingered.json(Hand::Right, run),
            left: fingered.json(Hand::Left, run),
            contrary: fingered.contrary_json(run),
        })
    } else {
        Answer::done(format!("{arpeggio}\n\n{}", fingered.text(run)))
    }
}
