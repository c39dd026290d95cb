//! `overhand devices`: what MIDI inputs and sound outputs there are.

use super::{Answer, Form};
use crate::devices::{Found, find};

/// What is found just now. That there is none is an answer, not a mistake.
pub fn answer(form: Form) -> Answer {
    let found = find();
    if form.json {
        return Answer::json(&serde_json::json!({
            "midi_inputs": found.midi_inputs, "sound_outputs": found.sound_outputs
        }));
    }
    Answer::done(text(&found))
}

fn text(found: &Found) -> String {
    let list = |title: &str, names: &[String], none: &str| {
        let lines: Vec<String> = names.iter().map(|name| format!("  {name}\n")).collect();
        let lines = if lines.is_empty() { format!("  {none}\n") } else { lines.concat() };
        format!("{title}\n{lines}")
    };
    let midi = list("MIDI inputs", &found.midi_inputs, "none; plug a keyboard in and switch it on");
    let sound = list("Sound outputs", &found.sound_outputs, "none; all but the sound works without one");
    format!("{midi}\n{sound}")
}
