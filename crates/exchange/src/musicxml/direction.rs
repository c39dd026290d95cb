//! What stands over the staff: words, tempi, signs of form (MusicXML 4.0, "direction", "sound").

use super::form::{Jump, Mark, Until};
use super::measure::{Measure, Measures, Spot, add_words, quarters};
use super::tree::Element;
use super::words::{self, Said};
use crate::chart::Symbol;
use song::Feel;

impl Measures {
    pub(super) fn direction(&mut self, element: &Element, spot: Spot, measure: &mut Measure) {
        let at = spot.of(element);
        if self.ours {
            measure.own.take(element, quarters(at));
        }
        let mut text = String::new();
        for kind in element.all("direction-type").flat_map(|kind| &kind.children) {
            match kind.name.as_str() {
                "rehearsal" => name_section(measure, kind.text.trim()),
                "words" if !self.ours => text.push_str(&kind.text),
                "segno" => text.push_str(words::SEGNO),
                "coda" => text.push_str(words::CODA),
                "dynamics" if !self.ours => dynamics(kind, measure),
                "wedge" if !self.ours => wedge(kind, measure),
                "other-direction" => add_some(measure, &kind.text),
                "metronome" => match metronome(kind) {
                    Some(tempo) => self.set_tempo(tempo, spot, at, measure),
                    None => add_words(measure, "a metronome mark that was not read".to_owned()),
                },
                _ => {}
            }
            text.push(' ');
        }
        say(words::said(&text), at, spot, measure);
        if let Some(sound) = element.child("sound") {
            self.sound(sound, spot, at, measure);
        }
    }

    pub(super) fn sound(&mut self, element: &Element, spot: Spot, at: i64, measure: &mut Measure) {
        let tempo = element.attribute("tempo").and_then(|tempo| tempo.parse::<f64>().ok());
        if let Some(tempo) = tempo.filter(|tempo| tempo.is_finite() && *tempo > 0.0) {
            self.set_tempo(tempo, spot, at, measure);
        }
        let set = |name: &str| element.attribute(name).filter(|value| !value.is_empty() && *value != "no");
        let mark = |label: &str| Mark { place: spot.side(at), number: numbered(label) };
        let form = &mut measure.form;
        form.fine |= set("fine").is_some();
        form.forward |= set("forward-repeat").is_some();
        form.segno = form.segno.or(set("segno").map(mark));
        form.coda = form.coda.or(set("coda").map(mark));
        form.to_coda = form.to_coda.or(set("tocoda").map(mark));
        let back = |to_sign: bool, sign: u8| Jump { to_sign, sign, ..Jump::default() };
        let jump = set("dacapo")
            .map(|_| back(false, 0))
            .or(set("dalsegno").map(|label| back(true, numbered(label))));
        // Words say more: until where, and whether with repeats.
        form.jump = form.jump.or(jump);
        if let Some(swing) = element.child("swing") {
            let swings = swing.number_of("first").unwrap_or(1) > swing.number_of("second").unwrap_or(1);
            measure.feel = Some(if swings { Feel::Swing } else { Feel::Straight });
        }
    }

    /// A tempo holds from its measure on; one that stands later than its first note, from the next on, unless there was
    /// none before.
    fn set_tempo(&mut self, tempo: f64, spot: Spot, at: i64, measure: &mut Measure) {
        let before = self.tempo.replace(tempo);
        if at == 0 || before.is_none() {
            measure.tempo = Some(tempo);
        } else if before != Some(tempo) {
            self.next.tempo = Some(tempo);
            if at < spot.end {
                add_words(measure, "the tempo changes within this bar: it holds from the next".to_owned());
            }
        }
    }
}

/// The number in a label such as `coda2`.
fn numbered(label: &str) -> u8 {
    let digits = label.trim_start_matches(|c: char| !c.is_ascii_digit());
    digits.parse().unwrap_or(0)
}

pub(super) fn name_section(measure: &mut Measure, name: &str) {
    match (&measure.section, name) {
        (_, "") => {}
        (None, _) => measure.section = Some(name.chars().take(60).collect()),
        (Some(own), _) if own == name => {}
        (Some(_), _) => add_words(measure, name.to_owned()),
    }
}

/// Puts what words say where it belongs.
fn say(said: Said, at: i64, spot: Spot, measure: &mut Measure) {
    let mark = |number: u8| Some(Mark { place: spot.side(at), number });
    let form = &mut measure.form;
    match said {
        Said::Nothing => {}
        Said::Fine => form.fine = true,
        Said::ToCoda(number) => form.to_coda = mark(number),
        Said::Coda(number) => form.coda = mark(number),
        Said::Segno(number) => form.segno = mark(number),
        Said::Jump(jump) if form.jump.is_none_or(|own| own.until == Until::Unsaid) => form.jump = Some(jump),
        Said::Jump(_) => {}
        Said::NoChord => {
            let at = super::measure::tidy(at);
            if measure.harmony.iter().all(|(own, _)| *own != at) {
                measure.harmony.push((at, Symbol::default()));
            }
        }
        Said::Section(name) => name_section(measure, &name),
        Said::Other(words) => add_words(measure, words),
    }
}

fn add_some(measure: &mut Measure, text: &str) {
    if let Said::Other(words) = words::said(text) {
        add_words(measure, words);
    }
}

/// `mf` and its like: the names of the signs are what is written.
fn dynamics(element: &Element, measure: &mut Measure) {
    for sign in &element.children {
        add_some(measure, if sign.name == "other-dynamics" { &sign.text } else { &sign.name });
    }
}

fn wedge(element: &Element, measure: &mut Measure) {
    if let Some(kind @ ("crescendo" | "diminuendo")) = element.attribute("type") {
        add_words(measure, kind.to_owned());
    }
}

/// Quarters a minute of a metronome mark, `c. 120` too; of an equation between note values nothing.
fn metronome(element: &Element) -> Option<f64> {
    let text = element.text_of("per-minute")?;
    let digits = text.trim_start_matches(|c: char| !c.is_ascii_digit());
    let digits = digits.split(|c: char| !c.is_ascii_digit() && c != '.').next()?;
    let per_minute: f64 = digits.trim_end_matches('.').parse().ok()?;
    let unit = match element.text_of("beat-unit")? {
        "breve" => 8.0,
        "whole" => 4.0,
        "half" => 2.0,
        "quarter" => 1.0,
        "eighth" => 0.5,
        "16th" => 0.25,
        _ => return None,
    };
    let dots = element.all("beat-unit-dot").count().min(2) as i32;
    let tempo = per_minute * unit * (2.0 - 0.5f64.powi(dots));
    (tempo.is_finite() && tempo > 0.0).then_some(tempo)
}
