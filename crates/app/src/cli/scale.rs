//! `overhand scale`: the notes of a scale, both hands' fingers, and where they cross.

use super::args::Run;
use super::run::{ContraryJson, Fingered, FingersJson};
use super::{Answer, Form};
use serde::Serialize;
use theory::{Hand, Scale, ScaleKind};

#[derive(Serialize)]
struct ScaleJson {
    key: String,
    accidentals: i8,
    notes: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    notes_down: Option<Vec<String>>,
    octaves: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    right: Option<FingersJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left: Option<FingersJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contrary: Option<ContraryJson>,
}

/// The scale of a key, over some octaves.
pub fn answer(key: &str, run: Run, form: Form) -> Answer {
    let scale: Scale = match key.parse() {
        Ok(scale) => scale,
        Err(theory::ParseKeyError { message }) => return Answer::wrong_call(message),
    };
    let fingers = |hand| scale.fingers(hand, run.octaves);
    let (Some(right), Some(left)) = (fingers(Hand::Right), fingers(Hand::Left)) else {
        return Answer::wrong_call("a scale is shown over 1 to 4 octaves".to_owned());
    };
    let fingered = Fingered {
        up: scale.pitches_up(4, run.octaves),
        down: scale.pitches_down(4, run.octaves),
        comes_down_otherwise: scale.kind().comes_down_otherwise(),
        right,
        left,
    };
    if form.json {
        Answer::json(&scale_json(scale, run, &fingered))
    } else {
        Answer::done(format!("{}\n\n{}", heading(scale), fingered.text(run)))
    }
}

fn scale_json(scale: Scale, run: Run, fingered: &Fingered) -> ScaleJson {
    let names = |notes: Vec<theory::NoteName>| notes.iter().map(|note| note.to_string()).collect();
    ScaleJson {
        key: scale.to_string(),
        accidentals: scale.signature(),
        notes: names(scale.notes()),
        notes_down: fingered.comes_down_otherwise.then(|| names(scale.notes_down())),
        octaves: run.octaves,
        right: fingered.json(Hand::Right, run),
        left: fingered.json(Hand::Left, run),
        contrary: fingered.contrary_json(run),
    }
}

/// What it is called, its signature, and, where they are not the major scale's, its degrees.
fn heading(scale: Scale) -> String {
    let degrees: Vec<String> = scale.kind().formula().iter().map(|degree| degree.to_string()).collect();
    let degrees = match scale.kind() {
        ScaleKind::Major => String::new(),
        _ => format!(": {} of the major scale", degrees.join(" ")),
    };
    format!("{scale}, {}{degrees}", signature(scale.signature()))
}

fn signature(accidentals: i8) -> String {
    let (count, sign) = (accidentals.unsigned_abs(), if accidentals > 0 { "sharp" } else { "flat" });
    match count {
        0 => "no sharps or flats".to_owned(),
        1 => format!("1 {sign}"),
        _ => format!("{count} {sign}s"),
    }
}
