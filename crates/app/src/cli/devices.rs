//! `overhand devices`: what MIDI inputs, sound outputs and banks there are.

use super::{Answer, Form};
use crate::devices::{Found, find};

/// What is found just now. That there is none is an answer, not a mistake.
pub fn answer(form: Form) -> Answer {
    let found = find();
    if form.json { Answer::json(&json(&found)) } else { Answer::done(text(&found)) }
}

fn json(found: &Found) -> serde_json::Value {
    let system =
        found.system_output.map(|(rate, channels)| serde_json::json!({ "rate": rate, "channels": channels }));
    serde_json::json!({
        "midi_inputs": found.midi_inputs,
        "system_output": system,
        "sound_outputs": found.sound_outputs,
        "banks": found.banks,
    })
}

fn text(found: &Found) -> String {
    let list = |title: &str, names: &[String], none: &str| {
        let lines: Vec<String> = names.iter().map(|name| format!("  {name}\n")).collect();
        let lines = if lines.is_empty() { format!("  {none}\n") } else { lines.concat() };
        format!("{title}\n{lines}")
    };
    let midi = list("MIDI inputs", &found.midi_inputs, "none; plug a keyboard in and switch it on");
    let system = found.system_output.map(|(rate, channels)| {
        let channels = if channels == 1 { "one channel".to_owned() } else { format!("{channels} channels") };
        format!("the system's own, {rate} Hz, {channels}")
    });
    let outputs: Vec<String> = system.into_iter().chain(found.sound_outputs.iter().cloned()).collect();
    let sound = list("Sound outputs", &outputs, "none; all but the sound works without one");
    let banks: Vec<String> = found.banks.iter().map(|bank| bank.display().to_string()).collect();
    let none = "none in the usual folders; the built-in piano plays";
    let banks = list("SoundFont banks", &banks, none);
    format!("{midi}\n{sound}\n{banks}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_there_is_told_for_a_person_and_for_a_program() {
        let nothing = text(&Found::default());
        assert_eq!(nothing.matches("  none").count(), 3, "{nothing}");
        let found = Found {
            midi_inputs: vec!["Keys".to_owned()],
            system_output: Some((44_100, 2)),
            sound_outputs: vec!["Stage Box, USB Audio".to_owned()],
            banks: vec!["/usr/share/sounds/sf2/Grand.sf2".into()],
        };
        let expected = "MIDI inputs\n  Keys\n\nSound outputs\n  the system's own, 44100 Hz, 2 channels\n  \
                        Stage Box, USB Audio\n\nSoundFont banks\n  /usr/share/sounds/sf2/Grand.sf2\n";
        assert_eq!(text(&found), expected);
        assert_eq!(json(&found)["system_output"]["rate"], 44_100);
        assert_eq!(json(&Found::default())["system_output"], serde_json::Value::Null);
    }
}
