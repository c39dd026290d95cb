//! Chord symbols, by letter and by number.

use super::kind::{self, Deed};
use super::xml::{Xml, attribute};
use song::letters::LetterChord;
use theory::{Chord, Mode, NoteName};

/// Writes a chord, or that there is none, so many divisions from here.
pub(super) fn write_harmony(xml: &mut Xml, chord: Option<&Chord>, offset: i64) {
    let Some(chord) = chord else {
        xml.open("harmony", " placement=\"above\"");
        xml.open("root", "");
        xml.leaf("root-step", " text=\"\"", "C");
        xml.close();
        xml.leaf("kind", " text=\"N.C.\"", "none");
        end(xml, offset);
        return;
    };
    xml.open("harmony", " placement=\"above\"");
    xml.open("root", "");
    note(xml, "root-step", "root-alter", chord.root());
    xml.close();
    quality(xml, chord);
    // The same chord by number, in the same symbol: readers that know only letters take the first.
    numeral(xml, chord);
    xml.leaf("kind", " text=\"\"", kind::of_chord(chord).0);
    end(xml, offset);
}

fn note(xml: &mut Xml, step: &str, alter: &str, name: NoteName) {
    xml.leaf(step, "", format!("{:?}", name.letter));
    if name.alter != 0 {
        xml.leaf(alter, "", name.alter);
    }
}

fn numeral(xml: &mut Xml, chord: &Chord) {
    let degree = chord.written.root;
    xml.open("numeral", "");
    xml.leaf("numeral-root", "", degree.number());
    if degree.alter() != 0 {
        xml.leaf("numeral-alter", "", degree.alter());
    }
    xml.open("numeral-key", " print-object=\"no\"");
    xml.leaf("numeral-fifths", "", chord.key.signature());
    xml.leaf("numeral-mode", "", if chord.key.mode() == Mode::Minor { "natural minor" } else { "major" });
    xml.close();
    xml.close();
}

/// The kind, the note under the slash, and what the kind does not say.
fn quality(xml: &mut Xml, chord: &Chord) {
    let (kind, changes) = kind::of_chord(chord);
    xml.leaf("kind", &attribute("text", &suffix(chord)), kind);
    if let Some(under) = chord.under.filter(|under| *under != chord.root()) {
        xml.open("bass", "");
        note(xml, "bass-step", "bass-alter", under);
        xml.close();
    }
    for change in changes {
        xml.open("degree", " print-object=\"no\"");
        xml.leaf("degree-value", "", change.value);
        xml.leaf("degree-alter", "", change.alter);
        let deed = match change.deed {
            Deed::Add => "add",
            Deed::Alter => "alter",
            Deed::Subtract => "subtract",
        };
        xml.leaf("degree-type", "", deed);
        xml.close();
    }
}

/// What stands behind the root by letter: `m7b5`.
fn suffix(chord: &Chord) -> String {
    let alone = LetterChord { under: None, ..LetterChord::of(chord) };
    let root = chord.root().to_string();
    alone.to_string().strip_prefix(&root).unwrap_or_default().to_owned()
}

fn end(xml: &mut Xml, offset: i64) {
    if offset != 0 {
        xml.leaf("offset", "", offset);
    }
    xml.leaf("staff", "", 1);
    xml.close();
}
