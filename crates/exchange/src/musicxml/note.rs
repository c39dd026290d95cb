//! Notes and rests of a voice.

use super::layout::{Beam, Note, Sign};
use super::value::{NAMES, Tuplet};
use super::xml::Xml;
use theory::Hand;
use voicing::Part;

/// Writes a chord, a note or a rest that lasts so many divisions, on a staff (0 or 1), in a voice; rests are seen or not.
pub(super) fn write_sign(
    xml: &mut Xml,
    part: &Part,
    sign: &Sign,
    length: i64,
    (staff, voice, seen): (usize, usize, bool),
) {
    if sign.notes.is_empty() {
        xml.open("note", if seen { "" } else { " print-object=\"no\"" });
        xml.empty("rest", if sign.whole_measure { " measure=\"yes\"" } else { "" });
        let end = End { sign, length, staff, voice };
        end.duration(xml);
        end.value(xml, None);
        end.tuplet_alone(xml);
        xml.close();
    }
    for (index, note) in sign.notes.iter().enumerate() {
        write_note(xml, part, note, index > 0, &End { sign, length, staff, voice });
    }
}

/// What all notes of a chord have in common.
struct End<'a> {
    sign: &'a Sign,
    length: i64,
    staff: usize,
    voice: usize,
}

fn write_note(xml: &mut Xml, part: &Part, note: &Note, in_chord: bool, end: &End<'_>) {
    let event = &part.events[note.event];
    xml.open("note", "");
    if in_chord {
        xml.empty("chord", "");
    }
    xml.open("pitch", "");
    xml.leaf("step", "", format!("{:?}", event.pitch.name.letter));
    if event.pitch.name.alter != 0 {
        xml.leaf("alter", "", event.pitch.name.alter);
    }
    xml.leaf("octave", "", event.pitch.octave);
    xml.close();
    end.duration(xml);
    for (tied, kind) in [(note.tied_from, "stop"), (note.tied_to, "start")] {
        if tied {
            xml.empty("tie", &format!(" type=\"{kind}\""));
        }
    }
    end.value(xml, note.accidental);
    if !in_chord {
        for (index, beam) in end.sign.beams.iter().enumerate() {
            let beam = match beam {
                Beam::Begin => "begin",
                Beam::Continue => "continue",
                Beam::End => "end",
                Beam::ForwardHook => "forward hook",
                Beam::BackwardHook => "backward hook",
            };
            xml.leaf("beam", &format!(" number=\"{}\"", index + 1), beam);
        }
    }
    notations(xml, part, note, in_chord, end);
    xml.close();
}

impl End<'_> {
    fn duration(&self, xml: &mut Xml) {
        xml.leaf("duration", "", self.length);
    }

    /// Voice, value, accidental, tuplet and staff, in the order of the standard.
    fn value(&self, xml: &mut Xml, accidental: Option<i8>) {
        xml.leaf("voice", "", self.voice);
        if let Some(value) = self.sign.cut.value {
            xml.leaf("type", "", NAMES[value.index]);
            if value.dotted {
                xml.empty("dot", "");
            }
        }
        if let Some(name) = accidental.and_then(accidental_name) {
            xml.leaf("accidental", "", name);
        }
        if let Some(Tuplet { actual, normal, unit, .. }) = self.sign.cut.tuplet {
            xml.open("time-modification", "");
            xml.leaf("actual-notes", "", actual);
            xml.leaf("normal-notes", "", normal);
            xml.leaf("normal-type", "", NAMES[unit]);
            xml.close();
        }
        xml.leaf("staff", "", self.staff + 1);
    }

    fn tuplet_alone(&self, xml: &mut Xml) {
        if self.tuplet_marks().next().is_some() {
            xml.open("notations", "");
            self.tuplet_marks().for_each(|kind| xml.empty("tuplet", &format!(" type=\"{kind}\"")));
            xml.close();
        }
    }

    fn tuplet_marks(&self) -> impl Iterator<Item = &'static str> {
        let tuplet = self.sign.cut.tuplet;
        let begins = tuplet.filter(|tuplet| tuplet.begins).map(|_| "start");
        begins.into_iter().chain(tuplet.filter(|tuplet| tuplet.ends).map(|_| "stop"))
    }
}

/// Ties, tuplets, fingers, accents, rolls.
fn notations(xml: &mut Xml, part: &Part, note: &Note, in_chord: bool, end: &End<'_>) {
    let event = &part.events[note.event];
    xml.open("notations", "");
    for (tied, kind) in [(note.tied_from, "stop"), (note.tied_to, "start")] {
        if tied {
            xml.empty("tied", &format!(" type=\"{kind}\""));
        }
    }
    if !in_chord {
        end.tuplet_marks().for_each(|kind| xml.empty("tuplet", &format!(" type=\"{kind}\"")));
    }
    if !note.tied_from {
        let placement =
            if event.hand == Hand::Right { " placement=\"above\"" } else { " placement=\"below\"" };
        xml.open("technical", "");
        xml.leaf("fingering", placement, event.finger);
        for other in &event.substitutions {
            xml.leaf("fingering", &format!(" substitution=\"yes\"{placement}"), other.finger);
        }
        xml.close();
        if event.accented {
            xml.open("articulations", "");
            xml.empty("accent", "");
            xml.close();
        }
        if event.rolled {
            xml.empty("arpeggiate", "");
        }
    }
    xml.close();
}

/// By the standard's "accidental-value"; beyond triple ones there is none.
fn accidental_name(alter: i8) -> Option<&'static str> {
    Some(match alter {
        -3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2 => "double-sharp",
        3 => "triple-sharp",
        _ => return None,
    })
}
